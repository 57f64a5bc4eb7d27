"""The floor gap along the travel: worked by hand, and never under the least."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.fit import Floor, Span
from truehang.fit.gaps import extremes, leaf_bottom


def test_level_floor_keeps_the_design_gap() -> None:
    assert leaf_bottom(2.0, 10.0, 0.0, 2.0, 2.0) == 12.0


def test_fall_inside_the_target_keeps_the_design_gap() -> None:
    # Highest at the line: least gap 10; floor 2 lower: most 12. Both in 8 to 12.
    assert leaf_bottom(0.0, 10.0, 0.0, 0.0, -2.0) == 10.0


def test_fall_of_eight_is_shared_about_the_design_gap() -> None:
    # 10 - 8/2 = 6 at the highest, 14 at the lowest.
    assert leaf_bottom(0.0, 10.0, 0.0, 0.0, -8.0) == 6.0


def test_never_under_five() -> None:
    # A fall of 14 would give 10 - 7 = 3; 5 it is.
    assert leaf_bottom(0.0, 10.0, 0.0, 0.0, -14.0) == 5.0


def test_new_flooring_lifts_the_leaf() -> None:
    # 6 of flooring over a level floor: finished floor at 6, leaf at 16, gap still 10.
    assert leaf_bottom(0.0, 10.0, 6.0, 6.0, 6.0) == 16.0


def test_extremes_between_stations() -> None:
    floor = Floor((0.0, 1000.0, 2000.0), (0.0, 3.0, -4.0), build_up=2.0)
    assert extremes(floor, Span(500.0, 1500.0)) == (5.0, 1000.0, 1.5, 1500.0)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.floats(-15, 5), min_size=1, max_size=8), st.floats(0, 20), st.floats(0, 9))
def test_least_gap_holds_everywhere(z: list[float], build_up: float, lift: float) -> None:
    floor = Floor(tuple(500.0 * at for at in range(len(z))), tuple(z), build_up)
    travel = Span(120.0, 2700.0)
    high, _, low, _ = extremes(floor, travel)
    bottom = leaf_bottom(max(z) + lift, 10.0, build_up, high, low)
    gaps = [
        bottom - _finished(floor, travel.low + travel.length * step / 400) for step in range(401)
    ]
    assert min(gaps) >= 5.0 - 1e-9
    assert min(gaps) >= bottom - high - 1e-9
    assert bottom - max(z) - lift - build_up == pytest.approx(
        round(bottom - max(z) - lift - build_up)
    )
    assert max(gaps) <= bottom - low + 1e-9


def _finished(floor: Floor, x: float) -> float:
    return float(np.interp(x, floor.x, floor.z)) + floor.build_up


def test_extremes_match_numpy_on_a_fine_grid() -> None:
    floor = Floor((0.0, 700.0, 1500.0, 3000.0), (1.0, -2.0, 2.5, -7.0))
    grid = np.interp(np.linspace(200, 2500, 2301), floor.x, floor.z)
    high, _, low, _ = extremes(floor, Span(200.0, 2500.0))
    assert (high, low) == (pytest.approx(grid.max()), pytest.approx(grid.min()))
