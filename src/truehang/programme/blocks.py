"""Which tasks are one piece of work, and what is the network of them?

Tasks that follow each other at one place, by the same crew and without a wait, a hold or another
trade between, are one block: nobody walks away in the middle, and minutes are rounded up to slots
once for all of them. A block that is longer than any stretch in which it may be worked on (a trade
of short days, hours for noise) is parted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from truehang.programme.calendars import Axis, longest_run, starts_in
from truehang.programme.exact import Visits
from truehang.programme.model import Place, Precedence, Request, Task, Trade
from truehang.programme.network import Circle, Link, Network, Taken, circle


class NobodyCanDo(ValueError):
    """A task that no trade of the programme can do."""

    def __init__(self, task: Task, why: str, mend: str) -> None:
        super().__init__(f"{task.title}: {why}")
        self.task, self.why, self.mend = task, why, mend


@dataclass(frozen=True, slots=True)
class Block:
    """Tasks in order, as one work of the network; `parts` works where it had to be parted."""

    tasks: tuple[Task, ...]
    works: tuple[int, ...]

    @property
    def minutes(self) -> int:
        """Likely minutes of work."""
        return minutes_of(self.tasks)


def minutes_of(tasks: Iterable[Task]) -> int:
    """Likely minutes of work of tasks one after another."""
    return round(sum(60 * task.hours[1] for task in tasks))


@dataclass(frozen=True)
class Joined:
    """A request on its axis. `precedence` tells which one a link of the network is of."""

    request: Request
    axis: Axis
    blocks: tuple[Block, ...]
    network: Network
    visits: Visits
    precedence: Mapping[tuple[int, int], Precedence]

    @property
    def block_of(self) -> Mapping[str, Block]:
        """The block that each task is in."""
        return {task.key: block for block in self.blocks for task in block.tasks}


def joined(request: Request, axis: Axis) -> Joined:
    """The network of a request. Raises Circle (of tasks' numbers) or NobodyCanDo."""
    trades = {trade.key: trade for trade in request.trades}
    for task in request.tasks:
        _somebody(task, trades)
    _no_circle(request)
    open_tasks = [task for task in request.tasks if task.ended is None]
    chains = _chains(open_tasks, request.precedences)
    masks = _Masks(request, axis, trades)
    lengths: list[int] = []
    needs: list[tuple[tuple[int, int], ...]] = []
    links: list[Link] = []
    allowed: dict[int, int] = {}
    blocks: list[Block] = []
    number = {trade.key: index for index, trade in enumerate(request.trades)}
    for chain in chains:
        works: list[int] = []
        mask = masks.of(chain[0])
        for length in _parts(chain, request.slot, mask, masks):
            work = len(lengths)
            if works:
                links.append(Link(works[-1], work))
            works.append(work)
            lengths.append(length)
            needs.append(((number[chain[0].trade], 1),) if length else ())
            if mask is not None:
                allowed[work] = starts_in(mask, max(length, 1))
        blocks.append(Block(tuple(chain), tuple(works)))
    tables: dict[int, int] = {}
    precedence = _linked(request, blocks, tables)
    links += precedence
    network = Network(
        lengths=tuple(lengths),
        needs=tuple(needs),
        capacities=tuple(trade.crews for trade in request.trades),
        links=tuple(links),
        waits=tuple(axis.ready(minutes) for minutes in tables),
        earliest=_earliest(request, axis, blocks),
        allowed=allowed,
        taken=_leave(request, axis, number),
    )
    network = replace(network, alike=_alike(blocks, network))
    told = {(link.before, link.after): one for link, one in precedence.items()}
    return Joined(request, axis, tuple(blocks), network, _visits(blocks, axis), told)


def _linked(
    request: Request, blocks: Iterable[Block], tables: dict[int, int]
) -> dict[Link, Precedence]:
    """The links between blocks, each with the precedence it is of; waits get their tables."""
    block_of = {task.key: block for block in blocks for task in block.tasks}
    found: dict[Link, Precedence] = {}
    for one in request.precedences:
        if one.after in block_of and one.before in block_of:
            before, after = block_of[one.before], block_of[one.after]
            if before is not after:
                wait = None
                if one.wait is not None:
                    wait = tables.setdefault(round(60 * one.wait.hours), len(tables))
                found[Link(before.works[-1], after.works[0], 0, wait)] = one
    return found


def _earliest(request: Request, axis: Axis, blocks: Iterable[Block]) -> dict[int, int]:
    """The first slot of each block by its own days, and by what is done before it."""
    first = {task.key: block.works[0] for block in blocks for task in block.tasks}
    done = {task.key: task.ended for task in request.tasks if task.ended is not None}
    earliest: dict[int, int] = {}

    def not_before(key: str, slot: int) -> None:
        earliest[first[key]] = max(earliest.get(first[key], 0), slot)

    for task in request.tasks:
        if task.key in first:
            not_before(
                task.key, axis.from_day(max(task.not_before or request.begin, request.begin))
            )
            if task.begun is not None:
                not_before(task.key, axis.at(task.begun))
    for one in request.precedences:
        if one.after in first and (ended := done.get(one.before)) is not None:
            free = ended + timedelta(hours=one.wait.hours if one.wait else 0)
            not_before(one.after, axis.at(free))
    return earliest


def _somebody(task: Task, trades: Mapping[str, Trade]) -> None:
    if task.kind != "work" or not task.hours[1]:
        return
    trade = trades.get(task.trade)
    if trade is None or trade.crews < 1:
        raise NobodyCanDo(
            task, f"needs the trade {task.trade}, and none comes",
            f"add {task.trade} to programme.trades, or have another trade do it",
        )  # fmt: skip
    if trade.people < task.people:
        raise NobodyCanDo(
            task, f"takes {task.people} people, and only {trade.people} come",
            "set site.helper: true where a second person comes for it, or site.crew higher",
        )  # fmt: skip


def _no_circle(request: Request) -> None:
    index = {task.key: number for number, task in enumerate(request.tasks)}
    links = [
        Link(index[one.before], index[one.after])
        for one in request.precedences
        if one.before in index and one.after in index
    ]
    waiting = set(index.values())
    while True:
        free = waiting - {link.after for link in links if link.before in waiting}
        if not free:
            break
        waiting -= free
    if waiting:
        raise Circle(circle(links, waiting))


def _chains(tasks: list[Task], precedences: Iterable[Precedence]) -> list[list[Task]]:
    """Tasks that are one piece of work, in the order in which each begins."""
    among = {task.key: task for task in tasks}
    into: dict[str, list[Precedence]] = {key: [] for key in among}
    out: dict[str, list[Precedence]] = {key: [] for key in among}
    for one in precedences:
        if one.before in among and one.after in among:
            into[one.after].append(one)
            out[one.before].append(one)
    follows = {}
    for key, task in among.items():
        if len(out[key]) == 1 and len(into[out[key][0].after]) == 1:
            nxt = among[out[key][0].after]
            if out[key][0].wait is None and _one_piece(task, nxt):
                follows[key] = nxt.key
    begun = [task for task in tasks if task.key not in set(follows.values())]
    chains = []
    for task in begun:
        chain = [task]
        while chain[-1].key in follows:
            chain.append(among[follows[chain[-1].key]])
        chains.append(chain)
    return chains


def _one_piece(one: Task, other: Task) -> bool:
    same = (one.trade, one.place, one.job, one.noisy) == (
        other.trade, other.place, other.job, other.noisy,
    )  # fmt: skip
    free = other.not_before is None and other.begun is None and other.promised is None
    held = bool(one.hold) and not one.recorded
    return same and free and not held and one.kind == other.kind == "work"


class _Masks:
    """In which slots may a task be worked on?"""

    def __init__(self, request: Request, axis: Axis, trades: Mapping[str, Trade]) -> None:
        self.axis, self.trades = axis, trades
        self.places = {place.key: place for place in request.places}
        self.kept: dict[tuple[str, str, bool], int | None] = {}

    def of(self, task: Task) -> int | None:
        """A mask of slots; None for every slot of the axis."""
        key = (task.trade, task.place, task.noisy)
        if key not in self.kept:
            self.kept[key] = self._made(*key)
        return self.kept[key]

    def _made(self, trade: str, place: str, noisy: bool) -> int | None:
        here = self.places.get(place, Place(place))
        known = self.trades.get(trade)
        calendars = [
            known.calendar if known else None, here.open, here.noise if noisy else None,
        ]  # fmt: skip
        masks = [self.axis.open_in(one) for one in calendars if one is not None]
        if not masks:
            return None
        whole = masks[0]
        for mask in masks[1:]:
            whole &= mask
        return whole


def _parts(chain: list[Task], slot: int, mask: int | None, masks: _Masks) -> list[int]:
    """The lengths of the works of a block, in slots."""
    length = math.ceil(minutes_of(chain) / slot - 1e-9)
    if mask is None or not length:
        if mask == 0:
            raise _never(chain[0])
        return [length]
    run = longest_run(mask)
    if not run:
        raise _never(chain[0])
    count = -(-length // run)
    return [length // count + (number < length % count) for number in range(count)]


def _never(task: Task) -> NobodyCanDo:
    return NobodyCanDo(
        task,
        "there is no hour in which it may be done: whoever does it, the site and the hours for "
        "noise have none in common",
        "look at the days and hours of programme.trades, not_on, hours and noise",
    )


def _leave(request: Request, axis: Axis, number: Mapping[str, int]) -> tuple[Taken, ...]:
    taken = []
    for leave in request.leave:
        begin, end = axis.from_day(leave.begin), axis.from_day(leave.end + timedelta(days=1))
        if leave.trade in number and end > begin:
            taken.append(Taken(number[leave.trade], begin, end, leave.crews))
    return tuple(taken)


def _visits(blocks: Iterable[Block], axis: Axis) -> Visits:
    groups: dict[tuple[str, str], list[int]] = {}
    for block in blocks:
        if block.minutes:
            first = block.tasks[0]
            groups.setdefault((first.trade, first.place), []).extend(block.works)
    return Visits(tuple(map(tuple, groups.values())), axis.day_of)


def _alike(blocks: list[Block], network: Network) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Jobs whose works are the same in everything that a schedule depends on."""
    by_job: dict[str, list[int]] = {}
    for block in blocks:
        by_job.setdefault(block.tasks[0].job, []).extend(block.works)
    owner = {work: job for job, works in by_job.items() for work in works}
    groups: dict[object, list[tuple[int, ...]]] = {}
    for job, works in by_job.items():
        place = {work: number for number, work in enumerate(works)}
        every = (link for w in works for link in (*network.before[w], *network.after[w]))
        if any(owner[link.before] != job or owner[link.after] != job for link in every):
            continue
        shape = (
            tuple(
                (
                    network.lengths[w],
                    network.needs[w],
                    network.earliest.get(w),
                    network.allowed.get(w),
                )
                for w in works
            ),
            tuple(
                (place[link.before], place[link.after], link.lag, link.wait)
                for work in works
                for link in network.after[work]
            ),
        )
        groups.setdefault(shape, []).append(tuple(works))
    return tuple(tuple(copies) for copies in groups.values() if len(copies) > 1)


def day_slots(axis: Axis, day: date) -> tuple[int, int]:
    """The slots of a day, from the first to the one after the last."""
    return axis.from_day(day), axis.from_day(day + timedelta(days=1))
