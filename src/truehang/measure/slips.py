"""Is a reading wrong, which one, by how much, and which others could it be instead?

Baarda's data snooping, one slip at a time: where a standardised residual is over the job's limit,
the likeliest reading is set aside and the rest adjusted again; those that may as well be the wrong
one are named with it. In the end each one set aside is tried back in, since a first slip can make
a sound reading look wrong.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from truehang.measure.adjustment import Solved, global_test, solve, weights
from truehang.measure.blame import WORST_INSTRUMENT, any_of, likeliest, wider
from truehang.measure.chance import chi_square_limit
from truehang.measure.network import Network
from truehang.measure.results import Slip
from truehang.measure.solver import NotSolved

MOST_SLIPS = 3
"""More slips than this in one measure can't be sorted out from the numbers alone."""
_LENGTHS = frozenset({"width", "height", "diagonal"})


@dataclass(frozen=True, slots=True)
class Snooped:
    """`sound` is solved without the first suspects; `settled` is False where even then a
    reading stays over the limit or nothing is left to check by. `worse` are the odds of a worse
    instrument against these slips: 0 where all misfits together pass their test, or scatter more
    widely than an instrument makes them."""

    as_read: Solved
    sound: Solved
    slips: tuple[Slip, ...]
    settled: bool
    worse: float


def snoop(as_read: Solved, limit: float) -> Snooped:
    """Find the slips in a network that was adjusted with every reading in."""
    slips: list[Slip] = []
    sound, told = as_read, 0.0
    while len(slips) < MOST_SLIPS and sound.redundant > 0:
        slip = _worst(sound, limit)
        if slip is None:
            break
        try:
            after = solve(sound.network.without([slip.suspects[0]], sound.figure))
        except NotSolved:
            break
        slips.append(slip)
        told += any_of(weights(sound))
        sound = after
    if len(slips) > 1:
        slips, sound = _tried_back(as_read.network, slips, sound, limit)
    worse = _worse(as_read, told)
    return Snooped(as_read, sound, tuple(slips), _worst(sound, limit) is None, worse)


def _worse(as_read: Solved, told: float) -> float:
    """Odds of a worse instrument against slips that tell as much (`told`, a logarithm)."""
    test = global_test(as_read)
    if test is None or test.passed or test.scatter > WORST_INSTRUMENT:
        return 0.0
    return float(np.exp(np.clip(wider(test.value, test.redundant) - told, -50.0, 50.0)))


def _worst(solved: Solved, limit: float) -> Slip | None:
    """The slip that the misfits tell of, with every reading that it may as well be."""
    if not np.max(np.abs(solved.standardised), initial=0.0) > limit:
        return None
    named = [solved.checked[each] for each in likeliest(weights(solved))]
    observations, index = solved.network.observations, named[0]
    share, sigma = float(solved.redundancy[index]), observations[index].sigma
    size = float(solved.solution.misfits[index]) / share * sigma
    suspects = tuple(observations[each].id for each in named)
    w = float(solved.standardised[index])
    return Slip(suspects, size, sigma / share**0.5, w)


def _tried_back(
    network: Network, slips: list[Slip], sound: Solved, limit: float
) -> tuple[list[Slip], Solved]:
    for slip in slips[:-1]:
        rest = [other for other in slips if other is not slip]
        again = solve(network.without([other.suspects[0] for other in rest], sound.figure))
        if _worst(again, limit) is None:
            slips, sound = rest, again
    return slips, sound


def one_each(as_read: Solved, slips: tuple[Slip, ...]) -> list[tuple[tuple[str, ...], Solved]]:
    """The network solved with another suspect of one slip set aside instead of the first."""
    found = []
    for slip in slips:
        firsts = [other.suspects[0] for other in slips if other is not slip]
        for suspect in slip.suspects[1:]:
            aside = (*firsts, suspect)
            try:
                found.append((aside, solve(as_read.network.without(aside, as_read.figure))))
            except NotSolved:
                continue
    return found


def _slip(solved: Solved, index: int) -> float:
    sigma = solved.network.observations[index].sigma
    return abs(float(solved.solution.misfits[index] / solved.redundancy[index])) * sigma


def _near(apart: float, *slips: float) -> bool:
    """Whether two readings are as far apart as their slips say, to a factor of five."""
    return all(apart / 5 <= slip <= apart * 5 for slip in slips)


def swapped(as_read: Solved, limit: float) -> tuple[str, str] | None:
    """Two lengths that, put in each other's place, make the whole measure agree; else None."""
    observations = as_read.network.observations
    over = [
        index
        for index, o in enumerate(observations)
        if o.kind in _LENGTHS and abs(as_read.standardised[index]) > limit
    ]
    most = chi_square_limit(as_read.redundant) if as_read.redundant else 0.0
    for first, second in combinations(over[:6], 2):
        a, b = observations[first], observations[second]
        if not _near(abs(a.value - b.value), _slip(as_read, first), _slip(as_read, second)):
            continue
        trial = list(observations)
        trial[first] = replace(a, value=b.value)
        trial[second] = replace(b, value=a.value)
        try:
            again = solve(Network(tuple(trial), as_read.network.free, as_read.figure))
        except NotSolved:
            continue
        if again.total <= most and float(np.max(np.abs(again.standardised))) <= limit:
            return a.id, b.id
    return None
