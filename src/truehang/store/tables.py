"""Which rows does the store keep? The tables, as SQLAlchemy Core sees them.

Times are ISO 8601 texts in UTC, documents are canonical JSON texts, and what is content-addressed
is named by its sha256 in hex. Nothing here is ever updated in place but a job's head, a conflict's
settlement, a device's revocation, and the rack: its one row has the version that a change counts
up, and a piece that has left stays as a row, so that its number is never used again.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

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
    Column("id", String(32), primary_key=True),
    Column("name", String(64), nullable=False),
    Column("title", Text, nullable=False),
    Column("head", Integer, nullable=False),
    Column("created", String(40), nullable=False),
    Column("changed", String(40), nullable=False),
)

revisions = Table(
    "revisions",
    metadata,
    Column("job", String(32), ForeignKey("jobs.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("restores", Integer),
    Column("who", Text, nullable=False),
    Column("at", String(40), nullable=False),
    Column("what", Text, nullable=False),
    Column("op", String(64), nullable=False),
    Column("digest", String(64), nullable=False),
    Column("document", Text, nullable=False),
    UniqueConstraint("job", "op"),
)

conflicts = Table(
    "conflicts",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("job", String(32), ForeignKey("jobs.id"), nullable=False, index=True),
    Column("path", Text, nullable=False),
    Column("base", Text, nullable=False),
    Column("theirs", Text, nullable=False),
    Column("mine", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("at", String(40), nullable=False),
    Column("settled", String(8)),
)

files = Table(
    "files",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("media_type", String(64), nullable=False),
    Column("size", Integer, nullable=False),
)

photos = Table(
    "photos",
    metadata,
    Column("job", String(32), ForeignKey("jobs.id"), primary_key=True),
    Column("op", String(64), primary_key=True),
    Column("sha256", String(64), ForeignKey("files.sha256"), nullable=False),
    Column("caption", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("at", String(40), nullable=False),
)

issues = Table(
    "issues",
    metadata,
    Column("job", String(32), primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("name", String(200), primary_key=True),
    Column("sha256", String(64), ForeignKey("files.sha256"), nullable=False),
    Column("who", Text, nullable=False),
    Column("at", String(40), nullable=False),
    ForeignKeyConstraint(["job", "revision"], ["revisions.job", "revisions.number"]),
)

entries = Table(
    "entries",
    metadata,
    Column("job", String(32), ForeignKey("jobs.id"), primary_key=True),
    Column("op", String(64), primary_key=True),
    Column("kind", String(32), nullable=False),
    Column("key", String(128), nullable=False),
    Column("value", Text, nullable=False),
    Column("passed", Boolean),
    Column("who", Text, nullable=False),
    Column("at", String(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("order", Integer, nullable=False),
)

codes = Table(
    "codes",
    metadata,
    Column("hash", String(64), primary_key=True),
    Column("expires", String(40), nullable=False),
)

devices = Table(
    "devices",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("name", Text, nullable=False),
    Column("token", String(64), nullable=False, unique=True),
    Column("paired", String(40), nullable=False),
    Column("revoked", String(40)),
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
    Column("id", String(32), primary_key=True),
    Column("order", Integer, nullable=False),
    Column("section", Text, nullable=False),
    Column("length_mm", Float, nullable=False),
    Column("came_from", Text, nullable=False),
    Column("held_by", Text, nullable=False),
    Column("gone", Boolean, nullable=False),
    Column("used_by", Text, nullable=False),
)

rack_settled = Table(
    "rack_settled",
    metadata,
    Column("name", String(200), primary_key=True),
    Column("order", Integer, nullable=False),
)
