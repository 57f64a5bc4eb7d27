"""Bounds, odds and what is compared with what: each against a value worked by hand, or against the
exact one where the bound is exact."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from truehang.findings import Severity
from truehang.lengths import said
from truehang.measure import Reading, adjust
from truehang.measure.blame import any_of, wider
from truehang.measure.chance import JOB_ALARM, SCATTER_ALARM, both_over, limit_of
from truehang.measure.stations import Line, _explanations

TAIL = NormalDist().inv_cdf


@pytest.mark.parametrize("count", [1, 2, 7, 40])
def test_the_limit_of_tests_that_share_nothing_is_the_union_bound(count: int) -> None:
    """Bonferroni: each of n may pass with a share of the alarm, on either side (the union bound;
    Miller 1981, Simultaneous Statistical Inference, from memory)."""
    alone = limit_of([np.eye(count)], scattered=False)
    assert alone == pytest.approx(TAIL(1 - JOB_ALARM / (2 * count)), abs=1e-5)
    beside = limit_of([np.eye(count)], scattered=True)
    assert beside == pytest.approx(TAIL(1 - (JOB_ALARM - SCATTER_ALARM) / (2 * count)), abs=1e-5)


def test_tests_that_are_one_test_have_the_limit_of_one() -> None:
    """Figures that always agree pass together: n of them alarm no more often than one."""
    same = limit_of([np.ones((4, 4))], scattered=False)
    assert same == pytest.approx(TAIL(1 - JOB_ALARM / 2), abs=1e-3)
    half = limit_of([np.array([[1.0, 0.6], [0.6, 1.0]])], scattered=False)
    assert same < half < TAIL(1 - JOB_ALARM / 4)


def test_the_limit_keeps_the_alarm_of_two_that_are_tied() -> None:
    """Hunter's bound is exact for two: P(A or B) = P(A) + P(B) - P(A and B), the last drawn here
    one million times."""
    tie = 0.8
    limit = limit_of([np.array([[1.0, tie], [tie, 1.0]])], scattered=False)
    one, other = np.random.default_rng(5).standard_normal((2, 1_000_000))
    other = tie * one + math.sqrt(1 - tie**2) * other
    passed = np.mean((abs(one) > limit) | (abs(other) > limit))
    assert passed == pytest.approx(JOB_ALARM, abs=4 * math.sqrt(JOB_ALARM / 1e6))
    both = np.mean((abs(one) > limit) & (abs(other) > limit))
    assert float(both_over(limit, np.array([tie]))[0]) == pytest.approx(both, abs=3e-4)


def test_odds_of_any_of_several_are_their_mean() -> None:
    """By hand: odds of 1 and of 3, 2 on average; and where all are far over what a float holds."""
    assert any_of(np.log([1.0, 3.0])) == pytest.approx(math.log(2.0))
    assert any_of(np.log([1.0, 3.0]) + 1000.0) == pytest.approx(math.log(2.0) + 1000.0)


def test_misfits_as_large_as_said_do_not_speak_for_more_noise() -> None:
    """A sum of squares equal to its redundancy is just what was said (its mean is, by the
    chi-square distribution); ten times as much is not."""
    assert wider(6.0, 6) < 0.0 < wider(60.0, 6)


def test_a_face_that_was_read_at_the_datum_is_told_there() -> None:
    """x 0 is a place too, and not that beside it."""
    read = [Reading("a", "face", 2.0, "A", at=0.0, over=2000.0),
            Reading("b", "face", 9.0, "A", at=1.0, over=2000.0)]  # fmt: skip
    told = [f for f in adjust(read).findings if f.where == "measure.face"]
    assert [f.severity for f in told] == [Severity.NOTE]
    assert f"x {said(0.0)} " in told[0].what
    assert f"x {said(1.0)} " in told[0].what


def line(kind: str, *at: float) -> Line:
    readings = tuple(Reading(f"r{n}", kind, 0.0, at=x) for n, x in enumerate(at))
    return Line(kind, readings, np.eye(len(at)))


def test_a_step_is_between_two_places_and_a_run_has_none() -> None:
    """Three readings, two of them at one place: one step, after the second (by hand)."""
    rows, steps = _explanations(line("floor", 0.0, 0.0, 600.0))
    assert steps == [(0.0, 600.0)]
    assert rows.tolist() == [[1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]]
    assert _explanations(line("run", 0.0, 600.0))[1] == []
