"""The same store tests run on SQLite and on a real PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from truehang.job import Job, load, starter
from truehang.store import Store


def _make_database(server: str) -> str:
    name = f"t{uuid.uuid4().hex}"
    admin = create_engine(
        server.replace("postgresql:", "postgresql+psycopg:") + "/postgres",
        isolation_level="AUTOCOMMIT",
    )
    with admin.connect() as db:
        db.execute(text(f"CREATE DATABASE {name}"))
    admin.dispose()
    return f"{server}/{name}"


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def new_url(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Gives the URL of a fresh, empty database at each call."""
    if request.param == "sqlite":
        return lambda: f"sqlite:///{tmp_path / uuid.uuid4().hex}.db"
    server = request.getfixturevalue("postgres_server")
    return lambda: _make_database(server)


@pytest.fixture
def store(new_url: Callable[[], str], tmp_path: Path) -> Iterator[Store]:
    made = Store.open(new_url(), tmp_path / "files")
    yield made
    made.engine.dispose()


@pytest.fixture(scope="session")
def job() -> Job:
    return load(starter())
