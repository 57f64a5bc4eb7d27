"""Does every row of fixings that a frame needs stand in the plan, and reach no leaf?"""

from __future__ import annotations

from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.fixings import Fixings, shots
from truehang.job import load
from truehang.plan import Plan, plan

DEMOS = ["quarry-house.yaml", "fernhollow.yaml", "tannery-g03.yaml", "tannery-s01.yaml"]


@cache
def planned(file: str) -> Plan:
    texts = {name: text for demo_name in demo.names() for name, text in demo.files(demo_name)}
    return plan(load(texts[file]), catalogue.load())


def rows(made: Fixings) -> set[str]:
    return {choice.row.key for choice in made.choices}


def test_a_single_fixes_its_closing_jamb_and_a_pair_has_none() -> None:
    # common practice, no source: a jamb that takes the leaf's knock is screwed to its stud
    single, pair = planned("quarry-house.yaml").fixings, planned("fernhollow.yaml").fixings
    assert single is not None
    assert pair is not None
    assert "closing-jamb" in rows(single)
    assert "closing-jamb" not in rows(pair)


@pytest.mark.parametrize("file", DEMOS)
def test_skirting_over_a_pocket_has_its_own_short_nail(file: str) -> None:
    # common practice, no source: skirting nails are the ones that scratch a leaf
    made = planned(file)
    assert made.fixings is not None
    assert made.arrangement is not None
    skirting = [c for c in made.fixings.choices if c.row.key.startswith("skirting-")]
    assert skirting
    section = {layer.key: layer for layer in made.arrangement.pocket_section}
    for choice in skirting:
        for shot in shots(choice):
            assert not section["air-a"].y0 < shot.tip[1] < section["air-b"].y1


@pytest.mark.parametrize("file", DEMOS)
def test_the_frame_screws_start_outside_the_leafs_travel(file: str) -> None:
    # geometry: a sunk head lies at the bottom of the groove, where the closed leaf ends
    made = planned(file)
    assert made.fixings is not None
    assert made.arrangement is not None
    low = min(leaf.closed.low for leaf in made.arrangement.leaves)
    high = max(leaf.closed.high for leaf in made.arrangement.leaves)
    for choice in made.fixings.choices:
        if choice.row.key == "closing-jamb":
            for shot in shots(choice):
                assert shot.head[0] <= low + 1e-6 or shot.head[0] >= high - 1e-6
                assert not low < shot.tip[0] < high


def test_no_soft_close_is_reckoned_where_none_is_wanted() -> None:
    # mechanics: without the unit only rolling is left, 0.02 of the weight at most
    made = planned("tannery-g03.yaml")
    assert made.job.wishes.soft_close != "wanted"
    for leaf in made.hardware:
        assert leaf.starting_force[1] == pytest.approx(0.02 * leaf.mass * 9.81)


@pytest.mark.parametrize("file", DEMOS)
def test_the_base_is_not_screwed_down_where_the_bottom_guide_stands(file: str) -> None:
    # geometry: the guide stands at the mouth, in the middle of the leaf's thickness
    made = planned(file)
    assert made.fixings is not None
    assert made.arrangement is not None
    leaf = next(layer for layer in made.arrangement.pocket_section if layer.key == "leaf")
    (base,) = [choice for choice in made.fixings.choices if choice.row.key == "base"]
    for mouth in made.arrangement.mouths:
        at_mouth = [y for x, y in base.row.places if x == pytest.approx(mouth)]
        assert len(at_mouth) == 2
        assert all(y < leaf.y0 or y > leaf.y1 for y in at_mouth)


def test_a_new_opening_was_no_old_opening_to_the_ear() -> None:
    made, filled = planned("quarry-house.yaml").sound, planned("fernhollow.yaml").sound
    assert made is not None
    assert filled is not None
    assert (made.before.name, filled.before.name) == ("standing open", "old opening")
