"""Who comes when, with what float, and what does the finish hang on? A schedule as rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from truehang.programme.blocks import Block, Joined
from truehang.programme.calendars import Axis
from truehang.programme.first import Starts, finish_of, windows
from truehang.programme.model import Precedence, Row, Task, Waiting
from truehang.programme.network import Link, Network

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def said_day(day: date) -> str:
    """A day as it is said: Mon 13 Apr."""
    return f"{DAY_NAMES[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def said_time(at: datetime) -> str:
    """A moment as it is said: Mon 13 Apr 07:30."""
    return f"{said_day(at.date())} {at:%H:%M}"


@dataclass(frozen=True, slots=True)
class Crews:
    """Which crew does which work, and the links that follow from it: one work after another."""

    of: dict[int, int]
    links: tuple[Link, ...]


def crews_of(joined: Joined, starts: Starts) -> Crews:
    """Works handed to crews in the order of their starts: to the one that is at the same job where
    it can be, else to the one that was free last."""
    network = joined.network
    job = {work: block.tasks[0].job for block in joined.blocks for work in block.works}
    last: dict[int, list[int | None]] = {
        resource: [None] * capacity for resource, capacity in enumerate(network.capacities)
    }
    of: dict[int, int] = {}
    links: list[Link] = []
    for work in sorted(range(len(network)), key=lambda i: (starts[i], i)):
        for resource, _ in network.needs[work]:
            free = [
                crew
                for crew, before in enumerate(last[resource])
                if before is None or starts[before] + network.lengths[before] <= starts[work]
            ]
            crew = max(free, key=lambda c: _liking(last[resource][c], job, work, starts, c))
            if (before := last[resource][crew]) is not None:
                links.append(Link(before, work))
            last[resource][crew] = work
            of[work] = crew
    return Crews(of, tuple(links))


def _liking(
    before: int | None, job: dict[int, str], work: int, starts: Starts, crew: int
) -> tuple[bool, int, int]:
    if before is None:
        return False, -1, -crew
    return job[before] == job[work], starts[before], -crew


def floats(joined: Joined, starts: Starts, crews: Crews) -> list[int]:
    """How many slots each work may slip in the order that is planned, without a later finish."""
    network = replace(joined.network, links=(*joined.network.links, *crews.links))
    last = windows(network, finish_of(network, starts)).last
    slack = [
        max(0, end - start - length)
        for end, start, length in zip(last, starts, network.lengths, strict=True)
    ]
    for gone in network.taken:  # nobody slips into leave
        for work, need in enumerate(network.needs):
            end = starts[work] + network.lengths[work]
            if any(resource == gone.resource for resource, _ in need) and end <= gone.begin:
                slack[work] = min(slack[work], gone.begin - end)
    return slack


@dataclass(frozen=True, slots=True)
class _Clock:
    """Minutes of work of a block as moments."""

    axis: Axis
    slots: tuple[int, ...]
    at: int

    def begin(self, minute: int) -> datetime:
        if not self.slots:
            return self.axis.begin_of(self.at)
        slot, rest = divmod(minute, self.axis.slot)
        if slot >= len(self.slots):
            return self.end(minute)
        return self.axis.begin_of(self.slots[slot]) + timedelta(minutes=rest)

    def end(self, minute: int) -> datetime:
        if not self.slots:
            return self.axis.begin_of(self.at)
        slot, rest = divmod(max(minute - 1, 0), self.axis.slot)
        return self.axis.begin_of(self.slots[min(slot, len(self.slots) - 1)]) + timedelta(
            minutes=rest + 1
        )


def rows_of(joined: Joined, starts: Starts) -> tuple[Row, ...]:
    """A row for each task, in the order of their beginnings."""
    crews = crews_of(joined, starts)
    slack = floats(joined, starts, crews)
    held = _held(joined.request.tasks, joined.request.precedences)
    rows = [row for block in joined.blocks for row in _rows(joined, block, starts, slack, held)]
    rows += [_past(joined, task) for task in joined.request.tasks if task.ended is not None]
    order = {task.key: number for number, task in enumerate(joined.request.tasks)}
    return tuple(sorted(rows, key=lambda row: (row.begin, row.end, order[row.key])))


def _rows(
    joined: Joined,
    block: Block,
    starts: Starts,
    slack: Sequence[int],
    held: dict[str, tuple[str, ...]],
) -> Iterable[Row]:
    network, axis = joined.network, joined.axis
    slots = tuple(
        slot
        for work in block.works
        for slot in range(starts[work], starts[work] + network.lengths[work])
    )
    if not slots and block.tasks[0].not_before is not None:
        task = block.tasks[0]
        day = datetime.combine(block.tasks[0].not_before, time(), ZoneInfo(axis.zone))
        free = min(slack[work] for work in block.works) * axis.slot / 60
        yield _row(joined, task, day, day, free, held[task.key])
        return
    clock = _Clock(axis, slots, min(starts[block.works[0]], len(axis) - 1))
    free = min(slack[work] for work in block.works) * axis.slot / 60
    spent = 0
    for task in block.tasks:
        minutes = round(60 * task.hours[1])
        yield _row(
            joined, task, clock.begin(spent), clock.end(spent + minutes), free, held[task.key]
        )
        spent += minutes


def _row(
    joined: Joined, task: Task, begin: datetime, end: datetime, free: float, held: tuple[str, ...]
) -> Row:
    word = next((t.word for t in joined.request.trades if t.key == task.trade), task.trade)
    return Row(
        key=task.key,
        job=task.job,
        place=task.place,
        title=task.title,
        trade=task.trade,
        word=word,
        kind=task.kind,
        begin=begin,
        end=max(begin, end),
        hours=task.hours,
        people=task.people,
        float_hours=free,
        chain=not free,
        hold=task.hold,
        recorded=task.recorded,
        blocked=held,
        bring=task.bring,
        promised=task.promised,
        done=task.ended is not None,
    )


def _past(joined: Joined, task: Task) -> Row:
    assert task.ended is not None
    row = _row(joined, task, task.begun or task.ended, task.ended, 0.0, ())
    return replace(row, chain=False)


def _held(tasks: Iterable[Task], precedences: Iterable[Precedence]) -> dict[str, tuple[str, ...]]:
    """The holds before each task that nobody has recorded."""
    every = {task.key: task for task in tasks}
    before: dict[str, list[str]] = {key: [] for key in every}
    for one in precedences:
        if one.before in every and one.after in every:
            before[one.after].append(one.before)
    found: dict[str, tuple[str, ...]] = {}

    def holds(key: str) -> tuple[str, ...]:
        if key not in found:
            met: dict[str, None] = {}
            for other in before[key]:
                met.update(dict.fromkeys(holds(other)))
                task = every[other]
                if task.hold and not task.recorded and task.ended is None:
                    met[f"{task.title}: {task.hold}"] = None
            found[key] = tuple(met)
        return found[key]

    return {key: holds(key) for key in every}


def waits_of(joined: Joined, rows: Iterable[Row]) -> tuple[Waiting, ...]:
    """The waits as they fall."""
    at = {row.key: row for row in rows}
    return tuple(
        Waiting(
            one.before, one.wait.kind, at[one.before].end,
            at[one.before].end + timedelta(hours=one.wait.hours), one.wait.source,
        )
        for one in joined.request.precedences
        if one.wait and one.before in at and one.after in at and not at[one.after].done
    )  # fmt: skip


def chain_of(joined: Joined, starts: Starts) -> tuple[str, ...]:
    """What the finish hangs on, from the end back to the beginning, a sentence each."""
    if not len(joined.network):
        return ()
    network = joined.network
    crews = crews_of(joined, starts)
    ordered = replace(network, links=(*network.links, *crews.links))
    block = {work: block for block in joined.blocks for work in block.works}
    at = max(range(len(network)), key=lambda i: starts[i] + network.lengths[i])
    lines = [
        f"All is done on {said_time(joined.axis.end_at(starts[at] + network.lengths[at]))}, "
        f"with {block[at].tasks[-1].title}{_of(joined, block[at])}."
    ]
    while True:
        reason, before = _why(joined, ordered, crews, starts, at, block)
        if before is None or block[before] is not block[at]:
            first, last = block[at].tasks[0].title, block[at].tasks[-1].title
            what = first if first == last else f"{first} to {last}"
            begins = said_time(joined.axis.begin_of(min(starts[at], len(joined.axis) - 1)))
            lines.append(f"{what}{_of(joined, block[at])} begins on {begins}: {reason}.")
        if before is None:
            return tuple(lines)
        at = before


def _of(joined: Joined, block: Block) -> str:
    """Of which job, where there are several."""
    several = len({task.job for task in joined.request.tasks}) > 1
    return f" of {block.tasks[0].job}" if several else ""


def _why(
    joined: Joined,
    ordered: Network,
    crews: Crews,
    starts: Starts,
    work: int,
    block: dict[int, Block],
) -> tuple[str, int | None]:
    """Why a work begins when it does, and the work that it waits for."""
    least, best = ordered.earliest.get(work, 0), None
    for link in ordered.before[work]:
        may = ordered.may_start(link, starts[link.before] + ordered.lengths[link.before])
        if may >= least and (may > 0 or not ordered.lengths[work]):
            least, best = may, link
    task = block[work].tasks[0]
    if best is None:
        if task.begun is not None:
            return "it was begun", None
        return task.why_not or "nothing holds it up", None
    if best in crews.links and (best.before, work) not in joined.precedence:
        word = next((t.word for t in joined.request.trades if t.key == task.trade), task.trade)
        other = block[best.before]
        reason = f"the {word} is at {other.tasks[-1].title}{_of(joined, other)} before"
    else:
        one = joined.precedence.get((best.before, work))
        if one is None:
            return "it goes on", best.before
        reason = one.reason
        if one.wait is not None:
            reason += f" ({one.wait.kind}, {one.wait.hours:g} h)"
    if starts[work] > least:
        days = work in ordered.allowed
        reason += "; before that " + (
            "nobody may work at it" if days else "it would take a day or a trip more"
        )
    return reason, best.before


def per_day(rows: Iterable[Row], day: date) -> tuple[Row, ...]:
    """The rows that are worked on, or fall, on a day."""
    return tuple(row for row in rows if not row.done and row.begin.date() <= day <= row.end.date())
