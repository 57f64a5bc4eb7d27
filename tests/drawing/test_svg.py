"""The SVG is well-formed, true to scale, escaped, and the same each time."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from truehang.drawing.scene import (
    Circle,
    Dimension,
    Layer,
    Leader,
    Line,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.drawing.svg import number, svg

NS = "{http://www.w3.org/2000/svg}"


def _scene(*items: Any, scale: float = 20.0) -> Scene:
    return Scene("test", "A <test> & more", scale, items, (-100.0, -200.0), (1900.0, 800.0))


def _parsed(scene: Scene) -> ET.Element:
    return ET.fromstring(svg(scene).encode())


def test_paper_size_is_in_mm_and_one_user_unit_is_one_mm() -> None:
    root = _parsed(_scene())
    assert (root.get("width"), root.get("height")) == ("100mm", "50mm")
    assert root.get("viewBox") == "0 0 100 50"


def test_a_metre_is_fifty_millimetres_at_one_to_twenty() -> None:
    root = _parsed(_scene(Line(Layer.OUTLINE, (0.0, 0.0), (1000.0, 0.0))))
    path = root.find(f"{NS}g/{NS}path")
    assert path is not None
    assert path.get("d") == "M5 40L55 40"


def test_text_is_text_and_escaped() -> None:
    told = 'back stud <45> & "jamb" \x00'
    root = _parsed(_scene(Text((0.0, 0.0), told)))
    text = root.find(f"{NS}g/{NS}text")
    assert text is not None
    assert text.text == 'back stud <45> & "jamb" \ufffd'
    title = root.find(f"{NS}title")
    assert title is not None
    assert title.text == "A <test> & more"


def test_capitals_are_as_high_as_asked() -> None:
    # The font's own table: capitals are 0.66 of the font size, so 2.5 mm needs 3.788 mm.
    text = _parsed(_scene(Text((0.0, 0.0), "H"))).find(f"{NS}g/{NS}text")
    assert text is not None
    assert float(text.get("font-size", "0")) * 0.66 == pytest.approx(2.5, abs=0.001)


def test_every_kind_of_item_is_drawn() -> None:
    items = (
        Line(Layer.OUTLINE, (0.0, 0.0), (1.0, 1.0)),
        Polyline(Layer.HIDDEN, ((0.0, 0.0), (1.0, 1.0), (2.0, 0.0))),
        Polygon(Layer.PACKER, ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0)), "cross"),
        Circle(Layer.SERVICE, (0.0, 0.0), 10.0),
        Text((0.0, 0.0), "turned", turn=90),
        Leader(((0.0, 0.0), (10.0, 10.0))),
        Dimension((0.0, 0.0), (500.0, 0.0), "x", 100.0, "500", (250.0, 130.0), (0.0, 500.0)),
    )
    root = _parsed(_scene(*items))
    assert len(root.findall(f"{NS}g")) == 7 - 1  # leader and dimension share a layer's group
    assert root.find(f"{NS}defs/{NS}pattern") is not None


def test_views_are_well_formed_and_the_same_each_time(
    all_views: tuple[tuple[str, Scene], ...],
) -> None:
    for _, scene in all_views:
        text = svg(scene)
        ET.fromstring(text.encode())
        assert text == svg(scene)
        assert "nan" not in text
        assert "-0 " not in text


@pytest.mark.parametrize(
    ("value", "printed"),
    [(0.0, "0"), (-0.0, "0"), (-0.0001, "0"), (1.5, "1.5"), (2870.0, "2870"), (1 / 3, "0.333")],
)
def test_numbers_are_printed_one_way(value: float, printed: str) -> None:
    assert number(value) == printed
