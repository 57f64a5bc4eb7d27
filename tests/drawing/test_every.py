"""Every drawing of the demo jobs, from their plans: complete, clear of collisions, on A4."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from truehang import catalogue, demo, job
from truehang.drawing import PlanLike, Sheet, rod_pages, scenes, step_pictures
from truehang.drawing.scene import Dimension, Layer, Polygon, Scene, Text
from truehang.plan import Plan, complete, plan

DEMOS = (
    ("fernhollow", 0),
    ("millrace-cottage", 0),
    ("granary-hall", 0),
    ("juniper-court", 0),
    ("quarry-house", 0),
    ("tannery-lofts", 1),
    ("tannery-lofts", 10),
    ("tannery-lofts", 23),
)


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    """Plans of some demo jobs by file name."""
    shelf = catalogue.load()
    chosen = [demo.files(name)[index] for name, index in DEMOS]
    return {name: plan(job.load(text), shelf) for name, text in chosen}


@pytest.fixture(scope="module")
def collisions() -> Callable[[Scene], list[str]]:
    """The check of the collision tests."""
    path = Path(__file__).with_name("test_collisions.py")
    spec = importlib.util.spec_from_file_location("collision_check", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    check: Callable[[Scene], list[str]] = module.collisions
    return check


def test_every_drawing_of_the_demos_is_clear_and_on_a4(
    plans: dict[str, Plan], collisions: Callable[[Scene], list[str]]
) -> None:
    small = (78.0, 60.0)
    for name, made in plans.items():
        sheet = Sheet(made.style, made.words)
        pictures = step_pictures(made, Sheet(made.style, made.words, small, small))
        drawn = scenes(made, sheet)
        for scene in (*drawn.values(), *pictures.values(), *rod_pages(made, sheet)):
            assert collisions(scene) == [], (name, scene.key)
        for scene in drawn.values():
            assert sheet.holds(scene.paper), (name, scene.key, scene.paper)
        for scene in pictures.values():
            assert scene.paper[0] <= small[0], (name, scene.key)
            assert scene.paper[1] <= small[1], (name, scene.key)


def test_the_pair_has_every_drawing(plans: dict[str, Plan]) -> None:
    assert {
        "elevation-a",
        "elevation-b",
        "plan-section",
        "plan-mouth-left",
        "plan-mouth-right",
        "plan-back-left",
        "plan-back-right",
        "plan-meeting",
        "vertical-section",
        "section-head",
        "section-foot",
        "frame-set-out",
        "packers",
        "leaf-1",
        "leaf-2",
        "no-go-a",
        "no-go-b",
        "sound-1",
    } <= set(scenes(plans["fernhollow.yaml"]))


def test_no_go_zones_are_where_the_fixings_room_says(plans: dict[str, Plan]) -> None:
    made = plans["quarry-house.yaml"]
    assert made.fixings is not None
    scene = scenes(made)["no-go-a"]
    drawn = {
        (min(x for x, _ in i.points), max(z for _, z in i.points))  # type: ignore[union-attr]
        for i in scene.items
        if i.layer is Layer.NOGO and hasattr(i, "points")
    }
    assert drawn == {(zone.x0, zone.z1) for zone in made.fixings.no_go if zone.face == "A"}
    told = [i.text for i in scene.items if isinstance(i, Text)]
    for zone in made.fixings.no_go:
        assert f"nothing longer than {zone.longest:g}" in told


def test_every_length_is_on_the_cutting_picture_and_alike_ones_once(
    plans: dict[str, Plan], collisions: Callable[[Scene], list[str]]
) -> None:
    made = complete(plans["quarry-house.yaml"], catalogue.load())
    assert made.cutting is not None
    drawn = [scene for key, scene in scenes(made).items() if key.startswith("cut-bars")]
    told = [i.text for scene in drawn for i in scene.items if isinstance(i, Text) and i.bold]
    heads = [text.rpartition(", ")[0].split(" no. ") for text in told if " no. " in text]
    numbers = [(section, n) for section, some in heads for n in some.split(", ")]
    lines = [(f"{line.section},", str(line.number)) for line in made.cutting.lines]
    assert sorted(numbers) == sorted(lines)
    assert len(heads) < len(lines)
    for scene in drawn:
        assert collisions(scene) == [], scene.key
        assert Sheet().holds(scene.paper), scene.key


def test_every_board_is_on_the_lining_of_its_side(
    plans: dict[str, Plan], collisions: Callable[[Scene], list[str]]
) -> None:
    made = complete(plans["fernhollow.yaml"], catalogue.load())
    drawn = {key: scene for key, scene in scenes(made).items() if key.startswith("lining-")}
    faces = {f"lining-{n}-{face.face.id.lower()}": face
             for n, one in enumerate(made.lining, 1) for face in one.faces}  # fmt: skip
    assert faces
    boards = {f"lining-{n}-board-{sheet.number}"
              for n, one in enumerate(made.lining, 1) for sheet in one.sheets}  # fmt: skip
    assert set(drawn) == set(faces) | boards
    for key in boards:
        assert collisions(drawn[key]) == [], key
    for key, face in faces.items():
        turned = -1.0 if face.face.id == "B" else 1.0
        shapes = {i.points for i in drawn[key].items
                  if isinstance(i, Polygon) and i.layer is Layer.LINING}  # fmt: skip
        assert shapes == {tuple((turned * x, z) for x, z in p.outline) for p in face.pieces}
        assert collisions(drawn[key]) == [], key


def test_step_pictures_are_of_steps_and_show_something(plans: dict[str, Plan]) -> None:
    made = plans["fernhollow.yaml"]
    pictures = step_pictures(made)
    assert set(pictures) <= {step.key for step in made.steps}
    assert len(pictures) >= 10
    for scene in pictures.values():
        assert any(item.layer is Layer.MARKED for item in scene.items)
        assert not any(isinstance(item, Dimension) for item in scene.items)


def test_nothing_fits_nothing_drawn() -> None:
    nothing: Any = SimpleNamespace(
        arrangement=None,
        measured=None,
        services=(),
        fixings=None,
        sound=None,
        steps=(),
        cutting=None,
        lining=(),
    )
    empty: PlanLike = nothing
    assert scenes(empty) == {}
    assert step_pictures(empty) == {}
    assert rod_pages(empty) == ()
