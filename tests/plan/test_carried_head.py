"""A head that carries load, the leaf under it and the studs beside it are reckoned for each other.
Geometry and strength of materials; 5 under a leaf at least: common practice, no source."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.findings import Severity
from truehang.job import Job, load
from truehang.job.change import changed
from truehang.message import NOTHING
from truehang.pack.content import Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import cutting, structure
from truehang.plan import Plan, complete, plan
from truehang.plan.carry import LINING_MASS
from truehang.plan.wall import PLATE

BOUGHT = catalogue.load()
GRAVITY = 9.81


def job(ceiling: float | None = None, *, wished: bool = True, **evidence: Any) -> Job:
    """quarry-house under another ceiling, with or without its wished clear height."""
    given = load(dict(demo.files("quarry-house"))["quarry-house.yaml"])
    wall = given.wall.model_copy(
        update={"evidence": given.wall.evidence.model_copy(update=evidence)}
    )
    if ceiling is not None:
        read = tuple(one for one in given.measure.readings if one.kind != "ceiling")
        measure = given.measure.model_copy(update={"readings": read})
        wall = wall.model_copy(update={"ceiling": ceiling})
        given = given.model_copy(update={"measure": measure})
    if not wished:
        wishes = given.wishes.model_copy(update={"clear_height": None})
        given = given.model_copy(update={"wishes": wishes})
    return given.model_copy(update={"wall": wall})


@cache
def planned(ceiling: float | None = None, wished: bool = True) -> Plan:
    return plan(job(ceiling, wished=wished), BOUGHT)


@pytest.mark.parametrize("ceiling", [2500.0, 2400.0, 2360.0, 2340.0, 2300.0])
def test_the_leaf_leaves_room_for_the_head_that_is_sized(ceiling: float) -> None:
    made = planned(ceiling, wished=False)
    assert made.arrangement is not None
    assert made.head_sizing is not None
    head = made.head_sizing.cheapest
    assert head is not None
    assert made.arrangement.heights.rough_head + head.depth <= ceiling - PLATE + 1e-6
    assert made.figures["structure.head.top"].value == pytest.approx(
        made.arrangement.heights.rough_head + head.depth
    )


def test_a_leaf_pays_for_the_head_and_what_else_would_do_is_priced() -> None:
    high, low = planned(2500.0, wished=False), planned(2340.0, wished=False)
    assert high.arrangement is not None
    assert low.arrangement is not None
    assert low.arrangement.leaves[0].height < high.arrangement.leaves[0].height
    (note,) = [f for f in low.findings if f.where == "head" and f.severity is Severity.NOTE]
    assert str(note.what).count("frame, leaves and head $") == 2
    assert f"leaf {low.arrangement.leaves[0].height:.0f} mm" in note.what


def test_the_movement_is_that_of_the_head_that_is_sized() -> None:
    # strength of materials, by hand: 5 w L^4 / 384 E I + w L^2 / (8 x 5/6 G A), times creep
    made = planned()
    assert made.head_movement is not None
    assert made.arrangement is not None
    assert made.head_sizing is not None
    head = made.head_sizing.cheapest
    assert head is not None
    timber = next(grade for grade in BOUGHT.timber_grades if grade.code == head.grade)
    # bearing on the middle of its studs
    span = made.arrangement.rough.length + head.studs * made.job.wall.make_up.studs.width
    assert made.head_movement.span == pytest.approx(span)
    weight = (timber.density * head.breadth * head.depth * 1e-9 + LINING_MASS / 1000) * GRAVITY
    inertia = head.breadth * head.depth**3 / 12
    bent = 5 * weight * span**4 / (384 * timber.modulus * inertia)
    sheared = weight * span**2 / (8 * 5 / 6 * timber.shear_modulus * head.breadth * head.depth)
    # AS 1720.1 j2 of 2 for load that lasts over a year, seasoned: creep factor 1 beside the instant
    assert made.head_movement.permanent == pytest.approx(2.0 * (bent + sheared), rel=0.02)


@pytest.mark.parametrize("ceiling", [None, 2400.0, 2300.0])
def test_the_leaf_hangs_so_high_that_its_gap_is_left_when_the_building_has_come_down(
    ceiling: float | None,
) -> None:
    made = planned(ceiling, wished=False)
    assert made.arrangement is not None
    assert made.head_movement is not None
    drop = float(made.figures["structure.head.drop"].value)
    assert drop > 3.0
    for gap, leaf in zip(made.arrangement.floor_gaps, made.head_movement.leaves, strict=True):
        assert leaf.least_gap <= gap.least - drop
        assert leaf.least_gap >= 5.0 - 1e-9
    # a gap that reads less on the day it is hung would be gone later
    checks = {check.key: check.low for step in made.steps for check in step.checks}
    assert checks["final-gap"] >= 5.0 + drop - 0.1
    assert checks["floor-gap"] == pytest.approx(checks["final-gap"] + made.job.floor.to_come)


def test_where_a_wished_height_leaves_no_room_the_mend_makes_it() -> None:
    made = planned(2340.0)
    (stop,) = [f for f in made.findings if f.severity is Severity.STOP]
    assert stop.where == "head"
    assert made.unsized
    after = plan(changed(made.job, stop.changes), BOUGHT)
    assert not [f for f in after.findings if f.severity is Severity.STOP]
    assert after.head_sizing is not None
    assert after.head_sizing.cheapest is not None
    assert after.unsized == NOTHING


def test_studs_beside_are_those_that_the_head_asks_for() -> None:
    given = job()
    loads = tuple(one.model_copy(update={"tributary": 6000.0}) for one in given.wall.evidence.loads)
    made = plan(job(loads=loads), BOUGHT)
    assert made.arrangement is not None
    if made.head_sizing is None or made.head_sizing.cheapest is None:
        pytest.fail("nothing carries this: take a lighter load for this test")
    beside = (made.head_sizing.cheapest.studs + 1) * given.wall.make_up.studs.width
    assert made.head_sizing.cheapest.studs > 1
    assert made.arrangement.rough.low >= beside - 1e-6


def test_a_head_that_nobody_could_size_says_so_wherever_it_stands() -> None:
    made = complete(plan(job(loads=()), BOUGHT), BOUGHT)
    assert made.arrangement is not None
    # common practice, no source: a head comes down the lesser of span/300 and 10 in the end
    least = min(gap.least for gap in made.arrangement.floor_gaps)
    assert least >= 5.0 + made.arrangement.rough.length / 300.0
    assert made.head_movement is None
    assert made.hanging_left == ()
    assert "the floor over" in made.unsized
    (hold,) = [f for f in made.findings if f.where == "head"]
    assert hold.severity is Severity.HOLD
    assert plan(job(2300.0, loads=()), BOUGHT).standing.draft  # no room that is sure to do
    assert made.takeoff is not None
    (head,) = [item for item in made.takeoff.items if item.key == "head"]
    assert head.stock == ""
    assert str(head.note) == f"not sized: {made.unsized}"
    told = {step.key: [str(n.value) for n in step.numbers] for step in made.steps}
    for step in ("engineer", "prop", "frame-up"):
        assert any(value.startswith("NOT SIZED: ") for value in told[step]), step

    for room in (cutting, structure):
        blocks = [b for s in room.section(made, Printing(), Album({}, {})) for b in s.blocks]
        assert any(isinstance(b, Text) and "ot sized: " in b.text for b in blocks), room.__name__
