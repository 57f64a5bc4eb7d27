"""Which schedule is found at once? Works taken one by one by a priority rule, each where it first
fits, then pushed to the right and to the left again.

Serial schedule generation (Kelley 1963; Kolisch, *EJOR* 90, 1996) with the rules named below, and
forward-backward improvement (Li and Willis, *EJOR* 56, 1992; Valls et al., *EJOR* 165, 2005). The
free time of a resource is kept as bit masks, one for each amount: a bit is a slot that has as much
left, so that a place for a work is found by shifts and not by looking at each slot.
"""

from __future__ import annotations

import heapq
import random
from collections.abc import Sequence
from dataclasses import dataclass

from truehang.programme.network import BeyondTheCalendar, Network

Starts = tuple[int, ...]
MOST_TRIES, PLACED = 24, 1500
"""Schedules that are tried first: so many, or as many as place so many works."""


@dataclass(frozen=True, slots=True)
class Ends:
    """The window of each work by its links alone: first start, and last end for a given finish."""

    first: tuple[int, ...]
    last: tuple[int, ...]


def finish_of(network: Network, starts: Sequence[int]) -> int:
    """The slot at which the last work ends."""
    return max((s + length for s, length in zip(starts, network.lengths, strict=True)), default=0)


class Free:
    """How much of each resource is left in each slot of the axis."""

    def __init__(self, network: Network, horizon: int) -> None:
        self.all = (1 << horizon) - 1
        self.network = network
        self.left = [[self.all] * (cap + 1) for cap in network.capacities]
        for gone in network.taken:
            mask = ((1 << gone.end) - 1) >> gone.begin << gone.begin
            self._take(gone.resource, min(gone.amount, network.capacities[gone.resource]), mask)

    def _take(self, resource: int, amount: int, mask: int) -> None:
        levels = self.left[resource]
        keep = self.all & ~mask
        top = len(levels) - 1
        for level in range(1, top + 1):
            higher = levels[level + amount] & mask if level + amount <= top else 0
            levels[level] = (levels[level] & keep) | higher

    def take(self, work: int, start: int) -> None:
        """A work is done from `start` on."""
        length = self.network.lengths[work]
        mask = ((1 << length) - 1) << start
        for resource, amount in self.network.needs[work]:
            if amount:
                self._take(resource, amount, mask)

    def places(self, work: int) -> int:
        """The slots at which a work could start, as a mask."""
        network = self.network
        places = network.allowed.get(work, self.all) & self.all
        length = network.lengths[work]
        if length:
            room = self.all
            for resource, amount in network.needs[work]:
                if amount:
                    room &= self.left[resource][amount]
            run = 1
            while run < length:
                step = min(run, length - run)
                room &= room >> step
                run += step
            places &= room
        return places


def windows(network: Network, finish: int | None = None) -> Ends:
    """First starts and last ends by links, earliest starts and allowed slots, whoever does it.

    `finish` is when all must be done; the longest chain's own end where it is None. Raises
    BeyondTheCalendar where a work can't start at all.
    """
    first = [0] * len(network)
    for at in network.order:
        start = max(network.earliest.get(at, 0), 0)
        for link in network.before[at]:
            start = max(
                start, network.may_start(link, first[link.before] + network.lengths[link.before])
            )
        first[at] = _allowed_from(network, at, start)
    if finish is None:
        finish = finish_of(network, first)
    last = [finish] * len(network)
    for at in reversed(network.order):
        end = finish
        for link in network.after[at]:
            end = min(end, network.must_end(link, last[link.after] - network.lengths[link.after]))
        last[at] = _allowed_to(network, at, end)
    return Ends(tuple(first), tuple(last))


def _allowed_from(network: Network, work: int, start: int) -> int:
    mask = network.allowed.get(work)
    if mask is None:
        return start
    rest = mask >> start
    if not rest:
        raise BeyondTheCalendar(work)
    return start + (rest & -rest).bit_length() - 1


def _allowed_to(network: Network, work: int, end: int) -> int:
    mask, length = network.allowed.get(work), network.lengths[work]
    if mask is None or end < length:
        return end
    return (mask & ((1 << (end - length + 1)) - 1)).bit_length() - 1 + length


def forward(network: Network, priority: Sequence[float], horizon: int) -> Starts:
    """Each work where it first fits, the one with the lowest priority number first."""
    free = Free(network, horizon)
    starts = [-1] * len(network)
    waiting = [len(into) for into in network.before]
    queue = [(priority[i], i) for i, count in enumerate(waiting) if not count]
    heapq.heapify(queue)
    while queue:
        _, at = heapq.heappop(queue)
        least = network.earliest.get(at, 0)
        for link in network.before[at]:
            end = starts[link.before] + network.lengths[link.before]
            least = max(least, network.may_start(link, end))
        rest = free.places(at) >> least
        if not rest:
            raise BeyondTheCalendar(at)
        starts[at] = least + (rest & -rest).bit_length() - 1
        free.take(at, starts[at])
        for link in network.after[at]:
            waiting[link.after] -= 1
            if not waiting[link.after]:
                heapq.heappush(queue, (priority[link.after], link.after))
    return tuple(starts)


