"""The rack in the store: no two jobs hold the same piece, and no piece is counted twice."""

from __future__ import annotations

import random
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from truehang.cutting import CutRules, Part, Rack, RackConflict, RackError, Stock, cut_lengths
from truehang.job import Job
from truehang.store import Refused, Store, backup, change_rack, rack, restore


def hang(store: Store, *lengths: float) -> Rack:
    return change_rack(store, lambda r: r.put([("pine", length) for length in lengths], "a job"))


def same(one: Rack, other: Rack) -> bool:
    """The same rack; in which order pieces left is not kept."""
    return (one.pieces, set(one.gone), one.settled, one.next_number, one.version) == (
        other.pieces, set(other.gone), other.settled, other.next_number, other.version
    )  # fmt: skip


def test_an_empty_rack_is_there_from_the_start(store: Store) -> None:
    assert rack(store) == Rack()


def test_what_is_changed_comes_back(store: Store) -> None:
    changes: tuple[Callable[[Rack], Rack], ...] = (
        lambda r: r.put([("pine", 1200.0), ("pine", 800.5)], "a job"),
        lambda r: r.hold(["R2"], "one"),
        lambda r: r.put([("oak", 700.0)]),
        lambda r: r.take(["R1"], "two"),
        lambda r: r.release("one"),
        lambda r: r.take(["R2"]),
    )
    kept = Rack()
    for change in changes:
        made = change(kept)
        kept = Rack(made.pieces, made.gone, made.settled, made.next_number, kept.version + 1)
        assert same(change_rack(store, change), kept)
        assert same(rack(store), kept)


def test_what_is_sawn_is_counted_once(store: Store) -> None:
    hang(store, 2000.0)
    plan = cut_lengths(
        [Part("stud", "pine", 1200.0)], [Stock("pine 3000", "pine", 3000.0)],
        rack(store).free_for("one"), CutRules(kerf_mm=3, end_trim_mm=5, keep_mm=600),
    )  # fmt: skip
    after = change_rack(store, lambda r: r.settle(plan, "one", "one"))
    assert [(piece.id, piece.length_mm) for piece in after.pieces] == [("R2", 792.0)]
    with pytest.raises(RackError, match="settled already"):
        change_rack(store, lambda r: r.settle(plan, "one", "one"))
    assert same(rack(store), after)


def test_a_change_planned_on_what_was_there_before_is_refused(store: Store) -> None:
    seen = hang(store, 1200.0).version
    change_rack(store, lambda r: r.hold(["R1"], "one"), seen)
    with pytest.raises(RackConflict, match="read it again"):
        change_rack(store, lambda r: r.release("one"), seen)
    assert rack(store).pieces[0].held_by == "one"


def test_of_many_who_want_the_same_pieces_each_piece_goes_to_one(store: Store) -> None:
    hang(store, *[1000.0] * 12)

    def want(number: int) -> list[str]:
        got, ids = [], [f"R{n}" for n in range(1, 13)]
        random.Random(number).shuffle(ids)
        for id in ids:
            try:
                change_rack(store, lambda r, id=id: r.hold([id], f"job {number}"))  # type: ignore[misc]
                got.append(id)
            except RackError:
                pass
        return got

    with ThreadPoolExecutor(4) as pool:
        got = dict(enumerate(pool.map(want, range(4))))
    claimed = [id for ids in got.values() for id in ids]
    assert len(claimed) == len(set(claimed)) == 12
    for piece in rack(store).pieces:
        assert piece.id in got[int(piece.held_by.removeprefix("job "))]


def test_many_begin_the_rack_at_once(store: Store) -> None:
    def put(number: int) -> int:
        while True:
            try:
                return change_rack(store, lambda r: r.put([("pine", 1000.0 + number)])).version
            except RackConflict:
                continue

    with ThreadPoolExecutor(4) as pool:
        versions = sorted(pool.map(put, range(8)))
    assert versions == list(range(1, 9))
    assert {p.length_mm for p in rack(store).pieces} == {1000.0 + n for n in range(8)}


def test_a_backup_brings_the_rack_back(
    store: Store, new_url: Callable[[], str], tmp_path: Path, job: Job
) -> None:
    store.create(job, "office")
    hang(store, 1200.0, 900.0)
    change_rack(store, lambda r: r.hold(["R2"], "one"))
    kept = change_rack(store, lambda r: r.take(["R1"], "two"))
    backup(store, tmp_path / "all.zip")
    other = Store.open(new_url(), tmp_path / "others")
    assert restore(other, tmp_path / "all.zip") == 1
    assert same(rack(other), kept)
    other.engine.dispose()
    hung = Store.open(new_url(), tmp_path / "hung")
    before = hang(hung, 700.0)
    with pytest.raises(Refused, match="a rack already"):
        restore(hung, tmp_path / "all.zip")
    assert same(rack(hung), before)
    hung.engine.dispose()
