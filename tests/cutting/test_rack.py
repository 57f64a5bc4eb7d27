"""The offcut rack: nothing is counted twice, and no two jobs hold the same piece."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from truehang.cutting import CutRules, Part, Rack, RackConflict, RackError, Stock, cut_lengths
from truehang.cutting.rack import from_text, to_text, written
from truehang.money import Money


def two_pieces() -> Rack:
    return Rack().put([("pine", 1200.0), ("pine", 800.5)], "old job")


def test_two_jobs_cannot_hold_the_same_piece() -> None:
    rack = two_pieces().hold(["R1"], "one")
    with pytest.raises(RackError, match="R1 is held by one"):
        rack.hold(["R2", "R1"], "two")
    assert [piece.id for piece in rack.free_for("two")] == ["R2"]
    assert [piece.id for piece in rack.free_for("one")] == ["R1", "R2"]
    assert [piece.id for piece in rack.release("one").free_for("two")] == ["R1", "R2"]


def test_a_change_on_top_of_someone_elses_change_is_refused() -> None:
    read = two_pieces()
    stored = written(read, read.hold(["R1"], "one"), read.version)
    with pytest.raises(RackConflict, match="read it again"):
        written(stored, read.hold(["R1"], "two"), read.version)


def test_a_piece_leaves_once() -> None:
    rack = two_pieces().take(["R1"], "one")
    with pytest.raises(RackError, match="left the rack already"):
        rack.take(["R1"], "two")
    with pytest.raises(RackError, match="named twice"):
        rack.take(["R2", "R2"])
    with pytest.raises(RackError, match="R9 is not on the rack"):
        rack.take(["R9"])


def test_numbers_are_never_used_again() -> None:
    rack = two_pieces().take(["R2"]).put([("pine", 700.0)])
    assert [piece.id for piece in rack.pieces] == ["R1", "R3"]


def test_settling_takes_what_was_used_and_hangs_up_what_is_left_once() -> None:
    rack = two_pieces()
    plan = cut_lengths(
        [Part("a", "pine", 1100), Part("b", "pine", 1500)],
        [Stock("x", "pine", 2400, Money(9, "AUD"))],
        rack.free_for("job"),
        CutRules(kerf_mm=3, end_trim_mm=0, keep_mm=600),
    )
    after = rack.hold([li.stock for li in plan.lines if li.source == "rack"], "job").settle(
        plan, "job", "job/1"
    )
    # By hand: R1 (1200) gives the 1100; a 2400 gives the 1500 and 2400 - 1500 - 3 = 897 is kept.
    assert [(piece.id, piece.length_mm) for piece in after.pieces] == [("R2", 800.5), ("R3", 897.0)]
    assert [(gone.id, gone.job) for gone in after.gone] == [("R1", "job")]
    with pytest.raises(RackError, match="settled already"):
        after.settle(plan, "job", "job/1")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "no rows"),
        ("a: [", "can't be read"),
        ("format: 1\nversion: 0\n", "next_number"),
        ("format: 9\nversion: 0\nnext_number: 1\n", "format"),
        (
            "format: 1\nversion: 0\nnext_number: 1\npieces: [{id: R4, section: p, length_mm: 5}]\n",
            "more than 4",
        ),
        (
            "format: 1\nversion: 0\nnext_number: 9\n"
            "pieces: [{id: R4, section: p, length_mm: -5}]\n",
            "pieces.0.length_mm",
        ),
    ],
)
def test_a_bad_file_is_refused_with_the_field(text: str, word: str) -> None:
    with pytest.raises(RackError, match=word):
        from_text(text)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["pine", "rib 16×42"]), st.floats(1, 6000)), max_size=5))
def test_a_rack_file_reads_back_as_it_was(pieces: list[tuple[str, float]]) -> None:
    rack = Rack().put(pieces, "Mühle")
    if pieces:
        rack = rack.hold(["R1"], "one").take(["R1"], "one")
    assert from_text(to_text(rack)) == rack


JOBS = st.sampled_from(["one", "two"])


class RackMachine(RuleBasedStateMachine):
    """Any order of changes: every piece ever hung up is on the rack or gone, never both."""

    def __init__(self) -> None:
        super().__init__()
        self.rack = Rack()
        self.hung = 0
        self.held: dict[str, str] = {}

    @rule(length=st.floats(1, 5000))
    def put(self, length: float) -> None:
        self.rack = self.rack.put([("pine", length)])
        self.hung += 1

    @rule(number=st.integers(1, 8), job=JOBS)
    def hold(self, number: int, job: str) -> None:
        id = f"R{number}"
        try:
            self.rack = self.rack.hold([id], job)
        except RackError:
            return
        assert self.held.get(id, job) == job
        self.held[id] = job

    @rule(number=st.integers(1, 8), job=JOBS)
    def take(self, number: int, job: str) -> None:
        id = f"R{number}"
        try:
            self.rack = self.rack.take([id], job)
        except RackError:
            return
        assert self.held.pop(id, job) == job

    @rule(job=JOBS)
    def release(self, job: str) -> None:
        self.rack = self.rack.release(job)
        self.held = {id: holder for id, holder in self.held.items() if holder != job}

    @invariant()
    def each_is_in_one_place(self) -> None:
        ids = [piece.id for piece in self.rack.pieces] + [gone.id for gone in self.rack.gone]
        assert sorted(ids) == sorted(f"R{n}" for n in range(1, self.hung + 1))
        assert {p.id: p.held_by for p in self.rack.pieces if p.held_by} == self.held


RackMachine.TestCase.settings = settings(max_examples=20, stateful_step_count=15, deadline=None)
TestRackMachine = RackMachine.TestCase
