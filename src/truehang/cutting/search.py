"""What is the cheapest packing, and is that proved? Each way only if the one before leaves a gap.

1. simple fills against simple bounds (`bins`);
2. the linear programme over all patterns and its checked bound (`master`);
3. where there are several kinds of length: the cheapest counts of each, one after another, until
   one can be packed (`counts`);
4. dives that round the linear programme and price again (`dives`);
5. every pattern whose reduced cost leaves it a place in a better packing, in an integer programme
   (`whole`): with all of them there, its answer is the answer.
"""

from __future__ import annotations

from collections import Counter

from truehang.cutting.best import Answer, Best
from truehang.cutting.bins import (
    Problem,
    best_fill,
    first_fit_decreasing,
    load_bound,
    martello_toth_bound,
)
from truehang.cutting.counts import by_counts
from truehang.cutting.dives import dive
from truehang.cutting.master import Clock, Master, checked_bound
from truehang.cutting.request import Effort
from truehang.cutting.whole import integer

ROOT_ROUNDS = 4_000
WORK = 10_000_000_000
MOST_CELLS = 300_000_000
MANY_SIZES = 800


def solve(of: Problem, effort: Effort) -> Answer:
    """The cheapest packing of the problem that the effort allows, with its proven bound."""
    clock = Clock(effort.seconds)
    best = Best(of)
    if not of.sizes:
        best.offer(Counter(), "nothing to cut")
        return best.answer()
    _simple(of, best)
    if best.closed:
        return best.answer()
    cells = sum(min(d, 15).bit_length() for d in of.demands) * (max(of.capacities) + 1)
    if cells > MOST_CELLS or len(of.sizes) > MANY_SIZES:
        return best.answer()
    rounds = max(1, min(ROOT_ROUNDS, WORK // cells))
    master = Master(of)
    if best.packing is not None:
        for pattern, _ in best.packing.uses:
            master.add(pattern)
    _, _, duals, _, done = master.generate(rounds, clock)
    best.raise_bound(checked_bound(of, duals))
    if not done:
        return best.answer()
    if not best.closed and len(of.costs) > 1:
        by_counts(of, master, best, effort, clock)
    for number in range(effort.dives):
        if best.closed or clock.over():
            return best.answer()
        dive(master, best, number, clock)
    if not best.closed and not clock.over():
        integer(of, master, best, duals, effort, clock)
    return best.answer()


def _simple(of: Problem, best: Best) -> None:
    if len(of.sizes) <= MANY_SIZES:
        best.offer(first_fit_decreasing(of), "first fit")
    best.raise_bound(load_bound(of))
    if _one_kind(of):
        best.raise_bound(martello_toth_bound(of) * of.costs[0])
    if not best.closed:
        best.offer(best_fill(of), "fullest first")


def _one_kind(of: Problem) -> bool:
    return len(of.capacities) == 1 and of.limits[0] is None
