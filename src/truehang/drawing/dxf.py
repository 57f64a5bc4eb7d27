"""How does a scene look as DXF? Layers, line types and real dimensions; millimetres, model 1:1.

What is the same in every document is written by ezdxf once and kept as text; lines, texts and
hatches are written here, and ezdxf renders the dimensions. Handles are given in one row, so that
the bytes are those of a document that ezdxf writes whole (the tests hold them against it).
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from itertools import count
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
    Point,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.drawing.strokes import GAP, PAST
from truehang.values import dataclass

if TYPE_CHECKING:
    from ezdxf.document import Drawing

Tag = tuple[int, object]

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
    from ezdxf import options  # type: ignore[attr-defined]

    with _fixed_header:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            return _written(scene).encode("utf-8", errors="dxfreplace")
        finally:
            options.write_fixed_meta_data_for_testing = before


def _written(scene: Scene) -> str:
    frame = _frame()
    rendered = None
    handle = map("{:X}".format, count(frame.first)).__next__
    if any(isinstance(item, Dimension) for item in scene.items):
        rendered = _Rendered(scene.scale)
        handle = rendered.handle
    entities: list[str] = []
    for item in scene.items:
        if isinstance(item, Dimension):
            assert rendered is not None
            entities.append(rendered.dimension(item))
        else:
            entities += [_entity(handle(), *tags) for tags in _tags(scene, item)]
    late = [handle() for _ in range(LATE)]
    values = {
        "scale": str(float(scene.scale)),
        "entities": "".join(entities),
        "seed": late[TICK],
        **{f"late {number}": each for number, each in enumerate(late)},
    }
    if rendered is None:
        return _filled(frame.alone, values)
    return _filled(frame.around, {**values, **rendered.blocks()})


LATE, TICK = 7, 3
"""Handles given after all entities: two applications and the note of the making; then, where no
dimension has asked for it, the block of the tick with its beginning, end and line."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """The text around the entities, as ezdxf writes it. Every second piece is the name of what goes
    in there. `alone` is that of a document without dimensions, `around` leaves out the blocks;
    `first` is the number of the first entity's handle."""

    first: int
    alone: tuple[str, ...]
    around: tuple[str, ...]


@cache
def _frame() -> _Frame:
    document = _document(1.0)
    first = int(str(document.entitydb.handles), 16)
    _sort_classes(document)
    stream = io.StringIO()
    document.write(stream)
    text = stream.getvalue()
    text = _put(r"\$HANDSEED\n  5\n", r"\w+", "seed", text)
    text = _put(r"\$LTSCALE\n 40\n", r"\S+", "scale", text)
    text = _put(rf"\n{_DIMENSION}\n 70\n0\n 40\n", r"\S+", "scale", text)
    text = _put(r"\n  2\nENTITIES\n", "", "entities", text)
    for number in range(LATE):
        pattern = rf"\n(?:  5|330|342|350)\n(?={first + number:X}\n)"
        text = _put(pattern, r"\w+", f"late {number}", text)
    around = _put(r"\n  2\nBLOCK_RECORD\n(?:[^\n]*\n){6} 70\n", r"\d+", "count", text)
    tick = rf"  0\n{{}}\n  5\n{_MARK}late {{}}{_MARK}\n(?s:.*?)(?=  0\n{{}}\n)"
    around = _put("", tick.format("BLOCK_RECORD", TICK, "ENDTAB"), "records", around)
    around = _put("", tick.format("BLOCK", TICK + 1, "ENDSEC"), "definitions", around)
    return _Frame(first, tuple(text.split(_MARK)), tuple(around.split(_MARK)))


_MARK = "\0"


def _put(before: str, what: str, name: str, text: str) -> str:
    """The text with a name in the place of `what` wherever it comes after `before`."""
    return re.sub(f"({before}){what}", rf"\g<1>{_MARK}{name}{_MARK}", text)


def _filled(pieces: tuple[str, ...], values: Mapping[str, str]) -> str:
    return "".join(values[piece] if odd % 2 else piece for odd, piece in enumerate(pieces))


def _document(scale: float) -> Drawing:
    """A document with nothing drawn in it."""
    from ezdxf import new  # type: ignore[attr-defined]

    document: Drawing = new("R2010", units=4)
    _tables(document, scale)
    return document


class _Rendered:
    """A document in which ezdxf renders the dimensions of one scene."""

    def __init__(self, scale: float) -> None:
        self._document = _document(scale)
        self._space: Any = self._document.modelspace()
        self._kept = len(self._document.block_records)

    def handle(self) -> str:
        """The next handle of the document, for an entity that is not ezdxf's."""
        return self._document.entitydb.handles.next()

    def dimension(self, item: Dimension) -> str:
        """The text of a dimension; its block joins the document's."""
        return self._text(_dimension(self._space, item, {"layer": item.layer.value}).export_dxf)

    def blocks(self) -> dict[str, str]:
        """What the frame says of blocks: how many, each one's record and what is in it."""
        every = list(self._document.block_records)
        made = every[self._kept :]
        tick = next(each.dxf.handle for each in made if each.dxf.name == "_ARCHTICK")
        return {
            "count": str(len(every)),
            "records": "".join(self._text(each.export_dxf) for each in made),
            "definitions": "".join(self._text(each.export_block_definition) for each in made),
            f"late {TICK}": tick,
        }

    def _text(self, export: Callable[[Any], None]) -> str:
        from ezdxf.lldxf.tagwriter import TagWriter

        stream = io.StringIO()
        export(TagWriter(stream, dxfversion=self._document.dxfversion, write_handles=True))
        return stream.getvalue()


