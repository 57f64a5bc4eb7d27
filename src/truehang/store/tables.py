"""Which rows does the store keep? The tables, as SQLAlchemy Core sees them.

Times are ISO 8601 texts in UTC, documents are canonical JSON texts, and what is content-addressed
is named by its sha256 in hex. Nothing here is ever updated in place but a job's head and shelf, a
conflict's settlement, a device's revocation and last visit, an operation's revision while it is
written, and the rack: its one row has the version that a change counts up, and a piece that has
left stays as a row, so that its number is never used again. Only a job that was deleted goes, a
month later.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

from truehang.store.troubles import CannotKeep


class Kept(TypeDecorator[str]):
    """A text that every database keeps alike: no longer than it may be (SQLite would not mind),
    without NUL characters (PostgreSQL keeps none) and without halves of characters."""

    impl = Text
    cache_ok = True

    def __init__(self, most: int | None = None) -> None:
        super().__init__()
        self.most = most
        if most is not None:
            self.impl = String(most)  # type: ignore[assignment]

    def process_bind_param(self, value: str | None, dialect: Any) -> str | None:
        """The same text. Raises CannotKeep."""
        if value is None:
            return None
        if self.most is not None and len(value) > self.most:
            raise CannotKeep(f"{value[:40]!r}... is longer than {self.most} characters; shorten it")
        if value != _keepable(value):
            raise CannotKeep(f"{value[:40]!r} has a character that can't be kept; take it out")
        return value

    def coerce_compared_value(self, op: Any, value: Any) -> Any:
        """What is looked up may be any text: what can't be kept is simply not there."""
        return Asked()


class Asked(TypeDecorator[str]):
    """A text that is looked up."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Any) -> str | None:
        """The text, with a mark that stands in no name where a character could not be kept."""
        return None if value is None else _keepable(value)


def _keepable(text: str) -> str:
    return text.encode(errors="replace").decode().replace("\0", "\ufffd")


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Kept(32), primary_key=True),
    Column("name", Kept(64), nullable=False),
    Column("title", Kept(), nullable=False),
    Column("head", Integer, nullable=False),
    Column("created", Kept(40), nullable=False),
    Column("changed", Kept(40), nullable=False),
    Column("sought", Kept(), nullable=False, server_default=""),
    Column("shelf", Kept(16), nullable=False, server_default=""),
    Column("shelved", Kept(40), nullable=False, server_default=""),
    Index("ix_jobs_changed", "changed", "id"),
)

revisions = Table(
    "revisions",
    metadata,
    Column("job", Kept(32), ForeignKey("jobs.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("restores", Integer),
    Column("who", Kept(), nullable=False),
    Column("at", Kept(40), nullable=False),
    Column("what", Kept(), nullable=False),
    Column("op", Kept(64), nullable=False),
    Column("digest", Kept(64), nullable=False),
    Column("document", Kept(), nullable=False),
    UniqueConstraint("job", "op"),
)

conflicts = Table(
    "conflicts",
    metadata,
    Column("id", Kept(32), primary_key=True),
    Column("job", Kept(32), ForeignKey("jobs.id"), nullable=False, index=True),
    Column("path", Kept(), nullable=False),
    Column("base", Kept(), nullable=False),
    Column("theirs", Kept(), nullable=False),
    Column("mine", Kept(), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("who", Kept(), nullable=False),
    Column("at", Kept(40), nullable=False),
    Column("settled", Kept(8)),
)

files = Table(
    "files",
    metadata,
    Column("sha256", Kept(64), primary_key=True),
    Column("media_type", Kept(255), nullable=False),
    Column("size", Integer, nullable=False),
)

photos = Table(
    "photos",
    metadata,
    Column("job", Kept(32), ForeignKey("jobs.id"), primary_key=True),
    Column("op", Kept(64), primary_key=True),
    Column("sha256", Kept(64), ForeignKey("files.sha256"), nullable=False),
    Column("caption", Kept(), nullable=False),
    Column("who", Kept(), nullable=False),
    Column("at", Kept(40), nullable=False),
    Column("pin", Kept(200), nullable=False, server_default=""),
)

issues = Table(
    "issues",
    metadata,
    Column("job", Kept(32), primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("name", Kept(200), primary_key=True),
    Column("sha256", Kept(64), ForeignKey("files.sha256"), nullable=False),
    Column("who", Kept(), nullable=False),
    Column("at", Kept(40), nullable=False),
    ForeignKeyConstraint(["job", "revision"], ["revisions.job", "revisions.number"]),
)

entries = Table(
    "entries",
    metadata,
    Column("job", Kept(32), ForeignKey("jobs.id"), primary_key=True),
    Column("op", Kept(64), primary_key=True),
    Column("kind", Kept(32), nullable=False),
    Column("key", Kept(128), nullable=False),
    Column("value", Kept(), nullable=False),
    Column("passed", Boolean),
    Column("who", Kept(), nullable=False),
    Column("at", Kept(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("order", Integer, nullable=False),
)

operations = Table(
    "operations",
    metadata,
    Column("scope", Kept(32), primary_key=True),
    Column("kind", Kept(16), primary_key=True),
    Column("op", Kept(64), primary_key=True),
    Column("job", Kept(32), nullable=False),
    Column("revision", Integer),
    Column("at", Kept(40), nullable=False),
)

codes = Table(
    "codes",
    metadata,
    Column("hash", Kept(64), primary_key=True),
    Column("expires", Kept(40), nullable=False),
)

devices = Table(
    "devices",
    metadata,
    Column("id", Kept(32), primary_key=True),
    Column("name", Kept(), nullable=False),
    Column("token", Kept(64), nullable=False, unique=True),
    Column("paired", Kept(40), nullable=False),
    Column("revoked", Kept(40)),
    Column("seen", Kept(40)),
)

rack = Table(
    "rack",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("version", Integer, nullable=False),
    Column("next_number", Integer, nullable=False),
)

rack_pieces = Table(
    "rack_pieces",
    metadata,
    Column("id", Kept(32), primary_key=True),
    Column("order", Integer, nullable=False),
    Column("section", Kept(), nullable=False),
    Column("length_mm", Float, nullable=False),
    Column("came_from", Kept(), nullable=False),
    Column("held_by", Kept(), nullable=False),
    Column("gone", Boolean, nullable=False),
    Column("used_by", Kept(), nullable=False),
)

rack_settled = Table(
    "rack_settled",
    metadata,
    Column("name", Kept(200), primary_key=True),
    Column("order", Integer, nullable=False),
)
