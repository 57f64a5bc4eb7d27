"""The cutting problem as whole numbers: sizes, demands, stock capacities, and first answers to it.

A kerf follows every part, so a part of length s takes s + kerf of a capacity of length + kerf: the
last part of a full length needs no kerf after it. All numbers are divided by their common divisor.
"""

from __future__ import annotations

import bisect
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np
from numpy.typing import NDArray

Counts = tuple[int, ...]
CANDIDATES = 160


@dataclass(frozen=True, slots=True)
class Problem:
    """Pack `demands[i]` items of `sizes[i]` (all different, largest first) in bins of least cost.

    Bin kind k holds `capacities[k]`, costs `costs[k]` and can be used `limits[k]` times (None: as
    often as wanted). Everything is a whole number.
    """

    sizes: Counts
    demands: Counts
    capacities: Counts
    costs: Counts
    limits: tuple[int | None, ...]

    @property
    def step(self) -> int:
        """Every attainable cost is a multiple of this."""
        return math.gcd(*self.costs) or 1


@dataclass(frozen=True, slots=True)
class Pattern:
    """How many items of each size are cut from one bin of kind `kind`."""

    kind: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Packing:
    """Patterns with how often each is used; the cost of all bins used."""

    uses: tuple[tuple[Pattern, int], ...]
    cost: int


