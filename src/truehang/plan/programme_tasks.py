"""What has to be done at this job, and after what? Tasks from its build sheets and its orders.

The order stands in `programme_order.toml`; this module takes what applies, with the hours of the
labour rates, the lead times of what is ordered, and what the job file says has happened.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources
from typing import Any

from truehang.catalogue import Catalogue
from truehang.findings import Finding, Severity
from truehang.plan.model import Plan
from truehang.plan.programme_days import Days, days_of, moment, trade_calendar
from truehang.plan.takings import measures
from truehang.programme.holiday import working_day_after
from truehang.programme.model import Kind, Precedence, Request, Task, Three, Trade, Wait
from truehang.steps import Step

OWN = "own"
COLD, DAMP = 10.0, 80.0
"""Joints are not set under so many degrees (Gypsum Association, as read), and dry slowly over so
much relative humidity, % (common practice, no source)."""
OTHERS = ("electrician", "plumber", "gas fitter", "data", "setter", "painter", "floor-layer")
CREW_WORD = "own crew"


@cache
def order() -> Mapping[str, Any]:
    """The order of tasks, goods, waits and answers."""
    text = (resources.files(__package__) / "programme_order.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@dataclass(frozen=True, slots=True)
class _Found:
    """An entry of the order with the build sheet it belongs to, if one does."""

    key: str
    entry: Mapping[str, Any]
    step: Step | None
    trade: str


def request(plan: Plan, catalogue: Catalogue) -> tuple[Request, tuple[Finding, ...]] | None:
    """What the programme of one job is asked; None where nothing fits yet."""
    if plan.arrangement is None or not plan.steps:
        return None
    job = plan.job
    crews = job.site.crew if job.site.helper else 1
    days = days_of(job, plan.region, crews)
    found = list(_applying(plan))
    hours = _hours(plan, catalogue, found)
    tasks = [*_goods(plan, catalogue, days), *_answers(plan, days)]
    for one in found:
        if one.entry.get("kind") != "answer":
            tasks.append(_task(plan, days, one, hours[one.key]))
    made = Request(
        tasks=tuple(tasks),
        precedences=tuple(_precedences(plan, found, {task.key for task in tasks})),
        trades=tuple(_trades(plan, crews, {task.trade for task in tasks})),
        open=days.open,
        begin=days.begin,
        zone=days.zone,
        places=(days.place,),
        leave=days.leave,
        deadline=job.programme.deadline,
        seed=job.job.seed,
        correlation=float(_correlation(plan, catalogue)),
    )
    return made, (*days.findings, *_air(plan), *_unknown_names(plan, tasks))


def _correlation(plan: Plan, catalogue: Catalogue) -> float:
    place = catalogue.rates.at(plan.region.id)
    return float(place.correlation) if place else 0.4


def _applying(plan: Plan) -> Iterator[_Found]:
    steps = {step.key: step for step in plan.steps}
    wish = plan.job.programme
    for entry in order()["task"]:
        step = steps.get(entry.get("step", entry["key"]))
        trade = entry.get("trade", wish.jointer if entry.get("jointer") else OWN)
        if entry["key"] == "services" and step is not None:
            for who in dict.fromkeys(clash.trade for clash in _clashes(plan)):
                yield _Found(f"services.{who.replace(' ', '-')}", entry, step, who)
        elif step is not None or (trade == "painter" and wish.painted):
            yield _Found(entry["key"], entry, step, trade)


def _clashes(plan: Plan) -> tuple[Any, ...]:
    return plan.arrangement.clashes if plan.arrangement else ()


def _hours(plan: Plan, catalogue: Catalogue, found: Iterable[_Found]) -> dict[str, Three]:
    """Hours on site of each task: man-hours of its rates and its own, for those who do it."""
    amount = measures(plan, catalogue)
    rates = {task.id: task for task in catalogue.rates.task}
    every = list(found)
    whole = {
        id: sum(one.entry.get("share", 1.0) for one in every if id in one.entry.get("rates", ()))
        for id in rates
    }
    hours: dict[str, Three] = {}
    for one in every:
        entry = one.entry
        total = list(entry.get("hours", (0.0, 0.0, 0.0)))
        for id in entry.get("rates", ()):
            share = entry.get("share", 1.0) / whole[id]
            task = rates[id]
            total = [
                sofar + share * amount.get(task.measure, 0.0) * each
                for sofar, each in zip(total, task.hours, strict=True)
            ]
        if per := entry.get("per_service"):
            count = sum(clash.trade == one.trade for clash in _clashes(plan))
            total = [count * each for each in per]
        people = _people(plan, one.step) if one.trade == OWN else 1
        low, likely, high = (value / people for value in total)
        hours[one.key] = (low, likely, high)
    return hours


def _people(plan: Plan, step: Step | None) -> int:
    """How many of the own crew share the man-hours. Who only comes to lift shares none."""
    site = plan.job.site
    return min(step.people, site.crew) if step is not None and not site.helper else 1


def _task(plan: Plan, days: Days, one: _Found, hours: Three) -> Task:
    job, wish = plan.job, plan.job.programme
    title = str(one.entry.get("title") or (one.step.title if one.step else one.key))
    if one.key.startswith("services."):
        title = f"{title}: {one.trade}"
    happened = next((h for h in wish.happened if h.task == one.key), None)
    last = one.entry.get("step") is None or one.key.endswith("finish")
    return Task(
        key=f"{job.job.name}/{one.key}",
        job=job.job.name,
        place=job.job.project or job.job.name,
        title=title,
        trade=one.trade,
        hours=hours,
        people=one.step.people if one.step and one.trade == OWN else 1,
        noisy=one.entry.get("noisy", False),
        hold=str(one.step.hold) if one.step and last else "",
        recorded=one.step is not None and one.step.key in wish.recorded,
        begun=moment(happened.begun, days.zone) if happened and happened.begun else None,
        ended=moment(happened.ended, days.zone) if happened and happened.ended else None,
        promised=wish.promised.get(one.key),
        bring=tuple(map(str, one.step.pouch if one.step else ())),
    )


def _goods(plan: Plan, catalogue: Catalogue, days: Days) -> Iterator[Task]:
    """What is ordered, on the day that it comes."""
    fit, wish = plan.arrangement, plan.job.programme
    assert fit is not None
    kit = catalogue.kit_in(plan.region, fit.kit_id)
    leaf = catalogue.leaf_in(plan.region, fit.leaf_id)
    suppliers = {part: s for s in catalogue.rates.supplier for part in s.sells}
    usual = {"kit": kit.lead_time_days, "leaf": leaf.lead_time_days}
    for entry in order()["goods"]:
        key = entry["key"]
        if key not in usual:
            supplier = suppliers.get(entry["supplier"])
            usual[key] = supplier.lead_time_days if supplier else 0
        lead = wish.lead_days.get(key, usual[key])
        yield _outside(plan, days, _Lead(key, entry["title"], lead, "delivery"))


def _answers(plan: Plan, days: Days) -> Iterator[Task]:
    for one in _applying(plan):
        if one.entry.get("kind") == "answer":
            lead = order()["leads"][one.entry["lead"]]
            number = plan.job.programme.lead_days.get(one.entry["lead"], lead["days"])
            yield _outside(plan, days, _Lead(one.key, lead["title"], number, "answer"), one.step)


@dataclass(frozen=True, slots=True)
class _Lead:
    """What comes from outside so many working days after the order."""

    key: str
    title: str
    days: int
    kind: Kind


def _outside(plan: Plan, days: Days, lead: _Lead, step: Step | None = None) -> Task:
    """Something that comes, or is answered, on its day; on the day it is recorded, if it is."""
    key = lead.key
    job, wish = plan.job, plan.job.programme
    day = working_day_after(days.ordered, lead.days, days.shut)
    if (recorded := wish.recorded.get(key)) is not None:
        day = recorded
    return Task(
        key=f"{job.job.name}/{key}",
        job=job.job.name,
        place=job.job.project or job.job.name,
        title=lead.title,
        trade="",
        kind=lead.kind,
        hold=str(step.hold) if step else "",
        recorded=key in wish.recorded,
        not_before=day,
        why_not=(
            f"{lead.title} {lead.days} working days after the order of {days.ordered.isoformat()}"
        ),
    )


def _precedences(plan: Plan, found: list[_Found], keys: set[str]) -> Iterator[Precedence]:
    """Each task after what it waits for; where that is not there, after what that waits for."""
    name = plan.job.job.name
    entries = {entry["key"]: entry for entry in order()["task"]}
    there: dict[str, list[str]] = {}
    for key in keys:
        bare = key.removeprefix(f"{name}/")
        there.setdefault("services" if bare.startswith("services.") else bare, []).append(key)

    def before(
        entry: Mapping[str, Any], wait: str | None, because: str
    ) -> Iterator[tuple[str, str, str | None]]:
        for link in entry.get("after", ()):
            own = link.get("wait") or wait
            if link.get("when") == "face-stays" and not _face_stays(plan):
                own = wait
            said = because or link["because"]
            if link["step"] in there:
                for key in there[link["step"]]:
                    yield key, said, own
            elif link["step"] in entries:
                yield from before(entries[link["step"]], own, said)

    for one in found:
        key = f"{name}/{one.key}"
        met: dict[str, tuple[str, str | None]] = {}
        for other, because, wait in before(one.entry, None, ""):
            if other != key and (other not in met or (wait and not met[other][1])):
                met[other] = (because, wait)
        for other, (because, wait) in met.items():
            yield Precedence(other, key, because, _wait(plan, wait))


def _face_stays(plan: Plan) -> bool:
    from truehang.plan.stays import staying

    return bool(staying(plan.job))


def _wait(plan: Plan, coat: str | None) -> Wait | None:
    if coat is None:
        return None
    usual = order()["coats"][coat]
    own = plan.job.programme.coats.get(coat)  # type: ignore[call-overload]
    if own is not None:
        return Wait(float(own), usual["kind"], "the label's own time, from the job file")
    return Wait(usual["hours"], usual["kind"], usual["source"])


def _trades(plan: Plan, crews: int, used: set[str]) -> Iterator[Trade]:
    said = {one.trade: one for one in plan.job.programme.trades}
    site = plan.job.site
    people = 99 if site.helper else site.crew
    yield Trade(key=OWN, word=CREW_WORD, crews=max(1, crews), people=people)
    for trade in OTHERS:
        if trade in used or trade.replace(" ", "-") in used:
            one = said.get(trade.replace(" ", "-"))
            word = plan.words.get(trade, trade.replace("-", " "))
            count = one.crews if one else 1
            yield Trade(key=trade, word=word, crews=count, calendar=trade_calendar(one, plan.job))


def _air(plan: Plan) -> tuple[Finding, ...]:
    """Is the room warm and dry enough for the joints?"""
    site = plan.job.site
    found = []
    if site.temperature is not None and site.temperature < COLD:
        found.append(Finding(
            Severity.WARN, "site.temperature",
            f"the room has {site.temperature:g} °C while the joints dry: under {COLD:g} °C they "
            "are not set, from two days before until they are dry",
            "heat the room to 10 °C or more two days before, and give its temperature then",
            "Gypsum Association, as restated",
        ))  # fmt: skip
    if site.humidity is not None and site.humidity > DAMP:
        found.append(Finding(
            Severity.WARN, "site.humidity",
            f"the room has {site.humidity:g} % humidity: drying takes longer than planned, days "
            "where it is cold",
            "dry the room, or give the label's own times for it under programme.coats",
            "common practice, no source",
        ))  # fmt: skip
    return tuple(found)


def _unknown_names(plan: Plan, tasks: Iterable[Task]) -> tuple[Finding, ...]:
    """Names in the job file that no task of this job has."""
    wish, name = plan.job.programme, plan.job.job.name
    known = {task.key.removeprefix(f"{name}/") for task in tasks} | {s.key for s in plan.steps}
    said = {
        "programme.recorded": list(wish.recorded),
        "programme.happened": [one.task for one in wish.happened],
        "programme.promised": list(wish.promised),
    }
    return tuple(
        Finding(
            Severity.WARN, where, f"no task of this job is called {key}",
            f"write one of: {', '.join(sorted(known))}", "the job file",
        )
        for where, keys in said.items()
        for key in keys
        if key not in known
    )  # fmt: skip


def pooled(requests: Iterable[tuple[Request, str]], begin: date | None = None) -> Request:
    """Several jobs as one request: the crews of the largest, one axis, each place its own days."""
    every = [request for request, _ in requests]
    first = every[0]
    trades: dict[str, Trade] = {}
    for request in every:
        for trade in request.trades:
            known = trades.get(trade.key)
            if known is None or trade.crews > known.crews:
                trades[trade.key] = trade
    places = {place.key: place for request in every for place in request.places}
    leave = dict.fromkeys(one for request in every for one in request.leave)
    deadlines = [request.deadline for request in every if request.deadline]
    return Request(
        tasks=tuple(task for request in every for task in request.tasks),
        precedences=tuple(one for request in every for one in request.precedences),
        trades=tuple(trades.values()),
        open=first.open,
        begin=begin or min(request.begin for request in every),
        zone=first.zone,
        places=tuple(places.values()),
        leave=tuple(leave),
        deadline=min(deadlines) if deadlines else None,
        seed=first.seed,
        correlation=first.correlation,
        effort=first.effort,
    )
