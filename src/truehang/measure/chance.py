"""Which limits and probabilities do the tests use? Normal and chi-square figures.

Source: Baarda, "A testing procedure for use in geodetic networks" (Netherlands Geodetic
Commission, 1968) for the level 0.001 and the power 80 %.
"""

from __future__ import annotations

from functools import cache, lru_cache
from statistics import NormalDist

import numpy as np

from truehang.measure.solver import Matrix

ALPHA = 0.001
"""Chance of calling a sound reading a slip."""
POWER = 0.80
"""Chance of finding a slip of the least size that is reported."""
LIMIT = NormalDist().inv_cdf(1 - ALPHA / 2)
"""Limit of the standardised residual, 3.29."""
DETECT = LIMIT + NormalDist().inv_cdf(POWER)
"""Least slip found is DETECT * sigma / sqrt(redundancy), 4.13."""
TIED = 0.9
"""|correlation| of two test figures above which the readings can't be told apart."""
ELLIPSE_SCALE = (-2 * np.log(0.05)) ** 0.5
"""Half axes of a 95 % ellipse over those of the standard one: the root of chi-square(2)'s 95 %."""
GLOBAL_LEVEL = 0.05
"""Chance that sound readings fail the global test."""


@cache
def chi_square_limit(freedom: int) -> float:
    """Value that chi-square with this freedom passes with chance GLOBAL_LEVEL."""
    from scipy.special import chdtri

    return float(chdtri(freedom, GLOBAL_LEVEL))


def chi_square_tail(freedom: int, value: float) -> float:
    """Chance that chi-square with this freedom is at least `value`."""
    from scipy.special import chdtrc

    return float(chdtrc(freedom, value))


@lru_cache(maxsize=4)  # a job asks for the same few; thousands of jobs must not pile up
def normals(rows: int, columns: int, seed: int) -> Matrix:
    """Standard normal numbers, rows x columns, each with its opposite; the same for a seed."""
    half = np.random.default_rng(seed).standard_normal((rows // 2, columns))
    both = np.concatenate([half, -half])
    both.setflags(write=False)
    return both
