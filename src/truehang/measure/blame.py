"""Something does not agree: which readings may be wrong, and is it rather the instrument?

Each explanation ("this reading is off by something", "the floor steps here", "everything scatters
more widely than was said") is weighed by how well it foretells the misfits, averaged over how far
off a slip may be. Source: marginal likelihoods (Kass and Raftery 1995, Bayes factors, JASA 90,
from memory); the sizes of slips are common practice, no source.
"""

from __future__ import annotations

import numpy as np

from truehang.measure.solver import Vector

SLIP_SIZES = (5.0, 20.0, 100.0)
"""How far off a slip may be, mm, each as likely: a line beside it, a finger's width, a decimetre
(common practice, no source)."""
NAMED = 0.97
"""Readings are named, the likeliest first, until the slip is among them with this chance."""
WORST_INSTRUMENT = 4.0
"""How many times less sure than said an instrument may be (common practice, no source)."""
MAY_BE = 1 / 3
"""Odds of a worse instrument against slips from which on it is said beside them."""
_SCALES = np.geomspace(1.0, WORST_INSTRUMENT, 33)


def log_weights(w: Vector, spread: Vector) -> Vector:
    """Logarithm of the odds of "this one is off" against "nothing is", for each of n test figures
    `w` whose slips are known to `spread`, mm."""
    sizes = np.array(SLIP_SIZES)[:, None] ** 2
    share = sizes / (sizes + spread**2)
    each = 0.5 * (w**2 * share + np.log1p(-share))
    return np.asarray(_log_mean(each))


def likeliest(weights: Vector) -> list[int]:
    """Which to name of n explanations, the likeliest first: as many as hold the truth with NAMED
    chance."""
    chances = np.exp(weights - weights.max())
    chances /= chances.sum()
    # Rounded, so that which of two equals comes first is not left to the last bit.
    order = np.argsort(-np.round(weights, 6), kind="stable")
    count = int(np.searchsorted(np.cumsum(chances[order]), NAMED)) + 1
    return [int(index) for index in order[:count]]


def any_of(weights: Vector) -> float:
    """Logarithm of the odds of "one of these is off" against "nothing is"."""
    return float(_log_mean(weights))


def wider(total: float, redundant: int) -> float:
    """Logarithm of the odds of "everything scatters more widely than was said" against "nothing is
    off". `total` is the sum of squared misfits over sigma."""
    return float(_log_mean(0.5 * total * (1 - _SCALES**-2) - redundant * np.log(_SCALES)))


def _log_mean(values: Vector) -> Vector:
    """Logarithm of the mean of exp(values) along the first axis."""
    most = values.max(axis=0)
    found: Vector = most + np.log(np.mean(np.exp(values - most), axis=0))
    return found
