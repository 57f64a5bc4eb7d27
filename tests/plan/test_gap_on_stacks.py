"""The floor gap that is printed is that of packs as they are wanted; what the stacks make of it is
said beside it, in the same words at the prompt, in the pack, in the drawing and in JSON.

Sums by hand, beside each check; no other source.
"""

from __future__ import annotations

import io
import json

import pytest
from rich.console import Console

from truehang import catalogue, demo
from truehang.drawing.every import scenes
from truehang.fit import FloorGap
from truehang.fit.gaps import on_stacks
from truehang.job import load
from truehang.message import Voice
from truehang.pack.content import Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import packers
from truehang.plain import to_json
from truehang.plan import Plan, plan
from truehang.summary import print_plan

JOB = dict(demo.files("fernhollow"))["fernhollow.yaml"].replace(
    "at: bottom, value: 3450", "at: bottom, value: 3460"
)
USUAL, WHOLE = "packers: [1, 1.5, 2, 3, 5, 6, 10]", "packers: [1, 2, 3, 5, 10]"


def planned(packers: str = WHOLE, to_come: int = 0) -> Plan:
    assert USUAL in JOB
    text = JOB.replace(USUAL, packers).replace("to_come: 0", f"to_come: {to_come}")
    return plan(load(text), catalogue.load())


@pytest.fixture(scope="module")
def whole() -> Plan:
    return planned()


def gaps(made: Plan) -> tuple[FloorGap, ...]:
    assert made.arrangement is not None
    return made.arrangement.floor_gaps


def test_the_stacks_are_taken_off_the_least_and_put_on_the_most(whole: Plan) -> None:
    """Whole millimetres are on the van. At the left mouth 1.5 is wanted and 2 is made: 0.5 thicker;
    at the right end 6.4 is wanted and 5 + 1 made: 0.4 thinner. The left leaf's 7 to 10 is then
    6.6 to 10.5; a tape shows 6.5 and 10.5."""
    assert whole.arrangement is not None
    wanted = {pack.label: pack.height for pack in whole.arrangement.packs}
    made = {pack.label: sum(pack.pieces or ()) for pack in whole.arrangement.packs}
    thinner = max(wanted[label] - made[label] for label in wanted)
    thicker = max(made[label] - wanted[label] for label in wanted)
    assert (thinner, thicker) == pytest.approx((0.4, 0.5), abs=0.01)
    left, right = gaps(whole)
    assert left.least_built == pytest.approx(left.least - thinner, abs=1e-6)
    assert left.most_built == pytest.approx(left.most + thicker, abs=1e-6)
    assert str(left.on_stacks) == (
        "on the stacks as they are made 6.5 mm to 10.5 mm, until the hanger bolts are turned"
    )
    assert "9.5 mm to 14 mm" in right.on_stacks


def test_stacks_that_make_their_packs_say_nothing() -> None:
    exact = planned(USUAL)
    assert [gap.on_stacks for gap in gaps(exact)] == ["", ""]
    assert not [key for key in exact.figures if "on_stacks" in key]
    assert "on the stacks" not in told(exact)


def told(made: Plan) -> str:
    """What the prompt prints of the plan."""
    out = io.StringIO()
    print_plan(made, Console(file=out, width=400))
    return out.getvalue()


def test_prompt_pack_drawing_and_json_say_the_same(whole: Plan) -> None:
    blocks = packers.gaps(whole, Printing(whole.style, whole.words), Album({}, {}))
    printed = [block.text for block in blocks if isinstance(block, Text)]
    items = scenes(whole)["packers"].items
    drawn = " ".join(str(getattr(item, "text", "")) for item in items)
    plain = json.loads(to_json(whole))["arrangement"]["floor_gaps"]
    for gap, row in zip(gaps(whole), plain, strict=True):
        assert str(gap.on_stacks) in told(whole)
        assert f"{gap.leaf}: {gap.on_stacks}." in printed
        assert str(gap.on_stacks) in drawn
        assert row["on_stacks"] == str(gap.on_stacks)


def test_a_floor_to_come_gives_both_days() -> None:
    left = gaps(planned(to_come=11))[0]
    assert str(left.on_stacks) == (
        "on the stacks as they are made 17.5 mm to 21.5 mm now, 6.5 mm to 10.5 mm when the floor "
        "is down, until the hanger bolts are turned"
    )


def test_in_feet_and_inches() -> None:
    """6 mm is 7.56/32 in and 12 mm 15.1/32 in: 1/4 and 15/32 as a tape shows them (25.4 mm an inch,
    the international inch of 1959)."""
    gap = FloorGap("left leaf", 6.5, 0.0, 11.5, 900.0, 8.0, 0.0, 0.0, 0.5, 0.5)
    assert Voice("feet-inches", {}).say(on_stacks(gap)) == (
        'on the stacks as they are made 1/4" to 15/32", until the hanger bolts are turned'
    )


def test_the_step_that_hangs_the_leaves_has_both(whole: Plan) -> None:
    (hang,) = [step for step in whole.steps if step.key == "hang"]
    labels = [number.label for number in hang.numbers]
    for leaf in ("left leaf", "right leaf"):
        for which in ("least", "most"):
            assert f"{which} floor gap, {leaf}" in labels
            assert f"{which} floor gap, on the stacks as they are made, {leaf}" in labels
