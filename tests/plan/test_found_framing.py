"""The framing that was found: what the plan makes of it, on sites worked by hand and at random.

Source of the sweep: Shapely, with the leaf's way worked out here from the kit's sheet; that nothing
may stand in it is geometry. Which studs are kept or come out: common practice, no source.
"""

from __future__ import annotations

import random
from typing import Any

import pytest
from shapely.geometry import box
from tests.swaps import HOLE, RUN, at, planned, values

from truehang.findings import Severity
from truehang.fit import Arrangement
from truehang.job import check
from truehang.job.file import plain
from truehang.members import Member
from truehang.plan import Plan

TAIL, LEAD, OUT = 25.0, 12.0, 0.0
"""b, a and r of the kit."""


def with_studs(*studs: dict[str, Any], mirrored: bool = False, **wishes: Any) -> dict[str, Any]:
    given = values(mirrored=mirrored, **wishes)
    given["wall"]["framing"] = {"studs": list(studs), "how": "lining off"}
    return given


def stud(id: str, low: float, sure: bool = True, **more: Any) -> dict[str, Any]:
    """A stud 45 wide by its left edge."""
    return {"id": id, "x": low + 22.5, "sure": sure, **more}


def found_in(made: Plan) -> dict[str, Member]:
    return {one.label: one for one in made.members if one.origin != "new"}


def test_the_studs_of_a_swap_by_hand() -> None:
    """The rough opening runs from 1310 to 3068 (see test_door_swap). Stud 1 at 1265 ends on it and
    becomes the jamb stud; 2 and 3 stand in the pocket; 4, the old stud on the left, ends the
    pocket at 2200; 5, full height at 3068, becomes the jamb stud on the right; 6 stays."""
    lows = (1265.0, 1600.0, 1900.0, 2155.0, 3068.0, 3400.0)
    made = planned(with_studs(*(stud(f"s{n}", low) for n, low in enumerate(lows, 1))))
    found = found_in(made)
    assert {found[f"stud s{n}"].origin for n in (2, 3, 4)} == {"comes out"}
    assert "left pocket" in found["stud s2"].where
    assert found["stud s6"].origin == "there already"
    kept = sorted(m.x.low for m in made.members if m.key == "there.stud" and m.role == "jamb stud")
    assert kept == [1265.0, 3068.0]
    assert made.takeoff is not None
    assert "jamb-stud" not in {item.key for item in made.takeoff.items}
    head = found["head of the old opening"]
    assert (head.origin, head.x.low, head.x.high) == (
        "comes out", pytest.approx(2155.0, abs=0.3), pytest.approx(3113.0, abs=0.3),
    )  # fmt: skip


def test_an_old_trimmer_too_short_for_the_new_head_is_replaced() -> None:
    """It ends under the old head at 2090; the new head is higher."""
    made = planned(with_studs(stud("t", HOLE[1], to_z=2090.0)))
    assert found_in(made)["stud t"].origin == "comes out"
    assert made.takeoff is not None
    (item,) = [item for item in made.takeoff.items if item.key == "jamb-stud"]
    assert item.count == 2


def test_what_nobody_looked_for_is_taken_to_be_there_and_nothing_is_counted_on() -> None:
    """An old opening has a stud on each side and a head; nobody saw them."""
    made = planned(values())
    old = found_in(made)
    assert old["stud of the old opening, left"].origin == "comes out"
    assert old["stud of the old opening, right"].origin == "comes out"
    assert [one.severity for one in at(made, "wall.framing")] == [Severity.NOTE]


def test_an_unsure_stud_is_asked_for_and_not_counted_on() -> None:
    made = planned(with_studs(stud("k", HOLE[1], sure=False)))
    assert [one.severity for one in at(made, "wall.framing.studs")] == [Severity.WARN]
    assert found_in(made)["stud k"].origin == "comes out"


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_stud_that_may_not_come_out_moves_the_door(mirrored: bool) -> None:
    """A post at 1500 stands in the way of a pocket to the left, which reaches to 1310: the frame
    goes beside it with a new stud between, for a post may not be cut off under the head; the reason
    is told."""
    low = RUN - 1545.0 if mirrored else 1500.0
    made = planned(with_studs(stud("post", low, stays=True), mirrored=mirrored))
    assert made.arrangement is not None
    rough = made.arrangement.rough
    assert (rough.high == low - 45.0) if mirrored else (rough.low == low + 90.0)
    (told,) = at(made, "wall.old")
    assert told.severity is Severity.WARN
    assert found_in(made)["stud post"].origin == "there already"


def test_studs_in_one_another_and_in_the_old_opening_are_named() -> None:
    made = planned(with_studs(stud("a", 400.0), stud("b", 430.0), stud("c", 2500.0)))
    (inside,) = at(made, "wall.framing.studs.b")
    assert "stud a" in inside.what
    (in_hole,) = at(made, "wall.framing.studs.c")
    assert "mark of the opening" in in_hole.mend


