"""Is the same write, sent several times at once, done once? On both databases, twenty rounds."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from io import BytesIO
from threading import Barrier
from typing import TypeVar

import pytest
from PIL import Image

from truehang.cutting import RackError
from truehang.job import Job
from truehang.store import (
    CannotKeep,
    NotFound,
    Refused,
    Store,
    change_rack,
    document_of,
    new_id,
    rack,
    rack_changed,
)

ROUNDS, COPIES = 20, 3
Made = TypeVar("Made")


def at_once(write: Callable[[], Made]) -> list[Made]:
    """What several copies of a write become that begin at the same moment."""
    ready = Barrier(COPIES)

    def one(_: int) -> Made:
        ready.wait(20)
        return write()

    with ThreadPoolExecutor(COPIES) as pool:
        return list(pool.map(one, range(COPIES)))


def one_of(made: list[Made]) -> Made:
    assert all(each == made[0] for each in made)
    return made[0]


def titled(job: Job, title: str) -> dict[str, object]:
    document = document_of(job)
    return document | {"job": document["job"] | {"title": title}}


def test_a_new_job_sent_three_times_at_once_is_one(store: Store, job: Job) -> None:
    for number in range(1, ROUNDS + 1):
        op = new_id()
        one_of(at_once(lambda: store.create(job, "a", op)))  # noqa: B023
        assert len(store.jobs()) == number


def test_a_save_an_entry_and_an_undo_sent_three_times_at_once_are_one(
    store: Store, job: Job
) -> None:
    identity = store.create(job, "a").job
    for number in range(ROUNDS):
        op, base, document = new_id(), store.head(identity).number, titled(job, f"round {number}")
        saved = one_of(at_once(lambda: store.save(identity, base, document, "a", "title", op)))  # noqa: B023
        assert saved.revision.number == base + 1
        assert saved.conflicts == ()
        back = new_id()
        undone = one_of(at_once(lambda: store.undo(identity, "a", back)))  # noqa: B023
        assert undone.number == store.head(identity).number == base + 2
        one_of(at_once(lambda: store.record(identity, "check", "k", number, True, "a", op)))  # noqa: B023
        assert len(store.entries(identity)) == number + 1


def test_undos_of_several_people_at_once_each_go_one_back_or_say_there_is_nothing(
    store: Store, job: Job
) -> None:
    for _ in range(ROUNDS // 2):
        identity = store.create(job, "a").job
        for number in range(1, 3):
            store.save(identity, number, titled(job, f"t{number}"), "a", "title")

        def undo() -> bool:
            with suppress(Refused):
                store.undo(identity, "a")  # noqa: B023
                return True
            return False

        assert sorted(at_once(undo)) == [False, True, True]
        assert store.head(identity).document == store.revision(identity, 1).document


def test_a_signature_sent_three_times_at_once_is_one_and_stands_with_its_revision(
    store: Store, job: Job
) -> None:
    base = store.create(job, "a")
    for number in range(ROUNDS):
        op, signed = new_id(), titled(job, f"signed {number}")
        base = one_of(at_once(lambda: store.sign(base, signed, "sizes", number, "a", "sign", op)))  # noqa: B023
        entries = store.entries(base.job, "sign")
        assert [row.value for row in entries] == list(range(number + 1))
        assert entries[-1].revision == base.number


def test_where_a_signature_can_not_be_written_its_revision_is_not_either(
    store: Store, job: Job
) -> None:
    base = store.create(job, "a")
    too_long = "k" * 200
    with pytest.raises(CannotKeep, match="shorten"):
        store.sign(base, titled(job, "signed"), too_long, 1, "a", "sign", "op")
    assert store.head(base.job) == base
    assert store.sign(base, titled(job, "signed"), "sizes", 1, "a", "sign", "op").number == 2


def test_who_signs_what_has_changed_since_is_refused(store: Store, job: Job) -> None:
    base = store.create(job, "a")
    store.save(base.job, 1, titled(job, "other"), "b", "title")
    with pytest.raises(Refused, match="look again"):
        store.sign(base, titled(job, "signed"), "sizes", 1, "a", "sign")
    assert store.entries(base.job) == ()


def test_a_conflict_settled_three_times_at_once_is_settled_once(store: Store, job: Job) -> None:
    identity = store.create(job, "a").job
    for number in range(ROUNDS):
        base = store.head(identity).number
        store.save(identity, base, titled(job, f"a {number}"), "a", "title")
        (conflict,) = store.save(identity, base, titled(job, f"b {number}"), "b", "title").conflicts
        op = new_id()
        settled = one_of(at_once(lambda: store.settle(identity, conflict.id, "mine", "a", op)))  # noqa: B023
        assert settled.document["job"]["title"] == f"b {number}"
        assert settled.number == base + 3
        with pytest.raises(NotFound):
            store.settle(identity, conflict.id, "theirs", "b")


def test_a_photo_and_papers_sent_three_times_at_once_are_kept_once(store: Store, job: Job) -> None:
    identity = store.create(job, "a").job
    for number in range(ROUNDS):
        stream, op = BytesIO(), new_id()
        Image.new("RGB", (8, 6), (number, 0, 0)).save(stream, "PNG")
        data = stream.getvalue()
        one_of(at_once(lambda: store.add_photo(identity, data, "left", "a", op)))  # noqa: B023
        assert len(store.photos(identity)) == number + 1
        paper = {f"paper-{number}.pdf": data, "sheet.xlsx": b"the same"}
        issued = one_of(at_once(lambda: store.issue(identity, 1, paper, "a")))  # noqa: B023
        assert len(issued) == number + 2


def test_a_change_of_the_rack_sent_three_times_at_once_is_one(store: Store) -> None:
    for number in range(ROUNDS):
        op = new_id()
        pieces = [("pine", 1000.0 + number)]
        one_of(at_once(lambda: change_rack(store, lambda r: r.put(pieces), number, op)))  # noqa: B023
        assert len(rack(store).pieces) == rack(store).version == number + 1
    assert rack_changed(store, op)
    with pytest.raises(RackError):
        change_rack(store, lambda r: r.take(["R999"]), op="fails")
    assert not rack_changed(store, "fails")  # a write that fails gives its name back


def test_a_save_that_changed_nothing_is_not_done_later(store: Store, job: Job) -> None:
    identity = store.create(job, "a").job
    store.save(identity, 1, titled(job, "two"), "b", "title")
    same = store.save(identity, 1, titled(job, "two"), "a", "title", "late")
    store.save(identity, 2, titled(job, "three"), "b", "title")
    assert store.save(identity, 1, titled(job, "two"), "a", "title", "late") == same
    assert store.head(identity).document["job"]["title"] == "three"
    assert store.conflicts(identity) == ()
