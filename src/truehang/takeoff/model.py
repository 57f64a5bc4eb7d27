"""What does the takeoff take in and hand back? Sizes of the build, then every part, counted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure

Group = Literal["framing", "frame", "leaves", "lining", "trim", "seals", "fixings", "finishing"]
Unit = Literal["each", "m", "m2", "kg", "tube", "box"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part that is given already: one of a frame, a leaf, a box of fasteners. `section` is its
    thickness and width (mm) where it is timber, `making` how it is made, `where` where it goes."""

    key: str
    group: Group
    label: str
    stock: str
    length: float | None
    count: int
    section: tuple[float, float] | None = None
    making: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """The sizes that quantities come from (mm; areas m2).

    `stud_length` is from the floor to the rough head; `spacing` of studs. `infill` are widths of
    old opening to be studded up beside the frame and `over` the height left over the head (0 for
    none). `head_length` and `head_plies` of `head_stock`; `jamb_studs` in all. `opening` is the
    clear opening, `clear_height` from the finished floor to the underside of the head trim.
    `stud_breadth` is that of a stud in elevation; `king_studs` of `king_length` run past the ends
    of a head that carries load, up to the plate. `wall` are the stretches of a new wall beside the
    rough opening, `wall_height` high from floor to ceiling. `mouths` counts pocket mouths. `lined`
    is the area to be lined on each face, from face A; `ribs` the number of ribs on both faces
    together and `rib_length` their length. `joints` is the length of board joints on both faces.
    `skirting` are the pieces to put back on each face. `infill_at`, `wall_at` and `skirting_at` say
    where each of those goes.
    """

    stud_stock: str
    plate_stock: str
    stud_length: float
    spacing: float
    infill: tuple[float, ...]
    over: float
    rough_width: float
    head_stock: str
    head_length: float
    head_plies: int
    jamb_studs: int
    opening: float
    clear_height: float
    mouths: int
    trim_stock: str
    trim_width: float
    trim: bool
    skirting_stock: str
    skirting: tuple[float, ...]
    bead_stock: str
    lined: tuple[float, float]
    ribs: int
    rib_length: float
    joints: float
    insulation: float
    leaf_faces: float
    """Area of both faces of all leaves, m2."""
    stud_breadth: float = 45.0
    king_studs: int = 0
    king_length: float = 0.0
    wall: tuple[float, ...] = ()
    wall_height: float = 0.0
    seals: tuple[tuple[str, str, float], ...] = ()
    """Place, seal and length (mm) of each seal wished for."""
    given: tuple[Piece, ...] = ()
    infill_at: tuple[str, ...] = ()
    wall_at: tuple[str, ...] = ()
    skirting_at: tuple[str, ...] = ()


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
    label: str
    stock: str
    length: float | None
    count: int
    quantity: float
    unit: Unit
    note: str
    source: str
    rip: float | None = None
    section: tuple[float, float] | None = None
    making: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Every part of the build, by group, and the figures behind the quantities."""

    items: tuple[Item, ...]
    figures: tuple[Figure, ...]

    def group(self, name: Group) -> tuple[Item, ...]:
        """The items of one group, in order."""
        return tuple(item for item in self.items if item.group == name)
