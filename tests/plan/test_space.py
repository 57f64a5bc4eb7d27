"""What the fit room is asked: the leaf that is named, the thickness that is wished for."""

from __future__ import annotations

import pytest

from truehang import catalogue, demo
from truehang.job import Job, load
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()


def wishing(**leaf: object) -> Plan:
    """The plan of fernhollow with another wish for its leaf."""
    job: Job = load(demo.files("fernhollow")[0][1])
    wanted = job.wishes.leaf.model_copy(update=leaf)
    wishes = job.wishes.model_copy(update={"leaf": wanted})
    return plan(job.model_copy(update={"wishes": wishes}), BOUGHT)


def told(made: Plan) -> list[str]:
    return [finding.what for finding in made.findings if finding.where == "wishes.leaf.thickness"]


def test_a_leaf_named_counts_more_than_another_thickness_and_both_are_said() -> None:
    made = wishing(construction="solid-40", thickness=35.0)
    assert {one.option.leaf_id for one in made.weighed} == {"solid-40"}
    assert told(made) == ["leaf solid-40 is 40 mm thick, 35 mm is wished"]


@pytest.mark.parametrize("wish", [{"construction": "solid-40", "thickness": 40.0}, {}])
def test_nothing_is_said_where_name_and_thickness_agree(wish: dict[str, object]) -> None:
    assert told(wishing(**wish)) == []


def test_a_thickness_picks_the_leaves_that_have_it() -> None:
    made = wishing(thickness=35.0)
    by_id = {leaf.id: leaf for leaf in BOUGHT.leaves}
    assert {by_id[one.option.leaf_id].thickness for one in made.weighed} == {35.0}


def test_a_thickness_that_nothing_has_is_said_with_the_nearest() -> None:
    made = wishing(thickness=47.0)
    assert told(made) == ["no leaf is 47 mm thick"]
    assert made.weighed


def test_studs_are_cut_from_the_bare_floor_where_a_finish_is_to_come() -> None:
    # quarry-house: 3 of floor to come; a stud stands on the floor as it is now
    made, job = planned("quarry-house.yaml"), job_of("quarry-house.yaml")
    assert made.arrangement is not None
    assert made.takeoff is not None
    (stud,) = [item for item in made.takeoff.items if item.key == "jamb-stud"]
    under = [
        s.z
        for s in job.floor.stations
        if made.arrangement.frame.low <= s.x <= made.arrangement.frame.high
    ]
    assert stud.length == pytest.approx(made.arrangement.heights.rough_head - min(under), abs=0.5)


def test_a_new_wall_is_framed_from_end_to_end() -> None:
    # geometry: the plates and the rough opening make up the whole run
    made, job = planned("tannery-g03.yaml"), job_of("tannery-g03.yaml")
    assert made.arrangement is not None
    assert made.takeoff is not None
    lengths = {item.key: item.length for item in made.takeoff.items}
    assert lengths["wall-plate-top"] == pytest.approx(job.wall.run)
    assert lengths["wall-stud"] is not None
