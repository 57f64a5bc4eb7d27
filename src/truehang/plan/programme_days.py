"""When is there work at this job? Calendars from the job file and the region."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from truehang.catalogue.regions import Region
from truehang.findings import Finding, Severity
from truehang.job import Job
from truehang.job.programme import TradeDays
from truehang.programme.calendars import Calendar, Hours, week
from truehang.programme.holiday import UnknownPlace, public_holidays
from truehang.programme.model import Leave, Place

YEARS = 5
"""Holidays are looked up for so many years from the first day."""
ALL = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The calendars of one job, and what is wrong with what was said of them."""

    begin: date
    ordered: date
    zone: str
    open: Calendar
    place: Place
    leave: tuple[Leave, ...]
    shut: tuple[date, ...]
    """Public holidays, on which no supplier works either."""
    findings: tuple[Finding, ...]


def days_of(job: Job, where: Region, crews: int) -> Days:
    """The calendars of a job."""
    wish = job.programme
    begin = job.site.start or job.job.issued
    ordered = wish.ordered or min(job.job.issued, begin)
    zone, faults = _zone(job, where)
    years = tuple(range(ordered.year, begin.year + YEARS))
    try:
        holidays = public_holidays(where.days.country, wish.place, years)
    except UnknownPlace as wrong:
        holidays = public_holidays(where.days.country, None, years)
        faults.append(
            _hold(
                "programme.place",
                str(wrong),
                "name the state or part; until then the holidays of the whole country hold",
            )
        )
    hours = hours_of(wish.hours)
    off = {day: name for day, name in holidays.items() if day not in wish.worked}
    away = {
        day: one.why or "leave"
        for one in wish.away
        if one.trade == "own" and (one.crews or crews) >= crews
        for day in _every(one.begin, one.end)
    }
    also = dict.fromkeys(wish.worked, hours)
    return Days(
        begin=begin,
        ordered=ordered,
        zone=zone,
        open=Calendar(week(wish.days, hours), {**off, **away}, also),
        place=Place(
            job.job.project or job.job.name,
            Calendar(week(set(ALL) - set(wish.not_on), (Hours(0, 1440),))) if wish.not_on else None,
            Calendar(week(ALL, hours_of(wish.noise))) if wish.noise is not None else None,
        ),
        leave=tuple(
            Leave(one.trade, one.begin, one.end or one.begin, one.crews or 99)
            for one in wish.away
            if one.trade != "own" or (one.crews or crews) < crews
        ),
        shut=tuple(off),
        findings=tuple(faults),
    )


def trade_calendar(said: TradeDays | None, job: Job) -> Calendar | None:
    """The calendar of another trade; None where it comes at every hour of the site."""
    if said is None or (said.days is None and said.hours is None and said.begins is None):
        return None
    hours = hours_of(said.hours) if said.hours else (Hours(0, 1440),)
    return Calendar(week(said.days or ALL, hours), begins=said.begins)


def hours_of(stretches: Iterable[str]) -> tuple[Hours, ...]:
    """Stretches of a day, from the earliest."""
    found = []
    for text in stretches:
        begin, end = ((int(part[:2]) * 60 + int(part[3:])) for part in text.split("-"))
        if end > begin:
            found.append(Hours(begin, end))
    return tuple(sorted(found))


def moment(text: str, zone: str) -> datetime:
    """A moment as the job file writes it, by the place's clock."""
    return datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=ZoneInfo(zone))


def _zone(job: Job, where: Region) -> tuple[str, list[Finding]]:
    wish = job.programme
    usual = where.days.zones.get(wish.place or "", where.days.zone)
    if wish.zone is None:
        return usual, []
    try:
        ZoneInfo(wish.zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return usual, [
            _hold("programme.zone", f"no time zone is called {wish.zone}",
                  f"write one like {usual}, which is taken until then")
        ]  # fmt: skip
    return wish.zone, []


def _every(begin: date, end: date | None) -> Iterable[date]:
    last = end or begin
    return (begin + timedelta(days=n) for n in range(max(0, (last - begin).days) + 1))


def _hold(where: str, what: str, mend: str) -> Finding:
    return Finding(Severity.HOLD, where, what, mend, "the job file")
