"""The hanging adjustment. The outside check is plain geometry: a leaf turned by sines and cosines
in this file, not by the room's linear rows, is misadjusted, read, adjusted, and read again."""

import math
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.hardware import (
    EdgeGaps,
    Hangers,
    HangingAdjustment,
    HardwareError,
    LeafAsHung,
    MeetingGaps,
    hang_true,
    hanging_left,
)
from truehang.hardware.adjustment import turn_words
from truehang.lengths import said

WIDTH, HEIGHT, TARGET = 860.0, 2340.0, 10.0
HANGERS = Hangers(80.0, 780.0, 1.5, (8.0, 8.0), (8.0, 8.0))
MISSET = st.floats(-5.0, 5.0)


@dataclass
class Rigid:
    """A stiff leaf on two bolts; `raised` is mm up from true, leading bolt first. Leading edge at
    the side of the closing jamb; the jamb or the middle of a pair stands `apart` from a true
    leaf: well open, so that no reading is an overlap."""

    raised: list[float]
    apart: float = 40.0

    def _turned(self) -> float:
        return math.atan2(self.raised[0] - self.raised[1], HANGERS.trailing - HANGERS.leading)

    def rise(self, x: float) -> float:
        spacing = HANGERS.trailing - HANGERS.leading
        return self.raised[0] + (self.raised[1] - self.raised[0]) * (x - HANGERS.leading) / spacing

    def floor_gap(self, x: float) -> float:
        return TARGET + self.rise(x) + HEIGHT * (1.0 - math.cos(self._turned()))

    def edge(self) -> tuple[float, float]:
        """Gap at the top and at the bottom of the leading edge: the foot swings forward."""
        return self.apart, self.apart - HEIGHT * math.sin(self._turned())

    def turn(self, adjustment: HangingAdjustment, name: str) -> None:
        for turn in adjustment.turns:
            if turn.leaf == name:
                self.raised[turn.hanger == "trailing"] += turn.movement


def _hung(leaf: Rigid, name: str, *, edge: bool = False, hangers: Hangers = HANGERS) -> LeafAsHung:
    top, bottom = leaf.edge() if edge else (None, None)
    gaps = EdgeGaps(leaf.floor_gap(0.0), leaf.floor_gap(WIDTH), TARGET, TARGET, top, bottom)
    return LeafAsHung(name, WIDTH, HEIGHT, hangers, gaps)


HALF_STEP = HANGERS.pitch / 8.0
OVERHANG = (WIDTH - HANGERS.leading) / (HANGERS.trailing - HANGERS.leading)
FLOOR_ROUNDING = math.sqrt(2.0) * HALF_STEP * (2.0 * OVERHANG - 1.0)
"""Plain rounding leaves each bolt within an eighth of a turn, an edge within that times its
overhang; the search does no worse in the sum of squares of the two."""
SECOND_ORDER = HEIGHT * (10.0 / 700.0) ** 2 / 2.0
"""A leaf as far out as these tests make it stands this much higher for leaning (1 - cos)."""


@settings(max_examples=60, deadline=None)
@given(MISSET, MISSET)
def test_round_trip_on_floor_gaps(leading: float, trailing: float) -> None:
    leaf = Rigid([leading, trailing])
    adjustment = hang_true([_hung(leaf, "only")])
    leaf.turn(adjustment, "only")
    assert adjustment.within_range
    for x in (0.0, WIDTH):
        assert abs(leaf.floor_gap(x) - TARGET) <= FLOOR_ROUNDING + SECOND_ORDER
    predicted = [r.after for r in adjustment.residuals]
    assert predicted == pytest.approx(
        [leaf.floor_gap(0.0), leaf.floor_gap(WIDTH)], abs=SECOND_ORDER
    )


@settings(max_examples=60, deadline=None)
@given(MISSET, MISSET)
def test_round_trip_with_the_closing_edge(leading: float, trailing: float) -> None:
    leaf = Rigid([leading, trailing])
    leaf.turn(hang_true([_hung(leaf, "only", edge=True)]), "only")
    top, bottom = leaf.edge()
    assert abs(top - bottom) <= HEIGHT / 700.0 * 2 * HALF_STEP + 0.05
    for x in (0.0, WIDTH):
        assert abs(leaf.floor_gap(x) - TARGET) < 3.0


@settings(max_examples=60, deadline=None)
@given(MISSET, MISSET, MISSET, MISSET)
def test_round_trip_of_a_pair(a: float, b: float, c: float, d: float) -> None:
    left, right = Rigid([a, b]), Rigid([c, d])

    def meeting() -> MeetingGaps:
        tops, bottoms = zip(left.edge(), right.edge(), strict=True)
        return MeetingGaps(sum(tops), sum(bottoms), left.rise(0.0) - right.rise(0.0))

    adjustment = hang_true([_hung(left, "left"), _hung(right, "right")], meeting())
    left.turn(adjustment, "left")
    right.turn(adjustment, "right")
    after = meeting()
    assert abs(after.top - after.bottom) < 1.5
    assert abs(after.step) < 1.5
    for leaf in (left, right):
        for x in (0.0, WIDTH):
            assert abs(leaf.floor_gap(x) - TARGET) < 3.0


