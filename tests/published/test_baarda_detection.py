"""Source: W. Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic
Commission, Publications on Geodesy 2(5), 1968: level 0.001 gives the limit 3.29, with power 80 %
the shift 4.13. Worked here from the non-central chi-square distribution of SciPy, another way
than the code's (normal quantiles).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import optimize, stats

from truehang.measure import Reading
from truehang.measure.adjustment import solve
from truehang.measure.chance import ALPHA, DETECT, LIMIT, POWER, chi_square_limit, chi_square_tail
from truehang.measure.network import build


def test_limit_is_three_point_two_nine() -> None:
    assert pytest.approx(math.sqrt(stats.chi2.isf(ALPHA, 1)), rel=1e-12) == LIMIT
    assert round(LIMIT, 2) == 3.29


def test_shift_is_four_point_one_three() -> None:
    """The shift whose square is the non-centrality at which the test has its power."""

    def lacking(shift: float) -> float:
        return float(stats.ncx2.sf(stats.chi2.isf(ALPHA, 1), 1, shift**2)) - POWER

    assert pytest.approx(optimize.brentq(lacking, 1.0, 10.0), abs=1e-6) == DETECT
    assert round(DETECT, 2) == 4.13


@pytest.mark.parametrize("freedom", [1, 3, 7, 20])
def test_chi_square_of_the_global_test(freedom: int) -> None:
    assert chi_square_limit(freedom) == pytest.approx(stats.chi2.isf(0.05, freedom), rel=1e-10)
    assert chi_square_tail(freedom, 9.0) == pytest.approx(stats.chi2.sf(9.0, freedom), rel=1e-10)


def _readings(noise: np.ndarray) -> list[Reading]:
    diagonal = math.hypot(3460.0, 2520.0)
    rows = [
        ("width", "bottom", 3460.0, 1.5, None),
        ("width", "top", 3460.0, 1.5, None),
        ("height", "left", 2520.0, 1.5, None),
        ("height", "right", 2520.0, 1.5, None),
        ("diagonal", "rising", diagonal, 1.5, None),
        ("diagonal", "falling", diagonal, 1.5, None),
        ("level", "base", 0.0, 1.0, None),
        ("plumb", "left", 0.0, 1.0, 2000.0),
        ("plumb", "right", 0.0, 1.0, 2000.0),
    ]
    return [
        Reading(f"{kind}-{place}", kind, value + sigma * error, place, over=over, sigma=sigma)
        for (kind, place, value, sigma, over), error in zip(rows, noise, strict=True)
    ]


def test_least_slip_is_found_four_times_in_five() -> None:
    """A slip of the least size is found with power 80 %: 400 seeded measures, of which 320 are
    awaited with a standard deviation of 8; four of those are allowed."""
    whole = build(_readings(np.zeros(9)), None)
    index = [o.id for o in whole.observations].index("diagonal-rising")
    least = DETECT * 1.5 / solve(whole).redundancy[index] ** 0.5
    draws = np.random.default_rng(20).standard_normal((400, 9))
    draws[:, 4] += least / 1.5
    found = sum(
        abs(solve(build(_readings(noise), None)).standardised[index]) > LIMIT for noise in draws
    )
    assert abs(found - 320) < 32
