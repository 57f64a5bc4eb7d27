"""Is what is there, what comes out and what goes in told apart on paper, and the old opening shown?

Source: black and white print; a dashed line is told from another by its dashes (common practice).
"""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest
from tests.swaps import HOLE, planned, values

from truehang.drawing.every import scenes
from truehang.drawing.scene import PENS, Layer, Line, Polygon, Scene, Text
from truehang.pack.content import Drawing
from truehang.pack.drawings import album
from truehang.pack.printing import Printing
from truehang.pack.sections import structure
from truehang.plan import Plan

KINDS = (Layer.FRAME, Layer.THERE, Layer.OUT)
LOWS = (1265.0, 1600.0, 2155.0, 3068.0, 3400.0)


@cache
def made() -> Plan:
    given = values()
    studs = [{"id": f"s{n}", "x": low + 22.5, "sure": True} for n, low in enumerate(LOWS, 1)]
    given["wall"]["framing"] = {"studs": studs}
    return planned(given)


@cache
def drawn() -> dict[str, Scene]:
    return scenes(made())


def upright(scene: Scene, layer: Layer) -> set[float]:
    """The x of every upright line on a layer, of shapes too; cut off where the drawing ends."""
    found: set[float] = set()
    for item in scene.items:
        if isinstance(item, Polygon) and item.layer is layer and item.edge:
            found |= {round(x, 1) for x, _ in item.points}
        if isinstance(item, Line) and item.layer is layer and item.a[0] == item.b[0]:
            found.add(round(item.a[0], 1))
    return found


def words(scene: Scene) -> str:
    return " | ".join(item.text for item in scene.items if isinstance(item, Text))


def test_the_three_kinds_of_line_are_told_apart_by_their_dashes() -> None:
    assert len({PENS[kind].dashes for kind in KINDS}) == len(KINDS)
    for one, other in combinations((k for k in KINDS if PENS[k].dashes), 2):
        ratio = PENS[one].dashes[0] / PENS[other].dashes[0]
        assert max(ratio, 1 / ratio) >= 2


@pytest.mark.parametrize("key", ["framing-there", "elevation-a", "elevation-b", "frame-set-out"])
def test_each_piece_is_drawn_by_what_becomes_of_it(key: str) -> None:
    """Studs at 1265 and 3068 stand at the rough opening and stay; 1600 and 2155 come out."""
    scene = drawn()[key]
    way = -1.0 if key == "elevation-b" else 1.0

    def at(*lows: float) -> set[float]:
        return {round(way * x, 1) for low in lows for x in (low, low + 45.0)}

    assert at(1265.0, 3068.0) <= upright(scene, Layer.THERE)
    assert at(1600.0, 2155.0) <= upright(scene, Layer.OUT)
    assert way * 1265.0 not in upright(scene, Layer.OUT)
    assert not upright(scene, Layer.THERE) & at(1600.0, 2155.0)
    said = words(scene)
    assert "comes out" in said
    assert "there, stays" in said


def test_every_stud_that_was_found_is_named_with_its_mark() -> None:
    said = words(drawn()["framing-there"])
    assert "1622.5  stud s2: comes out" in said
    assert "1287.5  stud s1: stays, beside the opening" in said


@pytest.mark.parametrize("key", ["framing-there", "elevation-a", "frame-set-out", "plan-section"])
def test_the_old_opening_is_drawn_dashed_and_named(key: str) -> None:
    scene = drawn()[key]
    assert PENS[Layer.OLD].dashes
    old = [
        item for item in scene.items
        if isinstance(item, Polygon | Line) and item.part == "old-opening"
    ]  # fmt: skip
    assert old
    assert all(item.layer is Layer.OLD for item in old)
    xs = [
        x for item in old
        for x, _ in (item.points if isinstance(item, Polygon) else (item.a, item.b))
    ]  # fmt: skip
    assert (min(xs), max(xs)) == pytest.approx(HOLE, abs=0.5)
    assert "old opening" in words(scene)


def test_without_framing_that_was_found_there_is_no_such_drawing_of_a_new_opening() -> None:
    given = values()
    given["wall"]["situation"] = "new-opening"
    assert "framing-there" not in scenes(planned(given))


def test_the_engineer_of_a_wall_that_bears_gets_it_with_the_structure() -> None:
    given = values()
    given["wall"]["evidence"] = {"joists": "across", "joint_over": True}
    for whole, told in ((planned(given), True), (made(), False)):
        printing = Printing(whole.style, whole.words)
        (section,) = structure.section(whole, printing, album(whole, printing))
        drawn = [block for block in section.blocks if isinstance(block, Drawing)]
        assert [block.alt.startswith("Framing from side A") for block in drawn] == [True] * told
