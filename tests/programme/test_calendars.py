"""Days, nights and the clock: worked by hand, and beside published lists of holidays."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from tests.programme.requests import EIGHT, MONDAY, ZONE, after, request, task

from truehang.programme.calendars import Calendar, Hours, NoFreeHour, axis, longest_run, week
from truehang.programme.holiday import UnknownPlace, public_holidays, working_day_after
from truehang.programme.make import programme
from truehang.programme.model import Leave, Place, Trade


def begins(made: object, key: str) -> str:
    return f"{made.programme.of(key).begin:%a %d %H:%M}"  # type: ignore[attr-defined]


def test_a_coat_dries_over_the_weekend_and_work_does_not() -> None:
    tasks = [task("a", 6), task("b", 1)]
    friday = replace(tasks[0], not_before=date(2026, 3, 6))
    made = programme(request([friday, tasks[1]], [after("a", "b", 24)]))
    # Friday 07:00 to 13:30 with half an hour's break; dry on Saturday 13:30; Monday 07:00.
    assert f"{made.programme.of('a').end:%a %d %H:%M}" == "Fri 06 13:30"
    assert begins(made, "b") == "Mon 09 07:00"


def test_a_wait_within_the_day_ends_within_it() -> None:
    made = programme(request([task("a", 2), task("b", 1)], [after("a", "b", 1.5)]))
    assert begins(made, "b") == "Mon 02 10:30"


def test_the_night_in_which_summer_time_begins_is_an_hour_shorter() -> None:
    # Melbourne, 4 October 2026: 02:00 becomes 03:00 (Victoria's Summer Time Act 1972: the first
    # Sunday of October). A wait of 24 h from Saturday 15:30 is over on Sunday 16:30.
    every = Calendar(week(("sat", "sun"), (Hours(420, 930),)))
    along = axis(every, date(2026, 10, 3), 9, ZONE)
    saturday_end = along.from_day(date(2026, 10, 4))
    assert along.ready(15 * 60)[saturday_end] == saturday_end + 1  # 07:30, not 06:30
    assert along.begin_of(saturday_end).astimezone(UTC) == datetime(2026, 10, 3, 20, tzinfo=UTC)


def test_leave_other_days_and_hours_for_noise_are_kept() -> None:
    noise = Calendar(week(("mon", "tue", "wed", "thu", "fri"), (Hours(660, 930),)))
    shut = Calendar(week(("mon", "tue", "wed", "fri"), (Hours(0, 1440),)))
    asked = request(
        [task("quiet", 2), task("loud", 2, noisy=True), task("long", 22)],
        [after("quiet", "loud"), after("loud", "long")],
        places=(Place("site", shut, noise),),
        leave=(Leave("own", date(2026, 3, 6), date(2026, 3, 9)),),
    )
    made = programme(asked).programme
    assert f"{made.of('loud').begin:%a %d %H:%M}" == "Mon 02 11:00"
    worked = {made.of("long").begin.date(), made.of("long").end.date()}
    # 22 hours from Monday 13:30: not on Thursday, and away on Friday and Monday.
    assert not worked & {date(2026, 3, 5), date(2026, 3, 6), date(2026, 3, 9)}
    assert made.finish.date() > date(2026, 3, 9)


def test_a_trade_of_one_day_a_week_comes_on_that_day() -> None:
    fridays = Calendar(week(("fri",), (Hours(0, 1440),)))
    trades = (
        Trade(key="own", word="own crew"),
        Trade(key="electrician", word="electrician", calendar=fridays),
    )
    made = programme(
        request([task("a", 1), task("b", 2, "electrician")], [after("a", "b")], trades=trades)
    )
    assert begins(made, "b") == "Fri 06 07:00"


def test_a_calendar_without_a_free_hour_is_said() -> None:
    never = Calendar(week((), ()))
    with pytest.raises(NoFreeHour):
        axis(never, MONDAY, 100, ZONE)
    made = programme(request([task("a", 1)], open=never)).programme
    assert not made.rows
    assert "no working hour" in made.findings[0].what


def test_runs_of_slots() -> None:
    assert longest_run(0b1110110) == 3
    assert longest_run(0) == 0


ENGLAND_2026 = {
    date(2026, 1, 1), date(2026, 4, 3), date(2026, 4, 6), date(2026, 5, 4), date(2026, 5, 25),
    date(2026, 8, 31), date(2026, 12, 25), date(2026, 12, 28),
}  # fmt: skip
"""Bank holidays in England and Wales, 2026: the government's published list, from memory; to be
checked at its page on bank holidays. 26 December is a Saturday: its substitute is the 28th."""
VICTORIA_2026 = {
    date(2026, 1, 1), date(2026, 1, 26), date(2026, 3, 9), date(2026, 4, 3), date(2026, 4, 6),
    date(2026, 6, 8), date(2026, 11, 3), date(2026, 12, 25),
}  # fmt: skip
"""Weekday public holidays in Victoria, 2026, without the Friday before the football final, which is
set each year: the state's published list, from memory; to be checked at its page."""


def test_holidays_beside_published_lists() -> None:
    england = public_holidays("GB", "ENG", (2026,))
    assert {day for day in england if day.weekday() < 5} == ENGLAND_2026
    victoria = public_holidays("AU", "VIC", (2026,))
    assert {day for day in victoria if day.weekday() < 5} >= VICTORIA_2026


def test_an_unknown_place_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownPlace, match="did you mean VIC"):
        public_holidays("AU", "VICT", (2026,))
    with pytest.raises(UnknownPlace, match="choose one of ACT"):
        public_holidays("AU", "ZZZ", (2026,))


def test_lead_times_are_working_days() -> None:
    easter = (date(2026, 4, 3), date(2026, 4, 6))
    assert working_day_after(date(2026, 4, 1), 3, easter) == date(2026, 4, 8)
    assert working_day_after(MONDAY, 0, ()) == MONDAY


def test_the_axis_is_of_the_site_alone() -> None:
    along = axis(EIGHT, MONDAY, 7, ZONE)
    assert len(along) == 5 * 16
    assert along.dates[-1] == date(2026, 3, 6)