def problem(
    sizes: Sequence[int],
    demands: Sequence[int],
    capacities: Sequence[int],
    costs: Sequence[int],
    limits: Sequence[int | None],
) -> Problem:
    """The problem with equal sizes merged, sorted, and lengths divided by their common divisor.

    A capacity is rounded down to a multiple of the divisor of the sizes: nothing is lost, as every
    sum of sizes is such a multiple.
    """
    wanted: Counter[int] = Counter()
    for size, demand in zip(sizes, demands, strict=True):
        wanted[size] += demand
    unit = math.gcd(*wanted) or 1
    ordered = sorted(wanted, reverse=True)
    return Problem(
        tuple(size // unit for size in ordered),
        tuple(wanted[size] for size in ordered),
        tuple(capacity // unit for capacity in capacities),
        tuple(costs),
        tuple(limits),
    )


def packing(of: Problem, uses: Counter[Pattern]) -> Packing:
    """The packing that uses these patterns, in a fixed order."""
    fullest_first = sorted(
        (u for u in uses.items() if u[1]), key=lambda u: u[0].counts, reverse=True
    )
    ordered = sorted(fullest_first, key=lambda use: use[0].kind)
    return Packing(tuple(ordered), sum(of.costs[p.kind] * times for p, times in ordered))


def trimmed(of: Problem, uses: Counter[Pattern]) -> Packing:
    """The packing with items beyond the demand taken out, and bins that hold nothing left out."""
    over = [-demand for demand in of.demands]
    for pattern, times in uses.items():
        for item, count in enumerate(pattern.counts):
            over[item] += count * times
    if not any(extra > 0 for extra in over):
        return packing(of, uses)
    exact: Counter[Pattern] = Counter()
    for pattern, times in sorted(uses.items(), key=lambda u: (u[0].kind, u[0].counts)):
        for _ in range(times):
            counts = list(pattern.counts)
            for item, count in enumerate(counts):
                drop = min(count, max(0, over[item]))
                counts[item] -= drop
                over[item] -= drop
            if any(counts):
                exact[Pattern(pattern.kind, tuple(counts))] += 1
    return packing(of, exact)


def is_sound(of: Problem, answer: Packing) -> bool:
    """Whether every demand is met exactly, every bin holds what it can and no limit is passed."""
    made = [0] * len(of.sizes)
    used: Counter[int] = Counter()
    for pattern, times in answer.uses:
        load = sum(size * n for size, n in zip(of.sizes, pattern.counts, strict=True))
        if load > of.capacities[pattern.kind] or times < 1:
            return False
        used[pattern.kind] += times
        for item, count in enumerate(pattern.counts):
            made[item] += count * times
    within = all(limit is None or used[k] <= limit for k, limit in enumerate(of.limits))
    return within and tuple(made) == of.demands


def fill_largest_first(of: Problem, demands: Sequence[int], kind: int, start: int = 0) -> list[int]:
    """Counts for one bin: largest items first, as many of each as fit and are wanted."""
    room = of.capacities[kind]
    counts = [0] * len(of.sizes)
    for item in range(start, len(of.sizes)):
        if demands[item] and of.sizes[item] <= room:
            take = min(demands[item], room // of.sizes[item])
            counts[item] = take
            room -= take * of.sizes[item]
    return counts


def first_fit_decreasing(
    of: Problem, demands: Sequence[int] | None = None, limits: Sequence[int | None] | None = None
) -> Counter[Pattern] | None:
    """Bins filled one after another, largest first, each of the kind that costs least per load.

    With one kind of bin this is first-fit decreasing. None if the limits leave an item over.
    """
    left = list(of.demands if demands is None else demands)
    free: list[int | None] = list(of.limits if limits is None else limits)
    uses: Counter[Pattern] = Counter()
    while any(left):
        best: tuple[float, int, int, list[int]] | None = None
        first = next(item for item, count in enumerate(left) if count)
        for kind, capacity in enumerate(of.capacities):
            if free[kind] == 0 or capacity < of.sizes[first]:
                continue
            counts = fill_largest_first(of, left, kind, first)
            load = sum(of.sizes[i] * n for i, n in enumerate(counts) if n)
            offer = (of.costs[kind] / load, capacity - load, kind, counts)
            if best is None or offer[:3] < best[:3]:
                best = offer
        if best is None:
            return None
        _, _, kind, counts = best
        times = min(left[i] // n for i, n in enumerate(counts) if n)
        limit = free[kind]
        if limit is not None:
            times = min(times, limit)
            free[kind] = limit - times
        for item, count in enumerate(counts):
            left[item] -= count * times
        uses[Pattern(kind, tuple(counts))] += times
    return uses


def fullest(of: Problem, demands: Sequence[int], kind: int, alive: Sequence[int]) -> dict[int, int]:
    """What to put in one bin: the first of the items `alive`, and what leaves the least room.

    Sums of sizes are kept as bits of one whole number; ties take larger items. Among very many
    sizes an even spread of CANDIDATES is tried: that is enough to fill a bin.
    """
    first = alive[0]
    room = of.capacities[kind] - of.sizes[first]
    start = bisect.bisect_left(alive, -room, key=lambda item: -of.sizes[item])
    offered = list(alive[start:])
    if len(offered) > CANDIDATES:
        last = len(offered) - 1
        offered = [offered[k * last // (CANDIDATES - 1)] for k in range(CANDIDATES)]
    stages: list[tuple[int, int, int]] = []
    reach = 1
    mask = (1 << (room + 1)) - 1
    for item in reversed(offered):
        copies = min(demands[item] - (item == first), room // of.sizes[item])
        chunk = 1
        while copies > 0:
            take = min(chunk, copies)
            stages.append((item, take, reach))
            reach |= (reach << (take * of.sizes[item])) & mask
            copies -= take
            chunk *= 2
    fill = reach.bit_length() - 1
    held = {first: 1}
    for item, take, before in reversed(stages):
        weight = take * of.sizes[item]
        if fill >= weight and (before >> (fill - weight)) & 1:
            held[item] = held.get(item, 0) + take
            fill -= weight
    return held


def best_fill(
    of: Problem, demands: Sequence[int] | None = None, limits: Sequence[int | None] | None = None
) -> Counter[Pattern] | None:
    """Each bin takes the largest item left and the fullest set with it; of the kinds of bin, the
    one that costs least for its load. None if the limits leave an item over.

    (The minimum-bin-slack idea of Gupta and Ho, *Production Planning & Control* 10, 1999.)
    """
    left = list(of.demands if demands is None else demands)
    free: list[int | None] = list(of.limits if limits is None else limits)
    alive = [item for item, count in enumerate(left) if count]
    by_rate = sorted(
        (kind for kind, capacity in enumerate(of.capacities) if capacity > 0),
        key=lambda kind: (of.costs[kind] / of.capacities[kind], -of.capacities[kind], kind),
    )
    uses: Counter[Pattern] = Counter()
    while alive:
        best: tuple[float, int, dict[int, int]] | None = None
        for kind in by_rate:
            if free[kind] == 0 or of.capacities[kind] < of.sizes[alive[0]]:
                continue
            if best is not None and of.costs[kind] / of.capacities[kind] >= best[0]:
                break
            held = fullest(of, left, kind, alive)
            load = sum(of.sizes[item] * count for item, count in held.items())
            if best is None or of.costs[kind] / load < best[0]:
                best = (of.costs[kind] / load, kind, held)
        if best is None:
            return None
        _, kind, held = best
        times = min(left[item] // count for item, count in held.items())
        limit = free[kind]
        if limit is not None:
            times = min(times, limit)
            free[kind] = limit - times
        counts = [0] * len(of.sizes)
        for item, count in held.items():
            counts[item] = count
            left[item] -= count * times
            if not left[item]:
                alive.remove(item)
        uses[Pattern(kind, tuple(counts))] += times
    return uses


def best_tail(
    of: Problem, demands: Sequence[int], limits: Sequence[int | None]
) -> Counter[Pattern] | None:
    """The cheapest way to pack a few items, by dynamics over their subsets. None: there is none.

    Work grows as 3^items. Limited kinds are offered one bin at a time, unlimited ones after them.
    """
    items = [item for item, count in enumerate(demands) for _ in range(count)]
    count = len(items)
    load = np.zeros(1, dtype=np.int64)
    for item in items:
        load = np.concatenate((load, load + of.sizes[item]))
    size = 1 << count
    never = np.iinfo(np.int64).max // 4
    cheapest = np.full(size, never, dtype=np.int64)  # one bin of an unlimited kind for a subset
    which = np.full(size, -1, dtype=np.int64)
    for kind in sorted(range(len(of.capacities)), key=lambda k: of.costs[k]):
        if limits[kind] is None:
            fits = (load <= of.capacities[kind]) & (which < 0)
            cheapest[fits], which[fits] = of.costs[kind], kind
    best = np.full(size, never, dtype=np.int64)
    best[0] = 0
    taken = np.zeros(size, dtype=np.int64)
    for whole in range(1, size):
        low = whole & -whole
        subs = _subsets(whole ^ low) | low
        total = cheapest[subs] + best[whole ^ subs]
        at = int(np.argmin(total))
        best[whole], taken[whole] = total[at], subs[at]
    layers: list[tuple[int, NDArray[np.int64]]] = []
    for kind, limit in enumerate(limits):
        if limit is None or not limit:
            continue
        holds = np.flatnonzero(load <= of.capacities[kind])
        if len(holds) <= 1:
            continue
        for _ in range(min(limit, count)):
            grown, chosen = best.copy(), np.zeros(size, dtype=np.int64)
            for subset in holds[1:].tolist():
                over = np.flatnonzero((np.arange(size) & subset) == subset)
                total = best[over ^ subset] + of.costs[kind]
                better = total < grown[over]
                grown[over[better]], chosen[over[better]] = total[better], subset
            best = grown
            layers.append((kind, chosen))
    whole = size - 1
    if best[whole] >= never:
        return None
    uses: Counter[Pattern] = Counter()
    for kind, chosen in reversed(layers):
        if chosen[whole]:
            uses[_pattern(of, items, int(chosen[whole]), kind)] += 1
            whole ^= int(chosen[whole])
    while whole:
        uses[_pattern(of, items, int(taken[whole]), int(which[taken[whole]]))] += 1
        whole ^= int(taken[whole])
    return uses


@cache
def _subsets(whole: int) -> NDArray[np.int64]:
    """All subsets of a set of bits, as whole numbers."""
    found = np.zeros(1, dtype=np.int64)
    bit = 1
    while bit <= whole:
        if whole & bit:
            found = np.concatenate((found, found | bit))
        bit <<= 1
    return found


def _pattern(of: Problem, items: Sequence[int], subset: int, kind: int) -> Pattern:
    counts = [0] * len(of.sizes)
    for place, item in enumerate(items):
        counts[item] += (subset >> place) & 1
    return Pattern(kind, tuple(counts))


def load_bound(of: Problem) -> Fraction:
    """What all the load costs in the bins of the best rate, if none had any room left over.

    Limited bins that beat that rate are taken at their own price first.
    """
    load = sum(size * n for size, n in zip(of.sizes, of.demands, strict=True))
    cost = Fraction(0)
    kinds = [k for k, capacity in enumerate(of.capacities) if capacity >= of.sizes[-1]]
    for kind in sorted(kinds, key=lambda k: Fraction(of.costs[k], of.capacities[k])):
        limit = of.limits[kind]
        rate = Fraction(of.costs[kind], of.capacities[kind])
        if limit is None or limit * of.capacities[kind] >= load:
            return cost + rate * load
        cost += limit * of.costs[kind]
        load -= limit * of.capacities[kind]
    return cost


def martello_toth_bound(of: Problem) -> int:
    """The bound L2 on the number of bins of one kind (Martello, Toth, *Knapsack
    Problems*, 1990, from memory).

    For each threshold: items that can't share a bin, plus what the small ones need beyond the room
    that is left beside them.
    """
    capacity = of.capacities[0]
    sizes: NDArray[np.int64] = np.repeat(
        np.asarray(of.sizes, dtype=np.int64), np.asarray(of.demands)
    )
    prefix = np.concatenate(([0], np.cumsum(sizes)))
    falling = -sizes
    best = -(-int(prefix[-1]) // capacity)
    half = int(np.searchsorted(falling, -(capacity / 2), side="left"))
    for threshold in {0, *(size for size in of.sizes if 2 * size <= capacity)}:
        alone = int(np.searchsorted(falling, -(capacity - threshold), side="left"))
        small_end = int(np.searchsorted(falling, -threshold, side="right"))
        room = (half - alone) * capacity - int(prefix[half] - prefix[alone])
        small = int(prefix[small_end] - prefix[half])
        best = max(best, half + max(0, -(-(small - room) // capacity)))
    return best
