"""What if? The leaves come six days late, the electrician can only come on Fridays.

A change in words becomes a changed request, and that a programme that keeps to the order of the one
that is known where it does no harm: a second, not a search from nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from truehang.programme.calendars import DAYS, Calendar
from truehang.programme.make import Made, programme
from truehang.programme.model import Leave, Place, Request, Task, Trade

EFFORT, MANY = 0.2, 120
"""Deterministic time that a what-if may take; none where there are so many tasks: then it is the
known order, or a first schedule, whichever is done sooner."""
WAYS = (
    "WHAT N days late (leaves 6 days late)",
    "TRADE only DAY[,DAY] (electrician only fri)",
    "TRADE away FROM [to TO] (painter away 2026-04-20 to 2026-04-24)",
    "TASK takes N hours (joints takes 9 hours)",
    "not on DAY[,DAY] (not on thu)",
    "N crews (2 crews)",
)


class NotUnderstood(ValueError):
    """A what-if that no rule of `WAYS` reads, or that names nothing of the programme."""


@dataclass(frozen=True, slots=True)
class Answered:
    """A what-if with its programme."""

    said: str
    made: Made


def what_if(request: Request, known: Made, said: str) -> Answered:
    """The programme of a request as one sentence changes it. Raises NotUnderstood."""
    effort = EFFORT if len(request.tasks) < MANY else 0.0
    return Answered(said, programme(replace(change(request, said), effort=effort), known))


def change(request: Request, said: str) -> Request:
    """A request as one sentence changes it. Raises NotUnderstood."""
    text = " ".join(said.lower().split())
    for pattern, made in _RULES:
        if found := re.fullmatch(pattern, text):
            return made(request, *found.groups())
    raise NotUnderstood(f"{said!r} is not understood; write one of: {'; '.join(WAYS)}")


def _late(request: Request, what: str, number: str) -> Request:
    days = timedelta(days=int(number))

    def later(task: Task) -> Task:
        day = task.not_before or request.begin
        why = f"{task.title} comes {number} days late"
        return replace(task, not_before=day + days, why_not=why)

    return _with_tasks(request, what, later, goods=True)


def _takes(request: Request, what: str, number: str) -> Request:
    hours = float(number)
    return _with_tasks(request, what, lambda task: replace(task, hours=(hours, hours, hours)))


def _with_tasks(
    request: Request, what: str, changed: Callable[[Task], Task], goods: bool = False
) -> Request:
    """The tasks whose name has this word are changed: goods and answers first, where there are."""
    word = what.removesuffix("s")
    named = [
        task for task in request.tasks if word in task.key.lower() or word in task.title.lower()
    ]
    outside = [task for task in named if task.kind != "work"] if goods else []
    keys = {task.key for task in outside or named}
    if not keys:
        known = ", ".join(sorted({task.key.rpartition("/")[2] for task in request.tasks}))
        raise NotUnderstood(f"no task or delivery is called {what!r}; there are {known}")
    tasks = tuple(changed(task) if task.key in keys else task for task in request.tasks)
    return replace(request, tasks=tasks)


def _only(request: Request, trade: str, days: str) -> Request:
    wanted = _days(days)

    def only(one: Trade) -> Trade:
        calendar = one.calendar or request.open
        week = tuple(
            hours if name in wanted else () for name, hours in zip(DAYS, calendar.week, strict=True)
        )
        also = {day: hours for day, hours in calendar.also.items() if DAYS[day.weekday()] in wanted}
        return replace(one, calendar=replace(calendar, week=week, also=also))

    return _with_trade(request, trade, only)


def _away(request: Request, trade: str, begin: str, end: str | None) -> Request:
    one = _named(request, trade)
    try:
        leave = Leave(
            one.key, date.fromisoformat(begin), date.fromisoformat(end or begin), one.crews
        )
    except ValueError as wrong:
        raise NotUnderstood(f"{wrong}; write days as 2026-04-20") from None
    return replace(request, leave=(*request.leave, leave))


def _named(request: Request, trade: str) -> Trade:
    known = {key: one for one in request.trades for key in (one.key, one.word.lower())}
    if trade not in known:
        raise NotUnderstood(
            f"no trade is called {trade!r}; there are {', '.join(t.key for t in request.trades)}"
        )
    return known[trade]


def _with_trade(request: Request, trade: str, changed: Callable[[Trade], Trade]) -> Request:
    named = _named(request, trade)
    return replace(
        request, trades=tuple(changed(one) if one is named else one for one in request.trades)
    )


def _not_on(request: Request, days: str) -> Request:
    shut = _days(days)

    def open_on(calendar: Calendar) -> Calendar:
        week = tuple(
            () if name in shut else hours for name, hours in zip(DAYS, calendar.week, strict=True)
        )
        also = {
            day: hours for day, hours in calendar.also.items() if DAYS[day.weekday()] not in shut
        }
        return replace(calendar, week=week, also=also)

    keys = {task.place for task in request.tasks}
    known = {place.key: place for place in request.places}
    places = tuple(
        replace(
            known.get(key, Place(key)),
            open=open_on(known.get(key, Place(key)).open or request.open),
        )
        for key in sorted(keys)
    )
    return replace(request, places=places)


def _crews(request: Request, number: str) -> Request:
    first = request.trades[0].key
    return _with_trade(request, first, lambda one: replace(one, crews=int(number)))


def _days(text: str) -> set[str]:
    found = {word[:3] for word in re.split(r"[ ,]+|\band\b", text) if word}
    if not found or not found <= set(DAYS):
        raise NotUnderstood(f"{text!r} are no days; write them as {', '.join(DAYS)}")
    return found


_RULES: tuple[tuple[str, Callable[..., Request]], ...] = (
    (r"(?:the )?(.+?) (?:come |comes |are |is )?(\d{1,3}) days? late", _late),
    (r"(?:the )?(.+?) (?:can )?(?:come |comes )?only (?:come )?(?:on )?([a-z, ]+?)s?", _only),
    (r"(?:the )?(.+?) (?:is |are )?away (\d{4}-\d\d-\d\d)(?: (?:to|-) (\d{4}-\d\d-\d\d))?", _away),
    (r"(?:the )?(.+?) takes? (\d{1,3}(?:\.\d+)?) hours?", _takes),
    (r"not on ([a-z, ]+?)s?", _not_on),
    (r"(\d{1,2}) crews?", _crews),
)
