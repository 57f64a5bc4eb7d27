"""Before which slot can nobody be done? Bounds on the finish that need no search.

Chains: the longest way through the links, waits and earliest starts. Energy: for a trial finish
every work has a window; where the works that must lie in a stretch (wholly or in part) need more of
a resource than the stretch has, the trial fails and the finish is later (energetic reasoning:
Baptiste, Le Pape and Nuijten, *Annals of Operations Research* 92, 1999; as a destructive bound:
Klein and Scholl, *EJOR* 112, 1999). A crew's heads and tails are the stretches that begin when the
first of its works can and end when the last must.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from truehang.programme.first import finish_of, windows
from truehang.programme.network import Network

MOST_CELLS = 4_000_000
"""Stretches times works that one trial may look at; above it only every so many-th stretch."""


@dataclass(frozen=True, slots=True)
class Bound:
    """No schedule is done before `finish`; `why` is chains, or energy of `resource`."""

    finish: int
    why: str
    resource: int | None = None


def bound(network: Network, upper: int) -> Bound:
    """The best of the bounds, for a network that can be done by `upper`."""
    if not len(network):
        return Bound(0, "chains")
    chains = finish_of(network, windows(network).first)
    low, high, blocked = chains, max(upper, chains), None
    while low < high:
        trial = (low + high) // 2
        stuck = _overfull(network, trial)
        if stuck is None:
            high = trial
        else:
            low, blocked = trial + 1, stuck
    return Bound(low, "chains") if blocked is None else Bound(low, "energy", blocked)


def _overfull(network: Network, finish: int) -> int | None:
    """A resource that has too little for what must be done by `finish`; None where none is seen."""
    ends = windows(network, finish)
    first, last = np.array(ends.first), np.array(ends.last)
    lengths = np.array(network.lengths)
    if np.any(first + lengths > last):
        return next(
            (network.needs[i][0][0] for i in np.flatnonzero(first + lengths > last)
             if network.needs[i]), 0)  # fmt: skip
    for resource, capacity in enumerate(network.capacities):
        amount = np.array([sum(a for r, a in need if r == resource) for need in network.needs])
        uses = np.flatnonzero((amount > 0) & (lengths > 0))
        if len(uses) < 2:
            continue
        free = np.full(finish + 1, capacity)
        for gone in network.taken:
            if gone.resource == resource:
                free[gone.begin : gone.end] -= gone.amount
        if _stretch(first[uses], last[uses], lengths[uses], amount[uses], free):
            return resource
    return None


def _stretch(
    first: np.ndarray, last: np.ndarray, lengths: np.ndarray, amount: np.ndarray, free: np.ndarray
) -> bool:
    """Is there a stretch in which more must be done than is free in it?"""
    has = np.concatenate([[0], np.cumsum(np.maximum(free, 0))])
    begins = np.unique(np.concatenate([first, last - lengths]))
    stops = np.unique(np.concatenate([last, first + lengths]))
    every = max(1, -(-len(begins) * len(stops) * len(first) // MOST_CELLS))
    for begin in begins[::every] if every > 1 else begins:
        later = stops[stops > begin]
        if not len(later):
            continue
        left = np.clip(first + lengths - begin, 0, lengths)
        right = np.clip(later[:, None] - (last - lengths)[None, :], 0, None)
        inside = np.minimum(np.minimum(left[None, :], right), (later - begin)[:, None])
        if np.any(inside @ amount > has[np.minimum(later, len(has) - 1)] - has[begin]):
            return True
    return False