def backward(network: Network, starts: Starts, horizon: int) -> Starts | None:
    """Each work as late as it fits before the finish, the one that ends last first.

    None where a work finds no place: its own allowed slots leave it none so late.
    """
    finish = finish_of(network, starts)
    free = Free(network, horizon)
    late = [-1] * len(network)
    waiting = [len(out) for out in network.after]
    queue = [(-starts[i] - network.lengths[i], i) for i, count in enumerate(waiting) if not count]
    heapq.heapify(queue)
    while queue:
        _, at = heapq.heappop(queue)
        end = finish
        for link in network.after[at]:
            end = min(end, network.must_end(link, late[link.after]))
        latest = end - network.lengths[at]
        fits = free.places(at) & ((1 << (latest + 1)) - 1) if latest >= 0 else 0
        if not fits or fits.bit_length() - 1 < network.earliest.get(at, 0):
            return None
        late[at] = fits.bit_length() - 1
        free.take(at, late[at])
        for link in network.before[at]:
            waiting[link.before] -= 1
            if not waiting[link.before]:
                key = -starts[link.before] - network.lengths[link.before]
                heapq.heappush(queue, (key, link.before))
    return tuple(late)


def squeezed(network: Network, starts: Starts, horizon: int) -> Starts:
    """The schedule after it was pushed right and left again for as long as that shortens it."""
    while True:
        late = backward(network, starts, horizon)
        if late is None:
            return starts
        again = forward(network, late, horizon)
        if finish_of(network, again) >= finish_of(network, starts):
            return starts
        starts = again


def together(network: Network) -> list[int]:
    """For each work the number of the job it is of: the works that links hold together, those
    with most work first."""
    of = list(range(len(network)))

    def root(i: int) -> int:
        while of[i] != i:
            of[i] = i = of[of[i]]
        return i

    for link in network.links:
        of[root(link.before)] = root(link.after)
    load: dict[int, int] = {}
    for i, length in enumerate(network.lengths):
        load[root(i)] = load.get(root(i), 0) + length
    rank = {
        job: number for number, job in enumerate(sorted(load, key=lambda job: (-load[job], job)))
    }
    return [rank[root(i)] for i in range(len(network))]


def rules(network: Network, ends: Ends) -> list[list[float]]:
    """A priority number for each work by each rule: what is lowest goes first.

    Several jobs are staggered too: each is held back behind those before it by a few slots.
    """
    lengths, n = network.lengths, range(len(network))
    behind = [set[int]() for _ in n]
    for at in reversed(network.order):
        for link in network.after[at]:
            behind[at] |= {link.after, *behind[link.after]}
    jobs = together(network)
    staggered = [[ends.last[i] - lengths[i] + step * jobs[i] for i in n] for step in (6, 16)]
    return [
        *(staggered if max(jobs, default=0) else ()),
        [ends.last[i] - lengths[i] for i in n],  # latest start
        [ends.last[i] for i in n],  # latest end
        [ends.last[i] - lengths[i] - ends.first[i] for i in n],  # least slack
        [-len(behind[i]) for i in n],  # most works behind it
        [-lengths[i] - sum(lengths[j] for j in behind[i]) for i in n],  # heaviest behind it
    ]


def first_schedule(
    network: Network, horizon: int, tries: int | None = None, seed: int = 1
) -> Starts:
    """The best of a few schedules by priority rules, then by the best rule with a little chance.

    Without `tries` there are fewer in a large network, so that it takes a tenth of a second.

    The same network gives the same schedule. Raises BeyondTheCalendar where a work finds no place.
    """
    if not len(network):
        return ()
    ends = windows(network)
    best: Starts | None = None
    chances = random.Random(seed)
    by_rule = rules(network, ends)
    spread = max(1.0, max(ends.last) / 10)
    if tries is None:
        tries = min(
            MOST_TRIES, max(2, int(PLACED / len(network) / (1 + sum(network.capacities) / 80)))
        )
    for turn in range(tries):
        if turn < len(by_rule):
            priority: Sequence[float] = by_rule[turn]
        else:
            priority = [rule + chances.uniform(0, spread) for rule in by_rule[turn % 2]]
        found = squeezed(network, forward(network, priority, horizon), horizon)
        if best is None or finish_of(network, found) < finish_of(network, best):
            best = found
    assert best is not None
    return best


def tidied(network: Network, starts: Starts, begins: Sequence[int], horizon: int) -> Starts:
    """The same schedule with each work as early as it fits on the day on which it begins now.

    `begins` is the first slot of the day of each slot.
    """
    free = Free(network, horizon)
    tidy = list(starts)
    rank = {work: number for number, work in enumerate(network.order)}
    for at in sorted(range(len(network)), key=lambda i: (starts[i], rank[i])):
        least = max(begins[starts[at]], network.earliest.get(at, 0))
        for link in network.before[at]:
            end = tidy[link.before] + network.lengths[link.before]
            least = max(least, network.may_start(link, end))
        rest = free.places(at) >> least
        if rest:
            tidy[at] = least + (rest & -rest).bit_length() - 1
        free.take(at, tidy[at])
    return tuple(tidy)


def improved(
    network: Network, starts: Starts, horizon: int, floor: int, rounds: int, seed: int = 1
) -> Starts:
    """The schedule after so many small changes of the order in which works are taken.

    A round shakes the starts of all works, or of those in one stretch, and takes the works in the
    order that gives; what is no later is kept. It ends early where `floor` is reached.
    """
    chances = random.Random(seed)
    finish = finish_of(network, starts)
    for _ in range(rounds):
        if finish <= floor:
            break
        wide = chances.choice((2.0, 6.0, 20.0))
        begin, end = 0.0, float(finish)
        if chances.random() < 0.5:
            begin = chances.uniform(0, finish)
            end, wide = begin + 5 * wide, wide * 2
        keys = [s + chances.gauss(0, wide) if begin <= s <= end else s for s in starts]
        try:
            found = forward(network, keys, horizon)
            if finish_of(network, found) <= finish + chances.choice((4, 12)):
                found = squeezed(network, found, horizon)
        except BeyondTheCalendar:
            continue
        if finish_of(network, found) <= finish:
            starts, finish = found, finish_of(network, found)
    return starts
