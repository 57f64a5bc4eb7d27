"""Is every change kept, none lost, and the same write sent twice done once?"""

from __future__ import annotations

import json
import os
import tracemalloc
import zipfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import event

from truehang.job import Job
from truehang.store import (
    DatabaseError,
    FileDamaged,
    FileRefused,
    NotFound,
    Refused,
    Store,
    backup,
    device_of,
    document_of,
    restore,
    verify,
)
from truehang.store.backup import BackupDamaged, check
from truehang.store.tables import metadata


def titled(job: Job, title: str) -> dict[str, object]:
    document = document_of(job)
    return document | {"job": document["job"] | {"title": title}}


def picture() -> bytes:
    stream = BytesIO()
    Image.new("RGB", (8, 6), "grey").save(stream, "PNG")
    return stream.getvalue()


def test_a_job_comes_back_as_it_was_given(store: Store, job: Job) -> None:
    made = store.create(job, "carpenter")
    assert store.head(made.job).model() == job
    assert [summary.id for summary in store.jobs()] == [made.job]


def test_the_list_goes_on_page_by_page_and_every_job_is_on_one(
    new_url: Callable[[], str], tmp_path: Path, job: Job
) -> None:
    clock = [0]
    store = Store.open(
        new_url(), tmp_path / "files", now=lambda: f"2026-03-02T09:00:{clock[0] // 3:02d}.000+00:00"
    )  # three jobs at each moment, so that pages end in the midst of one
    made = []
    for number in range(20):
        clock[0] = number
        made.append(store.create(job, "a").job)
    listed, place = list[str](), ""
    while rows := store.jobs(after=place, most=7):
        listed += [row.id for row in rows]
        place = rows[-1].place
    assert sorted(listed) == sorted(made)
    assert listed == [row.id for row in store.jobs()]
    # A job that changes meanwhile comes first, and no other is passed over or listed twice.
    first = store.jobs(most=7)
    clock[0] = 59 * 3
    store.save(listed[-1], 1, titled(job, "late"), "a", "t")
    rest = store.jobs(after=first[-1].place)
    assert [row.id for row in rest] == listed[7:-1]
    store.engine.dispose()


@pytest.mark.parametrize(
    "search, count",
    [("", 3), ("ward", 2), ("WARD tür", 1), ("tur", 1), ("100%", 1), ("0%w", 0), ("_", 0),
     ("my-job", 3), ("nothing", 0), ("ward nothing", 0), ("  ", 3), ("\0", 0)],
)  # fmt: skip
def test_jobs_are_found_by_parts_of_words(store: Store, job: Job, search: str, count: int) -> None:
    for title in ("Ward Tür", "Recovery, 100% wide", "A ward"):
        one = store.create(job, "a")
        store.save(one.job, 1, titled(job, title), "a", "t")
    assert len(store.jobs(search)) == count


