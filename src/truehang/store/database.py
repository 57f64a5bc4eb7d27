"""How is the database opened, and brought to the newest shape?

SQLite (WAL, full sync) by default, PostgreSQL by URL. Writers begin with the lock they will need,
so that two of them wait for each other instead of failing half way. A database that does not
answer is one trouble, `Away`, whatever its driver calls it.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from truehang.store import private
from truehang.store.troubles import Away, DatabaseError

if TYPE_CHECKING:
    from alembic.config import Config

_log = logging.getLogger(__name__)
_MIGRATION_LOCK = 7_264_151
_PATIENCE = {
    # s; a server that is gone is known as gone before a person gives up on the page.
    "connect_timeout": 5,
    "keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3,
    "tcp_user_timeout": 15_000,
    "options": "-c lock_timeout=20s -c idle_in_transaction_session_timeout=300s",
}  # fmt: skip
_READ_ONLY = "25006"
"""SQLSTATE of a server that was made a stand-by: it takes no write until another is found."""


def open_engine(url: str) -> Engine:
    """An engine for a SQLAlchemy URL (sqlite:///jobs.db, postgresql://...)."""
    try:
        parsed = make_url(url)
    except ArgumentError:
        raise DatabaseError(
            f"database = {url!r}: not a database URL; write sqlite:///jobs.db or postgresql://..."
        ) from None
    if parsed.get_backend_name() == "sqlite":
        return _sqlite(parsed)
    if parsed.get_backend_name() == "postgresql":
        try:
            return create_engine(
                parsed.set(drivername="postgresql+psycopg"), pool_size=10, pool_pre_ping=True,
                pool_timeout=5, connect_args=_PATIENCE, hide_parameters=True,
            )  # fmt: skip
        except ModuleNotFoundError:
            raise DatabaseError("PostgreSQL needs the extra: install truehang[postgres]") from None
    raise DatabaseError(f"database = {url!r}: only sqlite and postgresql URLs are served")


def _sqlite(url: URL) -> Engine:
    if url.database and url.database != ":memory:":
        with suppress(OSError):  # said by the database itself where it can't be had
            private.file(Path(url.database))  # and what it makes beside it gets the same rights
    engine = create_engine(url, connect_args={"timeout": 30}, pool_size=10, hide_parameters=True)

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # we begin ourselves, see below
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        write = connection.get_execution_options().get("write", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only reads. Raises Away where the database does not answer."""
    with _said_plainly(writes=False), engine.begin() as connection:
        yield connection


@contextmanager
def writing(engine: Engine, *, of_this_shape: bool = True) -> Iterator[Connection]:
    """A transaction that begins as a writer's; all in it is kept, or nothing. Raises Away, also
    where another version of the program has changed the shape of the tables meanwhile."""
    with _said_plainly(writes=True), engine.execution_options(write=True).begin() as connection:
        if of_this_shape:
            _of_this_shape(connection)
        yield connection


@contextmanager
def _said_plainly(*, writes: bool) -> Iterator[None]:
    try:
        yield
    except (OperationalError, InterfaceError, PoolTimeout) as broken:
        raise _away(broken) from broken
    except DBAPIError as broken:
        if broken.connection_invalidated or getattr(broken.orig, "sqlstate", "") == _READ_ONLY:
            raise _away(broken) from broken
        raise
    if _outages and (writes or not _full(_outages[0])):  # what can be read says nothing of room
        _outages.clear()
        _log.warning("the database answers again")


def _away(broken: Exception) -> Away:
    reason = str(getattr(broken, "orig", None) or broken).strip().partition("\n")[0]
    if not _outages:  # one line an outage
        _outages.append(reason)
        _log.warning("the database does not answer: %s", reason)
    if _full(reason):
        what = "the disk under the database is full"
    elif "disk I/O error" in reason:  # what SQLite says where its smallest files find no room
        what = "the disk under the database takes nothing: it is full, or at fault"
    else:
        what = "the database does not answer"
    return Away(f"{what}; nothing was changed")


def _of_this_shape(connection: Connection) -> None:
    found = connection.scalar(text("SELECT version_num FROM alembic_version"))
    if found != newest_shape():
        raise Away(
            f"another version of Truehang has taken this database over (its tables are of shape "
            f"{found}, this version's of {newest_shape()}); start this server again with that "
            "version; nothing was changed"
        )


def answers(engine: Engine) -> None:
    """Whether the database answers, and is of this program's shape. Raises Away."""
    with reading(engine) as connection:
        _of_this_shape(connection)


def _full(reason: str) -> bool:
    return "full" in reason or "No space" in reason


_outages: list[str] = []
"""Why the database does not answer this process now; empty while it does."""


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(resources.files("truehang.store") / "migrations"))
    return config


@cache
def shapes() -> tuple[str, ...]:
    """Every shape that the tables ever had, the newest first."""
    from alembic.script import ScriptDirectory

    steps = ScriptDirectory.from_config(_config()).walk_revisions()
    return tuple(step.revision for step in steps)


def newest_shape() -> str:
    """The shape that this program's tables have."""
    return shapes()[0]


def migrate(engine: Engine) -> None:
    """Bring the database to the newest shape; safe when several processes start at once.

    Raises DatabaseError for a database of a newer program.
    """
    from alembic import command
    from alembic.util import CommandError

    config = _config()
    with writing(engine, of_this_shape=False) as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_MIGRATION_LOCK})"))
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, "head")
        except CommandError:
            raise DatabaseError(
                "this database was made by a newer version of Truehang; install that version, or "
                "restore a backup into a new database"
            ) from None
