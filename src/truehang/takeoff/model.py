"""What does the takeoff take in and hand back? Sizes of the build, then every part, counted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure
from truehang.members import Member
from truehang.message import NOTHING, Message

Group = Literal["framing", "frame", "leaves", "lining", "trim", "seals", "fixings", "finishing"]
Unit = Literal["each", "m", "m2", "kg", "tube", "box"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part that is given already: one of a frame, a leaf, a box of fasteners; `where` it goes."""

    key: str
    group: Group
    label: str
    stock: str
    length: float | None
    count: int
    where: str = ""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of the clear opening: the `height` (mm) from the finished floor there to the
    underside of the head trim, and whether a pocket's mouth is on it."""

    where: Literal["left", "right"]
    height: float
    mouth: bool


@dataclass(frozen=True, slots=True)
class SealPiece:
    """A seal that is wished for at one place: `count` pieces of `length` mm, and where they go."""

    place: str
    seal: str
    length: float
    count: int
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """What quantities come from (mm; areas m2).

    `framing` are all its pieces where they stand. `opening` is the clear opening, `sides` are what
    stands beside it. `lined` is the area to be lined on each face, from face A. `joints` is the
    length of board joints on both faces. `skirting` are the pieces to put back on each face,
    `skirting_at` says where each goes.
    """

    framing: tuple[Member, ...]
    opening: float
    sides: tuple[Side, ...]
    trim_stock: str
    trim_width: float
    trim: bool
    skirting_stock: str
    skirting: tuple[float, ...]
    bead_stock: str
    lined: tuple[float, float]
    joints: float
    insulation: float
    leaf_faces: float
    """Area of both faces of all leaves, m2."""
    seals: tuple[SealPiece, ...] = ()
    given: tuple[Piece, ...] = ()
    head_unsized: str = ""
    """Why the head over the frame is not sized; empty where it is among the framing, or none goes
    in."""
    skirting_at: tuple[str, ...] = ()
    skirting_faces: tuple[str, ...] = ("A", "B")
    """The faces that skirting is put back on."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the takeoff, net: no waste, no rounding to what is sold but where said.

    `length` (mm) is that of each piece where it is cut to length, else None; `quantity` is in
    `unit`. `stock` names what it is cut from or bought as, "" where nothing in the catalogue fits.
    `rip` (mm) is the width that the stock is ripped to, None where it keeps its own; `section`
    (thickness, width) is given where no stock is. `making` says in words what else is done to a
    piece than to cut it square to length, and `where` where it goes.
    """

    key: str
    group: Group
    label: Message
    stock: str
    length: float | None
    count: int
    quantity: float
    unit: Unit
    note: Message
    source: str
    rip: float | None = None
    section: tuple[float, float] | None = None
    making: Message = NOTHING
    where: Message = NOTHING


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Every part of the build, by group, and the figures behind the quantities."""

    items: tuple[Item, ...]
    figures: tuple[Figure, ...]

    def group(self, name: Group) -> tuple[Item, ...]:
        """The items of one group, in order."""
        return tuple(item for item in self.items if item.group == name)
