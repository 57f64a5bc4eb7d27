"""How is a low, a likely and a high spread? As a beta distribution of the PERT kind.

alpha = 1 + 4 (m - a) / (b - a), beta = 1 + 4 (b - m) / (b - a); mean (a + 4 m + b) / 6, variance
(mean - a) (b - mean) / 7, which is exact for this distribution, where ((b - a) / 6)^2 is not.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_STEPS = 200
_SMALL = 1e-300


def mean(low: float, likely: float, high: float) -> float:
    """The mean: (a + 4 m + b) / 6."""
    return (low + 4 * likely + high) / 6


def variance(low: float, likely: float, high: float) -> float:
    """The variance: (mu - a) (b - mu) / 7."""
    middle = mean(low, likely, high)
    return (middle - low) * (high - middle) / 7


def shape(low: Floats, likely: Floats, high: Floats) -> tuple[Floats, Floats]:
    """alpha and beta of each; their sum is six. A line without a spread has any."""
    width = np.where(high > low, high - low, 1.0)
    return 1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width


def below(x: Any, alpha: Any, beta: Any) -> Floats:
    """The regularised incomplete beta function: the chance of at most x of 0 to 1.

    By its continued fraction (Abramowitz and Stegun 26.5.8) after Lentz, on the side where it
    converges fast.
    """
    x, alpha, beta = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (x, alpha, beta)))
    x = np.clip(x, 0.0, 1.0)
    turned = x > (alpha + 1) / (alpha + beta + 2)
    a, b = np.where(turned, beta, alpha), np.where(turned, alpha, beta)
    y = np.where(turned, 1 - x, x)
    inside = (y > 0) & (y < 1)
    safe = np.where(inside, y, 0.5)
    front = np.exp(a * np.log(safe) + b * np.log1p(-safe) - _log_beta(a, b)) / a
    tail = np.where(inside, front * _fraction(safe, a, b), y)
    made: Floats = np.where(turned, 1 - tail, tail)
    return made


def _fraction(x: Floats, a: Floats, b: Floats) -> Floats:
    c, d = np.ones_like(x), 1 / _kept(1 - (a + b) * x / (a + 1))
    h = d.copy()
    for m in range(1, _STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d, c = 1 / _kept(1 + even * d), _kept(1 + even / c)
        h = h * d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d, c = 1 / _kept(1 + odd * d), _kept(1 + odd / c)
        step = d * c
        h = h * step
        if float(np.max(np.abs(step - 1), initial=0.0)) < 1e-14:
            break
    return h


def _kept(value: Floats) -> Floats:
    return np.where(np.abs(value) < _SMALL, _SMALL, value)


def _log_beta(a: Floats, b: Floats) -> Floats:
    """ln B(a, b) where a + b = 6, which is all that is asked here: a table would do, but there are
    few different lines."""
    pairs, where = np.unique(np.round(a, 12), return_inverse=True)
    known = np.array([math.lgamma(one) + math.lgamma(6 - one) - math.lgamma(6) for one in pairs])
    made: Floats = known[where].reshape(a.shape)
    return made
