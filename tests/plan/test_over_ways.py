"""A beam that sags to its packers, what an engineer gave, and what else could be done about it.

Packing: sums by hand in the comments (straight lines between readings). Weights: g = 9.81. Which
ways there are is common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.plan.test_over import BOUGHT, STIFF, at, planned, values

from truehang.findings import Severity
from truehang.job import Job
from truehang.plan import plan
from truehang.plan.over_model import HeadWay

SAGS = [{"x": 1000, "z": 2394}, {"x": 2600, "z": 2388}, {"x": 4200, "z": 2394}]
STEEL = {"kind": "steel", "depth": 200, "breadth": 90, "inertia": 2000}


def ways(made: Any) -> dict[str, HeadWay]:
    assert made.over is not None
    return {way.way: way for way in made.over.ways}


def test_a_sag_of_6_is_carried_to_the_packers_at_every_head_fixing() -> None:
    made = planned({**STIFF, "underside": SAGS})
    assert made.over is not None
    assert made.arrangement is not None
    top = made.arrangement.heights.head_top
    packs = made.over.packs
    assert made.fixings is not None
    (row,) = [c.row for c in made.fixings.choices if c.row.key == "head"]
    assert [one.x for one in packs] == [x for x, _ in row.places]
    for one in packs:
        # By hand: it comes down 6 over 1600 to the middle, and goes up 6 over 1600 again.
        down = 6 / 1600 * (one.x - 1000 if one.x <= 2600 else 4200 - one.x)
        assert one.underside == pytest.approx(2394 - down)
        assert one.gap == pytest.approx(2394 - down - top)
        assert one.pieces is not None
        assert one.strip + sum(one.pieces) == pytest.approx(one.gap, abs=0.5)
        assert len(one.pieces) <= 3
    assert min(one.gap for one in packs) >= 2388 - top
    assert made.over.sag == pytest.approx(6.0)
    told = made.figures["over.packs"].value
    assert str(told).count("x ") == len(packs)


def test_a_fall_to_one_end_counts_only_over_the_opening() -> None:
    # Read 20 lower beyond the right jamb (at 4202) than at it: not a sag of this opening.
    read = [{"x": 1000, "z": 2390}, {"x": 4300, "z": 2390}, {"x": 5200, "z": 2370}]
    made = planned({**STIFF, "underside": read})
    assert made.over is not None
    assert made.over.sag == pytest.approx(0.0, abs=0.1)


def test_packed_down_a_long_way_a_strip_takes_most_of_it() -> None:
    made = planned({**STIFF, "underside": SAGS}, head="existing", clear_height=2150)
    assert made.over is not None
    assert made.arrangement is not None
    strips = {one.strip for one in made.over.packs}
    # From the frame to the lowest reading, whole millimetres down; packers make the rest.
    assert strips == {float(int(2388 - made.arrangement.heights.head_top))}
    assert all(one.pieces is not None and sum(one.pieces) <= 8 for one in made.over.packs)
    assert ways(made)["existing"].name.startswith("pack down")
    higher = ways(made)["higher"]
    planned_way = made.over.planned
    assert higher.leaf_height is not None
    assert planned_way.leaf_height is not None
    assert higher.leaf_height > planned_way.leaf_height
    assert higher.packing is not None
    assert higher.packing < 45


def test_no_underside_read_gives_no_packs() -> None:
    made = planned(STIFF)
    assert made.over is not None
    assert made.over.packs == ()
    assert "over.packs" not in made.figures


# ---------------------------------------------------------------- capacity


def given(load: float) -> dict[str, Any]:
    return {**STEEL, "capacity": {"load": load, "who": "engineer", "document": "S-14"}}


def test_what_hangs_is_weighed_against_what_the_engineer_gave() -> None:
    made = planned(given(3.5), head="existing")
    assert made.over is not None
    hung = sum(leaf.mass for leaf in made.hardware) * 9.81
    lining = 12.0 * 9.81 * made.over.planned.span / 1000
    assert made.figures["over.load"].value == pytest.approx((hung + lining) / 1000, abs=0.02)
    (note,) = at(made, "wall.over.capacity", Severity.NOTE)
    assert "S-14" in note.source
    (caution,) = [f for f in at(made, "wall.over", Severity.WARN) if "carrying load" in f.what]
    assert "have an engineer say" not in caution.mend


def test_too_little_capacity_holds_the_order_and_is_not_hung_from_by_itself() -> None:
    short = planned(given(0.3), head="existing")
    (hold,) = at(short, "wall.over.capacity", Severity.HOLD)
    assert hold.before == "order"
    free = planned(given(0.3))
    assert free.over is not None
    assert free.over.way == "own"
    assert at(free, "wall.over.capacity", Severity.HOLD) == []


def test_nobody_gave_a_capacity_is_said_where_it_carries_load() -> None:
    made = planned(STEEL, head="existing")
    assert any("wall.over.capacity" in f.mend for f in at(made, "wall.over", Severity.WARN))


# ---------------------------------------------------------------- other ways


def test_a_head_beside_needs_room_in_the_wall() -> None:
    full, thin = ways(planned(STEEL)), ways(planned({**STEEL, "breadth": 40}))
    assert not full["beside"].possible
    assert "90" in full["beside"].why_not
    beside = thin["beside"]
    assert beside.possible
    assert " 45" in beside.member or "x45" in beside.member or "45x" in beside.member
    assert beside.price_minor is not None
    assert thin["existing"].price_minor is not None
    assert beside.price_minor > thin["existing"].price_minor
    assert any("studs of its own" in line for line in beside.clashes)


def test_a_head_in_its_place_is_sized_only_where_what_it_carries_is_known() -> None:
    carrying, free = ways(planned(STEEL)), ways(planned(STEEL, free=True))
    assert not carrying["replace"].possible
    assert "wall.evidence.loads" in carrying["replace"].why_not
    assert free["replace"].possible
    assert free["replace"].leaf_height is not None
    # The old one is 200 deep: the new one takes its room, and the leaf is higher than under it.
    own = free["own"]
    assert own.leaf_height is not None
    assert free["replace"].leaf_height > own.leaf_height


def test_a_cable_up_there_is_in_the_way_of_a_new_head_in_its_place() -> None:
    job = values(STEEL, free=True)
    cable = {"id": "cable-1", "kind": "cable", "x": 2500.0, "z": 2450.0, "face": "inside",
             "runs": "left"}  # fmt: skip
    job["wall"]["services"] = [*job["wall"]["services"], cable]
    made = plan(Job.model_validate(job), BOUGHT)
    assert any("cable-1" in line for line in ways(made)["replace"].clashes)
    below = {**cable, "z": 1500.0}
    job["wall"]["services"][-1] = below
    made = plan(Job.model_validate(job), BOUGHT)
    assert not any("cable-1" in line for line in ways(made)["replace"].clashes)


# ---------------------------------------------------------------- under the head


def test_a_beam_lower_than_the_head_gives_its_own_reason() -> None:
    low = [{"x": 1100, "z": 1606}, {"x": 3000, "z": 1600}]
    made = planned({**STIFF, "underside": low})
    (stop,) = at(made, "wall.over.underside", Severity.STOP)
    assert "1600 mm at x 3000 mm" in stop.what
    assert "don't give the size" not in " ".join(str(f.what) for f in made.findings)
    (warn,) = at(made, "wall.over.underside", Severity.WARN)
    # the head measures 2399: 799 between
    assert "799 mm over it" in warn.what
