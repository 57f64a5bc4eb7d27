"""The views show this arrangement's own numbers, the right way round."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from truehang.drawing.scene import Dimension, Layer, Line, Polygon, Scene, Text
from truehang.drawing.sheet import Sheet
from truehang.drawing.views.elevation import elevation
from truehang.drawing.views.picture import picture
from truehang.drawing.views.plot import Curve, spectrum
from truehang.drawing.views.sections import plan_section
from truehang.lengths import (
    LengthStyle,
    format_between,
    format_fine,
    format_length,
    parse_length,
)
from truehang.shapes import Span, line_between

Views = dict[str, dict[str, Scene]]


def _sizes(scene: Scene) -> dict[str, float]:
    return {item.words: item.measured for item in scene.items if isinstance(item, Dimension)}


def _told(scene: Scene) -> str:
    return "\n".join(i.text for i in scene.items if isinstance(i, Text | Dimension))


def _shapes(scene: Scene, layer: Layer) -> list[Polygon]:
    return [i for i in scene.items if isinstance(i, Polygon) and i.layer is layer]


def test_elevation_dimensions_are_the_arrangements(archway: Any, views: Views) -> None:
    made, heights = archway.made, archway.made.heights
    sizes = _sizes(views["archway"]["elevation-a"])
    assert sizes["frame"] in (made.frame.length, heights.head_top - heights.level_line)
    assert sizes["rough opening"] == pytest.approx(made.rough.length)
    assert sizes["clear opening"] == pytest.approx(made.opening.length)
    assert sizes["pocket"] == pytest.approx(made.pockets[0].inside.length)
    assert sizes["handle, line +"] == pytest.approx(heights.handle - heights.level_line)
    assert sizes["rough head, line +"] == pytest.approx(heights.rough_head - heights.level_line)


def test_every_printed_dimension_is_what_is_measured(
    all_views: tuple[tuple[str, Scene], ...],
) -> None:
    seen = 0
    for name, scene in all_views:
        for item in scene.items:
            if isinstance(item, Dimension) and scene.to_scale:
                style: LengthStyle = "feet-inches" if "feet" in name else "mm"
                along = 0 if item.axis == "x" else 1
                low, high = sorted((item.a[along], item.b[along]))
                text = item.text.removeprefix(item.words).strip()
                # From mark to mark as they are printed; a leaf or a thickness by its own size.
                assert text in {
                    format_between(low, high, style),
                    format_length(item.measured, style),
                    format_fine(item.measured, style),
                }, (name, item)
                # Two marks, each to half a step: 0.5 mm, or 1/32 inch.
                step = 0.5 if style == "mm" else 25.4 / 32
                assert abs(parse_length(text) - item.measured) <= step + 1e-6
                assert not re.search(r"\d \d", item.words + " "), "one number runs into another"
                seen += 1
    assert seen > 200


def test_side_b_is_side_a_turned_over(views: Views) -> None:
    a = _shapes(views["archway"]["elevation-a"], Layer.LEAF)
    b = _shapes(views["archway"]["elevation-b"], Layer.LEAF)
    turned = [tuple((-x, z) for x, z in shape.points) for shape in a]
    assert [shape.points for shape in b] == turned


def test_leaves_are_drawn_where_they_hang(archway: Any, views: Views) -> None:
    shapes = _shapes(views["archway"]["elevation-a"], Layer.LEAF)
    for leaf, shape in zip(archway.made.leaves, shapes, strict=True):
        xs, zs = zip(*shape.points, strict=True)
        assert (min(xs), max(xs)) == (leaf.closed.low, leaf.closed.high)
        assert (min(zs), max(zs)) == (leaf.bottom, leaf.top)


def test_services_are_named_with_their_marks_and_who_moves_them(views: Views) -> None:
    told = _told(views["archway"]["elevation-a"])
    assert ("S1: double outlet, side A, x 700, z 300; stands in the left pocket") in told
    assert "electrician" in told


def test_frame_set_out_has_every_mark_of_the_frame(archway: Any, views: Views) -> None:
    told = _told(views["archway"]["frame-set-out"])
    for mark in archway.made.rod.along:
        if "leaf" not in mark.key:
            assert f"{format_length(mark.at)}  " in told, mark
            assert mark.label in told


def test_packers_are_told_piece_by_piece(archway: Any, views: Views) -> None:
    told = _told(views["archway"]["packers"])
    packs = [pack for pack in archway.made.packs if pack.pieces]
    assert packs
    for pack in packs:
        stack = " + ".join(format_length(piece) for piece in pack.pieces)
        assert f"{pack.label}: {stack}\n" in told


def test_leaf_order_says_size_hand_and_what_it_meets(archway: Any, views: Views) -> None:
    left, right = archway.made.leaves
    first = views["archway"]["leaf-1"]
    sizes = _sizes(first)
    assert (sizes["width"], sizes["height"]) == (left.width, left.height)
    assert sizes["thick"] == pytest.approx(left.thickness)
    assert sizes["handle"] == pytest.approx(archway.made.heights.handle - left.bottom)
    for key, side, other in (("leaf-1", "right", right), ("leaf-2", "left", left)):
        told = _told(views["archway"][key]).replace("\n", " ")
        assert f"leading edge is at the {side} and meets {other.name}" in told
        assert f"over the whole width, depth {archway.made.guide_groove:g};" in told
        # common practice, no source: the guide's thickness and 2 of play
        assert f"; wide {archway.made.guide_width + 2:g}, in the middle" in told
    grooves = [i for i in first.items if isinstance(i, Line) and i.part == "groove"]
    assert [line.a[1] for line in grooves] == [archway.made.guide_groove]


def test_sections_bar_the_wall_from_where_fixings_must_have_ended(
    archway: Any, views: Views
) -> None:
    thickness, longest = archway.made.wall.thickness, 25.0
    ends = {longest, thickness - longest}
    for pocket in archway.made.pockets:
        zone = {pocket.inside.low, pocket.inside.high}
        shapes = _shapes(views["archway"]["plan-section"], Layer.NOGO)
        found = [s for s in shapes if {x for x, _ in s.points} == zone]
        assert [{y for _, y in shape.points} for shape in found] == [ends]
    (upright,) = _shapes(views["archway"]["vertical-section"], Layer.NOGO)
    assert {y for y, _ in upright.points} == ends
    heights = archway.made.heights
    assert {z for _, z in upright.points} == {heights.frame_bottom, heights.head_underside}
    for key in ("plan-mouth-left", "section-head", "section-foot"):
        told = _told(views["archway"][key])
        assert all(f"fixing {face} 25" in told for face in "AB"), key


def test_plan_section_layers_fill_the_wall(archway: Any, views: Views) -> None:
    scene = views["archway"]["plan-section"]
    ys = [y for shape in _shapes(scene, Layer.LINING) for _, y in shape.points]
    assert (min(ys), max(ys)) == (0.0, archway.made.wall.thickness)
    leaf = next(layer for layer in archway.made.pocket_section if layer.kind == "leaf")
    drawn = {y for shape in _shapes(scene, Layer.LEAF) for _, y in shape.points}
    assert drawn == {leaf.y0, leaf.y1}


def test_vertical_section_stands_on_its_packers(archway: Any, views: Views) -> None:
    (pack,) = _shapes(views["archway"]["section-foot"], Layer.PACKER)
    heights = [z for _, z in pack.points]
    assert max(heights) == archway.made.heights.level_line
    assert any(min(heights) == pytest.approx(one.floor) for one in archway.made.packs)


def test_a_picture_marks_only_what_it_is_about(views: Views) -> None:
    scene = views["archway"]["step-hang"]
    for item in scene.items:
        part = getattr(item, "part", "")
        if item.layer is Layer.MARKED:
            assert {"leaves", "handle", "services"} & set(part.split())
    assert any(item.layer is Layer.MARKED for item in scene.items)
    assert "handle" in _told(scene)


def test_a_picture_of_an_unknown_view_or_part_is_refused(archway: Any) -> None:
    with pytest.raises(ValueError, match="leaf-1"):
        picture(archway.made, Sheet(), "leaf-1", ("leaves",), key="x", title="x")
    with pytest.raises(KeyError):
        picture(archway.made, Sheet(), "elevation-a", ("door",), key="x", title="x")


def test_words_of_the_region_are_used(archway: Any) -> None:
    sheet = Sheet(words={"pocket": "cavity run", "handle": "pull"})
    sizes = _sizes(elevation(archway.made, sheet))
    assert "cavity run" in sizes
    assert "pull, line +" in sizes
    assert "pocket" not in sizes


def test_feet_and_inches_are_printed_where_asked(views: Views) -> None:
    told = _told(views["archway, feet and inches"]["elevation-a"])
    assert "frame 11' 3 3/8\"" in told or '"' in told
    assert "1' " in told


def test_floor_is_level_beyond_its_stations() -> None:
    floor = ((100.0, 2.0), (300.0, -2.0))
    assert line_between(floor, 0.0, 400.0) == [
        (0.0, 2.0),
        (100.0, 2.0),
        (300.0, -2.0),
        (400.0, -2.0),
    ]
    assert line_between(floor, 150.0, 250.0) == [(150.0, 1.0), (250.0, -1.0)]
    assert line_between((), 0.0, 10.0) == [(0.0, 0.0), (10.0, 0.0)]


@pytest.mark.parametrize(
    ("frequencies", "curves", "said"),
    [
        ((100.0,), (Curve("a", (1.0,)),), "frequencies"),
        ((100.0, 100.0), (Curve("a", (1.0, 2.0)),), "frequencies"),
        ((100.0, 200.0), (), "0 given"),
        ((100.0, 200.0), (Curve("a", (1.0,)),), "'a'"),
        ((100.0, 200.0), (Curve("a", (1.0, float("nan"))),), "'a'"),
    ],
)
def test_a_plot_that_cannot_be_drawn_is_refused(
    frequencies: tuple[float, ...], curves: tuple[Curve, ...], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        spectrum("x", "x", frequencies, curves, Sheet())


def test_octaves_are_equally_spaced_on_the_plot() -> None:
    scene = spectrum("x", "x", (125.0, 250.0, 500.0), (Curve("a", (1.0, 12.0, 3.0)),), Sheet())
    (curve,) = [i for i in scene.items if getattr(i, "part", "") == "a"]
    (x0, _), (x1, y1), (x2, _) = curve.points  # type: ignore[union-attr]
    assert x1 - x0 == pytest.approx(x2 - x1)
    assert y1 > 0


@pytest.mark.parametrize("shift", [0.0, 0.15, 0.3, 0.45, 0.6])
def test_a_piece_has_one_printed_size_wherever_its_marks_fall(archway: Any, shift: float) -> None:
    """A back stud of 45 is 1 25/32" (45 / 25.4 is 1.772, 57 of 32nds, by hand) however its two
    ends round: never 1 3/4" on one side. Pockets of one length are printed alike, too."""

    def moved(span: Span) -> Span:
        return Span(span.low + shift, span.high + shift)

    pockets = tuple(
        replace(
            one,
            inside=moved(one.inside),
            back_stud=Span(one.back_stud.low + shift, one.back_stud.low + shift + 45.0),
        )
        for one in archway.made.pockets
    )
    made = replace(archway.made, pockets=pockets)
    sheet = Sheet("feet-inches")
    for scene in (elevation(made, sheet, side="A"), plan_section(made, sheet)):
        said = [i for i in scene.items if isinstance(i, Dimension)]
        assert {i.text for i in said if i.words == "back stud"} == {'back stud 1 25/32"'}
        assert len({i.text for i in said if i.words == "pocket"}) == 1
