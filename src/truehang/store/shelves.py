"""Which jobs are put away, and when is a deleted one gone for good? For thirty days there is a way
back; then it goes with all that was recorded beside it."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Literal

from sqlalchemy import delete, select, update

from truehang.store import tables as t
from truehang.store.database import reading, writing
from truehang.store.merge import put
from truehang.store.store import Revision, Store
from truehang.store.troubles import NotFound, Refused

Shelf = Literal["", "archived", "deleted"]
SHELVES: tuple[Shelf, ...] = ("", "archived", "deleted")
DAYS_KEPT = 30
_BESIDE = (t.entries, t.photos, t.issues, t.conflicts, t.revisions)
"""What hangs on a job, in the order in which it can go."""


def shelve(store: Store, job: str, shelf: str) -> None:
    """Put a job away, or bring it back (""). Done twice, it stays as it was first done."""
    if shelf not in SHELVES:
        raise Refused(f"shelf: {shelf[:20]!r} is none; archived or deleted, or empty to bring back")
    jobs = t.jobs.c
    with writing(store.engine) as db:
        if db.scalar(select(jobs.id).where(jobs.id == job)) is None:
            raise NotFound(f"no job {job!r}")
        db.execute(
            update(t.jobs)
            .where(jobs.id == job, jobs.shelf != shelf)
            .values(shelf=shelf, shelved=store.now())
        )


def shelf_of(store: Store, job: str) -> tuple[str, str]:
    """Where a job is put away, and the day on which it goes for good where it was deleted."""
    with reading(store.engine) as db:
        row = db.execute(select(t.jobs.c.shelf, t.jobs.c.shelved).where(t.jobs.c.id == job)).first()
    if row is None:
        raise NotFound(f"no job {job!r}")
    if row.shelf != "deleted":
        return row.shelf, ""
    return row.shelf, (
        datetime.fromisoformat(row.shelved) + timedelta(DAYS_KEPT)
    ).date().isoformat()


def copy(store: Store, job: str, who: str, op: str = "") -> Revision:
    """A new job that begins as another stands: without its history, records and signatures."""
    original = store.head(job)
    document = original.document
    about = document["job"]
    for name, value in (
        ("title", f"{about['title']} (copy)"), ("name", f"{about['name'][:35]}-copy"),
        ("revision", 1),
    ):  # fmt: skip
        document = put(document, ("job", name), value)
    copied = Revision(
        original.job, 1, None, original.who, original.at, "", original.digest, document
    )
    return store.create(copied.model(), who, op, f"copy of {about['title']}"[:200])


def clear(store: Store) -> int:
    """Take out for good what was deleted more than thirty days ago; how many jobs."""
    before = datetime.fromisoformat(store.now()) - timedelta(DAYS_KEPT)
    with writing(store.engine) as db:
        query = select(t.jobs.c.id, t.jobs.c.shelved).where(t.jobs.c.shelf == "deleted")
        gone = [id for id, at in db.execute(query) if datetime.fromisoformat(at) < before]
        for job in gone:
            for table in _BESIDE:
                db.execute(delete(table).where(table.c.job == job))
            db.execute(delete(t.operations).where(t.operations.c.job == job))
            db.execute(delete(t.jobs).where(t.jobs.c.id == job))
        used = select(t.photos.c.sha256).union(select(t.issues.c.sha256))
        loose = select(t.files.c.sha256).where(t.files.c.sha256.not_in(used))
        files = list(db.scalars(loose)) if gone else []
        if files:
            db.execute(delete(t.files).where(t.files.c.sha256.in_(files)))
    for sha256 in files:
        store.files.forget(sha256)
    return len(gone)
