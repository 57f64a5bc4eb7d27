"""Which whole packing lies near the linear programme's? Rounding it up, pricing again each time.

(As in Sadykov et al., *INFORMS Journal on Computing* 31, 2019, without their cuts.)
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from truehang.cutting.best import Best
from truehang.cutting.bins import (
    Counts,
    Pattern,
    Problem,
    best_fill,
    best_tail,
    first_fit_decreasing,
)
from truehang.cutting.master import EPS, Clock, Floats, Master

DIVE_ROUNDS = 60
EXACT_ITEMS = 10
FINISH_ITEMS = 40
TURNS = 40


@dataclass(frozen=True, slots=True)
class _Node:
    """A place in a dive: patterns fixed, what they cost, and what is left to pack."""

    fixed: Counter[Pattern]
    cost: int
    left: Counts
    limits: tuple[int | None, ...]
    in_bulk: bool = False

    def after(self, of: Problem, chosen: Sequence[tuple[Pattern, int]]) -> _Node:
        fixed, left, limits = Counter(self.fixed), list(self.left), list(self.limits)
        cost = self.cost
        for pattern, times in chosen:
            fixed[pattern] += times
            cost += of.costs[pattern.kind] * times
            limit = limits[pattern.kind]
            if limit is not None:
                limits[pattern.kind] = limit - times
            for item, count in enumerate(pattern.counts):
                left[item] = max(0, left[item] - count * times)
        return _Node(fixed, cost, tuple(left), tuple(limits), len(chosen) > 1)


def dive(master: Master, best: Best, number: int, clock: Clock) -> None:
    """Round patterns of the linear programme up one after another, pricing again each time.

    Where the linear programme shows that nothing better lies below, the dive turns back to the
    second choice of the place before: never in dive 0, and more often the later the dive, up to
    TURNS times. Dive 0 takes the largest use first; the others draw, with their number as seed, so
    that every run is the same.
    """
    of = master.of
    chance = None if number == 0 else np.random.default_rng(number)
    stack = [_Node(Counter(), 0, of.demands, of.limits)]
    turns = 0
    while (
        stack and turns <= min(TURNS, 4 * number * number) and not best.closed and not clock.over()
    ):
        node = stack.pop()
        if not any(node.left):
            best.offer(node.fixed, "rounded linear programme")
            turns += 1
            continue
        master.restrict(node.left, node.limits)
        value, uses, _, _, done = master.generate(DIVE_ROUNDS, clock)
        if done and node.cost + value > best.worth_beating + EPS * (1 + node.cost):
            turns += 1
            continue
        if (node.in_bulk or sum(node.left) <= FINISH_ITEMS) and _finish(of, best, node):
            turns += 1
            continue
        chosen = _whole_uses(master, uses, node.left, node.limits)
        if chosen:
            stack.append(node.after(of, chosen))
            continue
        order = [int(j) for j in np.argsort(-uses, kind="stable")[:8] if uses[j] > EPS]
        if not order:
            turns += 1
            continue
        first = _pick(order, uses, chance)
        order.remove(first)
        for column in [*order[:1], first]:
            stack.append(node.after(of, [(master.patterns[column], 1)]))
    master.restrict(of.demands, of.limits)


def _pick(order: list[int], uses: Floats, chance: np.random.Generator | None) -> int:
    """The pattern used most, or one drawn in proportion to the square of its use."""
    if chance is None:
        return order[0]
    weight = uses[order] ** 2
    return order[int(np.searchsorted(np.cumsum(weight), chance.random() * weight.sum()))]


def _whole_uses(
    master: Master, uses: Floats, left: Sequence[int], limits: Sequence[int | None]
) -> list[tuple[Pattern, int]]:
    """Patterns that the linear programme uses at least once, as often as still fits the demand."""
    rest, free = list(left), list(limits)
    chosen: list[tuple[Pattern, int]] = []
    for column in np.flatnonzero(uses >= 1 - 1e-6):
        pattern = master.patterns[int(column)]
        times = int(uses[column] + 1e-6)
        times = min([times, *(rest[i] // n for i, n in enumerate(pattern.counts) if n)])
        limit = free[pattern.kind]
        if limit is not None:
            times = min(times, limit)
            free[pattern.kind] = limit - max(0, times)
        if times > 0:
            chosen.append((pattern, times))
            for item, count in enumerate(pattern.counts):
                rest[item] -= count * times
    return chosen


def _finish(of: Problem, best: Best, node: _Node) -> bool:
    """Offer what is fixed with the rest filled simply. True if nothing more can come of it."""
    if sum(node.left) <= EXACT_ITEMS:
        rest = best_tail(of, node.left, node.limits)
        best.offer(None if rest is None else node.fixed + rest, "rounded linear programme")
        return True
    for fill in (first_fit_decreasing, best_fill):
        rest = fill(of, node.left, node.limits)
        best.offer(None if rest is None else node.fixed + rest, "rounded linear programme")
    return best.closed
