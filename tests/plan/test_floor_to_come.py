"""A floor still to come: every gap is said as it reads now and as it is when the floor is down.

Sums by hand: the floor to come is added to each gap until it is laid. Nothing else is a source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from truehang import catalogue
from truehang.demo import files
from truehang.drawing.every import scenes
from truehang.job import load
from truehang.plan import Plan, plan
from truehang.plan.hang import turns

TILES = 11.0


def planned(to_come: float) -> Plan:
    ((_, text),) = files("fernhollow")
    whole = text.replace("to_come: 0", f"to_come: {to_come:g}")
    return plan(load(whole.encode()), catalogue.load())


@pytest.fixture(scope="module")
def tiled() -> Plan:
    return planned(TILES)


@pytest.fixture(scope="module")
def bare() -> Plan:
    return planned(0.0)


def test_the_gap_now_is_the_gap_when_down_and_the_tiles(tiled: Plan) -> None:
    assert tiled.arrangement is not None
    for at, gap in enumerate(tiled.arrangement.floor_gaps):
        leaf = tiled.arrangement.leaves[at]
        floor = tiled.measured.floor
        assert floor is not None
        assert gap.least_now == pytest.approx(leaf.bottom - floor.z(gap.least_at))
        assert gap.least_now - gap.least == pytest.approx(TILES)
        now = tiled.figures[f"fit.floor_gap.{at}.least_now"]
        assert now.value == pytest.approx(gap.least_now)
        assert "now" in now.label
        assert "floor is down" in tiled.figures[f"fit.floor_gap.{at}.least"].label


def test_without_a_floor_to_come_there_is_one_figure(bare: Plan) -> None:
    assert not [key for key in bare.figures if key.endswith("_now")]
    assert not [key for key in bare.figures if "floor is down" in bare.figures[key].label]


def test_the_checks_are_for_the_day_that_they_are_read_on(tiled: Plan, bare: Plan) -> None:
    def windows(made: Plan) -> dict[str, tuple[float | None, float | None, str]]:
        return {c.key: (c.low, c.high, c.label) for step in made.steps for c in step.checks}

    flat, tiles = windows(bare), windows(tiled)
    assert flat["floor-gap"][:2] == flat["final-gap"][:2] == tiles["final-gap"][:2] == (5.0, 15.0)
    assert tiles["floor-gap"][:2] == (5.0 + TILES, 15.0 + TILES)
    assert "now" in tiles["floor-gap"][2]
    assert "is down" in tiles["final-gap"][2]
    assert "now" not in flat["floor-gap"][2]
    assert tiled.arrangement is not None
    for gap in tiled.arrangement.floor_gaps:
        low, high, _ = tiles["floor-gap"]
        assert low is not None
        assert high is not None
        assert low <= gap.least_now <= high


@pytest.mark.parametrize("laid", [False, True])
def test_a_leaf_that_hangs_right_is_left_alone(tiled: Plan, laid: bool) -> None:
    fit, floor = tiled.arrangement, tiled.measured.floor
    assert fit is not None
    assert floor is not None
    kit = next(kit for kit in catalogue.load().kits if kit.id == fit.kit_id)
    read = {}
    for leaf in fit.leaves:
        ends = (leaf.closed.high, leaf.closed.low)
        ends = ends if leaf.pocket == "left" else ends[::-1]
        under = TILES if laid else 0.0
        read[leaf.name] = tuple(leaf.bottom - floor.z(x) - under for x in ends)
    answer = turns(fit, kit, floor, 0.0 if laid else TILES, read)  # type: ignore[arg-type]
    assert {turn.quarters for turn in answer.turns} == {0}
    for gap in answer.residuals:
        assert gap.finished == (None if laid else pytest.approx(gap.after - TILES))


def test_the_drawings_show_both_gaps_and_the_floor_to_come(tiled: Plan, bare: Plan) -> None:
    def words(made: Plan, name: str) -> str:
        scene = scenes(made)[name]
        return " ".join(str(getattr(item, "text", "")) for item in scene.items)

    for name in ("section-foot", "packers"):
        assert "floor is down" in words(tiled, name)
        assert "floor is down" not in words(bare, name)
    assert "floor to come" in words(tiled, "section-foot")


def test_only_what_hangs_moves(tiled: Plan, bare: Plan) -> None:
    # Tiles lift the leaf, not the frame: the level line and the packers stay.
    assert tiled.arrangement is not None
    assert bare.arrangement is not None
    assert tiled.arrangement.heights.level_line == bare.arrangement.heights.level_line
    assert [replace(p) for p in tiled.arrangement.packs] == list(bare.arrangement.packs)
