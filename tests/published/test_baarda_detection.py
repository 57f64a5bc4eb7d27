"""Source: W. Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic
Commission, Publications on Geodesy 2(5), 1968: a slip of (limit + 0.84) sigma / sqrt(redundancy) is
found with power 80 %. Worked here from the non-central chi-square distribution of SciPy, another
way than the code's (normal quantiles). The limit of a whole job is checked against SciPy's
multivariate normal distribution, and against drawn jobs.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import optimize, stats

from truehang.measure import Reading, chance
from truehang.measure.adjustment import solve
from truehang.measure.chance import (
    JOB_ALARM,
    POWER,
    POWER_SHIFT,
    SCATTER_ALARM,
    both_over,
    chi_square_limit,
    chi_square_tail,
    limit_of,
)
from truehang.measure.network import build


def test_one_reading_alone_has_the_textbook_limit() -> None:
    """One test at level 0.01: the square root of chi-square(1)'s 99 %."""
    limit = limit_of([np.eye(1)], scattered=False)
    assert limit == pytest.approx(math.sqrt(stats.chi2.isf(JOB_ALARM, 1)), abs=1e-9)


def test_tests_that_do_not_hang_together_share_the_alarm() -> None:
    """n unrelated tests: a little under Sidak's limit would alarm too often, Bonferroni's is on
    the safe side of it by less than 0.01."""
    for count in (2, 10, 45):
        sidak = stats.norm.isf((1 - (1 - JOB_ALARM) ** (1 / count)) / 2)
        assert 0.0 <= limit_of([np.eye(count)], scattered=False) - sidak < 0.01


def test_twins_count_once() -> None:
    """Five tests that always agree are one test."""
    limit = limit_of([np.ones((5, 5))], scattered=False)
    assert limit == pytest.approx(limit_of([np.eye(1)], scattered=False), abs=1e-4)


@pytest.mark.parametrize("tie", [0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("limit", [2.6, 3.7])
def test_two_tests_together_as_scipy_has_it(limit: float, tie: float) -> None:
    expected = sum(
        2 * stats.multivariate_normal(cov=[[1, t], [t, 1]]).cdf([-limit, -limit])
        for t in (tie, -tie)
    )
    found = float(both_over(limit, np.array([tie]))[0])
    assert found == pytest.approx(expected, rel=1e-4)


def test_the_rule_for_the_tails_is_numpys() -> None:
    nodes, shares = np.polynomial.laguerre.laggauss(24)
    assert pytest.approx(nodes, rel=1e-12) == chance._NODES
    assert pytest.approx(shares, abs=1e-12) == chance._SHARES


def test_power_shift_is_the_textbooks() -> None:
    """The shift whose square is the non-centrality at which a test of level 0.001 has its power,
    less that test's limit: 4.13 - 3.29."""

    def lacking(shift: float) -> float:
        return float(stats.ncx2.sf(stats.chi2.isf(0.001, 1), 1, shift**2)) - POWER

    shift = optimize.brentq(lacking, 1.0, 10.0)
    assert pytest.approx(shift - stats.norm.isf(0.0005), abs=1e-6) == POWER_SHIFT
    assert round(stats.norm.isf(0.0005) + POWER_SHIFT, 2) == 4.13


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 20, 61, 400, 3001])
def test_chi_square_of_the_global_test(freedom: int) -> None:
    """SciPy has it from the incomplete gamma function, which knows nothing of our finite sums."""
    expected = stats.chi2.isf(SCATTER_ALARM, freedom)
    assert chi_square_limit(freedom) == pytest.approx(expected, rel=1e-10)
    for value in (0.0, 1e-9, 0.3, 9.0, freedom, 2.0 * freedom, freedom + 300.0):
        tail = stats.chi2.sf(value, freedom)
        assert chi_square_tail(freedom, value) == pytest.approx(tail, rel=1e-10, abs=1e-300)


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
    whole = build(_readings(np.zeros(9)), None, bow_prior=0.0)
    index = [o.id for o in whole.observations].index("diagonal-rising")
    solved = solve(whole)
    limit = limit_of([solved.tests], scattered=True)
    least = (limit + POWER_SHIFT) * 1.5 / solved.redundancy[index] ** 0.5
    draws = np.random.default_rng(20).standard_normal((400, 9))
    draws[:, 4] += least / 1.5
    found = sum(
        abs(solve(build(_readings(noise), None, 0.0)).standardised[index]) > limit
        for noise in draws
    )
    assert abs(found - 320) < 32


def test_a_sound_network_is_blamed_as_often_as_said() -> None:
    """200 000 sound jobs of these nine readings, drawn by the textbook's residual matrix: the
    share with any figure over the limit or the sum over its own is 1 % at most, and not much
    less."""
    solved = solve(build(_readings(np.zeros(9)), None, bow_prior=0.0))
    limit = limit_of([solved.tests], scattered=True)
    jacobian = solved.network.model(solved.solution.parameters)[1]
    space = np.eye(9) - jacobian @ np.linalg.inv(jacobian.T @ jacobian) @ jacobian.T
    misfits = np.random.default_rng(5).standard_normal((200_000, 9)) @ space
    figures = np.abs(misfits / np.sqrt(np.diagonal(space)))
    over = (figures.max(axis=1) > limit) | ((misfits**2).sum(axis=1) > chi_square_limit(3))
    assert 0.007 < over.mean() < JOB_ALARM + 0.0007
