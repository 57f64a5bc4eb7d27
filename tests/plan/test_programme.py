"""Who comes when at the demo jobs: nothing is forgotten, nothing begins before it may."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.job import Job, check, load, starter
from truehang.plan import Plan, answered, plan
from truehang.plan.later.programme import ROOM
from truehang.plan.programme_ask import ask_all
from truehang.plan.programme_tasks import request
from truehang.programme.model import Programme, Request

DEMOS = ("fernhollow", "quarry-house", "millrace-cottage", "granary-hall")
BOUGHT = catalogue.load()


@cache
def planned(name: str) -> Plan:
    return answered(plan(load(demo.files(name)[0][1]), BOUGHT), BOUGHT, "programme")


def programme(name: str) -> Programme:
    made = ROOM.of(planned(name))
    assert made is not None
    return made


def asked(name: str) -> Request:
    made = request(planned(name), BOUGHT)
    assert made is not None
    return made[0]


def given(name: str, **wish: Any) -> Plan:
    job = load(demo.files(name)[0][1])
    values = job.model_dump()
    values["programme"] |= wish
    return plan(Job.model_validate(values), BOUGHT)


@pytest.mark.parametrize("name", DEMOS)
def test_every_build_sheet_is_a_task_and_every_wait_is_kept(name: str) -> None:
    made, of = programme(name), asked(name)
    keys = {row.key.partition("/")[2].partition(".")[0] for row in made.rows}
    for step in planned(name).steps:
        assert step.key in keys or f"{step.key}-base" in keys, step.key
    at = {row.key: row for row in made.rows}
    for link in of.precedences:
        wait = timedelta(hours=link.wait.hours if link.wait else 0)
        assert at[link.after].begin >= at[link.before].end + wait, link
    assert made.length.proved
    assert made.days.proved
    assert made.promise is not None
    assert made.promise >= made.finish.date()


@pytest.mark.parametrize("name", DEMOS)
def test_hours_are_those_that_the_price_has(name: str) -> None:
    from truehang.plan.takings import measures

    amount = measures(planned(name), BOUGHT)
    by_rates = sum(task.hours[1] * amount.get(task.measure, 0.0) for task in BOUGHT.rates.task)
    own = {"look", "mouth-props", "stops", "floor"}
    extra = {
        row.key.partition("/")[2]
        for row in programme(name).rows
        if row.trade in ("electrician", "plumber")
    }
    hours = sum(
        row.hours[1] for row in programme(name).rows if row.key.partition("/")[2] not in own | extra
    )
    soft = amount.get("soft_close", 0.0) * next(
        t.hours[1] for t in BOUGHT.rates.task if t.id == "soft-close"
    )
    assert hours + soft == pytest.approx(by_rates, rel=1e-6)


def test_the_labels_own_time_is_used_and_named() -> None:
    slow = ROOM.of(answered(given("fernhollow", coats={"second": 60}), BOUGHT, "programme"))
    assert slow is not None
    assert any("label" in wait.source for wait in slow.waiting)
    assert slow.finish > programme("fernhollow").finish


def test_a_cold_or_damp_room_is_warned_of() -> None:
    job = load(demo.files("fernhollow")[0][1])
    cold = replace_site(job, temperature=6, humidity=88)
    found = {f.where for f in answered(plan(cold, BOUGHT), BOUGHT, "programme").findings}
    assert {"site.temperature", "site.humidity"} <= found
    assert "site.temperature" not in {f.where for f in planned("fernhollow").findings}


def replace_site(job: Job, **site: Any) -> Job:
    values = job.model_dump()
    values["site"] |= site
    return Job.model_validate(values)


def test_what_is_recorded_no_longer_blocks() -> None:
    blocked = {hold for row in programme("fernhollow").rows for hold in row.blocked}
    assert any("Test results" in hold for hold in blocked)
    made = ROOM.of(
        answered(given("fernhollow", recorded={"hazards": date(2026, 3, 9)}), BOUGHT, "programme")
    )
    assert made is not None
    assert not any("Test results" in hold for row in made.rows for hold in row.blocked)


def test_an_unknown_place_and_unknown_names_are_said() -> None:
    odd = given(
        "fernhollow", place="VICT", recorded={"looking": date(2026, 3, 9)}, zone="Mars/Base"
    )
    found = {f.where: f for f in answered(odd, BOUGHT, "programme").findings}
    assert "did you mean VIC" in found["programme.place"].what
    assert "looking" in found["programme.recorded"].what
    assert "Mars/Base" in found["programme.zone"].what


def test_holidays_of_the_place_are_days_without_work() -> None:
    # Anzac Day 2027 is a Sunday; Easter Monday 2026 is 6 April: begin just before it.
    job = replace_site(load(demo.files("fernhollow")[0][1]), start=date(2026, 4, 2))
    made = ROOM.of(answered(plan(job, BOUGHT), BOUGHT, "programme"))
    assert made is not None
    shut = {date(2026, 4, 3), date(2026, 4, 6)}
    assert not shut & {row.begin.date() for row in made.rows if row.kind == "work"}


def test_two_jobs_share_their_crew() -> None:
    plans = [planned(name) for name in ("fernhollow", "millrace-cottage")]
    both = ask_all(plans, BOUGHT, date(2026, 8, 3)).programme
    mine = [row for row in both.rows if row.trade == "own" and row.kind == "work"]
    for one, other in pairwise(mine):
        assert other.begin >= one.end - timedelta(minutes=30)  # blocks are rounded up to slots
    assert {row.job for row in mine} == {"fernhollow", "millrace-cottage"}


def test_the_same_plan_gives_the_same_programme() -> None:
    again = plan(load(demo.files("granary-hall")[0][1]), BOUGHT)
    assert ROOM.of(answered(again, BOUGHT, "programme")) == programme("granary-hall")
    assert replace(programme("granary-hall"), rows=()) != programme("granary-hall")


def test_a_deadline_before_the_leaves_names_them_and_the_days() -> None:
    late = given("fernhollow", deadline=date(2026, 4, 30), lead_days={"leaf": 60})
    found = {f.where: f for f in answered(late, BOUGHT, "programme").findings}
    assert "34 days after the deadline" in found["programme.deadline"].what
    assert "The leaves come" in found["programme.deadline"].what
    assert "34 days sooner" in found["programme.deadline"].mend


def test_days_and_hours_that_end_before_they_begin_are_refused() -> None:
    wrong = (
        '\nprogramme:\n  hours: ["12:00-07:00"]\n'
        '  away:\n    - {begin: "2026-04-20", end: "2026-04-01"}\n'
    )
    fields = [problem.field for problem in check(starter() + wrong)]
    assert fields == ["programme.hours[0]", "programme.away[0].end"]
    assert not check(
        starter() + wrong.replace("12:00-07:00", "07:00-12:00").replace("04-01", "05-01")
    )
