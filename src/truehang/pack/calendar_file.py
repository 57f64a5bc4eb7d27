"""Who comes when, as a calendar that other programs read? RFC 5545, one file for each trade.

A task keeps its UID for as long as its job has it; what changed has a higher SEQUENCE than in the
file before, and what is no longer planned is cancelled there. Times are local with a VTIMEZONE in
the rule form, found from the place's own clock: readers that take a list of dates for the rule have
put summer an hour late.
"""

from __future__ import annotations

import hashlib
from calendar import monthrange
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from truehang.pack.programme_texts import work
from truehang.programme.model import Programme, Row

PRODUCER = "-//Truehang//Programme//EN"
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def calendar_of(made: Programme, trade: str, issued: date, before: bytes | None = None) -> bytes:
    """The calendar of one trade. `issued` is its time stamp; `before` the file that it replaces."""
    from icalendar import Calendar

    known = {str(e["UID"]): e for e in _events(before)} if before else {}
    whole = Calendar()
    whole.add("PRODID", PRODUCER)
    whole.add("VERSION", "2.0")
    whole.add("CALSCALE", "GREGORIAN")
    whole.add("METHOD", "PUBLISH")
    rows = [row for row in work(made.rows) if row.trade == trade]
    years = {at.year for row in rows for at in (row.begin, row.end)}
    first = min(years, default=issued.year)
    kept = {zone for event in known.values() if (zone := _zone_of(event))}
    for zone in sorted({made.zone, *kept}):
        whole.add_component(timezone(zone, first))
    new: dict[str, Any] = {}
    for row in rows:
        event = _event(row, made, issued)
        new[str(event["UID"])] = event
    for uid, event in new.items():
        event.add("SEQUENCE", _sequence(event, known.get(uid)))
        whole.add_component(event)
    for uid, event in known.items():
        if uid not in new:
            whole.add_component(_cancelled(event, issued))
    return bytes(whole.to_ical())


def uid_of(row: Row) -> str:
    """The name of a task in every calendar, now and later."""
    return hashlib.sha256(row.key.encode()).hexdigest()[:32] + "@programme.truehang.invalid"


def _events(data: bytes) -> list[Any]:
    from icalendar import Calendar

    return list(Calendar.from_ical(data).walk("VEVENT"))


def _zone_of(event: Any) -> str:
    return str(event["DTSTART"].params.get("TZID", "")) if "DTSTART" in event else ""


def _event(row: Row, made: Programme, issued: date) -> Any:
    from icalendar import Event

    zone = ZoneInfo(made.zone)
    event = Event()
    event.add("UID", uid_of(row))
    event.add("DTSTAMP", datetime.combine(issued, time(), UTC))
    event.add("DTSTART", row.begin.astimezone(zone))
    event.add("DTEND", max(row.end, row.begin + timedelta(minutes=1)).astimezone(zone))
    event.add("SUMMARY", f"{row.job}: {row.title}")
    lines = [f"Bring: {', '.join(row.bring)}"] if row.bring else []
    lines += [f"Only once it is recorded: {hold}" for hold in row.blocked]
    if row.people > 1:
        lines.append("Two people are needed.")
    if lines:
        event.add("DESCRIPTION", "\n".join(lines))
    event.add("STATUS", "TENTATIVE" if row.blocked else "CONFIRMED")
    return event


