"""Which patterns, a whole number of times each? Integer programmes over patterns, on HiGHS.

Over every pattern whose reduced cost leaves it a place in a better packing, the integer
programme's answer is the answer.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

import highspy
import numpy as np
from numpy.typing import NDArray

from truehang.cutting.best import Best
from truehang.cutting.bins import Pattern, Problem
from truehang.cutting.master import EPS, Clock, Floats, Ints, Master, Pricing, quiet
from truehang.cutting.request import Effort

TABLE_CELLS = 24_000_000


def integer(
    of: Problem, master: Master, best: Best, duals: Floats, effort: Effort, clock: Clock
) -> None:
    """Integer programmes: over the patterns met so far, then over all that could be of use."""
    met = _cheapest(master.patterns, of, duals, max(200, effort.columns // 8))
    if choose(of, met, best, max(1, effort.nodes // 10), clock) and best.closed:
        return
    found = useful_patterns(of, duals, best.worth_beating, effort.columns)
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


def useful_patterns(of: Problem, duals: Floats, at_most: float, most: int) -> list[Pattern] | None:
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