def test_the_history_goes_on_page_by_page(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    for number in range(1, 10):
        store.save(one.job, number, titled(job, f"t{number}"), "a", f"w{number}")
    whole = store.history(one.job)
    assert [row.number for row in store.history(one.job, before=5, most=3)] == [4, 3, 2]
    past = store.past(one.job, before=5, most=3)
    assert [(row.number, row.what, row.who, row.at, row.restores) for row in past] == [
        (row.number, row.what, row.who, row.at, row.restores) for row in whole[6:9]
    ]
    assert store.past(one.job, before=1) == ()


def _scans(step: str, sqlite: bool) -> bool:
    """Whether a step of a database's way to an answer looks through a whole table."""
    if sqlite:
        return "SCAN" in step and "USING" not in step and "CONSTANT" not in step
    return "Seq Scan" in step


def test_no_read_or_write_of_one_job_looks_through_all_of_them(store: Store, job: Job) -> None:
    seen: list[tuple[str, object]] = []
    listening = lambda c, cur, statement, values, ctx, many: seen.append((statement, values))  # noqa: E731
    event.listen(store.engine, "before_cursor_execute", listening)
    one = store.create(job, "a", op="make")
    store.create(job, "a", op="make")
    store.save(one.job, 1, titled(job, "two"), "a", "t", op="s")
    store.undo(one.job, "a")
    store.record(one.job, "check", "k", 1, True, "a")
    store.jobs(after=store.jobs(most=1)[0].place, most=5)
    store.pulse([one.job])
    store.past(one.job, most=5)
    event.remove(store.engine, "before_cursor_execute", listening)
    scanned = []
    with store.engine.begin() as db:
        sqlite = store.engine.dialect.name == "sqlite"
        if not sqlite:
            db.exec_driver_sql("SET enable_seqscan = off")  # shows where there is no other way
        for statement, values in seen:
            if statement.startswith(("SELECT", "INSERT", "UPDATE")) and "alembic" not in statement:
                explain = "EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN "
                rows = map(str, db.exec_driver_sql(explain + statement, values))
                scanned += [(statement, row) for row in rows if _scans(row, sqlite)]
    assert scanned == []


def test_each_save_is_a_revision_and_undo_walks_back(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    two = store.save(one.job, 1, titled(job, "two"), "b", "title").revision
    three = store.save(one.job, 2, titled(job, "three"), "b", "title").revision
    assert (two.number, three.number) == (2, 3)
    assert store.undo(one.job, "a").document == two.document
    assert store.undo(one.job, "a").document == one.document
    with pytest.raises(Refused, match="nothing to undo"):
        store.undo(one.job, "a")
    assert [r.number for r in store.history(one.job)] == [5, 4, 3, 2, 1]
    assert [(r.who, r.what) for r in store.history(one.job)][-2:] == [
        ("b", "title"),
        ("a", "new job"),
    ]


def test_an_earlier_revision_is_brought_back_as_a_change_that_can_be_undone(
    store: Store, job: Job
) -> None:
    one = store.create(job, "a")
    store.put(one.job, 1, ("job", "title"), "Two", "a", "two")
    store.put(one.job, 2, ("job", "title"), "Three", "b", "three")
    assert store.stands_since(one.job, ("job", "title"), 3).who == "b"
    assert store.stands_since(one.job, ("job", "name"), 3).number == 1
    back = store.bring_back(one.job, 1, "a", "op-back")
    assert (back.number, back.document) == (4, one.document)
    assert store.bring_back(one.job, 1, "a", "op-back") == back  # sent twice
    with pytest.raises(Refused, match="stands already"):
        store.bring_back(one.job, 1, "a")
    undoes = store.undoes(one.job)
    assert undoes is not None
    assert [each.number for each in undoes] == [4, 3]
    assert store.undo(one.job, "a").document["job"]["title"] == "Three"


def test_a_change_after_an_undo_can_be_undone_to_what_stood_before_it(
    store: Store, job: Job
) -> None:
    one = store.create(job, "a")
    store.save(one.job, 1, titled(job, "two"), "a", "title")
    store.undo(one.job, "a")
    store.save(one.job, 3, titled(job, "four"), "a", "title")
    assert store.undo(one.job, "a").document == one.document


def test_the_same_write_sent_twice_is_done_once(store: Store, job: Job) -> None:
    one = store.create(job, "a", op="make")
    assert store.create(job, "a", op="make") == one
    first = store.save(one.job, 1, titled(job, "two"), "a", "title", op="op-1")
    again = store.save(one.job, 1, titled(job, "two"), "a", "title", op="op-1")
    assert again == first
    assert store.head(one.job).number == 2
    entry = store.record(one.job, "check", "hang.floor-gap", 9.5, True, "a", op="e1")
    assert store.record(one.job, "check", "hang.floor-gap", 9.5, True, "a", op="e1") == entry
    assert store.entries(one.job) == (entry,)


def test_changes_in_different_places_are_joined(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    store.put(one.job, 1, ("job", "title"), "from the phone", "a", "title")
    saved = store.put(one.job, 1, ("job", "note"), "from the laptop", "b", "note")
    assert saved.conflicts == ()
    assert saved.revision.document["job"]["title"] == "from the phone"
    assert saved.revision.document["job"]["note"] == "from the laptop"


def test_a_conflict_shows_both_values_and_loses_neither(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    store.put(one.job, 1, ("job", "title"), "phone", "a", "title")
    saved = store.put(one.job, 1, ("job", "title"), "laptop", "b", "title")
    (conflict,) = saved.conflicts
    assert (conflict.theirs, conflict.mine, conflict.path) == ("phone", "laptop", ("job", "title"))
    assert store.head(one.job).document["job"]["title"] == "phone"
    assert store.conflicts(one.job) == (conflict,)
    settled = store.settle(one.job, conflict.id, "mine", "b")
    assert settled.document["job"]["title"] == "laptop"
    assert store.conflicts(one.job) == ()
    with pytest.raises(NotFound):
        store.settle(one.job, conflict.id, "mine", "b")


def test_what_is_not_a_job_is_refused_with_field_and_mend(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    with pytest.raises(Refused, match=r"wall\.run"):
        store.put(one.job, 1, ("wall", "run"), -4, "a", "run")
    with pytest.raises(NotFound):
        store.save(one.job, 7, document_of(job), "a", "x")
    with pytest.raises(NotFound):
        store.head("nothing")
    assert store.head(one.job) == one


def test_writers_at_once_lose_nothing(store: Store, job: Job) -> None:
    one = store.create(job, "a")

    def write(n: int) -> int:
        store.record(one.job, "check", f"k{n}", n, True, "a")
        return store.put(
            one.job, 1, ("prices", "items", f"item-{n}"), f"{n}.00", "a", "p"
        ).revision.number

    with ThreadPoolExecutor(8) as pool:
        numbers = list(pool.map(write, range(24)))
    assert sorted(numbers) == list(range(2, 26))
    assert len(store.head(one.job).document["prices"]["items"]) == 24
    assert len(store.entries(one.job)) == 24


def test_photos_are_pictures_and_kept_once(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    photo = store.add_photo(one.job, picture(), "left jamb", "a", op="p1")
    assert store.add_photo(one.job, picture(), "left jamb", "a", op="p1") == photo
    assert (photo.media_type, photo.size) == ("image/png", len(picture()))
    assert store.files.read(photo.sha256) == picture()
    for bad in (b"", b"<svg/>", b"%PDF-1.7", picture()[:40]):
        with pytest.raises(FileRefused, match="JPEG, PNG or WebP"):
            store.add_photo(one.job, bad, "", "a")
    with pytest.raises(FileRefused, match="MB"):
        store.add_photo(one.job, b"\xff" * (21 * 1024 * 1024), "", "a")


def test_an_issued_document_never_changes(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    (issued,) = store.issue(one.job, 1, {"pack.pdf": b"one"}, "a")
    assert store.issue(one.job, 1, {"pack.pdf": b"one"}, "b") == (issued,)
    with pytest.raises(Refused, match="make a new revision"):
        store.issue(one.job, 1, {"pack.pdf": b"two"}, "a")
    assert store.files.read(issued.sha256) == b"one"


def test_a_backup_comes_back_whole_and_is_checked(
    store: Store, job: Job, new_url: Callable[[], str], tmp_path: Path
) -> None:
    one = store.create(job, "a")
    store.put(one.job, 1, ("job", "title"), "phone", "a", "t")
    store.put(one.job, 1, ("job", "title"), "laptop", "b", "t")
    store.add_photo(one.job, picture(), "left", "a")
    store.issue(one.job, 1, {"pack.pdf": b"one"}, "a")
    store.record(one.job, "sign", "sizes", {"name": "role"}, None, "a")
    path = tmp_path / "all.zip"
    assert backup(store, path) > 7
    other = Store.open(new_url(), tmp_path / "other")
    assert restore(other, path) == 1
    for ask in ("history", "photos", "issued", "entries", "conflicts"):
        assert getattr(other, ask)(one.job) == getattr(store, ask)(one.job)
    assert verify(other) == ()
    with pytest.raises(Refused, match="empty one"):
        restore(other, path)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0xFF
    path.write_bytes(bytes(data))
    with pytest.raises(BackupDamaged):
        restore(Store.open(new_url(), tmp_path / "third"), path)
    other.engine.dispose()


def test_a_sqlite_store_with_issued_papers_goes_into_any_database(
    job: Job, new_url: Callable[[], str], tmp_path: Path
) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'first.db'}", tmp_path / "files")
    one = store.create(job, "a", op="make")
    store.record(one.job, "check", "k", 1, True, "a", op="e")
    papers = {name: name.encode() for name in ("pack.pdf", "lists/Order.xlsx", "lists/cut.csv")}
    issued = store.issue(one.job, 1, papers, "a")
    backup(store, tmp_path / "all.zip")
    store.engine.dispose()
    other = Store.open(new_url(), tmp_path / "other")
    said: list[str] = []
    assert restore(other, tmp_path / "all.zip", lambda what, done, of: said.append(what)) == 1
    assert {"check", "files", "revisions"} <= set(said)
    assert other.issued(one.job) == issued
    for row in issued:
        assert other.files.read(row.sha256) == papers[row.name]
    assert other.create(job, "a", op="make") == one  # names of writes came along
    assert other.record(one.job, "check", "k", 2, True, "a", op="e").value == 1
    other.engine.dispose()


def test_a_backup_from_before_names_of_writes_were_kept_brings_them_back(
    store: Store, job: Job, new_url: Callable[[], str], tmp_path: Path
) -> None:
    one = store.create(job, "a", op="make")
    two = store.save(one.job, 1, titled(job, "two"), "a", "title", op="s").revision
    store.add_photo(one.job, picture(), "left", "a", op="p")
    backup(store, tmp_path / "all.zip")
    _without(tmp_path / "all.zip", "tables/operations.jsonl", tmp_path / "old.zip")
    other = Store.open(new_url(), tmp_path / "other")
    assert restore(other, tmp_path / "old.zip") == 1
    assert other.create(job, "a", op="make") == one
    assert other.save(one.job, 1, titled(job, "x"), "a", "t", op="s").revision == two
    other.add_photo(one.job, picture(), "left", "a", op="p")
    assert len(other.photos(one.job)) == 1
    other.engine.dispose()


def _without(path: Path, name: str, to: Path) -> None:
    def edit(parts: dict[str, bytes], manifest: dict[str, Any]) -> None:
        del parts[name], manifest["shape"]

    _edited(path, to, edit)


def _edited(
    path: Path, to: Path, edit: Callable[[dict[str, bytes], dict[str, Any]], object]
) -> None:
    """Another backup, whose list and hashes fit what was put into it."""
    with zipfile.ZipFile(path) as there:
        manifest = json.loads(there.read("manifest.json"))
        parts = {part: there.read(part) for part in manifest["parts"]}
    edit(parts, manifest)
    manifest["parts"] = {part: sha256(data).hexdigest() for part, data in parts.items()}
    with zipfile.ZipFile(to, "w") as made:
        for part, data in parts.items():
            made.writestr(part, data)
        made.writestr("manifest.json", json.dumps(manifest))


Parts = dict[str, bytes]


def _rows(parts: Parts, table: str, change: Callable[[dict[str, Any]], object]) -> None:
    name = f"tables/{table}.jsonl"
    rows = [json.loads(line) for line in parts[name].splitlines()]
    for row in rows:
        change(row)
    parts[name] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)


NOTHING = "0" * 64
WRONG: dict[str, tuple[Callable[[Parts, dict[str, Any]], object], str]] = {
    "a newer program's": (lambda p, m: m.update(shape="9999"), "newer version.*install"),
    "an unknown part": (lambda p, m: p.update({"tables/spells.jsonl": b""}), "no part of a backup"),
    "a path that leads out": (lambda p, m: p.update({"files/../x": b""}), "no part of a backup"),
    "a file of no table": (lambda p, m: p.update({f"files/{NOTHING}": b""}), "named by no table"),
    "a file that is gone": (
        lambda p, m: p.pop(next(name for name in p if name.startswith("files/"))), "is missing",
    ),
    "a file that is another": (
        lambda p, m: p.update({next(n for n in p if n.startswith("files/")): b"x"}), "changed",
    ),
    "a table that is gone": (
        lambda p, m: p.pop("tables/operations.jsonl"), "operations is missing",
    ),
    "a column that is gone": (
        lambda p, m: _rows(p, "photos", lambda row: row.pop("caption")), "photos lacks caption",
    ),
    "a column too many": (
        lambda p, m: _rows(p, "photos", lambda row: row.update(spell=1)), "no column 'spell'",
    ),
    "a number that is a text": (
        lambda p, m: _rows(p, "revisions", lambda row: row.update(number="one")), "number can't be",
    ),
    "an empty name": (lambda p, m: _rows(p, "jobs", lambda row: row.update(name=None)), "can't be"),
    "no row at all": (lambda p, m: p.update({"tables/entries.jsonl": b"[1]\n"}), "is damaged"),
    "a job without revisions": (
        lambda p, m: [p.update({f"tables/{n}.jsonl": b""}) for n in
                      ("revisions", "issues", "operations")], "lacks some of its 2 revisions",
    ),
    "a newest revision that is not there": (
        lambda p, m: _rows(p, "jobs", lambda row: row.update(head=3)), "its 3 revisions",
    ),
    "a photo of no job": (
        lambda p, m: _rows(p, "photos", lambda row: row.update(job="x")), "don't fit together",
    ),
    "a name that is too long": (
        lambda p, m: _rows(p, "jobs", lambda row: row.update(name="n" * 65)), "longer than 64",
    ),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_a_backup_that_is_not_whole_changes_nothing(
    wrong: str, store: Store, job: Job, new_url: Any, tmp_path: Path
) -> None:
    one = store.create(job, "a")
    store.save(one.job, 1, titled(job, "two"), "a", "t")
    store.add_photo(one.job, picture(), "left", "a")
    store.issue(one.job, 1, {"pack.pdf": b"one"}, "a")
    backup(store, tmp_path / "all.zip")
    edit, said = WRONG[wrong]
    _edited(tmp_path / "all.zip", tmp_path / "wrong.zip", edit)
    url = new_url()
    other = Store.open(url, tmp_path / "other")
    with pytest.raises((BackupDamaged, Refused), match=said) as told:
        restore(other, tmp_path / "wrong.zip")
    assert "\n" not in str(told.value)
    assert other.jobs() == ()
    assert list(other.files.names()) == []
    assert restore(other, tmp_path / "all.zip") == 1  # and a whole one can still be brought back
    assert verify(other) == ()
    other.engine.dispose()
    new_url.drop(url)


def test_a_part_that_no_list_names_is_refused(store: Store, tmp_path: Path) -> None:
    backup(store, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip", "a") as archive:
        archive.writestr("tables/spells.jsonl", b"")
    with pytest.raises(BackupDamaged, match="not in its list"):
        check(tmp_path / "all.zip")


def test_every_table_is_backed_up_or_left_out_for_a_reason(store: Store, tmp_path: Path) -> None:
    backup(store, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        kept = {name[7:-6] for name in archive.namelist() if name.startswith("tables/")}
    assert set(metadata.tables) - kept == {"codes", "devices"}  # pair again


def test_large_files_go_through_a_backup_piece_by_piece(
    store: Store, job: Job, new_url: Any, tmp_path: Path
) -> None:
    one = store.create(job, "a")
    size = 16_000_000
    store.issue(one.job, 1, {"pack.pdf": os.urandom(size)}, "a")
    url = new_url()
    other = Store.open(url, tmp_path / "other")
    tracemalloc.start()
    backup(store, tmp_path / "all.zip")
    restore(other, tmp_path / "all.zip")
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < size / 2
    assert verify(other) == ()
    other.engine.dispose()
    new_url.drop(url)


def test_papers_of_every_kind_of_the_pack_are_issued(store: Store, job: Job) -> None:
    one = store.create(job, "a")
    # Names, and so media types, of the kinds of file that a pack may have.
    kinds = [
        "pdf",
        "xlsx",
        "dxf",
        "svg",
        "csv",
        "ics",
        "yaml",
        "ifc",
        "glb",
        "json",
        "zip",
        "docx",
        "pptx",
        "xml",
        "txt",
        "html",
    ]
    papers = {f"paper.{kind}": kind.encode() for kind in kinds}
    assert len(store.issue(one.job, 1, papers, "a")) == len(kinds)
    mixed = {"b.pdf": b"1", "A.pdf": b"2", "a-1.pdf": b"3", "a.pdf": b"4"}
    store.save(one.job, 1, titled(job, "two"), "a", "t")
    issued = store.issue(one.job, 2, mixed, "a")
    assert [row.name for row in issued] == sorted(mixed)  # in one order on every database


@pytest.mark.parametrize("bad", ["a\0b", "a\ud800b"], ids=["NUL", "half a character"])
def test_what_no_database_keeps_is_refused_alike_and_found_nowhere(
    store: Store, job: Job, bad: str
) -> None:
    one = store.create(job, "a")
    for write in (
        lambda: store.save(one.job, 1, titled(job, "two"), bad, "t"),
        lambda: store.save(one.job, 1, titled(job, "two"), "a", bad),
        lambda: store.save(one.job, 1, titled(job, "two"), "a", "t", op=bad),
        lambda: store.record(one.job, "check", bad, 1, True, "a"),
        lambda: store.record(one.job, "check", "k", 1, True, "a", op="o" * 65),
        lambda: store.add_photo(one.job, picture(), bad, "a"),
        lambda: store.issue(one.job, 1, {bad: b"x"}, "a"),
        lambda: store.issue(one.job, 1, {"n" * 201: b"x"}, "a"),
    ):
        with pytest.raises(Refused, match=r"can't be kept|shorten"):
            write()
    for ask in (
        lambda: store.head(bad),
        lambda: store.head("0" * 99),
        lambda: store.revision(bad, 1),
        lambda: store.revision_of(one.job, bad),
        lambda: store.settle(one.job, bad, "mine", "a"),
    ):
        with pytest.raises(NotFound):
            ask()
    assert store.photos(bad) == store.entries(bad) == store.issued(bad) == ()
    assert store.pulse([bad]) == {}
    assert device_of(store, bad) is None
    assert store.head(one.job) == one


def test_no_wrong_byte_in_a_backup_goes_unseen_or_breaks_the_reading(
    job: Job, tmp_path: Path
) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'a.db'}", tmp_path / "files")
    store.create(job, "a")
    path = tmp_path / "all.zip"
    backup(store, path)
    store.engine.dispose()
    whole, parts = path.read_bytes(), check(path)
    for place in range(0, len(whole), 7):
        data = bytearray(whole)
        data[place] ^= 0xFF
        path.write_bytes(bytes(data))
        with suppress(BackupDamaged):
            assert check(path) == parts  # a byte that says nothing of what is kept


def test_a_damaged_file_is_named(store: Store, job: Job, tmp_path: Path) -> None:
    one = store.create(job, "a")
    photo = store.add_photo(one.job, picture(), "left", "a")
    store.files.path(photo.sha256).write_bytes(b"rot")
    assert photo.sha256 in verify(store)[0]
    with pytest.raises(FileDamaged):
        backup(store, tmp_path / "b.zip")
    assert not list(tmp_path.glob("*b.zip*"))


@pytest.mark.parametrize("url", ["nonsense", "mysql://x/y", "postgresql://u@127.0.0.1:1/none"])
def test_a_wrong_database_is_said_plainly(url: str, tmp_path: Path) -> None:
    with pytest.raises(DatabaseError):
        Store.open(url, tmp_path)
