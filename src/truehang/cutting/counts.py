"""How many of each stock length could cost less? Whole counts first, patterns after.

Stock lengths and prices come in steps, so few counts of lengths cost less than the best packing
known. The cheapest count that nothing rules out is tried by the linear programme with just those
lengths on hand. Where they do not even hold the parts in fractions, the prices of the parts show
why (Farkas), and that rules out other counts too; where they do, a whole packing is looked for.
So the bound rises count by count until a packing meets it. (Logic-based Benders decomposition:
Hooker, Ottosson, *Mathematical Programming* 96, 2003, from memory.)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import highspy
import numpy as np

from truehang.cutting.best import Best
from truehang.cutting.bins import Counts, Packing, Problem
from truehang.cutting.dives import dive
from truehang.cutting.master import SCALE, Clock, Floats, Master, Pricing, quiet
from truehang.cutting.request import Effort
from truehang.cutting.whole import choose, useful_patterns

COUNT_NODES = 500
COUNTS_TRIED = 200
DIVES_EACH = 3
ROUNDS = 400
BEYOND = 4
"""After a count whose packing stays in doubt, this many dearer ones are still tried."""


@dataclass(frozen=True, slots=True)
class Row:
    """What any count must keep: weights of the kinds, and what they must come to at least."""

    weights: tuple[float, ...]
    least: float


def load_row(of: Problem) -> Row:
    """The lengths hold the load."""
    load = sum(size * demand for size, demand in zip(of.sizes, of.demands, strict=True))
    return Row(tuple(map(float, of.capacities)), float(load))


def least_counts(
    of: Problem, rows: Sequence[Row], ruled_out: Sequence[Counts] = ()
) -> tuple[Counts | None, int]:
    """The cheapest whole numbers of bins that keep every row and of which some kind has more than
    in each count ruled out; and the least that any can cost. None if none was found."""
    solver = quiet()
    kinds = list(range(len(of.costs)))
    for kind, cost in enumerate(of.costs):
        limit = of.limits[kind]
        upper = highspy.kHighsInf if limit is None else float(limit)
        solver.addCol(cost / of.step, 0.0, upper, 0, [], [])
        solver.changeColIntegrality(kind, highspy.HighsVarType.kInteger)
    for row in rows:
        size = max(row.least, 1.0)
        solver.addRow(
            row.least / size * (1 - 1e-9), highspy.kHighsInf, len(kinds), kinds,
            [weight / size for weight in row.weights],
        )  # fmt: skip
    for counts in ruled_out:
        more = []
        for kind in kinds:
            if of.limits[kind] is not None and counts[kind] >= (of.limits[kind] or 0):
                continue
            column = solver.getNumCol()
            solver.addCol(0.0, 0.0, 1.0, 0, [], [])
            solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
            least = -float(counts[kind] + 1)
            solver.addRow(0.0, highspy.kHighsInf, 2, [kind, column], [1.0, least])
            more.append(column)
        solver.addRow(1.0, highspy.kHighsInf, len(more), more, [1.0] * len(more))
    solver.setOptionValue("mip_max_nodes", COUNT_NODES)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    solver.run()
    info = solver.getInfo()
    found = info.mip_dual_bound
    bound = math.ceil(found - 1e-6 * (1 + abs(found))) * of.step if math.isfinite(found) else 0
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, bound
    values = solver.getSolution().col_value
    return tuple(round(values[kind]) for kind in kinds), bound


def by_counts(of: Problem, master: Master, best: Best, effort: Effort, clock: Clock) -> None:
    """Raise the bound, and look for packings, count by count. Ends when the bound is met, or when
    a count stays in doubt: then only better packings are looked for a little further."""
    rows = [load_row(of), Row(tuple(map(float, of.costs)), float(best.bound))]
    duals = master.solve()[2]
    tried = _Counted(of, master)
    ruled_out: list[Counts] = []
    doubts = 0
    for _ in range(COUNTS_TRIED):
        counts, bound = least_counts(of, rows, ruled_out)
        if not doubts:
            best.raise_bound(bound if best.packing is None else min(bound, best.packing.cost))
        if counts is None or best.closed or clock.over():
            return
        if of_cost(of, counts) > best.worth_beating:
            return
        counts = _with_free(of, counts)
        row = tried.reason_against(counts)
        if row is not None:
            if row in rows:  # the solver's tolerance lets it by again: nothing more comes of it
                return
            rows.append(row)
            continue
        if tried.pack(best, duals, effort, clock) is None:
            doubts += 1
            if doubts > BEYOND:
                return
        ruled_out.append(counts)


def of_cost(of: Problem, counts: Counts) -> int:
    """What so many of each kind cost."""
    return sum(cost * count for cost, count in zip(of.costs, counts, strict=True))


def _with_free(of: Problem, counts: Counts) -> Counts:
    """All that costs nothing besides: more of it never hurts."""
    return tuple(
        of.limits[kind] or count if of.costs[kind] == 0 else count
        for kind, count in enumerate(counts)
    )


class _Counted:
    """The problem with a fixed number of each kind on hand, all at no cost."""

    def __init__(self, of: Problem, master: Master) -> None:
        self._of = of
        most = sum(of.demands)
        self._free = replace(
            of,
            costs=(0,) * len(of.costs),
            limits=tuple(most if limit is None else limit for limit in of.limits),
        )
        self._master = Master(self._free)
        for pattern in master.patterns:
            self._master.add(pattern)
        self._counts: Counts = ()

    def reason_against(self, counts: Counts) -> Row | None:
        """The row that shows why so many of each kind can't hold the parts even in fractions;
        None where they do, or where rounding leaves it open. Reckoned in whole numbers."""
        master = self._master
        self._counts = counts
        master.of = replace(self._free, limits=counts)
        master.restrict(self._of.demands, counts)
        _, _, duals, _, _ = master.generate(ROUNDS, Clock(None))
        whole = np.maximum(np.round(duals * SCALE), 0).astype(np.int64)
        worth = Pricing(self._of, self._of.demands).run(whole)
        weights = [int(worth[capacity]) for capacity in self._of.capacities]
        needed = sum(int(w) * d for w, d in zip(whole, self._of.demands, strict=True))
        held = sum(w * n for w, n in zip(weights, counts, strict=True))
        if held >= needed:
            return None
        return Row(tuple(map(float, weights)), float(needed))

    def pack(self, best: Best, duals: Floats, effort: Effort, clock: Clock) -> bool | None:
        """Pack the parts into the counts just tried: True if it was done, False if it can't be,
        None where that stays in doubt."""
        within = Best(self._master.of, at_most=0)
        for number in range(min(DIVES_EACH, effort.dives)):
            dive(self._master, within, number, clock)
            if within.packing is not None:
                return self._taken(best, within.packing)
        limited = replace(self._of, limits=self._counts)
        cost = of_cost(self._of, self._counts)
        patterns = useful_patterns(limited, duals, cost, effort.columns)
        if patterns is None or clock.over():
            return None
        whole = Best(limited, at_most=cost)
        choose(limited, patterns, whole, effort.nodes, clock, complete=True)
        if whole.packing is not None:
            return self._taken(best, whole.packing)
        return False if whole.bound > cost else None

    def _taken(self, best: Best, packing: Packing) -> bool:
        best.offer(Counter(dict(packing.uses)), "least counts of each length")
        return True