def test_no_neighbour_is_better() -> None:
    """Every other set of quarter turns within three steps leaves more: tried one by one."""
    leaf = Rigid([2.3, -1.7])
    adjustment = hang_true([_hung(leaf, "only", edge=True)])
    quarters = {t.hanger: t.quarters for t in adjustment.turns}
    weights = (0.3, 0.3, 1.0)

    def missed(one: int, two: int) -> float:
        step = HANGERS.pitch / 4.0
        moved = Rigid([2.3 + one * step, -1.7 + two * step])
        top, bottom = moved.edge()
        misses = (moved.rise(0.0), moved.rise(WIDTH), top - bottom)
        return sum((w * m) ** 2 for w, m in zip(weights, misses, strict=True))

    best = missed(quarters["leading"], quarters["trailing"])
    for one in range(-3, 4):
        for two in range(-3, 4):
            other = missed(quarters["leading"] + one, quarters["trailing"] + two)
            assert best <= other + 0.02


def test_sense_of_the_turns() -> None:
    """A foot that stands off the jamb (gap wider at the bottom): raise the leading bolt, lower
    the trailing one; the trailing bolt first."""
    gaps = EdgeGaps(edge_top=4.0, edge_bottom=9.0)
    adjustment = hang_true([LeafAsHung("only", WIDTH, HEIGHT, HANGERS, gaps)])
    trailing, leading = adjustment.turns
    assert (trailing.order, trailing.hanger, trailing.direction) == (1, "trailing", "down")
    assert (leading.order, leading.hanger, leading.direction) == (2, "leading", "up")
    assert str(leading.words) == f"only, leading hanger: 1/2 turn up (raises it {said(0.75, 1)})"


def test_true_leaf_is_left_alone() -> None:
    adjustment = hang_true([_hung(Rigid([0.0, 0.0]), "only", edge=True)])
    assert [t.direction for t in adjustment.turns] == ["leave", "leave"]
    assert adjustment.findings == ()


def test_turns_stay_within_what_the_bolts_have_left() -> None:
    short = Hangers(80.0, 780.0, 1.5, (1.0, 8.0), (8.0, 8.0))
    adjustment = hang_true([_hung(Rigid([-4.0, -4.0]), "only", hangers=short)])
    assert not adjustment.within_range
    leading = next(t for t in adjustment.turns if t.hanger == "leading")
    assert leading.quarters == 2  # 0.75 mm of the 1 mm left
    assert "more than the bolts have left" in adjustment.findings[0].what
    assert "pack or level the track" in adjustment.findings[0].mend


def test_gaps_that_cannot_all_be_had_are_named() -> None:
    gaps = EdgeGaps(10.0, 10.0, 10.0, 10.0, 4.0, 12.0)
    adjustment = hang_true([LeafAsHung("only", WIDTH, HEIGHT, HANGERS, gaps)])
    assert any("can't all be had at once" in f.what for f in adjustment.findings)


def test_figures_have_unique_keys() -> None:
    pair = [_hung(Rigid([1.0, -2.0]), "left"), _hung(Rigid([0.5, 3.0]), "right")]
    keys = [f.key for f in hang_true(pair).figures]
    assert len(keys) == len(set(keys)) == 4 + 4


@pytest.mark.parametrize(
    "quarters, words",
    [
        (0, "leave it"),
        (1, "1/4 turn up"),
        (-2, "1/2 turn down"),
        (4, "1 turn up"),
        (5, "1 1/4 turns up"),
        (-11, "2 3/4 turns down"),
    ],
)
def test_turns_in_words(quarters: int, words: str) -> None:
    assert turn_words(quarters) == words


def test_hanging_left() -> None:
    left = hanging_left(10.0, (2.0, 1.5), "left")
    assert left.up == (3.0, 3.5)
    assert left.down == (7.0, 6.5)
    assert left.least == 3.0
    assert left.findings == ()
    gone = hanging_left(10.0, (6.5, 1.5), "left")
    assert gone.up == (0.0, 3.5)
    assert gone.least == -1.5
    assert f"takes {said(6.5, 1)} of bolt; {said(5)} is there each way" in gone.findings[0].what


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: EdgeGaps(floor_leading=9.0), r"gaps\.target_leading: missing"),
        (lambda: EdgeGaps(edge_top=4.0), r"only one was read"),
        (lambda: EdgeGaps(floor_leading=float("nan")), r"gaps\.floor_leading: nan"),
        (lambda: MeetingGaps(top=3.0), r"meeting\.top, meeting\.bottom"),
        (lambda: LeafAsHung("x", 700.0, HEIGHT, HANGERS, EdgeGaps()), r"780 lies off the leaf"),
        (lambda: hang_true([]), r"leaves: 0 given"),
        (
            lambda: hang_true([LeafAsHung("x", WIDTH, HEIGHT, HANGERS, EdgeGaps())]),
            r"nothing was read",
        ),
        (
            lambda: hang_true([_hung(Rigid([0, 0]), "x")], MeetingGaps(1.0, 2.0)),
            r"need two leaves",
        ),
        (lambda: hanging_left(0.0, (0.0, 0.0), "x"), r"hangers_range: 0"),
    ],
)
def test_bad_input_names_field_value_and_mend(make: object, words: str) -> None:
    with pytest.raises(HardwareError, match=words):
        make()  # type: ignore[operator]
