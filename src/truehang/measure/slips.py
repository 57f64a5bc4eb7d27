"""Is a reading wrong, which one, by how much, and which others could it be instead?

Baarda's data snooping, one slip at a time: the reading with the largest standardised residual
over the limit is set aside and the rest adjusted again. In the end each one set aside is tried
back in, since a first slip can make a sound reading look wrong.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from truehang.measure.adjustment import Solved, solve
from truehang.measure.chance import LIMIT, chi_square_limit
from truehang.measure.network import Network
from truehang.measure.results import Slip
from truehang.measure.solver import NotSolved

MOST_SLIPS = 3
"""More slips than this in one measure can't be sorted out from the numbers alone."""
_LENGTHS = frozenset({"width", "height", "diagonal"})


@dataclass(frozen=True, slots=True)
class Snooped:
    """`sound` is solved without the first suspects; `settled` is False where even then a
    reading stays over the limit or nothing is left to check by."""

    as_read: Solved
    sound: Solved
    slips: tuple[Slip, ...]
    settled: bool


def snoop(network: Network) -> Snooped:
    """Find the slips. Raises solver.NotSolved where the whole network can't be adjusted."""
    as_read = solve(network)
    slips: list[Slip] = []
    sound = as_read
    while len(slips) < MOST_SLIPS and sound.redundant > 0 and (slip := _worst(sound)) is not None:
        try:
            after = solve(sound.network.without([slip.suspects[0]], sound.figure))
        except NotSolved:
            break
        slips.append(slip)
        sound = after
    if len(slips) > 1:
        slips, sound = _tried_back(network, slips, sound)
    return Snooped(as_read, sound, tuple(slips), _worst(sound) is None)


def _worst(solved: Solved) -> Slip | None:
    index = int(np.argmax(np.abs(solved.standardised)))
    w = float(solved.standardised[index])
    if abs(w) <= LIMIT:
        return None
    observations = solved.network.observations
    others = sorted(solved.tied_to(index), key=lambda other: -abs(solved.standardised[other]))
    suspects = (index, *others)
    share, sigma = float(solved.redundancy[index]), observations[index].sigma
    size = float(solved.solution.misfits[index]) / share * sigma
    return Slip(tuple(observations[each].id for each in suspects), size, sigma / share**0.5, w)


def _tried_back(network: Network, slips: list[Slip], sound: Solved) -> tuple[list[Slip], Solved]:
    for slip in slips[:-1]:
        rest = [other for other in slips if other is not slip]
        again = solve(network.without([other.suspects[0] for other in rest], sound.figure))
        if _worst(again) is None:
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
    """Whether two readings are as far apart as their slips say, to a factor of three."""
    return all(apart / 3 <= slip <= apart * 3 for slip in slips)


def swapped(as_read: Solved) -> tuple[str, str] | None:
    """Two lengths that, put in each other's place, make the whole measure agree; else None."""
    observations = as_read.network.observations
    over = [
        index
        for index, o in enumerate(observations)
        if o.kind in _LENGTHS and abs(as_read.standardised[index]) > LIMIT
    ]
    limit = chi_square_limit(as_read.redundant) if as_read.redundant else 0.0
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
        if again.total <= limit and float(np.max(np.abs(again.standardised))) <= LIMIT:
            return a.id, b.id
    return None
