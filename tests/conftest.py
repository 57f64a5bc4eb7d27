"""What several rooms' tests share: fresh databases, in SQLite and in a real PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

import pytest
from faults.postgres import own_postgres
from sqlalchemy import create_engine, text

from truehang.store import Store

LONG = (
    "tests/web/test_e2e_job.py", "tests/web/test_thumb.py", "tests/printed/test_every_file.py",
    "tests/web/test_away.py", "tests/web/test_offline.py", "tests/pack/test_pack.py",
)  # fmt: skip
"""Files that take minutes. A worker takes whole files, so that what a file makes for all its tests
is made once; the long ones come first, or one worker would be left with one at the end."""


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long files first; otherwise the order stands."""
    place = {file: number for number, file in enumerate(LONG)}
    items.sort(key=lambda item: place.get(item.nodeid.partition("::")[0], len(LONG)))


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a fresh PostgreSQL server on loopback, without a database name."""
    with own_postgres() as server:
        yield server.url


class Databases:
    """Fresh databases of one kind: called, gives the URL of one with the tables that the program
    expects, or of a bare one."""

    _templates: ClassVar[dict[str, str]] = {}
    """The database with tables on each server: files come and go, a server stays."""

    def __init__(self, kind: str, folder: Path, server: str = "") -> None:
        self.kind, self._folder, self._server = kind, folder, server

    def __call__(self, *, bare: bool = False) -> str:
        name = f"t{uuid.uuid4().hex}"
        if self.kind == "sqlite":
            return f"sqlite:///{self._folder / name}.db"
        if not bare and self._server not in self._templates:
            template = self(bare=True)
            Store.open(template, self._folder / "none").engine.dispose()
            self._templates[self._server] = template.rpartition("/")[2]
        like = "" if bare else f" TEMPLATE {self._templates[self._server]}"
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
