"""What does the track hang from, and is there room for it?

Sums by hand are in the comments; statics of the simply supported beam from any text on strength of
materials. Which way is chosen is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.drawing.every import scenes
from truehang.drawing.views.site import head_over
from truehang.findings import Change, Severity
from truehang.job import Job, check, dump, load, starter
from truehang.job.file import plain
from truehang.plan import Plan, plan
from truehang.shapes import line_between
from truehang.structure import head_movement
from truehang.structure.inputs import HeadMember, HungLeaf, TrackHead

BOUGHT = catalogue.load()
STIFF = {"kind": "beam", "depth": 290, "breadth": 90, "grade": "MGP10"}
SOFT = {"kind": "head", "depth": 70, "breadth": 70, "grade": "MGP10"}
FREE = {"who": "builder", "when": "2026-01-12", "photo": "a.jpg", "finding": "carries-nothing"}


def values(over: dict[str, Any] | None = None, free: bool = False, **wishes: Any) -> dict[str, Any]:
    """The starter with other things over its opening; `free`: seen to carry nothing."""
    given: dict[str, Any] = dict(plain(load(starter()).model_dump()))
    given["wall"]["over"] = over or {}
    given["wishes"].update(wishes)
    if free:
        given["wall"]["evidence"]["opened_up"] = FREE
    return given


@cache
def _planned(text: str) -> Plan:
    return plan(load(text), BOUGHT)


def planned(over: dict[str, Any] | None = None, free: bool = False, **wishes: Any) -> Plan:
    return _planned(dump(Job.model_validate(values(over, free, **wishes))))


def at(made: Plan, where: str, severity: Severity) -> list[Any]:
    return [f for f in made.findings if f.where == where and f.severity is severity]


def heads(made: Plan) -> list[Any]:
    assert made.takeoff is not None
    return [item for item in made.takeoff.items if item.key == "head"]


def leaf(made: Plan) -> float:
    assert made.arrangement is not None
    return made.arrangement.leaves[0].height


# ---------------------------------------------------------------- which way


def test_no_head_is_ordered_where_there_is_no_room_for_it() -> None:
    # The starter's opening is 2400 high and its frame stands to 0.1 of the limit: a head of 120
    # at 2399 to 2519 was in the takeoff. What is over it is not known: HOLD, and none is ordered.
    made = planned({})
    assert made.over is not None
    assert made.over.way == "existing"
    assert made.track_head is None
    assert heads(made) == []
    (hold,) = at(made, "wall.over", Severity.HOLD)
    assert hold.before == "order"
    assert made.standing.draft
    assert made.figures["over.needed"].value in hold.what
    assert "structure.track_head" not in made.figures


def test_a_new_head_takes_its_depth_off_the_leaf() -> None:
    there, own = planned({}), planned({}, head="own")
    assert own.over is not None
    assert own.track_head is not None
    depth = own.track_head.member.depth
    assert leaf(there) - leaf(own) == depth  # what was kept, and the room was 0.1
    assert own.over.top <= own.over.limit
    (item,) = heads(own)
    assert item.stock == own.track_head.section
    assert not own.standing.draft
    assert own.arrangement is not None
    assert own.arrangement.heights.rough_head + depth <= own.over.limit


def test_nothing_over_it_leaves_only_a_new_head() -> None:
    made = planned({"kind": "nothing"})
    assert made.over is not None
    assert [way.way for way in made.over.ways] == ["own"]
    assert made.track_head is not None
    assert at(made, "wall.over", Severity.HOLD) == []


def test_what_is_known_to_hold_is_hung_from_and_what_is_too_soft_is_not() -> None:
    stiff, soft = planned(STIFF), planned(SOFT)
    assert stiff.over is not None
    assert soft.over is not None
    assert (stiff.over.way, soft.over.way) == ("existing", "own")
    assert heads(stiff) == []
    assert not stiff.standing.draft
    assert leaf(stiff) > leaf(soft)
    forced = planned(SOFT, head="existing")
    (hold,) = at(forced, "wall.over", Severity.HOLD)
    assert Change("wishes.head", "own") in hold.changes
    assert forced.standing.draft


def test_where_a_new_head_costs_the_leaf_nothing_it_goes_in() -> None:
    # fernhollow: 91.7 between rough head and the square head of the archway, which nobody opened
    made = _planned(dict(demo.files("fernhollow"))["fernhollow.yaml"])
    assert made.over is not None
    assert made.over.kind == "unknown"
    assert made.over.way == "own"
    assert made.track_head is not None
    assert made.track_head.member.depth <= made.over.room
    assert at(made, "wall.over", Severity.HOLD) == []


def test_both_ways_are_priced_and_the_difference_is_the_head_and_the_leaf() -> None:
    made = planned({})
    assert made.over is not None
    ways = {way.way: way for way in made.over.ways}
    own, there = ways["own"], ways["existing"]
    assert own.price_minor is not None
    assert there.price_minor is not None
    taken = planned({}, head="own")
    assert taken.track_head is not None
    assert taken.arrangement is not None
    assert own.price_minor == taken.arrangement.option.price_minor + taken.track_head.price
    (note,) = at(made, "wishes.head", Severity.NOTE)
    assert f"{there.leaf_height:.0f} mm" in note.what
    assert f"{own.leaf_height:.0f} mm" in note.what
    assert made.figures["over.own.price_minor"].value == own.price_minor


def test_no_room_and_nothing_to_hang_from_stops_and_the_mend_works() -> None:
    high = {"kind": "nothing"}
    made = planned(high, clear_height=2260)
    (stop,) = at(made, "wishes.clear_height", Severity.STOP)
    (change,) = stop.changes
    assert isinstance(change.value, float)
    mended = planned(high, clear_height=change.value)
    assert at(mended, "wishes.clear_height", Severity.STOP) == []
    assert mended.track_head is not None
    assert not mended.standing.draft


def test_a_wish_that_cannot_be_had_is_said() -> None:
    made = planned({"kind": "nothing"}, head="existing")
    (said,) = at(made, "wishes.head", Severity.WARN)
    assert "nothing over the opening" in said.what
    assert made.over is not None
    assert made.over.way == "own"


def test_a_kit_of_fixed_height_gives_way_to_one_that_takes_a_new_head() -> None:
    # fernhollow with a passage of 900 takes a steel kit whose frame leaves 57.7 for a head: with
    # nothing over it, the plan goes to a kit made to size instead of stopping.
    job: dict[str, Any] = dict(plain(load(dict(demo.files("fernhollow"))["fernhollow.yaml"])
                                     .model_dump()))  # fmt: skip
    job["wishes"]["clear_width"] = 900.0
    unknown = plan(Job.model_validate(job), BOUGHT)
    job["wall"]["over"] = {"kind": "nothing"}
    made = plan(Job.model_validate(job), BOUGHT)
    assert unknown.arrangement is not None
    assert made.arrangement is not None
    assert made.arrangement.kit_id != unknown.arrangement.kit_id
    assert made.track_head is not None
    assert at(made, "wall.over", Severity.STOP) == []


# ---------------------------------------------------------------- what it must be


def test_what_is_there_goes_down_as_the_closed_form_says() -> None:
    # One leaf of 40 kg at mid-span of a steel beam: two hangers 400 apart about the middle of 3000.
    # E I = 200 000 x 1320e4 = 2.64e12. a = 1300: P a (3 L^2 - 4 a^2)/(24 E I) at mid-span
    # = 196.2 x 1300 x (27e6 - 6.76e6)/(24 x 2.64e12) = 0.0815; the rectangle that stands for the
    # section, 100 deep, adds its shear, which is small.
    deep = 100.0
    member = HeadMember("steel", 12 * 1320e4 / deep**3, deep, 200_000.0, 76_900.0, 1e-3, creep=1.0)
    hung = HungLeaf("leaf", 1900.0, 1100.0, (1700.0, 1300.0), (196.2, 196.2), 0.1, 2000.0, 10.0)
    down = head_movement(TrackHead(0.0, 3000.0, member, (hung,))).envelope
    assert max(down) == pytest.approx(0.0815, abs=0.004)


def test_steel_without_its_inertia_is_not_known() -> None:
    hollow = planned({"kind": "steel", "depth": 200})
    (hold,) = at(hollow, "wall.over", Severity.HOLD)
    assert "inertia" in hold.mend
    known = planned({"kind": "steel", "depth": 200, "inertia": 2000})
    assert at(known, "wall.over", Severity.HOLD) == []
    # 200 000 MPa x 2000e4 mm4 = 4e12 N mm2 = 4000 kN m2
    assert known.over is not None
    assert known.over.planned.stiffness == pytest.approx(4000.0)
    assert any("steel" in f.what for f in at(known, "wall.over", Severity.WARN))


def test_timber_of_no_known_grade_is_the_least_stiff_that_is_sold() -> None:
    bare = {key: value for key, value in STIFF.items() if key != "grade"}
    (warn,) = at(planned(bare), "wall.over.grade", Severity.WARN)
    least = min((g for g in BOUGHT.timber_grades if g.kind == "sawn" and g.code.startswith("MGP")),
                key=lambda g: g.modulus)  # fmt: skip
    assert least.code in warn.what
    assert at(planned({**STIFF, "grade": "oak, old"}), "wall.over.grade", Severity.WARN)
    assert at(planned(STIFF), "wall.over.grade", Severity.WARN) == []


def test_what_carries_load_spans_the_whole_old_opening_and_is_not_packed_onto_the_ribs() -> None:
    carrying, free = planned(STIFF), planned(STIFF, free=True)
    assert carrying.over is not None
    assert free.over is not None
    assert carrying.measured.usable is not None
    assert free.arrangement is not None
    assert carrying.over.planned.span == pytest.approx(
        carrying.measured.usable.right - carrying.measured.usable.left
    )
    assert free.over.planned.span == free.arrangement.opening.length
    texts = {key: " ".join(str(line) for step in made.steps for line in step.do)
             for key, made in (("carrying", carrying), ("free", free))}  # fmt: skip
    assert "pack nothing tight over the ribs" in texts["carrying"]
    assert "Pack tight" in texts["free"]
    assert "Pack tight" not in texts["carrying"]


# ---------------------------------------------------------------- underside


def test_the_lowest_reading_of_a_sagging_beam_is_the_limit_and_the_rest_is_packed() -> None:
    # Reads 2388 in the middle and 2394 at its ends: it sags 6. The opening itself measures 2399.
    read = [{"x": 1000, "z": 2394}, {"x": 2600, "z": 2388}, {"x": 4200, "z": 2394}]
    level, sags = planned(STIFF), planned({**STIFF, "underside": read})
    assert level.over is not None
    assert sags.over is not None
    assert sags.arrangement is not None
    assert sags.over.limit == 2388
    assert sags.over.sag == 6
    # Leaves are whole mm down: 2388 against the usable head.
    assert leaf(level) - leaf(sags) == pytest.approx(level.over.limit - 2388, abs=1.0)
    assert sags.fixings is not None
    (row,) = [c.row for c in sags.fixings.choices if c.row.key == "head"]
    gap = 2388 - sags.arrangement.heights.head_top
    packing = row.through[1]
    assert packing.thickness == pytest.approx(gap + 6 + 3)  # sag, and 3 out of place
    assert at(sags, "wall.over.underside", Severity.NOTE)
    assert at(sags, "wall.over.underside", Severity.WARN), "11 off the measured head"


def test_two_undersides_at_one_x_and_one_outside_the_run_are_told() -> None:
    text = starter().replace(
        "    kind: head                      # head, lintel, beam, steel, nothing or unknown\n",
        "    kind: head\n"
        "    underside: [{x: 100, z: 2400}, {x: 100, z: 2401}, {x: 9000, z: 2400}]\n",
    )
    said = [problem.what for problem in check(text)]
    assert any("already" in what for what in said)
    assert any("outside the wall run" in what for what in said)


# ---------------------------------------------------------------- what follows


def test_takeoff_steps_pack_and_drawings_follow_what_is_there() -> None:
    own, there = planned({}, head="own"), planned(STIFF)
    drawn = {"own": head_over(own.members), "there": head_over(there.members)}
    assert drawn["own"] is not None
    assert drawn["there"] is not None
    assert drawn["own"].new
    assert not drawn["there"].new
    assert own.over is not None
    assert there.over is not None
    assert drawn["own"].high == pytest.approx(own.over.top)
    assert drawn["there"].low == there.over.limit
    titles = {step.key: step.title for step in there.steps}
    assert "the head that is there" in titles["frame-up"]
    (frame_up,) = [step for step in own.steps if step.key == "frame-up"]
    assert any("Leave the space between the new head" in line for line in frame_up.do)
    texts = {name: str(scenes(made)["section-head"].items)
             for name, made in (("own", own), ("there", there))}  # fmt: skip
    assert "new head" in texts["own"]
    assert "head that is there" in texts["there"]


def test_studs_run_up_to_what_is_there() -> None:
    made = planned(STIFF)
    assert made.takeoff is not None
    assert made.over is not None
    assert made.arrangement is not None
    (stud,) = [item for item in made.takeoff.items if item.key == "infill-stud"]
    # it stands on its plate, which is as thick as a stud and lies on the highest of its floor
    plates = [m.x for m in made.members if m.key.startswith("infill-plate")]
    stations = [(x, z) for x, z, _ in made.measured.floor.stations] if made.measured.floor else []
    under = [max(z for _, z in line_between(stations, x.low, x.high)) for x in plates]
    stud_width = made.job.wall.make_up.studs.width
    assert stud.length == pytest.approx(made.over.limit - min(under) - stud_width)
    # and the one under the end of what the track hangs from stands on the floor
    (jamb,) = [item for item in made.takeoff.items if item.key == "jamb-stud"]
    assert jamb.length == pytest.approx(made.over.limit - made.arrangement.heights.floor_low, abs=9)