def _sort_classes(document: Drawing) -> None:
    """ezdxf takes the class definitions from a set, so their order changes from run to run."""
    document.classes.add_required_classes(document.dxfversion)
    classes = document.classes.classes
    ordered = sorted(classes.items())
    classes.clear()
    classes.update(ordered)


def _tables(document: Drawing, scale: float) -> None:
    """Layers, line types, text and dimension styles."""
    document.header["$MEASUREMENT"] = 1
    document.header["$INSUNITS"] = 4
    document.header["$LTSCALE"] = scale
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
    style.dxf.dimscale = scale
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


_SPACE = "17"
"""ezdxf's handle of the space that is drawn in."""


def _entity(handle: str, kind: str, layer: str, *tags: Tag) -> str:
    begin = f"  0\n{kind}\n  5\n{handle}\n330\n{_SPACE}\n100\nAcDbEntity\n  8\n{layer}\n"
    return begin + "".join([f"{code:3d}\n{value}\n" for code, value in tags])


def _at(point: Point, code: int = 10) -> tuple[Tag, Tag, Tag]:
    return (code, float(point[0])), (code + 10, float(point[1])), (code + 20, 0.0)


def _tags(scene: Scene, item: Item) -> Iterator[tuple[Any, ...]]:
    """Kind, layer and tags of each entity that an item is drawn with."""
    layer = item.layer.value
    match item:
        case Line():
            yield "LINE", layer, (100, "AcDbLine"), *_at(item.a), *_at(item.b, 11)
        case Polyline():
            yield _polyline(layer, item.points)
        case Polygon():
            if item.edge:
                yield _polyline(layer, item.points, closed=1)
            if item.hatch is not None:
                yield _hatch(scene.scale, item.points, item.hatch)
        case Circle():
            yield _circle(layer, item.centre, item.radius)
        case Arc():
            arc = ((100, "AcDbArc"), (50, float(item.start)), (51, float(item.end)))
            _, *circle = _circle(layer, item.centre, item.radius)
            yield "ARC", *circle, *arc
        case Text():
            yield _text(scene, item)
        case Leader():
            yield _polyline(layer, item.points)
            yield _circle(layer, item.points[0], 0.5 * scene.scale)


def _circle(layer: str, centre: Point, radius: float) -> tuple[Any, ...]:
    return "CIRCLE", layer, (100, "AcDbCircle"), *_at(centre), (40, float(radius))


def _flat(points: Sequence[Point]) -> Iterator[Tag]:
    for x, y in points:
        yield 10, float(x)
        yield 20, float(y)


def _polyline(layer: str, points: Sequence[Point], closed: int = 0) -> tuple[Any, ...]:
    about = ((100, "AcDbPolyline"), (90, len(points)), (70, closed))
    return "LWPOLYLINE", layer, *about, *_flat(points)


def _hatch(scale: float, points: Sequence[Point], hatch: HatchKind) -> tuple[Any, ...]:
    """A filled or hatched area. Its pattern lines are given one by one, so no file is looked up."""
    solid = int(hatch == "solid")
    edge = ((92, 3), (72, 0), (73, 1), (93, len(points)), *_flat(points), (97, 0), (75, 1 - solid))
    rows: list[Tag] = []
    if hatch != "solid":
        apart = 2.12 * scale
        dashes = [(49, 0.0), (49, -apart)] if hatch == "dots" else []
        rows = [(52, 0.0), (41, 1.0), (77, 0), (78, len(_HATCHES[hatch]))]
        for angle in _HATCHES[hatch]:
            across = _across(angle, apart)
            rows += [(53, angle), (43, 0.0), (44, 0.0), (45, across[0]), (46, across[1])]
            rows += [(79, len(dashes)), *dashes]
    return (
        "HATCH", Layer.HATCH.value, (62, 7), (100, "AcDbHatch"), *_at((0.0, 0.0)),
        (210, 0.0), (220, 0.0), (230, 1.0), (2, hatch.upper()), (70, solid), (71, 0), (91, 1),
        *edge, (76, 1), *rows, (98, 0),
    )  # fmt: skip


def _across(angle: float, apart: float) -> tuple[float, float]:
    """The step from one hatch line to the next, square to their angle (degrees)."""
    return (-sin(radians(angle)) * apart, cos(radians(angle)) * apart)


def _clean(text: str) -> str:
    """Text without control signs; % and ^ are kept from being read as codes."""
    return _CONTROL.sub("\ufffd", text).replace("%%", "% %").replace("^", "^ ")


_ACROSS = {"left": (), "middle": ((72, 1),), "right": ((72, 2),)}


def _text(scene: Scene, item: Text) -> tuple[Any, ...]:
    at = metrics.baseline(item, scene.scale)
    turn = ((50, float(item.turn)),) if item.turn else ()
    return (
        "TEXT", item.layer.value, (100, "AcDbText"), *_at(at),
        (40, float(item.height * scene.scale)), (1, _clean(item.text)), *turn,
        (7, _BOLD if item.bold else _STYLE), *_ACROSS[item.across], *_at(at, 11),
        (100, "AcDbText"),
    )  # fmt: skip


def _dimension(space: Any, item: Dimension, on: dict[str, str]) -> Any:
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
    return made.dimension
