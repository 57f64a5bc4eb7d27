"""What several rooms' tests share: fresh databases, in SQLite and in a real PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from faults.postgres import own_postgres
from sqlalchemy import create_engine, text

from truehang.store import Store


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a fresh PostgreSQL server on loopback, without a database name."""
    with own_postgres() as server:
        yield server.url


class Databases:
    """Fresh databases of one kind: called, gives the URL of one with the tables that the program
    expects, or of a bare one."""

    def __init__(self, kind: str, folder: Path, server: str = "") -> None:
        self.kind, self._folder, self._server, self._template = kind, folder, server, ""

    def __call__(self, *, bare: bool = False) -> str:
        name = f"t{uuid.uuid4().hex}"
        if self.kind == "sqlite":
            return f"sqlite:///{self._folder / name}.db"
        if not bare and not self._template:
            template = self(bare=True)
            Store.open(template, self._folder / "none").engine.dispose()
            self._template = template.rpartition("/")[2]
        like = "" if bare else f" TEMPLATE {self._template}"
        self._run(f"CREATE DATABASE {name}{like}")
        return f"{self._server}/{name}"

    def drop(self, url: str) -> None:
        """Make room again."""
        if self.kind == "postgresql":
            self._run(f"DROP DATABASE {url.rpartition('/')[2]} WITH (FORCE)")

    def _run(self, statement: str) -> None:
        url = self._server.replace("postgresql:", "postgresql+psycopg:") + "/postgres"
        admin = create_engine(url, isolation_level="AUTOCOMMIT")
        with admin.connect() as db:
            db.execute(text(statement))
        admin.dispose()


BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


@pytest.fixture(scope="session", params=BOTH)
def new_url(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Fresh databases; what asks for them runs on SQLite and on PostgreSQL."""
    server = request.getfixturevalue("postgres_server") if request.param == "postgresql" else ""
    return Databases(request.param, tmp_path_factory.mktemp("databases"), server)


@pytest.fixture
def store(new_url: Databases, tmp_path: Path) -> Iterator[Store]:
    """A fresh store."""
    url = new_url()
    made = Store.open(url, tmp_path / "files")
    yield made
    made.engine.dispose()
    new_url.drop(url)
