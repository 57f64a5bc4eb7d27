"""Which patterns pay? Column generation for the cutting problem on HiGHS, with a checked bound.

The linear programme over all patterns (Gilmore and Gomory, *Operations Research* 9, 1961 and 11,
1963) is solved by adding patterns only when they pay. Pricing is one bounded knapsack, solved for
all capacities at once by dynamic programming. The bound that is handed back is recomputed in whole
numbers from rounded duals (Farley, *Operations Research* 38, 1990), so that no rounding error of
the linear programme can make it too high. Both papers are cited from memory.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from fractions import Fraction

import highspy
import numpy as np
from numpy.typing import NDArray

from truehang.cutting.bins import Pattern, Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
EPS = 1e-7
SCALE = 10**9


class Clock:
    """A limit in processor seconds of this thread that a caller asked for, so that a machine that
    is busy with other things gives no worse plan; without one no clock is read."""

    def __init__(self, seconds: float | None) -> None:
        self._end = None if seconds is None else time.thread_time() + seconds

    def left(self) -> float | None:
        """Seconds left, or None without a limit."""
        return None if self._end is None else max(0.0, self._end - time.thread_time())

    def over(self) -> bool:
        """Whether the limit has been reached."""
        return self._end is not None and time.thread_time() >= self._end


class _Quiet(highspy.Highs):  # type: ignore[misc, unused-ignore]
    """A solver that is silent from the start: its name is printed while it is being set up."""

    def enableCallbacks(self) -> None:
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet() -> highspy.Highs:
    """A silent solver on one thread with a fixed seed."""
    solver = _Quiet()  # type: ignore[no-untyped-call]
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver


class Pricing:
    """The bounded knapsack over all capacities: worth of the best pattern, and the pattern."""

    def __init__(self, of: Problem, demands: Sequence[int]) -> None:
        top = max(of.capacities)
        chunks: list[tuple[int, int]] = []
        for item, (size, demand) in enumerate(zip(of.sizes, demands, strict=True)):
            copies = min(demand, top // size)
            take = 1
            while copies > 0:
                chunks.append((item, min(take, copies)))
                copies -= take
                take *= 2
        self._of = of
        self._items = [item for item, _ in chunks]
        self._takes = [take for _, take in chunks]
        self._weights = [take * of.sizes[item] for item, take in chunks]
        self._taken = np.zeros((len(chunks), top + 1), dtype=bool)

    def run(self, worth: NDArray[np.generic]) -> NDArray[np.generic]:
        """Best total worth for each capacity 0..max. `worth` per item, float or whole."""
        best = np.zeros(self._taken.shape[1], dtype=worth.dtype)
        values = worth.tolist()
        for row, (item, take, weight) in enumerate(
            zip(self._items, self._takes, self._weights, strict=True)
        ):
            gain = take * values[item]
            taken = self._taken[row]
            if gain <= 0:
                taken[:] = False
                continue
            tried = best[:-weight] + gain
            taken[:weight] = False
            np.greater(tried, best[weight:], out=taken[weight:])
            np.maximum(best[weight:], tried, out=best[weight:])
        return best

    def pattern(self, capacity: int, upto: int | None = None) -> list[int]:
        """Counts of the best pattern for a capacity after `run`, of the first `upto` chunks."""
        counts = [0] * len(self._of.sizes)
        room = capacity
        last = len(self._items) if upto is None else upto
        column = self._taken
        for row in range(last - 1, -1, -1):
            if column[row, room]:
                counts[self._items[row]] += self._takes[row]
                room -= self._weights[row]
        return counts

    def several(self, kind: int, worth: Floats, least: float, most: int) -> list[list[int]]:
        """Different patterns for one bin kind worth more than `least`: the best, and best ones
        that end at an earlier chunk."""
        capacity = self._of.capacities[kind]
        ends = np.flatnonzero(self._taken[:, capacity])[::-1]
        found: list[list[int]] = []
        for end in ends[: 4 * most]:
            counts = self.pattern(capacity, int(end) + 1)
            total = sum(n * w for n, w in zip(counts, worth, strict=True) if n)
            if total <= least or len(found) >= most:
                break
            found.append(counts)
        return found


class Master:
    """The linear programme over the patterns found so far."""

    def __init__(self, of: Problem) -> None:
        self.of = of
        self.patterns: list[Pattern] = []
        self.known: set[Pattern] = set()
        self._table: Ints = np.zeros((256, len(of.sizes)), dtype=np.int64)
        self._limited = [k for k, limit in enumerate(of.limits) if limit is not None]
        self._limit_row = {k: len(of.sizes) + row for row, k in enumerate(self._limited)}
        self._dear = 2 * max(of.costs, default=1) + 1
        solver = quiet()
        solver.setOptionValue("presolve", "off")
        solver.setOptionValue("solver", "simplex")
        self._solver = solver
        for demand in of.demands:
            solver.addRow(float(demand), highspy.kHighsInf, 0, [], [])
        for kind in self._limited:
            solver.addRow(-highspy.kHighsInf, float(of.limits[kind] or 0), 0, [], [])
        rows = len(of.sizes)
        for item in range(rows):  # what can't be packed yet, at a price no bin has
            solver.addCol(float(self._dear), 0.0, highspy.kHighsInf, 1, [item], [1.0])
        self._first = rows
        self.demands = list(of.demands)
        self.limits = list(of.limits)

    def add(self, pattern: Pattern) -> bool:
        """Add a pattern; False if it is there already."""
        if pattern in self.known:
            return False
        self.known.add(pattern)
        self.patterns.append(pattern)
        rows = [item for item, count in enumerate(pattern.counts) if count]
        values = [float(pattern.counts[item]) for item in rows]
        row = self._limit_row.get(pattern.kind)
        if row is not None:
            rows.append(row)
            values.append(1.0)
        cost = float(self.of.costs[pattern.kind])
        self._solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        if len(self.patterns) > len(self._table):
            self._table = np.concatenate((self._table, np.zeros_like(self._table)))
        self._table[len(self.patterns) - 1] = pattern.counts
        return True

    def restrict(self, demands: Sequence[int], limits: Sequence[int | None]) -> None:
        """Ask for these demands and limits; patterns that hold more than is wanted are shut."""
        self.demands, self.limits = list(demands), list(limits)
        solver = self._solver
        for row, demand in enumerate(demands):
            solver.changeRowBounds(row, float(demand), highspy.kHighsInf)
        for kind, row in self._limit_row.items():
            solver.changeRowBounds(row, -highspy.kHighsInf, float(limits[kind] or 0))
        count = len(self.patterns)
        if count:
            shut = (self._table[:count] > np.asarray(demands)).any(axis=1)
            index = np.arange(self._first, self._first + count, dtype=np.int32)
            upper = np.where(shut, 0.0, highspy.kHighsInf)
            solver.changeColsBounds(count, index, np.zeros(count), upper)

    def solve(self) -> tuple[float, Floats, Floats, Floats]:
        """Value, use of each pattern, dual of each item, dual (>= 0) of each bin kind's limit."""
        solver = self._solver
        solver.run()
        answer = solver.getSolution()
        value = solver.getInfo().objective_function_value
        uses = np.asarray(answer.col_value[self._first :])
        duals = np.asarray(answer.row_dual)
        n = len(self.of.sizes)
        rent = np.zeros(len(self.of.capacities))
        for kind, row in self._limit_row.items():
            rent[kind] = max(0.0, -duals[row])
        return value, uses, np.maximum(duals[:n], 0.0), rent

    def generate(
        self, rounds: int, clock: Clock, stop_above: float | None = None, each: int = 8
    ) -> tuple[float, Floats, Floats, Floats, bool]:
        """Add paying patterns until there are none, or after `rounds`.

        Returns the value, uses, item duals, kind duals, and whether no paying pattern is left.
        """
        pricing = Pricing(self.of, self.demands)
        for _ in range(rounds):
            value, uses, duals, rent = self.solve()
            best = np.asarray(pricing.run(duals), dtype=np.float64)
            grown = False
            bound = value
            for kind, capacity in enumerate(self.of.capacities):
                limit = self.limits[kind]
                if limit == 0:
                    continue
                price = self.of.costs[kind] + rent[kind]
                if best[capacity] <= price * (1 + EPS) + EPS:
                    continue
                if self.of.costs[kind]:
                    bound = min(bound, value * price / best[capacity])
                for counts in pricing.several(kind, duals, price * (1 + EPS) + EPS, each):
                    grown |= self.add(Pattern(kind, tuple(counts)))
            if not grown:
                return value, uses, duals, rent, True
            if clock.over():
                break
        value, uses, duals, rent = self.solve()
        return value, uses, duals, rent, False


def checked_bound(of: Problem, duals: Floats) -> Fraction:
    """A lower bound on the cost of any packing, in exact arithmetic, from any item prices.

    Prices are rounded to whole multiples of 1/SCALE. The dearest pattern for each kind is found
    exactly; where it is worth more than the bin, a limited kind pays the difference for each bin on
    hand, and all prices are lowered until no unlimited kind is worth more than it costs.
    """
    whole = np.maximum(np.round(duals * SCALE), 0).astype(np.int64)
    best = Pricing(of, of.demands).run(whole)
    total = sum(int(w) * d for w, d in zip(whole, of.demands, strict=True))
    shrink = Fraction(1)
    for kind, capacity in enumerate(of.capacities):
        if of.limits[kind] is None and int(best[capacity]) > 0:
            shrink = min(shrink, Fraction(of.costs[kind] * SCALE, int(best[capacity])))
    worth = shrink * total / SCALE
    for kind, limit in enumerate(of.limits):
        if limit is not None:
            over = shrink * int(best[of.capacities[kind]]) / SCALE - of.costs[kind]
            worth -= limit * max(Fraction(0), over)
    return worth
