"""What does the fixings room take in and hand back? Rows of fixings, and a fastener for each.

mm; x along the wall, y from face A through it, z up from the level datum.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.message import NOTHING, Message, message

Axis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
"""The way a fixing is driven."""
Face = Literal["A", "B"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One layer that a fixing meets: what it is, and how thick (mm).

    `thickness` is the most along the row; `least` is where it is thinnest, None where it is the
    same all along. `there`: it stands there already, so that no other can be taken.
    """

    name: str
    thickness: float
    least: float | None = None
    there: bool = False

    @property
    def thinnest(self) -> float:
        """How thick it is where it is thinnest."""
        return self.thickness if self.least is None else self.least


@dataclass(frozen=True, slots=True)
class Hold:
    """The least that must be in the holding layer (mm), plain and with glue, and whose rule."""

    plain: float
    source: str
    glued: float | None = None
    source_glued: str = ""


@dataclass(frozen=True, slots=True, init=False)
class Row:
    """Fixings that are all alike: the same way, through the same layers, for the same purpose.

    `surface` is where the heads sit, along the axis; `places` are the other two coordinates of
    each, in the order x, y, z. `through` is passed, from the head inwards; `into` holds. With
    `cavity` the pocket lies behind `into`. `head_room` is what a head may stand up (mm; None =
    nothing passes over it). `kind` and `substrate` name the fasteners that do this work.
    `glued`: the joint is glued as well, as a matter of course.
    """

    key: str
    label: Message
    axis: Axis
    surface: float
    places: tuple[tuple[float, float], ...]
    through: tuple[Sheet, ...]
    into: Sheet
    cavity: bool
    hold: Hold
    kind: str
    substrate: str = "timber"
    glued: bool = False
    head_room: float | None = None
    note: Message = NOTHING
    glue_doubt: str = ""
    """Why glue may not do here, where it is counted at all; empty where it may."""
    inputs: tuple[str, ...] = ()
    counted: int = 0
    """How many, where they are told in words (`note`) and no place is given; 0 where `places` are.
    Only into solid timber or floor: without a place nothing shows where a tip ends."""

    def __init__(
        self,
        key: str,
        label: Message | str,
        axis: Axis,
        surface: float,
        places: tuple[tuple[float, float], ...],
        through: tuple[Sheet, ...],
        into: Sheet,
        cavity: bool,
        hold: Hold,
        kind: str,
        substrate: str = "timber",
        glued: bool = False,
        head_room: float | None = None,
        note: Message | str = NOTHING,
        glue_doubt: str = "",
        inputs: tuple[str, ...] = (),
        counted: int = 0,
    ) -> None:
        """Label and note may be given as they are written, as f-strings."""
        put = partial(object.__setattr__, self)
        put("key", key)
        put("label", message(label))
        put("axis", axis)
        put("surface", surface)
        put("places", places)
        put("through", through)
        put("into", into)
        put("cavity", cavity)
        put("hold", hold)
        put("kind", kind)
        put("substrate", substrate)
        put("glued", glued)
        put("head_room", head_room)
        put("note", message(note))
        put("glue_doubt", glue_doubt)
        put("inputs", inputs)
        put("counted", counted)


@dataclass(frozen=True, slots=True)
class NoGo:
    """Where nothing longer than `longest` (mm, from the finished face) may go into a face."""

    key: str
    label: str
    face: Face
    x0: float
    x1: float
    z0: float
    z1: float
    longest: float


@dataclass(frozen=True, slots=True)
class StockFastener:
    """A fastener that can be bought; the same fields as in the catalogue. mm, minor units."""

    id: str
    name: str
    kind: str
    into: str
    length: float
    diameter: float
    head_height: float
    box_count: int
    box_price_minor: int


@dataclass(frozen=True, slots=True)
class Choice:
    """The fastener for one row. `shortest` and `longest` bound the length that will do (mm).

    `fastener` is None where no stock length lies between; `offers` then say how to mend it.
    `holds` is how much of it is in the holding layer where it passes most, `spare` what is left
    of that layer before its tip where it passes least.
    """

    row: Row
    shortest: float
    longest: float
    fastener: StockFastener | None
    glued: bool
    holds: float
    spare: float
    offers: tuple[Message, ...]

    @property
    def count(self) -> int:
        """How many fixings in this row."""
        return len(self.row.places) or self.row.counted


@dataclass(frozen=True, slots=True)
class Shot:
    """One driven fastener in space: centre of the head and tip (x, y, z), shank diameter (mm)."""

    fastener: str
    head: tuple[float, float, float]
    tip: tuple[float, float, float]
    diameter: float


@dataclass(frozen=True, slots=True)
class Boxes:
    """What to buy of one fastener: count needed with waste, whole boxes, price in minor units."""

    fastener: StockFastener
    count: int
    boxes: int
    price_minor: int


@dataclass(frozen=True, slots=True)
class Fixings:
    """Which fastener goes where, how many to buy, and where nothing longer may go."""

    choices: tuple[Choice, ...]
    boxes: tuple[Boxes, ...]
    no_go: tuple[NoGo, ...]
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def shots(self) -> tuple[Shot, ...]:
        """Every chosen fastener where it will be."""
        return tuple(shot for choice in self.choices for shot in shots(choice))


def shots(choice: Choice) -> tuple[Shot, ...]:
    """Every fastener of one row in space; none where no fastener was found."""
    if choice.fastener is None:
        return ()
    row, fastener = choice.row, choice.fastener
    sign = 1.0 if row.axis[0] == "+" else -1.0
    along = "xyz".index(row.axis[1])
    # The stock length of a head that stands up is measured under the head.
    ends = (row.surface - sign * fastener.head_height, row.surface + sign * fastener.length)

    def point(place: tuple[float, float], at: float) -> tuple[float, float, float]:
        rest = list(place)
        rest.insert(along, at)
        return (rest[0], rest[1], rest[2])

    return tuple(
        Shot(fastener.id, point(place, ends[0]), point(place, ends[1]), fastener.diameter)
        for place in row.places
    )
