"""Is nothing cut or driven where a cable or a pipe runs: the new head, its studs, the packing up to
what is there? Geometry; common practice, no source: whatever is there is moved first."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.findings import Finding, Severity
from truehang.job import Job, load
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()


@cache
def quarry(bears: bool = True) -> Plan:
    """quarry-house; where it bears nothing a light head goes in."""
    return plan(job(bears), BOUGHT)


def job(bears: bool = True, **service: Any) -> Job:
    given = load(dict(demo.files("quarry-house"))["quarry-house.yaml"])
    values = given.model_dump()
    if service:
        whole = {"id": "cable-1", "kind": "cable", "face": "inside", "width": 20, "height": 20}
        values["wall"]["services"] = [*values["wall"]["services"], {**whole, **service}]
    if not bears:
        seen = {"who": "builder", "when": "2026-05-01", "photo": "p1", "finding": "carries-nothing"}
        values["wall"]["evidence"] |= {
            "opened_up": seen, "loads": (), "wall_load": 0.0, "joint_over": False,
            "wall_over": False, "joists": "along", "lintel": False, "wall_under": False,
        }  # fmt: skip
    return Job.model_validate(values)


def of_the_cable(given: Job) -> list[Finding]:
    made = plan(given, BOUGHT)
    found = [f for f in made.findings if f.where == "services.cable-1"]
    step = [step for step in made.steps if step.key == "services"]
    assert made.arrangement is not None
    clashes = {clash.service.name for clash in made.arrangement.clashes}
    assert ("cable-1" in clashes) == bool(found)
    assert not found or step
    return found


def head_at(made: Plan) -> tuple[float, float]:
    """From where to where the new head stands, z."""
    assert made.arrangement is not None
    foot = made.arrangement.heights.rough_head
    if made.head_sizing is not None and made.head_sizing.cheapest is not None:
        return foot, foot + made.head_sizing.cheapest.depth
    assert made.track_head is not None
    return foot, foot + made.track_head.member.depth


@pytest.mark.parametrize("bears", [True, False])
@pytest.mark.parametrize("runs", ["none", "left", "right", "unknown"])
def test_a_cable_at_the_height_of_the_new_head_has_to_move(bears: bool, runs: str) -> None:
    made = quarry(bears)
    assert made.bearing.bears == bears
    assert made.arrangement is not None
    low, high = head_at(made)
    x = {"left": 2400.0, "right": 30.0}.get(runs, made.arrangement.centre)
    (hold,) = of_the_cable(job(bears, x=x, z=(low + high) / 2, runs=runs))
    assert hold.severity is Severity.HOLD
    assert "place of the new head" in hold.what
    assert "electrician" in hold.mend
    # the mend works: once it is moved over the head nothing is said of the head, and nothing at all
    # where it does not cross what runs to the ceiling past the head's ends:
    # the studs of a load, and in every wall that is cut the backing of the lining that stays
    over = of_the_cable(job(bears, x=x, z=high + 11.0, runs=runs))
    assert not [one for one in over if "new head" in one.what]
    assert bool(over) == (runs in ("left", "right"))


def test_a_pipe_that_drops_into_the_head_has_to_move() -> None:
    made = quarry()
    assert made.arrangement is not None
    _, high = head_at(made)
    assert of_the_cable(job(x=made.arrangement.centre, z=high + 60.0, runs="down"))
    assert not of_the_cable(job(x=made.arrangement.centre, z=high + 60.0, runs="up"))


def test_a_cable_over_the_head_that_meets_a_full_height_stud_has_to_move() -> None:
    made = quarry()
    assert made.arrangement is not None
    assert made.head_sizing is not None
    assert made.head_sizing.cheapest is not None
    stud = made.job.wall.make_up.studs.width
    king = made.arrangement.rough.high + (made.head_sizing.cheapest.studs + 0.5) * stud
    (hold,) = of_the_cable(job(x=king, z=2480.0, runs="none"))
    assert "full-height stud" in hold.what
    assert not of_the_cable(job(x=made.arrangement.centre, z=2480.0, runs="none"))


def test_where_no_head_is_sized_all_the_room_over_the_frame_counts() -> None:
    given = job(x=1500.0, z=2440.0, runs="none")
    evidence = given.wall.evidence.model_copy(update={"loads": ()})
    unsized = given.model_copy(
        update={"wall": given.wall.model_copy(update={"evidence": evidence})}
    )
    (hold,) = of_the_cable(unsized)
    assert "not sized yet" in hold.what


def test_what_stands_where_props_would_is_said() -> None:
    # the hob of the shower starts at 2290, the row of props ends 300 past the rough opening
    made = quarry()
    (hob,) = [f for f in made.findings if f.where == "wall.obstacles.shower-hob"]
    assert hob.severity is Severity.WARN
    assert "on face B" in hob.what
    assert not [f for f in quarry(False).findings if f.where.startswith("wall.obstacles.")]
