"""Are the gaps round a frame those of its kit?

A rough opening is the frame and the clearance on both sides: the trade's own sum (a frame of 2870
asks for 2890 at 10 a side). 10 where a datasheet is silent is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()
FERNHOLLOW = dict(demo.files("fernhollow"))["fernhollow.yaml"]


def planned(**kit: float) -> Plan:
    """The demo with every kit asking for these clearances."""
    kits = tuple(one.model_copy(update=kit) for one in BOUGHT.kits)
    return plan(load(FERNHOLLOW), replace(BOUGHT, kits=kits))


@pytest.mark.parametrize("side, head", [(10.0, 10.0), (6.0, 25.0), (15.5, 4.0), (0.0, 0.0)])
def test_the_rough_opening_is_the_frame_and_the_kits_own_clearances(
    side: float, head: float
) -> None:
    made = planned(side_clearance=side, head_clearance=head)
    fit = made.arrangement
    assert fit is not None
    assert fit.rough.length == pytest.approx(fit.frame.length + 2 * side)
    assert fit.frame.low - fit.rough.low == pytest.approx(side)
    assert fit.heights.rough_head - fit.heights.head_top == pytest.approx(head)
    figures = made.figures
    wide, frame = figures["fit.rough_width"].value, figures["fit.frame_width"].value
    assert float(wide) - float(frame) == pytest.approx(2 * side)
    for key, name in (("rough_width", "side_clearance"), ("rough_height", "head_clearance")):
        assert f"catalogue:kits.{fit.kit_id}.{name}" in figures[f"fit.{key}"].inputs


def test_more_clearance_leaves_less_to_walk_through() -> None:
    """Where the old opening binds, what the kit asks for more is taken off the passage: two sides
    of it, shared by both pockets and the opening (F = 2(s + P) + C)."""
    wide, tight = planned(side_clearance=4.0).weighed, planned(side_clearance=30.0).weighed
    most = {one.option.kit_id: one.option.passage for one in reversed(wide)}
    for one in tight:
        assert one.option.passage <= most[one.option.kit_id] + 1e-6


def test_a_datasheet_that_is_silent_gives_ten(tmp_path: Path) -> None:
    shipped = next(kit for kit in BOUGHT.kits if kit.id == "timber-90")
    values = shipped.model_dump(exclude={"side_clearance", "head_clearance"}, exclude_none=True)
    assert type(shipped).model_validate(values).side_clearance == 10.0
    assert type(shipped).model_validate(values).head_clearance == 10.0
    own = type(shipped).model_validate({**values, "side_clearance": 7.5})
    assert own.side_clearance == 7.5
    with pytest.raises(ValueError, match="side_clearance"):
        type(shipped).model_validate({**values, "side_clearance": -1})
