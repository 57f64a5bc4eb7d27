"""What is the cheapest packing, and is that proved? Heuristics, column generation, dives, a MIP.

In this order, each only if the one before leaves a gap:
1. simple fills against simple bounds;
2. the linear programme over all patterns, its checked bound, and dives that round it and price
   again (as in Sadykov et al., *INFORMS Journal on Computing* 31, 2019, without their cuts);
3. every pattern whose reduced cost leaves it a place in a better packing, handed to HiGHS as an
   integer programme: with all of them there, its answer is the answer.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import highspy
import numpy as np
from numpy.typing import NDArray

from truehang.cutting.bins import (
    Counts,
    Packing,
    Pattern,
    Problem,
    best_fill,
    best_tail,
    first_fit_decreasing,
    load_bound,
    martello_toth_bound,
    trimmed,
)
from truehang.cutting.master import EPS, Clock, Floats, Ints, Master, Pricing, checked_bound, quiet
from truehang.cutting.request import Effort

ROOT_ROUNDS = 4_000
DIVE_ROUNDS = 60
WORK = 10_000_000_000
MOST_CELLS = 300_000_000
MANY_SIZES = 800
TABLE_CELLS = 24_000_000
EXACT_ITEMS = 10
FINISH_ITEMS = 40
TURNS = 40
COUNT_NODES = 500


@dataclass(frozen=True, slots=True)
class Answer:
    """The best packing found (None: the limits leave parts over) and a proven lower bound."""

    packing: Packing | None
    bound: int
    method: str

    @property
    def proved(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.packing is not None and self.packing.cost <= self.bound


class Best:
    """The best packing so far and the bound so far."""

    def __init__(self, of: Problem, at_most: float = math.inf) -> None:
        self.of = of
        self.at_most = at_most
        self.packing: Packing | None = None
        self.bound = 0
        self.method = ""

    def offer(self, uses: Counter[Pattern] | None, method: str) -> bool:
        if uses is None:
            return False
        cost = sum(self.of.costs[pattern.kind] * times for pattern, times in uses.items())
        if self.packing is not None and cost >= self.packing.cost:
            return False
        found = trimmed(self.of, uses)
        if self.packing is None or found.cost < self.packing.cost:
            self.packing, self.method = found, method
            return True
        return False

    def raise_bound(self, bound: Fraction | int) -> None:
        step = self.of.step
        self.bound = max(self.bound, math.ceil(Fraction(bound) / step) * step)

    @property
    def closed(self) -> bool:
        return self.packing is not None and self.packing.cost <= self.bound

    @property
    def worth_beating(self) -> float:
        """A packing is of use only if it costs no more than this."""
        return self.at_most if self.packing is None else self.packing.cost - self.of.step

    def answer(self) -> Answer:
        return Answer(self.packing, self.bound, self.method)


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
    if not best.closed:
        best.raise_bound(_counting_bound(of, master.patterns, best.bound, clock))
    for number in range(effort.dives):
        if best.closed or clock.over():
            return best.answer()
        _dive(master, best, number, clock)
    if not best.closed and not clock.over():
        _integer(of, master, best, duals, effort, clock)
    return best.answer()


def _counting_bound(of: Problem, patterns: Sequence[Pattern], bound: int, clock: Clock) -> int:
    """A bound from whole numbers of bins of each kind.

    Stock lengths come in steps (300 mm, say), so the length bought, in steps, and the number of
    bins are whole. Each has its own linear programme whose bound may be rounded up; the least cost
    of whole bin counts that keep all of these is a bound on the cost.
    """
    bought = [kind for kind, cost in enumerate(of.costs) if cost > 0]
    lengths = [of.capacities[kind] for kind in bought]
    grid = math.gcd(*(length - lengths[0] for length in lengths)) if bought else 0
    if len(bought) < 2 or not grid:
        return bound
    rows: list[tuple[list[int], int]] = [(list(of.costs), bound)]
    steps = [round(c / grid) if of.costs[k] else 0 for k, c in enumerate(of.capacities)]
    ones = [int(cost > 0) for cost in of.costs]
    for measure in (steps, ones):
        other = replace(of, costs=tuple(measure))
        if min(measure[kind] for kind in bought) < 1 or clock.over():
            continue
        master = Master(other)
        for pattern in patterns:
            master.add(pattern)
        _, _, duals, _, _ = master.generate(ROOT_ROUNDS, clock)
        rows.append((measure, math.ceil(checked_bound(other, duals))))
    return max(bound, whole_counts_bound(of, rows))


def whole_counts_bound(of: Problem, rows: Sequence[tuple[Sequence[int], int]]) -> int:
    """The least cost of whole numbers of bins that keep every row: weights of the kinds, and what
    their sum must reach. That the bins hold the load is always one of the rows."""
    load = sum(size * demand for size, demand in zip(of.sizes, of.demands, strict=True))
    solver = quiet()
    for kind, cost in enumerate(of.costs):
        limit = of.limits[kind]
        upper = highspy.kHighsInf if limit is None else float(limit)
        solver.addCol(float(cost), 0.0, upper, 0, [], [])
        solver.changeColIntegrality(kind, highspy.HighsVarType.kInteger)
    index = list(range(len(of.costs)))
    for weights, least in [*rows, (of.capacities, load)]:
        values = [float(weight) for weight in weights]
        solver.addRow(float(least), highspy.kHighsInf, len(index), index, values)
    solver.setOptionValue("mip_max_nodes", COUNT_NODES)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.run()
    found = solver.getInfo().mip_dual_bound
    return math.ceil(found - 1e-6 * (1 + abs(found))) if math.isfinite(found) else 0


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


def _dive(master: Master, best: Best, number: int, clock: Clock) -> None:
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


def _integer(
    of: Problem, master: Master, best: Best, duals: Floats, effort: Effort, clock: Clock
) -> None:
    """Integer programmes: over the patterns met so far, then over all that could be of use."""
    met = _cheapest(master.patterns, of, duals, max(200, effort.columns // 8))
    if choose(of, met, best, max(1, effort.nodes // 10), clock) and best.closed:
        return
    found = _useful_patterns(of, duals, best.worth_beating, effort.columns)
    if found is None or clock.over():
        return
    choose(of, found, best, effort.nodes, clock, complete=True)


def _cheapest(patterns: Sequence[Pattern], of: Problem, duals: Floats, most: int) -> list[Pattern]:
    """The patterns of least reduced cost, at most so many."""
    if not patterns:
        return []
    table = np.asarray([pattern.counts for pattern in patterns])
    costs = np.asarray([of.costs[pattern.kind] for pattern in patterns])
    order = np.argsort(costs - table @ duals, kind="stable")[:most]
    return [patterns[int(place)] for place in order]


def _useful_patterns(of: Problem, duals: Floats, at_most: float, most: int) -> list[Pattern] | None:
    """Every full pattern that a packing costing `at_most` can hold; None if there are too many.

    A packing that uses a pattern costs at least the bound plus the pattern's reduced cost, so a
    pattern whose reduced cost passes the slack is left out. A pattern that has room for one more
    wanted item is left out too: the fuller one does as well.
    """
    priced = _exact_prices(of, duals)
    if priced is None:
        return None
    worth, rent, bound = priced
    slack = at_most - bound + EPS * (1 + abs(at_most))
    if slack < 0:
        return []
    rest = _rest_tables(of, worth)
    if rest is None:
        return None
    patterns: list[Pattern] = []
    for kind, capacity in enumerate(of.capacities):
        if of.limits[kind] == 0:
            continue
        counts = _worth_at_least(
            of, worth, rest, capacity, of.costs[kind] + rent[kind] - slack, most - len(patterns)
        )
        if counts is None:
            return None
        patterns.extend(Pattern(kind, tuple(row)) for row in counts.tolist())
    return patterns


def _exact_prices(of: Problem, duals: Floats) -> tuple[Floats, list[float], float] | None:
    """Item prices and bin rents that no pattern is worth more than, and the bound they give."""
    best = np.asarray(Pricing(of, of.demands).run(duals), dtype=np.float64)
    shrink = 1.0
    for kind, capacity in enumerate(of.capacities):
        if of.limits[kind] is None and best[capacity] > 0:
            shrink = min(shrink, of.costs[kind] / float(best[capacity]))
    worth = duals * shrink
    rent = [
        0.0
        if of.limits[kind] is None
        else max(0.0, float(best[capacity]) * shrink - of.costs[kind])
        for kind, capacity in enumerate(of.capacities)
    ]
    bound = float(worth @ np.asarray(of.demands))
    bound -= sum(r * (limit or 0) for r, limit in zip(rent, of.limits, strict=True))
    return (worth, rent, bound) if shrink > 0 else None


def _rest_tables(of: Problem, worth: Floats) -> NDArray[np.float32] | None:
    """rest[i][c]: most that items i, i+1, ... can be worth in room c. None if it takes too much."""
    top, count = max(of.capacities), len(of.sizes)
    if (top + 1) * (count + 1) > TABLE_CELLS:
        return None
    rest = np.zeros((count + 1, top + 1), dtype=np.float32)
    for item in range(count - 1, -1, -1):
        row = rest[item + 1].astype(np.float64)
        copies, take = min(of.demands[item], top // of.sizes[item]), 1
        while copies > 0:
            step = min(take, copies)
            weight = step * of.sizes[item]
            np.maximum(row[weight:], row[:-weight] + step * worth[item], out=row[weight:])
            copies -= step
            take *= 2
        rest[item] = row
    return rest


def _worth_at_least(
    of: Problem,
    worth: Floats,
    rest: NDArray[np.float32],
    capacity: int,
    least: float,
    most: int,
) -> Ints | None:
    """All full patterns for a capacity worth `least` or more, a row each; None if over `most`."""
    least -= 1e-5 * (1 + abs(least))  # the tables are in single precision
    room = np.array([capacity], dtype=np.int64)
    value = np.zeros(1)
    spare = np.full(1, capacity + 1, dtype=np.int64)  # smallest item that could be added
    counts = np.zeros((1, len(of.sizes)), dtype=np.int16)
    for item, (size, demand) in enumerate(zip(of.sizes, of.demands, strict=True)):
        parts = []
        for take in range(min(demand, capacity // size) + 1):
            fits = room >= take * size
            left = room - take * size
            fits &= value + take * worth[item] + rest[item + 1][np.maximum(left, 0)] >= least
            if not fits.any():
                continue
            chosen = counts[fits]
            chosen[:, item] = take
            open_ = spare[fits] if take == demand else np.full(int(fits.sum()), size)
            parts.append((left[fits], value[fits] + take * worth[item], open_, chosen))
        if not parts:
            return np.zeros((0, len(of.sizes)), dtype=np.int64)
        room, value, spare, counts = (np.concatenate(column) for column in zip(*parts, strict=True))
        if len(room) > 4 * most:
            return None
    full = (room < spare) & counts.any(axis=1)
    return counts[full].astype(np.int64) if int(full.sum()) <= most else None


def choose(
    of: Problem,
    patterns: Sequence[Pattern],
    best: Best,
    nodes: int,
    clock: Clock,
    complete: bool = False,
) -> bool:
    """Choose whole uses of patterns at a cost below the best packing. True if one was found.

    `complete` says that every pattern of use is there: then the solver's bound is the bound.
    """
    ceiling = best.worth_beating
    if not patterns:
        if complete and math.isfinite(ceiling):
            best.raise_bound(round(ceiling) + of.step)
        return False
    solver = quiet()
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.99)
    if (seconds := clock.left()) is not None:
        solver.setOptionValue("time_limit", seconds)
    solver.passModel(_model(of, patterns, ceiling, best.bound))
    solver.run()
    status = solver.getModelStatus()
    info = solver.getInfo()
    found = False
    if info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
        uses = Counter(
            {
                pattern: round(times)
                for pattern, times in zip(patterns, solver.getSolution().col_value, strict=True)
                if round(times) > 0
            }
        )
        found = best.offer(uses, "integer programme")
    if complete and math.isfinite(ceiling):
        if status == highspy.HighsModelStatus.kInfeasible:
            best.raise_bound(round(ceiling) + of.step)
        elif math.isfinite(info.mip_dual_bound):
            bound = Fraction(info.mip_dual_bound - 1e-6 * (1 + abs(info.mip_dual_bound)))
            best.raise_bound(min(bound * of.step, Fraction(ceiling) + of.step))
    return found


def _model(of: Problem, patterns: Sequence[Pattern], ceiling: float, floor: int) -> highspy.HighsLp:
    """min cost of uses, each demand met, each limit kept, cost between floor and ceiling."""
    limited = [kind for kind, limit in enumerate(of.limits) if limit is not None]
    rows = len(of.sizes) + len(limited) + 1
    cost = np.asarray([of.costs[p.kind] // of.step for p in patterns], dtype=np.float64)
    table = np.zeros((len(patterns), rows))
    table[:, : len(of.sizes)] = np.asarray([p.counts for p in patterns])
    for row, kind in enumerate(limited):
        table[:, len(of.sizes) + row] = [p.kind == kind for p in patterns]
    table[:, -1] = cost
    where = np.nonzero(table)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(patterns), rows
    model.col_cost_ = cost
    model.col_lower_ = np.zeros(len(patterns))
    model.col_upper_ = np.full(len(patterns), float(max(of.demands)))
    model.row_lower_ = np.asarray(
        [*map(float, of.demands), *[-highspy.kHighsInf] * len(limited), floor / of.step]
    )
    model.row_upper_ = np.asarray(
        [
            *[highspy.kHighsInf] * len(of.sizes),
            *[float(of.limits[kind] or 0) for kind in limited],
            highspy.kHighsInf if math.isinf(ceiling) else ceiling / of.step,
        ]
    )
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.concatenate(
        ([0], np.cumsum(np.bincount(where[0], minlength=len(patterns))))
    ).astype(np.int32)
    model.a_matrix_.index_ = where[1].astype(np.int32)
    model.a_matrix_.value_ = table[where]
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(patterns)
    return model
