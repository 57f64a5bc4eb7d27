"""A job that is put away can be brought back; a deleted one goes after thirty days, whole."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import func, select

from truehang.job import Job
from truehang.store import NotFound, Refused, Store, clear, copy, shelf_of, shelve
from truehang.store import tables as t

THEN = "2026-03-02T08:00:00.000+00:00"


def picture(colour: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (8, 8), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def store(new_url: Any, tmp_path: Path) -> Any:
    made = Store.open(new_url(), tmp_path / "files", lambda: THEN)
    yield made
    made.engine.dispose()


def test_jobs_are_listed_where_they_were_put(store: Store, job: Job) -> None:
    one, two = store.create(job, "a"), store.create(job, "a")
    shelve(store, one.job, "archived")
    assert [each.id for each in store.jobs()] == [two.job]
    assert [each.id for each in store.jobs(shelf="archived")] == [one.job]
    shelve(store, one.job, "")
    assert {each.id for each in store.jobs()} == {one.job, two.job}
    with pytest.raises(Refused, match="archived or deleted"):
        shelve(store, one.job, "loft")
    with pytest.raises(NotFound):
        shelve(store, "0" * 32, "deleted")


def test_a_deleted_job_goes_after_thirty_days_and_nothing_else_does(store: Store, job: Job) -> None:
    one, two = store.create(job, "a"), store.create(job, "a")
    shared = picture("red")
    for each in (one, two):
        store.add_photo(each.job, shared, "", "a")
    own = store.add_photo(one.job, picture("blue"), "", "a")
    store.record(one.job, "check", "k", 1, True, "a")
    store.put(one.job, 1, ("job", "title"), "New", "a", "new")
    shelve(store, one.job, "deleted")
    assert shelf_of(store, one.job) == ("deleted", "2026-04-01")  # 30 days from 2 March
    shelve(store, one.job, "deleted")  # twice: the days go on
    assert clear(replace(store, now=lambda: "2026-04-01T07:59:00.000+00:00")) == 0
    assert store.head(one.job).number == 2
    assert clear(replace(store, now=lambda: "2026-04-01T08:01:00.000+00:00")) == 1
    with pytest.raises(NotFound):
        store.head(one.job)
    with store.engine.connect() as db:
        for table in (t.entries, t.photos, t.revisions, t.conflicts, t.issues):
            rows = select(func.count()).select_from(table).where(table.c.job == one.job)
            assert db.scalar(rows) == 0
    assert not store.files.path(own.sha256).exists()
    (kept,) = store.photos(two.job)
    assert store.files.read(kept.sha256)


def test_a_copy_begins_as_the_job_stands(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    store.record(one.job, "sign", "sizes", {}, True, "a")
    made = copy(store, one.job, "b", "op")
    assert copy(store, one.job, "b", "op") == made  # sent twice
    assert (made.number, made.who) == (1, "b")
    assert made.document["job"]["title"] == f"{job.job.title} (copy)"
    assert made.document["wall"] == one.document["wall"]
    assert store.entries(made.job) == ()
