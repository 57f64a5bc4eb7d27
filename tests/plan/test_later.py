"""Are the rooms that are asked once a plan stands walked in the declared order, and does what they
say come into the plan?"""

from __future__ import annotations

import pickle
import sys
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import pytest

from truehang import catalogue, demo
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.job import load
from truehang.lengths import said
from truehang.message import Message, message
from truehang.plan import Plan, answered, complete, later, plan
from truehang.plan.room import Room

BOUGHT = catalogue.load()


@dataclass(frozen=True, slots=True)
class Inner:
    text: Message


@dataclass(frozen=True, slots=True)
class Trial:
    """An answer with a text deep inside."""

    lines: tuple[Inner, ...]
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(load(demo.files("tannery-lofts")[0][1]), BOUGHT)


def put_in(monkeypatch: pytest.MonkeyPatch, *rooms: Room[Trial]) -> None:
    """These rooms, last in the declared order."""
    for room in rooms:
        module = ModuleType(room.name)
        module.ROOM = room  # type: ignore[attr-defined]
        monkeypatch.setitem(sys.modules, f"{later.__name__}.{room.name}", module)
    monkeypatch.setattr(later, "ORDER", (*later.ORDER, *(room.name for room in rooms)))


def test_every_room_is_in_the_order_after_what_it_needs() -> None:
    there = {path.stem for path in Path(later.__path__[0]).glob("*.py")} - {"__init__"}
    assert set(later.ORDER) == there
    assert len(later.ORDER) == len(there)
    for at, name in enumerate(later.ORDER):
        assert later.room(name).name == name
        assert set(later.room(name).needs) <= set(later.ORDER[:at])


def test_what_a_room_says_is_in_the_plan(made: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its findings among the plan's, the worst first; its figures to be asked why; its texts with
    lengths as the job prints them."""
    stop = Finding(Severity.STOP, "trial", f"{said(12.0)} too long", "cut it", "invented")
    figure = Figure("trial.one", "one", 1.0, "", "one", (), "invented")
    answer = Trial((Inner(message(f"so {said(7.0)}")),), (stop,), (figure,))
    one = Room("trial", lambda _plan, _catalogue: answer)
    put_in(monkeypatch, one)
    whole = answered(made, BOUGHT, "trial")
    assert one.of(made) is None
    said_of = one.of(whole)
    assert said_of is not None
    assert str(said_of.lines[0].text) == "so 7 mm"
    assert str(whole.findings[0].what) == "12 mm too long"
    assert whole.standing.draft
    assert whole.figures["trial.one"].value == 1.0
    assert set(whole.answers) == {"trial"}
    assert set(complete(made, BOUGHT).answers) == {"cutting", "turns", "trial"} | set(later.ORDER)
    assert pickle.loads(pickle.dumps(whole)) == whole


def test_a_room_is_asked_after_what_it_needs(made: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def asks(name: str, needs: tuple[str, ...] = ()) -> Room[Trial]:
        def ask(seen: Plan, _catalogue: object) -> Trial:
            assert set(needs) <= set(seen.answers)
            asked.append(name)
            return Trial(())

        return Room(name, ask, needs)

    put_in(monkeypatch, asks("one"), asks("two"), asks("three", ("one",)), asks("four", ("three",)))
    whole = answered(made, BOUGHT, "four")
    assert asked == ["one", "three", "four"]
    assert answered(whole, BOUGHT, "three") is whole
    with pytest.raises(KeyError, match="no room 'five'"):
        answered(made, BOUGHT, "five")


def test_where_nothing_fits_rooms_have_nothing_to_say() -> None:
    job = load(demo.files("fernhollow")[0][1])
    wall = job.wall.model_copy(update={"obstacles": ()})
    readings = job.measure.model_copy(update={"readings": ()})
    bare = plan(job.model_copy(update={"wall": wall, "measure": readings}), BOUGHT)
    assert bare.takeoff is None
    whole = complete(bare, BOUGHT)
    assert whole.cutting is None
    assert whole.turn_tables == ()
    assert whole.findings == bare.findings
