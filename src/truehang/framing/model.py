"""What does the framing room take in? The set-out of a frame and of the opening about it, mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.shapes import Point, Span, line_between

Situation = Literal["fill", "beside", "new", "divide"]
SAME_SIZE = 0.5
"""Sections that differ by less are one, mm: 38 is 1 1/2 in, and timber shrinks by more (common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class Ground:
    """The floor as it is now, by stations (x, z); level beyond the outer ones."""

    stations: tuple[Point, ...]

    def under(self, x: Span) -> tuple[float, float]:
        """The floor's z at both ends of a stretch."""
        ends = line_between(self.stations, x.low, x.high)
        return ends[0][1], ends[-1][1]

    def highest(self, x: Span) -> float:
        """The floor's highest z under a stretch."""
        return max(z for _, z in line_between(self.stations, x.low, x.high))


@dataclass(frozen=True, slots=True, kw_only=True)
class PocketSetOut:
    """One pocket: its `inside`, back stud and the middles of its ribs, along the wall."""

    side: Literal["left", "right"]
    mouth: float
    inside: Span
    back_stud: Span
    rib_centres: tuple[float, ...]
    rib_width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove:
    """The groove in the closing jamb: how deep, and between which y."""

    depth: float
    y: Span


@dataclass(frozen=True, slots=True)
class Sold:
    """What a piece of the frame of one `section` (thickness, width, mm) is cut from: the code of
    what is sold, "" where nothing is, and what is taken off it, in words."""

    section: tuple[float, float]
    code: str
    making: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameSetOut:
    """A pocket frame as it is set out.

    `bought_in` names the kit that its pieces come with; "" where they are cut. `batten`: the ribs
    stand on a base batten. `ribs` are the y of the ribs towards face A and towards face B, `y` that
    of the stud space. `bottom` is the level line, `under` and `top` those of the head member.
    `stock` names what a section (thickness, width) is cut from.
    """

    frame: Span
    y: Span
    ribs: tuple[Span, Span]
    bottom: float
    under: float
    top: float
    centre: float
    pockets: tuple[PocketSetOut, ...]
    jamb: Span | None
    groove: Groove | None
    groove_told: str
    bought_in: str
    batten: bool
    packs: tuple[tuple[str, float, float, float], ...]
    """Label, x, z of the floor and height of each stack of packers."""
    opening: Span
    clear_head: float | None = None
    """Where the lining ends over the clear opening; None: nothing hangs there."""
    strip: tuple[str, str] = ("", "")
    """What the strips over the clear opening are cut from, and how they are made of it."""
    head_pieces: int = 1
    """Of how many pieces, one on the other, the head member is made."""
    sold: tuple[Sold, ...] = ()
    """What each section that the frame is cut from is sold as."""

    def stock(self, section: tuple[float, float]) -> Sold:
        """What a section is cut from."""
        return next(
            (
                one
                for one in self.sold
                if all(abs(a - b) < SAME_SIZE for a, b in zip(one.section, section, strict=True))
            ),
            Sold(section, ""),
        )


@dataclass(frozen=True, slots=True)
class StudIn:
    """What studs and plates are cut from: its code, and its breadth and depth (mm) in the wall."""

    stock: str
    breadth: float
    depth: float
    spacing: float


@dataclass(frozen=True, slots=True)
class HeadIn:
    """The timber over the frame: plies of one section on edge. `depth` None: not known yet.
    `studs` are those it must have under each end for its load; 0 where it carries none."""

    stock: str
    plies: int
    breadth: float
    depth: float | None
    studs: int
    preliminary: bool


@dataclass(frozen=True, slots=True)
class There:
    """What is over the opening already: what it is called, its underside, and how deep it is (mm);
    0 where nobody knows. `timber`: nails go into it."""

    label: str
    under: float
    depth: float
    timber: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A piece that stands in the wall already, as it was found: what it is, its `x`, and from
    `foot` (None: the floor) to `top` (z, mm). `sure`: somebody saw or drilled for it. `stays`: it
    may not come out."""

    id: str
    what: Literal["stud", "noggin", "plate", "head"]
    label: str
    x: Span
    foot: float | None
    top: float
    sure: bool
    stays: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningSetOut:
    """The rough opening and what it is cut into, filled into or built in.

    `room` is from where to where new framing may stand: the old opening, or the wall run. `y` is
    the stud space. `head` None: nothing is put in. `limit` is the z that everything new stays
    under: what is over the opening, or the plate under the ceiling. `packed` are the least and most
    packing over the frame's head where timber makes it up.
    """

    situation: Situation
    rough: Span
    frame: Span
    frame_top: float
    room: Span
    y: Span
    ground: Ground
    rough_head: float
    limit: float
    ceiling: float
    plate: float
    """Depth of the plate under the ceiling of a wall that stands: kept, not read."""
    head: HeadIn | None
    stud: StudIn
    there: There | None
    hung_there: bool
    """The track hangs from what is there: the studs run up to it."""
    packed: tuple[float, float] | None
    infill: tuple[Span, ...]
    comes_down: bool = False
    """What is there carries load: the new head under an old opening's stays clear of it."""
    found: tuple[Found, ...] = ()
    """What stands in the wall already."""
    old: Span | None = None
    """The old opening that the rough opening stands beside, from stud to stud."""
    stretches: tuple[tuple[str, Span], ...] = ()
    """Pockets and clear opening by their names, to say where a piece stands."""
    plate_there: float = 0.0
    """Depth of the plate on the floor that is cut out between the marks; 0: that of a stud."""

    @property
    def cut(self) -> bool:
        """A wall that stands is cut for it."""
        return self.situation in ("new", "beside")
