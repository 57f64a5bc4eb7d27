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
    return [
        str(finding.what) for finding in made.findings if finding.where == "wishes.leaf.thickness"
    ]


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
