"""How is the database opened, and brought to the newest shape?

SQLite (WAL, full sync) by default, PostgreSQL by URL. Writers begin with the lock they will need,
so that two of them wait for each other instead of failing half way.
"""

from __future__ import annotations

from importlib import resources
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

_MIGRATION_LOCK = 7_264_151


class DatabaseError(RuntimeError):
    """The database can't be opened or used; the message says what to mend."""


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
                parsed.set(drivername="postgresql+psycopg"), pool_size=10, pool_pre_ping=True
            )
        except ModuleNotFoundError:
            raise DatabaseError("PostgreSQL needs the extra: install truehang[postgres]") from None
    raise DatabaseError(f"database = {url!r}: only sqlite and postgresql URLs are served")


def _sqlite(url: URL) -> Engine:
    engine = create_engine(url, connect_args={"timeout": 30}, pool_size=10)

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


def writing(engine: Engine) -> Engine:
    """The same engine, whose transactions begin as writers."""
    return engine.execution_options(write=True)


def migrate(engine: Engine) -> None:
    """Bring the database to the newest shape; safe when several processes start at once."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(resources.files("truehang.store") / "migrations"))
    with writing(engine).begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_MIGRATION_LOCK})"))
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
