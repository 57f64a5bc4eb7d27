"""The DXF text that is written here beside the same document written by ezdxf alone, byte for byte.

Source of what is expected: ezdxf, which draws every item and writes every section itself.
"""

from __future__ import annotations

import importlib
import io
from typing import Any

import pytest
from ezdxf import options
from ezdxf.enums import TextEntityAlignment as Align
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.drawing import metrics
from truehang.drawing.scene import (
    Arc,
    Circle,
    Dimension,
    Item,
    Layer,
    Leader,
    Line,
    Point,
    Polygon,
    Polyline,
    Scene,
    Text,
)

ours = importlib.import_module("truehang.drawing.dxf")


def whole(scene: Scene) -> bytes:
    """The scene as ezdxf draws and writes it."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = ours._document(scene.scale)
        for item in scene.items:
            draw(document.modelspace(), scene, item)
        ours._sort_classes(document)
        stream = io.StringIO()
        document.write(stream)
        return bytes(document.encode(stream.getvalue()))
    finally:
        options.write_fixed_meta_data_for_testing = before


def draw(space: Any, scene: Scene, item: Item) -> None:
    on = {"layer": item.layer.value}
    match item:
        case Line():
            space.add_line(item.a, item.b, dxfattribs=on)
        case Polyline():
            space.add_lwpolyline(item.points, dxfattribs=on)
        case Polygon():
            polygon(space, scene, item, on)
        case Circle():
            space.add_circle(item.centre, item.radius, dxfattribs=on)
        case Arc():
            space.add_arc(item.centre, item.radius, item.start, item.end, dxfattribs=on)
        case Text():
            align = {"left": Align.LEFT, "middle": Align.CENTER, "right": Align.RIGHT}[item.across]
            space.add_text(
                ours._clean(item.text),
                height=item.height * scene.scale,
                rotation=item.turn,
                dxfattribs={**on, "style": "BOLD" if item.bold else "PLAIN"},
            ).set_placement(metrics.baseline(item, scene.scale), align=align)
        case Leader():
            space.add_lwpolyline(item.points, dxfattribs=on)
            space.add_circle(item.points[0], 0.5 * scene.scale, dxfattribs=on)
        case Dimension():
            ours._dimension(space, item, on)


def polygon(space: Any, scene: Scene, item: Polygon, on: dict[str, str]) -> None:
    if item.edge:
        space.add_lwpolyline(item.points, close=True, dxfattribs=on)
    if item.hatch is None:
        return
    hatch = space.add_hatch(color=7, dxfattribs={"layer": Layer.HATCH.value})
    if item.hatch != "solid":
        apart = 2.12 * scene.scale
        rows = [
            [angle, (0.0, 0.0), ours._across(angle, apart), [0.0, -apart] * (item.hatch == "dots")]
            for angle in ours._HATCHES[item.hatch]
        ]
        hatch.set_pattern_fill(item.hatch.upper(), color=7, definition=rows)
    hatch.paths.add_polyline_path(item.points, is_closed=True)


HATCHES = (None, "solid", "diagonal", "cross", "dots")
numbers = st.floats(-4000, 4000).map(lambda mm: round(mm, 2)) | st.integers(-9, 9)
points: st.SearchStrategy[Point] = st.tuples(numbers, numbers)
lines = st.lists(points, min_size=2, max_size=5).map(tuple)
sizes = st.floats(0.5, 500) | st.integers(1, 9)
layers = st.sampled_from(Layer)
items: st.SearchStrategy[Any] = st.one_of(
    st.builds(lambda layer, a, b: Line(layer, a, b), layers, points, points),
    st.builds(lambda layer, each: Polyline(layer, each), layers, lines),
    st.builds(
        lambda layer, each, hatch, edge: Polygon(layer, each, hatch=hatch, edge=edge),
        layers, lines, st.sampled_from(HATCHES), st.booleans(),
    ),
    st.builds(lambda layer, at, size: Circle(layer, at, size), layers, points, sizes),
    st.builds(lambda layer, at, size, end: Arc(layer, at, size, 10, end), layers, points, sizes,
              st.floats(0, 360)),
    st.builds(
        lambda at, text, across, turn, bold: Text(at, text, across=across, turn=turn, bold=bold),
        points, st.text(st.characters(codec="utf-8")), st.sampled_from(["left", "middle", "right"]),
        st.sampled_from([0, 90]), st.booleans(),
    ),
    st.builds(lambda each: Leader(each), lines),
    st.builds(
        lambda axis, low, long, line, at, words, plain: Dimension(
            (low, 5.0), (low + long, 9.0), axis, line, "9' 5 1/2\"", at, (low, low + long),
            words, plain,
        ) if axis == "x" else Dimension(
            (5.0, low), (9.0, low + long), axis, line, "9' 5 1/2\"", at, (low, low + long),
            words, plain,
        ),
        st.sampled_from("xz"), st.floats(-99, 99), st.floats(1, 999), numbers, points,
        st.sampled_from(["", "frame"]), st.booleans(),
    ),
)  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(st.lists(items, max_size=7), st.sampled_from([1.0, 2.5, 20.0]))
def test_any_scene_is_written_as_ezdxf_writes_it(drawn: list[Item], scale: float) -> None:
    scene = Scene("k", "t", scale, tuple(drawn), (0.0, 0.0), (400.0, 300.0))
    assert ours.dxf(scene) == whole(scene)


@pytest.mark.parametrize("hatch", HATCHES)
def test_every_hatch_is_written_as_ezdxf_writes_it(hatch: Any) -> None:
    item = Polygon(Layer.HATCH, ((1.0, 2.0), (30.0, 4.0), (5.0, 60.0)), hatch=hatch)
    scene = Scene("k", "t", 5.0, (item,), (0.0, 0.0), (40.0, 30.0))
    assert ours.dxf(scene) == whole(scene)
