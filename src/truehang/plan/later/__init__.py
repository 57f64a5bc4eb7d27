"""Which rooms are asked once a plan stands, and in which order? One line each; the rest of such a
room, its texts, findings and figures included, comes out of the module here that has its name.

They take longer than a plan, or ask what not every command needs: `complete` asks all of them,
`answered` only one and those that it needs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from importlib import import_module
from typing import Any

from truehang.catalogue import Catalogue
from truehang.figures import Ledger
from truehang.findings import worst_first
from truehang.plan.answers import Answers
from truehang.plan.model import Plan, spoken
from truehang.plan.own_materials import with_own
from truehang.plan.room import Answer, Room

ORDER = (
    "cutting",
    "turns",
    "programme",
)
"""Each is a module of this package with its `ROOM`; a room stands after those that it needs."""


def room(name: str) -> Room[Any]:
    """The room of this name, loaded when it is first asked for. KeyError where there is none."""
    if name not in ORDER:
        raise KeyError(f"no room {name!r} is asked after a plan; there are {', '.join(ORDER)}")
    found: Room[Any] = import_module(f"{__name__}.{name}").ROOM
    return found


def complete(plan: Plan, catalogue: Catalogue) -> Plan:
    """The plan with the answers of every room here. `catalogue` is the one that it was planned
    with."""
    return _with(plan, catalogue, ORDER)


def answered(plan: Plan, catalogue: Catalogue, *names: str) -> Plan:
    """The plan with the answers of these rooms, and of those that they need."""
    wanted = {room(name).name for name in names}
    for name in reversed(ORDER):
        if name in wanted:
            wanted |= set(room(name).needs)
    return _with(plan, catalogue, [name for name in ORDER if name in wanted])


def asked_for(key: str) -> tuple[str, ...]:
    """The room that a figure of this key comes from; none where the plan itself has it."""
    name = key.partition(".")[0]
    return (name,) if name in ORDER else ()


def _with(plan: Plan, catalogue: Catalogue, names: Iterable[str]) -> Plan:
    """The plan with the answers of these rooms, in this order; itself where it has them."""
    known = with_own(catalogue, plan.job)
    made = plan
    for name in names:
        if name not in made.answers:
            made = _told(made, name, room(name).ask(made, known))
    return made if made is plan else spoken(made)


def _told(plan: Plan, name: str, answer: Answer | None) -> Plan:
    """The plan with one room's answer, and what it found among the plan's findings and figures."""
    answers = Answers({**plan.answers, name: answer})
    if answer is None:
        return replace(plan, answers=answers)
    return replace(
        plan,
        answers=answers,
        findings=worst_first((*plan.findings, *answer.findings)),
        figures=Ledger((*plan.figures.values(), *answer.figures)),
    )
