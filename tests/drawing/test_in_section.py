"""Do the sections show what is there: the old opening, services and their way, both floors?

By hand from the readings of the demo jobs; that a ring with a dot comes at the eye and one with a
cross goes from it is common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.drawing import Sheet, scenes
from truehang.drawing.scene import Circle, Layer, Line, Polygon, Scene, Text
from truehang.job import load
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()


@cache
def planned(name: str, swap: tuple[str, str] = ("", "")) -> Plan:
    text = demo.files(name)[0][1]
    assert not swap[0] or text.count(swap[0]) == 1
    return plan(load(text.replace(*swap) if swap[0] else text), BOUGHT)


@cache
def drawn(name: str, swap: tuple[str, str] = ("", "")) -> dict[str, Scene]:
    made = planned(name, swap)
    return scenes(made, Sheet(made.style, made.words), stamp=False)


def parts(scene: Scene, part: str) -> list[Line | Polygon | Circle]:
    return [
        item
        for item in scene.items
        if isinstance(item, Line | Polygon | Circle) and part in item.part.split()
    ]


def words(scene: Scene) -> str:
    return " | ".join(item.text for item in scene.items if isinstance(item, Text))


@pytest.mark.parametrize(
    ("name", "head"),
    [
        # by hand: 2098 high over a floor at -1.5 at the left jamb, level less 1.5 to the right
        ("millrace-cottage", 2096.0),
        # 2394 at the left jamb and 2388 in the middle, read under the beam
        ("granary-hall", 2392.0),
    ],
)
def test_the_old_openings_head_is_in_the_upright_section(name: str, head: float) -> None:
    for key in ("vertical-section", "section-head"):
        lines = [
            one
            for one in parts(drawn(name)[key], "old-opening")
            if isinstance(one, Line) and one.layer is Layer.OLD
        ]
        assert len(lines) == 1, key
        assert lines[0].a[1] == lines[0].b[1] == pytest.approx(head, abs=4.0)
        # through the wall and a little past both faces
        assert min(lines[0].a[0], lines[0].b[0]) < 0
        made = planned(name).arrangement
        assert made is not None
        assert max(lines[0].a[0], lines[0].b[0]) > made.wall.thickness
        assert "head of the old opening" in words(drawn(name)[key])


def test_where_there_is_no_old_opening_none_is_drawn() -> None:
    for key in ("vertical-section", "section-head", "plan-section"):
        assert not parts(drawn("juniper-court")[key], "old-opening")


def test_services_stand_inside_the_plan_section_with_their_way() -> None:
    scene = drawn("millrace-cottage")["plan-section"]
    made = planned("millrace-cottage").arrangement
    assert made is not None
    low, high = made.wall.lining_a, made.wall.lining_a + made.wall.stud
    boxes = [one for one in parts(scene, "services") if isinstance(one, Polygon)]
    # sink-water: x 1705, 20 wide, inside the wall, in its middle
    (pipe,) = [box for box in boxes if {round(x) for x, _ in box.points} == {1695, 1715}]
    ys = [y for _, y in pipe.points]
    assert low <= min(ys) < max(ys) <= high
    assert (min(ys) + max(ys)) / 2 == pytest.approx((low + high) / 2)
    # it runs down, away from the eye: a cross in its ring; the switch runs up: a dot
    marks = [one for one in parts(scene, "services") if isinstance(one, Circle | Line)]

    def at(x: float) -> list[str]:
        return sorted(
            type(one).__name__
            for one in marks
            if (isinstance(one, Circle) and abs(one.centre[0] - x) < 1)
            or (isinstance(one, Line) and abs((one.a[0] + one.b[0]) / 2 - x) < 1)
        )

    assert at(1705) == ["Circle", "Line", "Line"]
    assert at(2190) == ["Circle", "Circle"]
    assert "S1: sink-water" in words(scene)
    # the outlet at 620 stands beyond the drawing, and is said so
    assert "beyond this drawing" in words(scene)


@pytest.mark.parametrize(("way", "sign"), [("left", -1), ("right", 1)])
def test_a_cable_along_the_wall_has_its_arrow(way: str, sign: int) -> None:
    swap = ('runs: down\n      note: "cold to', f'runs: {way}\n      note: "cold to')
    scene = drawn("millrace-cottage", swap)["plan-section"]
    lines = [one for one in parts(scene, "services") if isinstance(one, Line)]
    (run,) = [one for one in lines if one.layer is Layer.HIDDEN]
    assert sign * (run.b[0] - run.a[0]) > 100
    barbs = [one for one in lines if one.layer is Layer.SERVICE and one.b[1] == run.b[1]]
    assert len(barbs) == 2
    assert all(sign * (barb.b[0] - barb.a[0]) > 0 for barb in barbs)


def test_the_foot_shows_each_sides_floor() -> None:
    """juniper-court: oak on side A; side B's plywood 3/4 in under it, carpet of 5/8 in to come."""
    made, scene = planned("juniper-court"), drawn("juniper-court")["section-foot"]
    assert made.arrangement is not None
    wall = made.arrangement.wall.thickness
    came = [
        one for one in parts(scene, "floor") if isinstance(one, Polygon) and one.hatch == "dots"
    ]
    (carpet,) = came
    assert min(x for x, _ in carpet.points) == pytest.approx(wall)
    zs = [z for _, z in carpet.points]
    assert max(zs) - min(zs) == pytest.approx(15.875)
    lines = [one for one in parts(scene, "floor") if isinstance(one, Line)]
    under = {round(one.a[1] - min(zs), 2) for one in lines}
    assert under == {0.0, 19.05}
    told = words(scene)
    for name in ("side A's floor here", "side B's floor here", "side B's floor to come, top"):
        assert name in told
    assert "side A's floor to come" not in told


def test_where_both_floors_are_alike_they_are_told_once() -> None:
    told = words(drawn("millrace-cottage")["section-foot"])
    assert "floor here" in told
    assert "floor to come, top" in told
    assert "side B's floor" not in told
