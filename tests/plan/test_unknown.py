"""What is left out of a job file is not perfect: it is asked for."""

from __future__ import annotations

from typing import Any

import pytest

from truehang import catalogue
from truehang.findings import Finding, Severity
from truehang.job import Job, load, starter
from truehang.job.file import plain
from truehang.plan import Plan, plan
from truehang.plan.unknown import NOT_RECKONED

BOUGHT = catalogue.load()


def values() -> dict[str, Any]:
    return dict(plain(load(starter()).model_dump()))


def planned(given: dict[str, Any]) -> Plan:
    return plan(Job.model_validate(given), BOUGHT)


def at(made: Plan, where: str) -> list[Finding]:
    return [finding for finding in made.findings if finding.where == where]


def test_the_starter_leaves_nothing_of_this_open() -> None:
    made = planned(values())
    for where in ("floor.stations", "measure.thickness", "floor.heated", "floor.finish"):
        assert at(made, where) == []


@pytest.mark.parametrize("left", [0, 1])
def test_a_floor_that_was_not_read_holds_the_order(left: int) -> None:
    given = values()
    given["floor"]["stations"] = given["floor"]["stations"][:left]
    made = planned(given)
    (hold,) = at(made, "floor.stations")
    assert (hold.severity, hold.before) == (Severity.HOLD, "order")
    assert made.standing.draft
    assert made.arrangement is not None
    for pack in made.arrangement.packs:
        assert f"{pack.x:.0f} mm" in hold.mend  # this job's own supports
    del given["floor"]
    assert planned(given).standing.draft


def test_a_floor_read_short_of_a_support_names_that_support() -> None:
    whole = planned(values())
    assert whole.arrangement is not None
    far = max(pack.x for pack in whole.arrangement.packs)
    given = values()
    given["floor"]["stations"] = [
        s for s in given["floor"]["stations"] if float(s["x"]) < far - 400
    ]
    (hold,) = at(planned(given), "floor.stations")
    assert f"{far:.0f} mm" in hold.mend
    assert str(hold.mend).count(" mm") == 1


@pytest.mark.parametrize(
    "where, take_out",
    [
        ("floor.heated", lambda given: given["floor"].pop("heated")),
        ("floor.finish", lambda given: given["floor"].pop("finish")),
        (
            "measure.thickness",
            lambda given: given["measure"].update(
                readings=[r for r in given["measure"]["readings"] if r["kind"] != "thickness"]
            ),
        ),
        ("wall.services", lambda given: given["wall"].update(services=[])),
        (
            "wall.services",
            lambda given: given["wall"].update(
                services=[{"id": "lamp", "kind": "light", "x": 20, "z": 2000, "face": "A"}]
            ),
        ),
        ("site.longest", lambda given: given["site"].pop("longest", None)),
    ],
)
def test_what_is_left_out_is_asked_for(where: str, take_out: Any) -> None:
    given = values()
    take_out(given)
    if where == "site.longest":
        given["wishes"]["arrangement"] = "pair"
        given["wishes"].pop("clear_width", None)
    made = planned(given)
    if where == "site.longest" and made.arrangement and made.arrangement.frame.length <= 3000:
        pytest.skip("the frame is short")
    assert len(at(made, where)) == 1


def test_an_unknown_rating_is_treated_as_possible() -> None:
    given = values()
    given["wall"] |= {"fire_rated": False, "acoustic_rated": False, "escape_route": False}
    assert "certifier" not in step_holds(planned(given))
    for key in ("fire_rated", "acoustic_rated", "escape_route"):
        asked = {**given, "wall": {name: v for name, v in given["wall"].items() if name != key}}
        assert "certifier" in step_holds(planned(asked)), key


def step_holds(made: Plan) -> str:
    return " ".join(f"{step.title} {step.hold}" for step in made.steps)


@pytest.mark.parametrize("situation", ["fill-opening", "new-opening", "new-wall"])
def test_a_run_that_nobody_looked_along_is_not_taken_as_clear_in_silence(situation: str) -> None:
    given = values()
    given["wall"] |= {"situation": situation, "obstacles": None}
    (note,) = at(planned(given), "wall.obstacles")
    assert note.severity is Severity.NOTE
    assert "taken as clear from end to end" in note.what
    assert "[]" in note.mend
    del given["wall"]["obstacles"]
    assert at(planned(given), "wall.obstacles") == [note]
    given["wall"]["obstacles"] = []  # somebody looked
    assert at(planned(given), "wall.obstacles") == []
    window = {"id": "window", "kind": "window", "from_x": 0, "to_x": 50}
    given["wall"]["obstacles"] = [window]
    assert all("taken as clear" not in f.what for f in at(planned(given), "wall.obstacles"))


WRITTEN = {
    "site.storey": 3,
    "site.lift_shaft": False,
    "site.occupied": True,
}
SILENT = {"job.project": "row-of-doors", "measure.taken": "2026-03-02"}


def cleared(given: dict[str, Any]) -> dict[str, Any]:
    for path in (*WRITTEN, *SILENT):
        section, key = path.split(".")
        given[section].pop(key, None)
    return given


def test_what_nothing_is_worked_out_from_changes_nothing_and_says_so() -> None:
    """Once something is worked out from one of these keys this fails: then mend its row in
    docs/job-file.md and take it out of NOT_RECKONED."""
    bare = planned(cleared(values()))
    given = values()
    for path, value in (WRITTEN | SILENT).items():
        section, key = path.split(".")
        given[section][key] = value
    written = planned(given)
    for part in ("figures", "takeoff", "steps", "sound", "fixings", "lining", "arrangement"):
        assert getattr(written, part) == getattr(bare, part), part
    said_of = [f for f in written.findings if "worked out from it" in f.what]
    assert [f for f in written.findings if f not in said_of] == list(bare.findings)
    (note,) = said_of
    assert all(what in note.what for what in NOT_RECKONED.values())
    assert set(NOT_RECKONED) == set(WRITTEN)


def test_only_what_was_written_is_named() -> None:
    given = cleared(values())
    given["site"]["occupied"] = False
    (note,) = [f for f in planned(given).findings if "worked out from it" in f.what]
    assert str(note.what).endswith(": whether people use the rooms")
