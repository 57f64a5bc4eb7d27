"""Which limits and probabilities do the tests use? What a whole job may wrongly be blamed for.

A job is tested all at once: every reading of the opening, every station along the wall, and how
widely all of them scatter. The limit is the one that a sound job passes with chance 1 %: it knows
how many readings there are and how they hang together (benchmarks/trust simulates it). Source of
the single tests and of the power: Baarda, "A testing procedure for use in geodetic networks"
(Netherlands Geodetic Commission, 1968), where the level (0.001, limit 3.29) is each reading's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache, lru_cache
from statistics import NormalDist

import numpy as np

from truehang.measure.solver import Matrix, Vector

JOB_ALARM = 0.01
"""Chance that anything at all is blamed in a job whose readings are sound."""
SCATTER_ALARM = 0.002
"""The part of it that the test of all misfits together takes."""
POWER = 0.80
"""Chance of finding a slip of the least size that is reported."""
POWER_SHIFT = NormalDist().inv_cdf(POWER)
"""Least slip found is (limit + POWER_SHIFT) * sigma / sqrt(redundancy)."""
TIED = 0.9
"""|correlation| of two test figures above which the readings can't be told apart."""
ELLIPSE_SCALE = (-2 * np.log(0.05)) ** 0.5
"""Half axes of a 95 % ellipse over those of the standard one: the root of chi-square(2)'s 95 %."""
SURE = 0.95
"""Chance that both bounds of the usable opening hold in one and the same opening."""


_BETWEEN = np.diag(np.arange(1.0, 24.0), 1)
_NODES, _PARTS = np.linalg.eigh(np.diag(np.arange(1.0, 48.0, 2.0)) + _BETWEEN + _BETWEEN.T)
_SHARES = _PARTS[0] ** 2
"""Nodes and shares of the Gauss-Laguerre rule (Golub and Welsch 1969, Math. Comp. 23, from
memory; the tests hold it against NumPy's)."""
_NORMAL = NormalDist()


def limit_of(correlations: Sequence[Matrix], scattered: bool) -> float:
    """What a test figure of the job must pass, so that a sound job is blamed with JOB_ALARM or a
    little less. Each family of n tests comes as the n x n correlation of its figures; `scattered`
    where all misfits together are tested too.

    The chance that any of them passes is at most the sum of their chances, less the chances that
    neighbours in the tree of the strongest correlations pass together (Hunter 1976, "An upper
    bound for the probability of a union", J. Appl. Prob. 13, from memory).
    """
    count = sum(len(each) for each in correlations)
    allowed = JOB_ALARM - (SCATTER_ALARM if scattered else 0.0)
    if not count:
        return _NORMAL.inv_cdf(1 - JOB_ALARM / 2)
    ties = np.concatenate([_tree(np.abs(each)) for each in correlations])
    ties = ties[ties > 0.3]  # under this, two hardly ever pass together
    limit = _NORMAL.inv_cdf(1 - allowed / (2 * count))
    for _ in range(4):
        alone = 2 * _NORMAL.cdf(-limit)
        ratio = (count * alone - float(both_over(limit, ties).sum())) / allowed
        # The logarithm of a normal tail falls by about limit + 1 / limit for each unit.
        limit += float(np.log(max(ratio, 1e-6))) / (limit + 1 / limit)
    return limit


def both_over(limit: float, ties: Vector) -> Vector:
    """Chance that two standard normal figures are both over the limit, either way, for each of
    their absolute correlations: the first one's tail in nodes, the other's given it."""
    over = limit + _NODES / limit
    first = _SHARES * np.exp(_NODES - over**2 / 2) / (limit * np.sqrt(2 * np.pi))
    tie = np.minimum(ties, 1 - 1e-9)[:, None]
    left = np.sqrt(1 - tie**2)
    given = _below((tie * over - limit) / left) + _below((-tie * over - limit) / left)
    found: Vector = 2 * given @ first
    return found


def _below(figures: Matrix) -> Matrix:
    """Chance that a standard normal figure is below each of these."""
    erfc = math.erfc
    halves = [erfc(x) / 2 for x in (figures * -math.sqrt(0.5)).ravel().tolist()]
    return np.array(halves).reshape(figures.shape)


def _tree(strength: Matrix) -> Vector:
    """The n - 1 strengths of the tree that joins n tests by their strongest ties (Prim)."""
    count = len(strength)
    if count < 2:
        return np.empty(0)
    best, inside, found = strength[0].copy(), np.zeros(count, dtype=bool), []
    inside[0] = True
    for _ in range(count - 1):
        nearest = int(np.argmax(np.where(inside, -1.0, best)))
        found.append(best[nearest])
        inside[nearest] = True
        np.maximum(best, strength[nearest], out=best)
    return np.array(found)


@cache
def chi_square_limit(freedom: int) -> float:
    """Value that chi-square with this freedom passes with chance SCATTER_ALARM."""
    part = 2 / (9 * freedom)  # to begin with: Wilson and Hilferty's cube of a normal figure
    value = freedom * (1 - part + _NORMAL.inv_cdf(1 - SCATTER_ALARM) * math.sqrt(part)) ** 3
    for _ in range(30):
        tail, half = chi_square_tail(freedom, value), value / 2
        slope = math.exp((freedom / 2 - 1) * math.log(half) - half - math.lgamma(freedom / 2)) / 2
        step = math.log(tail / SCATTER_ALARM) * tail / slope
        value += step
        if abs(step) < 1e-13 * value:
            break
    return value


def chi_square_tail(freedom: int, value: float) -> float:
    """Chance that chi-square with this freedom is at least `value`: the finite sums for an even
    and an odd freedom (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.4.4 and
    26.4.5, from memory; the tests hold them against SciPy)."""
    if value <= 0.0:
        return 1.0
    half, odd = value / 2, freedom % 2
    # Each term from its logarithm: the exponential alone would vanish where the sum does not.
    powers = [step + odd / 2 for step in range(freedom // 2)]
    terms = [math.exp(p * math.log(half) - half - math.lgamma(p + 1)) for p in powers]
    return math.fsum([*terms, math.erfc(math.sqrt(half))] if odd else terms)


@lru_cache(maxsize=4)  # a job asks for the same few; thousands of jobs must not pile up
def normals(rows: int, columns: int, seed: int) -> Matrix:
    """Standard normal numbers, rows x columns, each with its opposite; the same for a seed."""
    half = np.random.default_rng(seed).standard_normal((rows // 2, columns))
    both = np.concatenate([half, -half])
    both.setflags(write=False)
    return both
