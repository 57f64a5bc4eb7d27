"""The DXF documents, held against the published DXF reference by an independent reader.

Source: the DXF reference for version AC1024 (R2010), as put into code by ezdxf's own auditor and
entity reader (ezdxf 1.4, MIT licence); ISO 128-2's rule that line widths come from a fixed series
(from memory: 0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0).
"""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys

import ezdxf
import pytest

from truehang.drawing.dxf import dxf
from truehang.drawing.scene import (
    Arc,
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
from truehang.drawing.sheet import Sheet
from truehang.drawing.views.plot import Curve, spectrum

LINE_WIDTHS = (13, 18, 25, 35, 50, 70, 100)

ITEMS = (
    Line(Layer.OUTLINE, (0.0, 0.0), (3458.0, 0.0)),
    Polyline(Layer.HIDDEN, ((0.0, 0.0), (100.0, 200.0), (300.0, 0.0))),
    Polygon(Layer.LINING, ((0.0, 0.0), (1200.0, 0.0), (1200.0, 2400.0)), "diagonal"),
    Polygon(Layer.PACKER, ((0.0, 0.0), (50.0, 0.0), (50.0, 8.0), (0.0, 8.0)), "solid"),
    Polygon(Layer.NOGO, ((0.0, 0.0), (50.0, 0.0), (50.0, 80.0)), "cross", False),
    Polygon(Layer.ROUGH, ((0.0, 0.0), (50.0, 0.0), (50.0, 80.0)), "dots"),
    Circle(Layer.SERVICE, (700.0, 300.0), 40.0),
    Arc(Layer.OUTLINE, (0.0, 0.0), 100.0, 0.0, 90.0),
    Text((10.0, 20.0), "back stud 50%%c ^I {b} \\P é", 3.5, "middle", "middle", 90, True),
    Leader(((0.0, 0.0), (100.0, 100.0), (150.0, 100.0))),
    Dimension(
        (0.0, 0.0), (863.5, 0.0), "x", 200.0, "leaf 863.5", (431.0, 240.0), (0.0, 863.5), "leaf"
    ),
    Dimension((0.0, 0.0), (0.0, 2347.3), "z", -200.0, "2347.3", (-240.0, 1170.0), (0.0, 2347.3)),
    Dimension(
        (0.0, 0.0), (914.4, 0.0), "x", 400.0, "3'", (450.0, 440.0), (0.0, 914.4), plain=False
    ),
)
SCENE = Scene("test", "Test", 20.0, ITEMS, (-300.0, -100.0), (3500.0, 2500.0))


def _read(scene: Scene) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(dxf(scene).decode("utf-8")))


def test_a_document_with_every_kind_of_item_passes_the_audit() -> None:
    audit = _read(SCENE).audit()
    assert audit.errors == []
    assert audit.fixes == []


def test_units_version_and_measuring_system() -> None:
    document = _read(SCENE)
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4  # millimetres
    assert document.header["$MEASUREMENT"] == 1  # metric


def test_dimensions_are_entities_that_measure_the_model() -> None:
    found = _read(SCENE).modelspace().query("DIMENSION")
    assert [entity.dimtype for entity in found] == [0, 0, 0]  # linear, rotated
    assert [entity.get_measurement() for entity in found] == pytest.approx([863.5, 2347.3, 914.4])
    assert [entity.dxf.text for entity in found] == ["leaf <>", "<>", "3'"]
    for entity, shown in zip(found, ("leaf 863.5", "2347.3", "3'"), strict=True):
        block = entity.get_geometry_block()
        told = [e.text if e.dxftype() == "MTEXT" else e.dxf.text for e in block.query("MTEXT TEXT")]
        assert told == [shown]


def test_dimension_text_stands_where_the_scene_has_it() -> None:
    for entity, item in zip(_read(SCENE).modelspace().query("DIMENSION"), ITEMS[-3:], strict=True):
        assert tuple(entity.dxf.text_midpoint)[:2] == pytest.approx(item.text_at)  # type: ignore[union-attr]


def test_layers_line_types_and_widths() -> None:
    document = _read(SCENE)
    for layer in Layer:
        found = document.layers.get(layer.value)
        assert found.dxf.lineweight in LINE_WIDTHS
        assert found.dxf.linetype in document.linetypes
    assert document.layers.get("HIDDEN").dxf.linetype != "CONTINUOUS"
    assert document.layers.get("OUTLINE").dxf.linetype.upper() == "CONTINUOUS"


def test_geometry_is_full_size_and_text_grows_with_the_scale() -> None:
    space = _read(SCENE).modelspace()
    (line,) = space.query("LINE")
    assert line.dxf.end.distance(line.dxf.start) == pytest.approx(3458.0)
    (text,) = space.query("TEXT")
    assert text.dxf.height == pytest.approx(3.5 * 20.0)
    assert text.dxf.rotation == 90.0
    assert text.dxf.text == "back stud 50% %c ^ I {b} \\P é"


def test_the_same_scene_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import hashlib; from truehang.drawing.dxf import dxf;"
        "from truehang.drawing.sheet import Sheet;"
        "from truehang.drawing.views.plot import Curve, spectrum;"
        "s = spectrum('x', 'x', (125., 250.), (Curve('a', (1., 2.)),), Sheet());"
        "print(hashlib.sha256(dxf(s)).hexdigest())"
    )
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            stdout=subprocess.PIPE,
            text=True,
        )
        for seed in ("1", "7")  # seeds that put ezdxf's sets in different orders
    ]
    told = {run.communicate()[0].strip() for run in runs}
    scene = spectrum("x", "x", (125.0, 250.0), (Curve("a", (1.0, 2.0)),), Sheet())
    assert told == {hashlib.sha256(dxf(scene)).hexdigest()}
    assert dxf(scene) == dxf(scene)