_TOLD = ("DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "STATUS")


def _told(event: Any) -> tuple[str, ...]:
    return tuple(event[name].to_ical().decode() if name in event else "" for name in _TOLD)


def _sequence(event: Any, before: Any | None) -> int:
    """One more than before where something changed; 0 for what is new."""
    if before is None:
        return 0
    was = int(before.get("SEQUENCE", 0))
    return was if _told(event) == _told(before) else was + 1


def _cancelled(before: Any, issued: date) -> Any:
    from icalendar import Event

    gone = str(before.get("STATUS", "")) == "CANCELLED"
    event = Event()
    for name in ("UID", "DTSTART", "DTEND", "SUMMARY"):
        if name in before:
            event[name] = before[name]
    event.add("DTSTAMP", datetime.combine(issued, time(), UTC))
    event.add("STATUS", "CANCELLED")
    event.add("SEQUENCE", int(before.get("SEQUENCE", 0)) + (0 if gone else 1))
    return event


# ---------------------------------------------------------------- the clock of a place


@dataclass(frozen=True, slots=True)
class Change:
    """A change of a place's clock, by the wall clock before it, and the offsets around it."""

    at: datetime
    before: timedelta
    after: timedelta
    name: str


def timezone(zone: str, year: int) -> Any:
    """A VTIMEZONE in the rule form that holds from `year` on."""
    from icalendar import Timezone, TimezoneDaylight, TimezoneStandard
    from icalendar.prop import vRecur

    place = ZoneInfo(zone)
    made = Timezone()
    made.add("TZID", zone)
    rules = list(_rules(place, year - 1))
    for change, rule in rules:
        part = TimezoneDaylight() if change.after > change.before else TimezoneStandard()
        part.add("DTSTART", change.at)
        part.add("TZOFFSETFROM", change.before)
        part.add("TZOFFSETTO", change.after)
        part.add("TZNAME", change.name)
        if rule:
            part.add("RRULE", vRecur(rule))
        made.add_component(part)
    if not rules:
        fixed = datetime(year - 1, 1, 1, tzinfo=place)
        part = TimezoneStandard()
        part.add("DTSTART", datetime(year - 1, 1, 1))
        part.add("TZOFFSETFROM", fixed.utcoffset())
        part.add("TZOFFSETTO", fixed.utcoffset())
        part.add("TZNAME", fixed.tzname())
        made.add_component(part)
    return made


def _rules(place: ZoneInfo, year: int) -> Iterator[tuple[Change, dict[str, Any] | None]]:
    """The changes of a year, each with the rule that it follows for eight years, if it does."""
    every = [list(changes(place, year + n)) for n in range(8)]
    for number, change in enumerate(every[0]):
        alike = [found[number] for found in every if number < len(found)]
        same = len(alike) == len(every) and {c.at.month for c in alike} == {change.at.month}
        nths = set.intersection(*(_nths(c.at) for c in alike)) if same else set()
        weekday = {c.at.weekday() for c in alike} == {change.at.weekday()}
        if not nths or not weekday:
            raise ValueError(f"{place.key}: its clock changes by no yearly rule")
        nth = max(nths)  # the n-th where it is one, the last else
        day = f"{nth}{WEEKDAYS[change.at.weekday()]}"
        yield change, {"FREQ": "YEARLY", "BYMONTH": change.at.month, "BYDAY": day}


def _nths(at: datetime) -> set[int]:
    """Which of its month's weekdays a day is: 2 for the second, -1 for the last."""
    last = at.day + 7 > monthrange(at.year, at.month)[1]
    return {(at.day - 1) // 7 + 1} | ({-1} if last else set())


def changes(place: ZoneInfo, year: int) -> Iterator[Change]:
    """When the clock of a place changes in a year."""
    at, end = datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC)
    step = timedelta(days=1)
    while at < end:
        offset, later = _offset(place, at), _offset(place, at + step)
        if offset != later:
            low, high = at, at + step
            while high - low > timedelta(minutes=1):
                middle = low + (high - low) / 2
                middle = middle.replace(second=0, microsecond=0)
                low, high = (middle, high) if _offset(place, middle) == offset else (low, middle)
            name = high.astimezone(place).tzname() or place.key
            yield Change((high + offset).replace(tzinfo=None), offset, later, name)
        at += step


def _offset(place: ZoneInfo, at: datetime) -> timedelta:
    return at.astimezone(place).utcoffset() or timedelta()


def files_of(
    made: Programme, issued: date, before: Iterable[tuple[str, bytes]] = ()
) -> dict[str, bytes]:
    """A calendar for each trade, by the name of its file."""
    known = dict(before)
    names = {trade: f"programme-{trade.replace(' ', '-')}.ics" for trade in made.trades}
    return {
        name: calendar_of(made, trade, issued, known.get(name)) for trade, name in names.items()
    }
