"""What is on a drawing? Neutral lines, shapes, text and dimensions; every renderer draws these.

Places are world mm (y up); text heights, line weights and dashes are mm on paper. A scene is true
to scale: one mm on paper is `scale` mm in the world.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 with x0 <= x1 and y0 <= y1."""
Across = Literal["left", "middle", "right"]
Upright = Literal["bottom", "middle", "top"]
HatchKind = Literal["diagonal", "cross", "solid", "dots"]


class Layer(StrEnum):
    """What a line stands for. The name is also the layer's name in DXF."""

    OUTLINE = "OUTLINE"
    HIDDEN = "HIDDEN"
    CENTRE = "CENTRE"
    DIM = "DIM"
    TEXT = "TEXT"
    FRAME = "FRAME"
    LEAF = "LEAF"
    LINING = "LINING"
    SERVICE = "SERVICE"
    PACKER = "PACKER"
    HATCH = "HATCH"
    NOGO = "NOGO"
    OLD = "OLD"
    """The old opening as measured."""
    ROUGH = "ROUGH"
    """The rough opening and what is filled in beside it."""
    THERE = "THERE"
    """Framing that is there and stays."""
    OUT = "OUT"
    """What comes out of the wall."""
    FLOOR = "FLOOR"
    MARKED = "MARKED"
    """The part that a step's picture is about."""
    FAINT = "FAINT"
    """All else in a step's picture."""


@dataclass(frozen=True, slots=True)
class Pen:
    """Line weight (mm on paper) and dash pattern (mm: on, off, ...; empty = solid)."""

    weight: float
    dashes: tuple[float, ...] = ()


PENS: dict[Layer, Pen] = {
    Layer.OUTLINE: Pen(0.35),
    Layer.HIDDEN: Pen(0.25, (2.4, 1.2)),
    Layer.CENTRE: Pen(0.18, (8.0, 1.2, 1.2, 1.2)),
    Layer.DIM: Pen(0.18),
    Layer.TEXT: Pen(0.18),
    Layer.FRAME: Pen(0.35),
    Layer.LEAF: Pen(0.7),
    Layer.LINING: Pen(0.25),
    Layer.SERVICE: Pen(0.5),
    Layer.PACKER: Pen(0.18),
    Layer.HATCH: Pen(0.13),
    Layer.NOGO: Pen(0.5, (4.0, 1.0)),
    Layer.OLD: Pen(0.35, (6.0, 1.2, 1.2, 1.2, 1.2, 1.2)),
    Layer.ROUGH: Pen(0.18),
    Layer.THERE: Pen(0.25, (5.0, 1.0)),
    Layer.OUT: Pen(0.25, (1.0, 1.0)),
    Layer.FLOOR: Pen(0.5),
    Layer.MARKED: Pen(1.0),
    Layer.FAINT: Pen(0.18),
}

TEXT_HEIGHT = 2.5
"""Height of capitals and figures on paper, mm: the usual least for drawings (ISO 3098, from
memory: nominal sizes 1.8, 2.5, 3.5, 5)."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from a to b. `part` names what it belongs to: words with spaces between."""

    layer: Layer
    a: Point
    b: Point
    part: str = ""


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open line through points."""

    layer: Layer
    points: tuple[Point, ...]
    part: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed shape, hatched or not; `edge` False leaves its outline undrawn."""

    layer: Layer
    points: tuple[Point, ...]
    hatch: HatchKind | None = None
    edge: bool = True
    part: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle of world radius."""

    layer: Layer
    centre: Point
    radius: float
    part: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc, anticlockwise from `start` to `end`, degrees from +x."""

    layer: Layer
    centre: Point
    radius: float
    start: float
    end: float
    part: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `at` is the anchor, `height` of capitals in mm on paper, `turn` 0 or 90."""

    at: Point
    text: str
    height: float = TEXT_HEIGHT
    across: Across = "left"
    upright: Upright = "bottom"
    turn: int = 0
    bold: bool = False
    layer: Layer = Layer.TEXT


@dataclass(frozen=True, slots=True)
class Dimension:
    """A linear dimension between points a and b along one axis.

    `line` is where the dimension line lies on the other axis, `text_at` the centre of its text
    (turned 90 for axis "z"); extension lines run from a and b to the line. `reach` is the stretch
    along the axis that the dimension line covers: longer than a to b where its text stands beside.
    `plain` is True where the text is the measured number in mm, with `words` before it.
    """

    a: Point
    b: Point
    axis: Literal["x", "z"]
    line: float
    text: str
    text_at: Point
    reach: tuple[float, float]
    words: str = ""
    plain: bool = True
    layer: Layer = Layer.DIM

    @property
    def measured(self) -> float:
        """The distance along the axis, mm."""
        along = 0 if self.axis == "x" else 1
        return abs(self.b[along] - self.a[along])


@dataclass(frozen=True, slots=True)
class Leader:
    """A thin line from a text to what it is about, with a dot at its first point."""

    points: tuple[Point, ...]
    layer: Layer = Layer.DIM


Item = Line | Polyline | Polygon | Circle | Arc | Text | Dimension | Leader


@dataclass(frozen=True, slots=True)
class Scene:
    """One drawing: items in drawing order, scale 1:`scale`, the paper's corners in world mm."""

    key: str
    title: str
    scale: float
    items: tuple[Item, ...]
    low: Point
    high: Point
    to_scale: bool = True
    """False for plots and sheets whose two axes are not lengths on the wall."""

    @property
    def paper(self) -> Point:
        """Width and height on paper, mm."""
        return (
            (self.high[0] - self.low[0]) / self.scale,
            (self.high[1] - self.low[1]) / self.scale,
        )

    @property
    def scale_text(self) -> str:
        """ "1:20", or "not to scale"."""
        return f"1:{self.scale:g}" if self.to_scale else "not to scale"
