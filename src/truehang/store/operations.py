"""Was this write done before? Each write begins by taking its name, in the transaction
that does it.

The name is unique, so of the same write sent several times, even at once, one is done and the
others wait for it and find what it became. A write that fails gives its name back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Table, select, update
from sqlalchemy.dialects import postgresql, sqlite

from truehang.store import tables as t

Kind = Literal["create", "revision", "entry", "photo", "rack"]


@dataclass(frozen=True, slots=True)
class Done:
    """What a write became: the job it made or changed, and the revision where it has one."""

    job: str
    revision: int | None


def begun(db: Connection, scope: str, kind: Kind, op: str, now: str, job: str = "") -> Done | None:
    """Begin the write `op` of this kind in a job (`scope` "" where it is in none), which makes
    `job` where it makes one. What it became where it was done before, and None otherwise."""
    table = t.operations
    taken = insert_new(db, table, scope=scope, kind=kind, op=op, job=job or scope, at=now)
    return None if taken else done(db, scope, kind, op)


def done(db: Connection, scope: str, kind: Kind, op: str) -> Done | None:
    """What a write became, None where it was not done."""
    table = t.operations
    query = select(table.c.job, table.c.revision).where(
        table.c.scope == scope, table.c.kind == kind, table.c.op == op
    )
    row = db.execute(query).first()
    return None if row is None else Done(*row)


def ended(db: Connection, scope: str, kind: Kind, op: str, revision: int) -> None:
    """Say which revision a write that was begun in this transaction became."""
    table = t.operations
    db.execute(
        update(table)
        .where(table.c.scope == scope, table.c.kind == kind, table.c.op == op)
        .values(revision=revision)
    )


def insert_new(db: Connection, table: Table, **row: Any) -> bool:
    """Insert a row unless one with its key is there. Where another writer is about to insert it,
    waits for what becomes of that."""
    dialect = postgresql if db.dialect.name == "postgresql" else sqlite
    fresh = dialect.insert(table).values(**row).on_conflict_do_nothing()
    return db.execute(fresh.returning(*table.primary_key.columns)).first() is not None
