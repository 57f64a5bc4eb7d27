"""When is there work, and when only waiting? Calendars, and the axis of working slots.

One axis serves everybody: the hours in which the site is open, cut into slots. Nights, weekends,
holidays and the customer's own days are no part of it. A trade that comes at fewer hours may start
in fewer slots; a wait runs by the clock and becomes a table over the axis (see `network`). The
clock is the place's own: a night in which summer time begins is an hour shorter.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True, order=True)
class Hours:
    """A stretch of a day, in minutes after midnight."""

    begin: int
    end: int


Week = tuple[tuple[Hours, ...], ...]
"""The hours of Monday to Sunday."""


def week(days: Iterable[str], hours: tuple[Hours, ...]) -> Week:
    """The same hours on each of these days, given as mon, tue..."""
    named = set(days)
    return tuple(hours if day in named else () for day in DAYS)


@dataclass(frozen=True)
class Calendar:
    """Hours by the week; `off` are days without, each with its reason; `also` are days with hours
    of their own, whatever the week, a holiday or leave says."""

    week: Week
    off: Mapping[date, str] = field(default_factory=dict)
    also: Mapping[date, tuple[Hours, ...]] = field(default_factory=dict)
    begins: date | None = None
    """Nobody comes before this day."""

    def hours(self, day: date) -> tuple[Hours, ...]:
        """The hours of one day."""
        if self.begins is not None and day < self.begins:
            return ()
        if day in self.also:
            return self.also[day]
        return () if day in self.off else self.week[day.weekday()]

    def why_not(self, day: date) -> str:
        """Why a day has no hours; empty where it has."""
        if self.hours(day):
            return ""
        if self.begins is not None and day < self.begins:
            return "not before they come"
        return self.off.get(day) or "not a working day"


class NoFreeHour(ValueError):
    """A calendar, or what is left of several, has no hour in which anybody works."""

    def __init__(self, whose: str, begin: date, days: int) -> None:
        super().__init__(f"{whose}: no free hour in {days} days from {begin}")
        self.whose, self.begin, self.days = whose, begin, days


@dataclass(frozen=True)
class Axis:
    """Working slots in order. `begins` are minutes of UTC since 1970, `dates` the days that have
    any, `day_of` which of them each slot is of."""

    zone: str
    slot: int
    begins: tuple[int, ...]
    day_of: tuple[int, ...]
    dates: tuple[date, ...]

    def __len__(self) -> int:
        return len(self.begins)

    def begin_of(self, slot: int) -> datetime:
        """When a slot begins, by the place's clock."""
        return self._told(self.begins[slot])

    def end_at(self, slot: int) -> datetime:
        """When what ends at this slot is done: the end of the slot before it."""
        return self._told(self.begins[slot - 1] + self.slot) if slot else self.begin_of(0)

    def _told(self, minute: int) -> datetime:
        return datetime.fromtimestamp(minute * 60, UTC).astimezone(ZoneInfo(self.zone))

    def from_day(self, day: date) -> int:
        """The first slot on a day, or after it."""
        return bisect_left(self.begins, _minute(day, 0, ZoneInfo(self.zone)))

    def at(self, instant: datetime) -> int:
        """The first slot that begins at an instant or after it."""
        return bisect_left(self.begins, int(instant.timestamp()) // 60)

    def ready(self, minutes: int) -> tuple[int, ...]:
        """For each end on the axis, the first slot after a wait of so many minutes by the clock."""
        table = [bisect_left(self.begins, self.begins[0] + minutes)]
        table += [bisect_left(self.begins, begin + self.slot + minutes) for begin in self.begins]
        return tuple(table)

    def open_in(self, calendar: Calendar) -> int:
        """A mask of the slots that lie whole within a calendar's hours."""
        zone = ZoneInfo(self.zone)
        mask, offset = 0, 0
        for number, day in enumerate(self.dates):
            count = 0
            hours = calendar.hours(day)
            while offset + count < len(self.day_of) and self.day_of[offset + count] == number:
                count += 1
            if hours:
                midnight = _minute(day, 0, zone)
                for slot in range(offset, offset + count):
                    begin = self.begins[slot] - midnight
                    if any(h.begin <= begin and begin + self.slot <= h.end for h in hours):
                        mask |= 1 << slot
            offset += count
        return mask


def starts_in(mask: int, length: int) -> int:
    """At which slots can a work of this length start, and lie in the mask from end to end?"""
    run = 1
    while run < length:
        step = min(run, length - run)
        mask &= mask >> step
        run += step
    return mask


def longest_run(mask: int) -> int:
    """The longest stretch of slots without a break in a mask."""
    low, high = 0, mask.bit_length()
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if starts_in(mask, middle) else (low, middle - 1)
    return low


def axis(calendar: Calendar, begin: date, days: int, zone: str, slot: int = 30) -> Axis:
    """The axis of a calendar over so many days. Raises NoFreeHour where it has no slot."""
    place = ZoneInfo(zone)
    begins: list[int] = []
    day_of: list[int] = []
    dates: list[date] = []
    for number in range(days):
        day = begin + timedelta(days=number)
        before = len(begins)
        for hours in calendar.hours(day):
            first, last = _minute(day, hours.begin, place), _minute(day, hours.end, place)
            begins.extend(range(first, last - slot + 1, slot))
        if len(begins) > before:
            day_of.extend([len(dates)] * (len(begins) - before))
            dates.append(day)
    if not begins:
        raise NoFreeHour("the site", begin, days)
    return Axis(zone, slot, tuple(begins), tuple(day_of), tuple(dates))


def _minute(day: date, minute: int, zone: ZoneInfo) -> int:
    """A minute of a day by the place's clock, as minutes of UTC since 1970."""
    at = datetime.combine(day + timedelta(days=minute // 1440), time(), zone)
    at = at.replace(hour=minute % 1440 // 60, minute=minute % 60)
    return int(at.timestamp()) // 60
