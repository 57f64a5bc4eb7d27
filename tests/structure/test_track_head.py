"""The head under moving leaves. Outside checks: tests/published/test_structure_frame_libraries.py.
Limits (span/360, 3 mm, 1.5 mm, 5 mm): common practice, no source."""

from dataclasses import replace

import numpy as np
import pytest
from tests.timber import TIMBER

from truehang.lengths import said
from truehang.structure import (
    HeadMember,
    HungLeaf,
    StructureError,
    TrackHead,
    head_movement,
    track_head_choices,
)
from truehang.structure.beams import point_deflection, rectangle, uniform_deflection

MEMBER = HeadMember("MGP10 45x240", 45, 240, 10000, 670, 500, creep=2.0)
LEFT = HungLeaf("left", 1700, 850, (1600, 950), (212, 205), -830, 2340, 10)
RIGHT = HungLeaf("right", 1706, 2556, (1806, 2456), (212, 205), 830, 2340, 10)
PAIR = TrackHead(0, 3406, MEMBER, (LEFT, RIGHT), lining=15.0)


def test_symmetric_pair_moves_alike_and_its_edges_open_by_the_sum_of_tilts() -> None:
    result = head_movement(PAIR)
    left, right = result.leaves
    assert left.worst == pytest.approx(right.worst)
    assert left.closed_tilt == pytest.approx(right.closed_tilt)
    assert left.closed_tilt > 0.0
    assert result.out_of_parallel == pytest.approx(2 * left.closed_tilt)
    assert result.limit == 3.0


def test_closed_leaf_by_hand() -> None:
    """Both leaves closed: four point loads and the permanent load, one place at a time."""
    result = head_movement(PAIR)
    beam = rectangle(3406.0, 45.0, 240.0, 10000.0, 670.0)
    weight = (500 * 45 * 240 * 1e-6 + 15.0) * 9.81 / 1000

    def down(x: float) -> float:
        loads = zip((*LEFT.loads, *RIGHT.loads), (*LEFT.hangers, *RIGHT.hangers), strict=True)
        return float(uniform_deflection(beam, weight, x)) + sum(
            float(point_deflection(beam, load, at, x)) for load, at in loads
        )

    first, second = down(1600), down(950)
    slope = (first - second) / 650
    assert result.leaves[0].hung_drop[0] == pytest.approx(first + slope * 100)
    assert result.leaves[0].hung_drop[1] == pytest.approx(second - slope * 100)
    assert result.leaves[0].closed_tilt == pytest.approx(slope * 2340)


def test_tilt_that_comes_later_by_hand() -> None:
    """What creep adds of the permanent load (as much again here), at the two hangers; over the
    height of the leaf, 650 apart."""
    beam = rectangle(3406.0, 45.0, 240.0, 10000.0, 670.0)
    weight = (500 * 45 * 240 * 1e-6 + 15.0) * 9.81 / 1000
    first, second = (float(uniform_deflection(beam, weight, x)) for x in (1600.0, 950.0))
    left = head_movement(PAIR).leaves[0]
    assert left.later_tilt == pytest.approx((first - second) / 650 * 2340)


def test_envelope_is_never_under_any_case_and_touches_the_worst() -> None:
    result = head_movement(PAIR)
    x, envelope = np.array(result.x), np.array(result.envelope)
    beam = rectangle(3406.0, 45.0, 240.0, 10000.0, 670.0)
    weight = (500 * 45 * 240 * 1e-6 + 15.0) * 9.81 / 1000
    for share in (0.0, 0.37, 1.0):
        case = uniform_deflection(beam, 2.0 * weight, x)
        for leaf in (LEFT, RIGHT):
            for load, at in zip(leaf.loads, leaf.hangers, strict=True):
                case = case + point_deflection(beam, load, at + share * leaf.travel, x)
        assert np.all(case <= envelope + 1e-3)
    assert envelope.max() >= result.deflection - 1e-3


def test_gap_loses_only_what_happens_after_hanging() -> None:
    result = head_movement(PAIR)
    for leaf in result.leaves:
        assert leaf.least_gap == pytest.approx(10.0 - leaf.later_drop)
        assert leaf.later_drop < leaf.worst
    no_creep = head_movement(replace(PAIR, member=replace(MEMBER, creep=1.0)))
    assert no_creep.out_of_parallel_later == pytest.approx(0.0, abs=1e-9)


def test_weak_head_is_found_and_a_mirror_image_is_the_same() -> None:
    weak = replace(PAIR, member=replace(MEMBER, depth=90))
    result = head_movement(weak)
    told = " ".join(str(f.what) for f in result.findings)
    assert f"the limit is {said(3)}" in told
    assert "under the leaf" in told
    assert "in time" in told
    single = TrackHead(0, 2000, MEMBER, (replace(LEFT, travel=-800),))
    mirrored = HungLeaf("left", 300, 1150, (400, 1050), LEFT.loads, 800, 2340, 10)
    twin = TrackHead(0, 2000, MEMBER, (mirrored,))
    assert head_movement(single).deflection == pytest.approx(head_movement(twin).deflection)


def test_figures_have_unique_keys_in_the_room() -> None:
    keys = [figure.key for figure in head_movement(PAIR).figures]
    assert len(keys) == len(set(keys))
    assert all(key.startswith("structure.") for key in keys)


def test_choices_pass_the_exact_computation_and_are_sorted() -> None:
    choices = track_head_choices((0, 3406), (LEFT, RIGHT), "AS 1720.1", TIMBER, lining=15.0)
    assert choices
    assert [c.mass for c in choices] == sorted(c.mass for c in choices)
    for choice in choices:
        exact = head_movement(TrackHead(0, 3406, choice.member, (LEFT, RIGHT), 15.0))
        assert exact.deflection <= choice.deflection + 1e-9 <= choice.limit + 1e-9


def test_no_choice_over_a_span_beyond_the_catalogue() -> None:
    assert track_head_choices((0, 12000), (LEFT, RIGHT), "AS 1720.1", TIMBER, lining=40.0) == ()


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: replace(MEMBER, depth=0.0), r"head\.depth: 0\.0 must be a number, more than 0"),
        (lambda: replace(MEMBER, breadth=-45), r"head\.breadth: -45"),
        (lambda: replace(MEMBER, modulus=float("nan")), r"head\.modulus: nan"),
        (lambda: replace(LEFT, hangers=(950, 950)), r"both stand at 950"),
        (lambda: replace(LEFT, loads=(-1.0, 200.0)), r"leaf left\.loads: -1"),
        (lambda: replace(PAIR, right=-10), r"head\.right: -10.*right of head\.left"),
        (lambda: replace(PAIR, leaves=()), r"head\.leaves: 0 given"),
    ],
)
def test_bad_input_names_field_value_and_mend(make: object, words: str) -> None:
    with pytest.raises(StructureError, match=words):
        make()  # type: ignore[operator]