def test_a_stud_that_reads_into_the_ceiling_is_named_and_ends_under_the_plate() -> None:
    """The ceiling is at 2700 and 45 is kept for the plate: a top of 2690 can't be."""
    made = planned(with_studs(stud("tall", 400.0, to_z=2690.0)))
    (told,) = at(made, "wall.framing.studs.tall")
    assert "ceiling" in told.mend
    assert found_in(made)["stud tall"].z.high == 2655.0


def test_a_head_under_the_heights_that_were_read_is_named() -> None:
    given = values()
    given["wall"]["over"] = {
        "kind": "lintel",
        "depth": 140.0,
        "underside": [{"x": 2600, "z": 1950}],
    }
    (told,) = at(planned(given), "wall.over.underside")
    assert "heights" in told.mend and "1950" in told.what  # noqa: PT018


def test_a_plate_that_was_read_takes_its_own_depth_off_the_ceiling() -> None:
    given = with_studs()
    given["wall"]["framing"]["plates"] = [{"at": "top", "depth": 90.0}]
    made = planned(given)
    found = found_in(made)
    (plate,) = [m for m in found.values() if m.key == "there.top-plate"]
    assert (plate.z.low, plate.z.high) == (2610.0, 2700.0)
    short = [m for m in made.members if m.role == "short stud"]
    assert short
    assert {m.z.high for m in short} == {2610.0}


def test_bad_framing_is_told_line_by_line() -> None:
    import yaml

    given = with_studs(stud("a", 400.0), stud("a", 900.0), stud("far", 5000.0))
    given["wall"]["framing"]["nogs"] = [{"id": "n", "from_x": 900, "to_x": 500, "z": 1200}]
    said = " | ".join(str(one) for one in check(yaml.safe_dump(plain(given))))
    assert "used twice" in said
    assert "outside the wall run" in said
    assert "not less than to_x" in said


def swept(fit: Arrangement) -> list[Any]:
    """The way of each leaf, from the mouth and the kit's sheet alone."""
    ways = []
    for pocket, leaf in zip(fit.pockets, fit.leaves, strict=True):
        inward = -1.0 if pocket.side == "left" else 1.0
        closed = (pocket.mouth + inward * TAIL, pocket.mouth + inward * (TAIL - leaf.width))
        opened = (pocket.mouth - inward * OUT, pocket.mouth - inward * (OUT - leaf.width))
        xs = (*closed, *opened)
        ways.append(box(min(xs), leaf.bottom, max(xs), leaf.top))
    return ways


def solid(member: Member) -> Any:
    return box(member.x.low, member.z.low, member.x.high, member.z.high)


@pytest.mark.parametrize("seed", range(12))
def test_no_leaf_ever_meets_what_stays_on_any_site(seed: int) -> None:
    draw = random.Random(seed)
    side = draw.choice(["single-left", "single-right", "any"])
    given = values(arrangement=side, clear_width=float(draw.randint(620, 1000)))
    if draw.random() < 0.3:
        given["wishes"]["place"] = {"from_x": 0, "to_x": RUN, "centre": draw.randint(1300, 2300)}
    lows, x = [], draw.uniform(0, 300)
    while x < RUN - 45:
        if not HOLE[0] - 50 < x < HOLE[1] + 5:
            lows.append(x)
        x += draw.gauss(450, 60) if draw.random() < 0.9 else 90.0
    lows += [HOLE[0] - 45.0, HOLE[1] + draw.choice([0.0, 2.0, -1.0])]
    studs = [
        stud(f"s{n}", low, sure=draw.random() < 0.7, stays=low < 500 and draw.random() < 0.2)
        for n, low in enumerate(lows)
    ]
    given["wall"]["framing"] = {
        "studs": studs,
        "nogs": [
            {"id": "n", "from_x": lows[0] + 45, "to_x": lows[1], "z": draw.randint(800, 2300)}
        ],
    }
    made = planned(given)
    fit = made.arrangement
    if fit is None:
        assert made.standing.draft
        return
    there = [m for m in made.members if m.origin == "there already"]
    stopped = any(f.severity is Severity.STOP and f.where == "wall.framing" for f in made.findings)
    for way in swept(fit):
        for member in there:
            met = way.intersection(solid(member)).area > 1.0
            assert stopped or not met, (seed, member.name)
    rough = box(fit.rough.low, fit.heights.level_line, fit.rough.high, fit.heights.rough_head)
    new = [solid(m) for m in made.members if m.origin == "new"]
    for member in made.members:
        if member.origin == "comes out" and member.z.length > 0:
            meets = [rough, *new]
            assert any(one.intersection(solid(member)).area > 1.0 for one in meets), member.name
    told = [m for m in made.members if m.key == "there.stud"]
    assert len(told) == len(studs)
    kept = [m for m in told if m.role == "jamb stud"]
    assert all(m.origin == "there already" for m in kept)
    assert made.takeoff is not None
    counted = sum(item.count for item in made.takeoff.items if item.key == "jamb-stud")
    assert counted == 2 - len(kept)
