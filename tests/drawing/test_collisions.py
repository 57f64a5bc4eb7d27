"""Nothing on a drawing collides, and everything is on the paper, held by Shapely's geometry."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
import shapely

from truehang.drawing import metrics, strokes
from truehang.drawing.draft import Draft, spread
from truehang.drawing.scene import (
    PENS,
    Arc,
    Circle,
    Dimension,
    Layer,
    Leader,
    Line,
    Point,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.drawing.sheet import SCALES, Sheet
from truehang.drawing.strip import Mark, rod_strips
from truehang.drawing.views.boards import Bar, Board, CutPiece, board_layout, cut_bars
from truehang.drawing.views.plot import Curve, spectrum

PENCIL = 0.05
"""Touching within this much paper (mm) is rounding, not a collision."""


def texts(scene: Scene) -> list[Text]:
    """Every text of a scene, those of dimensions too."""
    found = []
    for item in scene.items:
        if isinstance(item, Text):
            found.append(item)
        elif isinstance(item, Dimension):
            found.append(strokes.dimension_text(item))
    return found


def lines(scene: Scene) -> Iterator[tuple[Point, ...]]:
    """Every drawn line of a scene as points."""
    for item in scene.items:
        match item:
            case Line():
                yield (item.a, item.b)
            case Polyline() | Leader():
                yield item.points
            case Polygon() if item.edge:
                yield (*item.points, item.points[0])
            case Circle():
                yield tuple(
                    (
                        item.centre[0] + item.radius * math.cos(t * math.pi / 12),
                        item.centre[1] + item.radius * math.sin(t * math.pi / 12),
                    )
                    for t in range(25)
                )
            case Dimension():
                yield strokes.dimension_line(item)
                yield from strokes.extension_lines(item, scene.scale)
                yield from strokes.ticks(item, scene.scale)
            case Arc():
                raise AssertionError("no view draws arcs; add them here when one does")


def hatched(scene: Scene) -> list[shapely.Polygon]:
    """Every hatched area."""
    return [
        shapely.Polygon(item.points)
        for item in scene.items
        if isinstance(item, Polygon) and item.hatch
    ]


def collisions(scene: Scene) -> list[str]:
    """What collides: text with text, line or hatching; and what is off the paper."""
    told = texts(scene)
    slack = PENCIL * scene.scale
    boxes = [shapely.box(*metrics.box(text, scene.scale)).buffer(-slack) for text in told]
    wrong = []
    tree = shapely.STRtree(boxes)
    for a, box in enumerate(boxes):
        near = tree.query(box, "intersects").tolist()
        wrong += [f"{told[a].text!r} on {told[b].text!r}" for b in near if a < b]
    drawn = [shapely.LineString(points) for points in lines(scene)]
    for line in drawn:
        hit = tree.query(line, "intersects").tolist()
        wrong += [f"{told[i].text!r} crossed by {line.wkt}" for i in hit]
    for area in hatched(scene):
        wrong += [f"{told[i].text!r} on hatching" for i in tree.query(area, "intersects").tolist()]
    paper = shapely.box(*scene.low, *scene.high).buffer(1e-6)
    wrong += [
        f"{text.text!r} off the paper"
        for text, box in zip(told, boxes, strict=True)
        if not paper.contains(box)
    ]
    wrong += [f"line off the paper: {line}" for line in drawn if not paper.contains(line)]
    return wrong


def test_the_check_itself_sees_collisions() -> None:
    text = Text((0.0, 0.0), "leaf 2040")
    through = Line(Layer.OUTLINE, (0.0, 1.0), (20.0, 1.0))
    over = Text((3.0, 0.5), "2040")
    scene = Scene("x", "x", 1.0, (text, through, over), (-5.0, -5.0), (30.0, 10.0))
    assert len(collisions(scene)) == 3  # text on text, and the line on both
    small = Scene("x", "x", 1.0, (text,), (0.0, 0.0), (5.0, 5.0))
    assert collisions(small) == ["'leaf 2040' off the paper"]


def test_nothing_collides_on_any_view(all_views: tuple[tuple[str, Scene], ...]) -> None:
    wrong = {name: found for name, scene in all_views if (found := collisions(scene))}
    assert wrong == {}


def test_every_view_is_true_to_a_standard_scale_and_fits_a4(
    all_views: tuple[tuple[str, Scene], ...],
) -> None:
    # Scales: ISO 5455 (1, 2, 5, 10, 20, 50, 100, 200) and 1:25, common practice, no source.
    for name, scene in all_views:
        assert scene.scale in SCALES, name
        assert Sheet().holds(scene.paper), (name, scene.paper)


def test_text_and_lines_can_be_read_in_black_and_white(
    all_views: tuple[tuple[str, Scene], ...],
) -> None:
    # 2.5 mm: from memory of ISO 3098's nominal heights; 0.13 mm: of ISO 128's line widths.
    for name, scene in all_views:
        assert min(text.height for text in texts(scene)) >= 2.5, name
        assert min(PENS[item.layer].weight for item in scene.items) >= 0.13, name


def test_rod_strips_do_not_collide(cases: tuple[Any, ...]) -> None:
    for case in cases:
        for axis, marks in (("x", case.made.rod.along), ("z", case.made.rod.up)):
            pages = rod_strips([Mark(m.at, m.label) for m in marks], axis, case.sheet)
            for page in pages:
                assert collisions(page) == [], page.key


def test_crowded_marks_on_a_strip_do_not_collide() -> None:
    marks = [Mark(1000.0 + 3.0 * i, f"stud face number {i}") for i in range(30)]
    for page in rod_strips(marks, "x", Sheet()):
        assert collisions(page) == []


def test_plots_boards_and_bars_do_not_collide() -> None:
    bands = (100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150)
    curves = (
        Curve("predicted", tuple(20.0 + 1.3 * i for i in range(16))),
        Curve("reference", tuple(min(24.0 + 2.0 * i, 34.0) for i in range(16))),
    )
    boards = (
        Board("A1", ((0, 0), (1200, 0), (1200, 2400), (0, 2400)), "1200 x 2400"),
        Board("A2", ((1200, 0), (1290, 0), (1290, 2400), (1200, 2400)), "90 x 2400"),
        Board("A3", ((1290, 2310), (3000, 2310), (3000, 2400), (1290, 2400)), "1710 x 90"),
    )
    bars = (
        Bar("L1", 5400.0, (CutPiece("head", 0.0, 3440.0), CutPiece("stud", 3443.0, 5390.0)), "10"),
        Bar("L2", 3600.0, tuple(CutPiece(f"nog {i}", 83.0 * i, 83.0 * i + 80) for i in range(20))),
    )
    scenes = (
        spectrum("plot", "Closed wall", bands, curves, Sheet()),
        board_layout("boards", "Side A", boards, Sheet()),
        *cut_bars("bars", "90 x 45", bars * 8, Sheet(), per_page=10),
    )
    assert len(scenes) == 4
    for scene in scenes:
        assert collisions(scene) == [], scene.key
        assert Sheet().holds(scene.paper), scene.key


@pytest.mark.parametrize("wanted", [[0.0], [0.0, 0.0, 0.0], [0.0, 1.0, 2.0, 50.0], [5.0, 5.1, 9.0]])
def test_spread_marks_keep_their_distance_and_their_middle(wanted: list[float]) -> None:
    places = spread(wanted, 4.0)
    assert all(b - a >= 4.0 - 1e-9 for a, b in pairwise(places))
    assert sum(places) == pytest.approx(sum(wanted))


def test_a_callout_never_stands_without_its_line() -> None:
    """Shut in by words on every side, a label is still led to what it names."""
    draft = Draft(1.0)
    draft.circle(Layer.OUTLINE, (0.0, 0.0), 1.0)
    for turn in range(72):
        x, y = 14.0 * math.cos(turn * math.pi / 36), 14.0 * math.sin(turn * math.pi / 36)
        draft.text(Text((x, y), "words", 2.5, "middle", "middle"))
    draft.label("2' 9 31/32\"", (0.0, 0.0))
    scene = draft.close("shut-in", "shut in", headed=False)
    (label,) = (i for i in scene.items if isinstance(i, Text) and i.text.startswith("2'"))
    (leader,) = (i for i in scene.items if isinstance(i, Leader))
    assert leader.points[0] == (0.0, 0.0)
    box = metrics.box(label, scene.scale)
    end = shapely.Point(leader.points[-1])
    assert end.distance(shapely.box(*box)) < 1.5


def test_every_callout_of_a_view_is_inside_what_it_names_or_led_there(
    all_views: tuple[tuple[str, Scene], ...],
) -> None:
    """Labels of pieces and parts: each leader ends at a text, and each size of a leaf is one's."""
    for name, scene in all_views:
        boxes = [shapely.box(*metrics.box(text, scene.scale)) for text in texts(scene)]
        for leader in (i for i in scene.items if isinstance(i, Leader)):
            end = shapely.Point(leader.points[-1])
            near = min(end.distance(box) for box in boxes)
            assert near < 1.5 * scene.scale, (name, leader)
