"""Small requests for the tests of the programme. Everything in them is invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from truehang.programme.calendars import Calendar, Hours, week
from truehang.programme.model import Place, Precedence, Request, Task, Trade, Wait

MONDAY = date(2026, 3, 2)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
EIGHT = Calendar(week(WEEKDAYS, (Hours(420, 720), Hours(750, 930))))
ZONE = "Australia/Melbourne"


def task(key: str, hours: float, trade: str = "own", **given: Any) -> Task:
    return Task(
        key=key,
        job="one",
        place="site",
        title=key,
        trade=trade,
        hours=(hours, hours, hours),
        **given,
    )


def after(before: str, key: str, wait: float | None = None) -> Precedence:
    return Precedence(before, key, f"{before} is done", wait and Wait(wait, "drying", "test"))


def request(tasks: Sequence[Task], links: Sequence[Precedence] = (), **given: Any) -> Request:
    asked = Request(
        tasks=tuple(tasks),
        precedences=tuple(links),
        trades=(
            Trade(key="own", word="own crew"),
            Trade(key="painter", word="painter"),
            Trade(key="electrician", word="electrician"),
        ),
        open=EIGHT,
        begin=MONDAY,
        zone=ZONE,
        places=(Place("site"),),
        effort=0.5,
    )
    return replace(asked, **given)
