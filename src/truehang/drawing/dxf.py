"""How does a scene look as DXF? Layers, line types and real dimensions; millimetres, model 1:1."""

from __future__ import annotations

import io
import re
from math import cos, radians, sin
from threading import Lock
from typing import TYPE_CHECKING, Any

from truehang.drawing import metrics
from truehang.drawing.scene import (
    PENS,
    TEXT_HEIGHT,
    Arc,
    Circle,
    Dimension,
    HatchKind,
    Item,
    Layer,
    Leader,
    Line,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.drawing.strokes import GAP, PAST

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_STYLE = "PLAIN"
_BOLD = "BOLD"
_DIMENSION = "MILLIMETRE"
_CONTROL = re.compile("[\x00-\x1f\x7f]")
_WEIGHTS = (13, 18, 25, 35, 50, 70, 100)
_HATCHES: dict[HatchKind, tuple[float, ...]] = {
    "diagonal": (45.0,),
    "cross": (45.0, 135.0),
    "dots": (0.0,),
}
_fixed_header = Lock()
"""ezdxf's switch for a fixed header is global: one document at a time."""


def dxf(scene: Scene) -> bytes:
    """The scene as a DXF R2010 document (bytes, UTF-8); the same scene gives the same bytes."""
    from ezdxf import new, options  # type: ignore[attr-defined]

    with _fixed_header:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            document = new("R2010", units=4)
            _tables(document, scene)
            for item in scene.items:
                _draw(document, scene, item)
            _sort_classes(document)
            stream = io.StringIO()
            document.write(stream)
            return bytes(document.encode(stream.getvalue()))
        finally:
            options.write_fixed_meta_data_for_testing = before


def _sort_classes(document: Drawing) -> None:
    """ezdxf takes the class definitions from a set, so their order changes from run to run."""
    document.classes.add_required_classes(document.dxfversion)
    classes = document.classes.classes
    ordered = sorted(classes.items())
    classes.clear()
    classes.update(ordered)


def _tables(document: Drawing, scene: Scene) -> None:
    """Layers, line types, text and dimension styles."""
    document.header["$MEASUREMENT"] = 1
    document.header["$INSUNITS"] = 4
    document.header["$LTSCALE"] = scene.scale
    document.header["$EXTMIN"] = (*scene.low, 0.0)
    document.header["$EXTMAX"] = (*scene.high, 0.0)
    for layer, pen in PENS.items():
        kind = "CONTINUOUS"
        if pen.dashes:
            kind = f"{layer}-LINE"
            strokes = [dash if i % 2 == 0 else -dash for i, dash in enumerate(pen.dashes)]
            document.linetypes.add(kind, [sum(pen.dashes), *strokes], description=layer.lower())
        weight = min(_WEIGHTS, key=lambda width: abs(width - pen.weight * 100))
        document.layers.add(layer.value, color=7, linetype=kind, lineweight=weight)
    document.styles.add(_STYLE, font="SourceSansPro-Regular.ttf")
    document.styles.add(_BOLD, font="SourceSansPro-Bold.ttf")
    style: Any = document.dimstyles.new(_DIMENSION)
    style.dxf.dimscale = scene.scale
    style.dxf.dimtxt = TEXT_HEIGHT
    style.dxf.dimtxsty = _STYLE
    style.dxf.dimexo = GAP
    style.dxf.dimexe = PAST
    style.dxf.dimtsz = 0
    style.dxf.dimasz = 1.8
    style.dxf.dimblk = "ARCHTICK"
    style.dxf.dimgap = 0.9
    style.dxf.dimtad = 1
    style.dxf.dimtih = 0
    style.dxf.dimtoh = 0
    style.dxf.dimtmove = 2
    style.dxf.dimdec = 1
    style.dxf.dimzin = 8
    style.dxf.dimrnd = 0.1
    style.dxf.dimlunit = 2
    style.dxf.dimdsep = ord(".")


def _draw(document: Drawing, scene: Scene, item: Item) -> None:
    space: Any = document.modelspace()
    on = {"layer": item.layer.value}
    match item:
        case Line():
            space.add_line(item.a, item.b, dxfattribs=on)
        case Polyline():
            space.add_lwpolyline(item.points, dxfattribs=on)
        case Polygon():
            _polygon(space, scene, item, on)
        case Circle():
            space.add_circle(item.centre, item.radius, dxfattribs=on)
        case Arc():
            space.add_arc(item.centre, item.radius, item.start, item.end, dxfattribs=on)
        case Text():
            _text(space, scene, item, on)
        case Leader():
            space.add_lwpolyline(item.points, dxfattribs=on)
            space.add_circle(item.points[0], 0.5 * scene.scale, dxfattribs=on)
        case Dimension():
            _dimension(space, item, on)


def _polygon(space: Any, scene: Scene, item: Polygon, on: dict[str, str]) -> None:
    if item.edge:
        space.add_lwpolyline(item.points, close=True, dxfattribs=on)
    if item.hatch is None:
        return
    hatch = space.add_hatch(color=7, dxfattribs={"layer": Layer.HATCH.value})
    if item.hatch != "solid":
        apart = 2.12 * scene.scale
        dashes = [0.0, -apart] if item.hatch == "dots" else []
        rows = [
            [angle, (0.0, 0.0), _across(angle, apart), dashes] for angle in _HATCHES[item.hatch]
        ]
        hatch.set_pattern_fill(item.hatch.upper(), color=7, definition=rows)
    hatch.paths.add_polyline_path(item.points, is_closed=True)


def _across(angle: float, apart: float) -> tuple[float, float]:
    """The step from one hatch line to the next, square to their angle (degrees)."""
    return (-sin(radians(angle)) * apart, cos(radians(angle)) * apart)


def _clean(text: str) -> str:
    """Text without control signs; % and ^ are kept from being read as codes."""
    return _CONTROL.sub("\ufffd", text).replace("%%", "% %").replace("^", "^ ")


def _text(space: Any, scene: Scene, item: Text, on: dict[str, str]) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    align = {"left": Align.LEFT, "middle": Align.CENTER, "right": Align.RIGHT}[item.across]
    entity = space.add_text(
        _clean(item.text),
        height=item.height * scene.scale,
        rotation=item.turn,
        dxfattribs={**on, "style": _BOLD if item.bold else _STYLE},
    )
    entity.set_placement(metrics.baseline(item, scene.scale), align=align)


def _dimension(space: Any, item: Dimension, on: dict[str, str]) -> None:
    along_x = item.axis == "x"
    base = (item.a[0], item.line) if along_x else (item.line, item.a[1])
    shown = f"{_clean(item.words)} <>".strip() if item.plain else _clean(item.text)
    made = space.add_linear_dim(
        base=base,
        p1=item.a,
        p2=item.b,
        angle=0 if along_x else 90,
        text=shown,
        dimstyle=_DIMENSION,
        dxfattribs=on,
    )
    made.set_location(item.text_at)
    made.render()
