"""What does a lining layout take, and what does it say? Inputs and frozen results, in wall mm.

x runs along the wall, z up. A face is a polygon with holes; pieces, joints and screw lines are in
the same frame, so that they are drawn as they stand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.money import Money

Point = tuple[float, float]
Lay = Literal["across", "up"]
JointKind = Literal["recessed", "butt", "cut-edge"]
SupportKind = Literal["stud", "rib", "jamb", "edge"]


@dataclass(frozen=True, slots=True)
class Support:
    """An upright that carries board edges: centre line at `x_mm`, `width_mm` of bearing face. Where
    it is no `joint` it only takes screws: boards may not meet on it."""

    x_mm: float
    kind: SupportKind = "stud"
    width_mm: float = 35.0
    joint: bool = True


@dataclass(frozen=True, slots=True)
class Timber:
    """A rectangle of timber right behind the board, which a screw holds in."""

    x0_mm: float
    x1_mm: float
    z0_mm: float
    z1_mm: float


@dataclass(frozen=True, slots=True)
class PocketZone:
    """The part of a face behind which the leaf slides: no fixing longer than `longest_mm`."""

    name: str
    x0_mm: float
    x1_mm: float
    z0_mm: float
    z1_mm: float
    longest_mm: float


@dataclass(frozen=True, slots=True)
class Face:
    """One side of the wall to be lined: outline and holes as (x, z) corners in order.

    `mirrored`: whoever faces it sees x run to the left. `side` is the side of the wall and `layer`
    counts from the studs, so that joints keep off those under them and off those on the other side;
    "" stands by itself. `timber` is all that screws hold in; without it a support is as high as the
    face.
    """

    id: str
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    supports: tuple[Support, ...] = ()
    zones: tuple[PocketZone, ...] = ()
    mirrored: bool = False
    side: str = ""
    layer: int = 1
    timber: tuple[Timber, ...] = ()


@dataclass(frozen=True, slots=True)
class BoardSize:
    """A board that can be bought. `recessed`: its long edges are tapered for jointing."""

    id: str
    width_mm: float
    length_mm: float
    thickness_mm: float
    kg_per_m2: float
    price: Money | None = None
    on_hand: int | None = None
    recessed: bool = True

    @property
    def mass_kg(self) -> float:
        """Mass of the whole board."""
        return self.width_mm * self.length_mm * self.kg_per_m2 / 1e6


@dataclass(frozen=True, slots=True)
class LiningRules:
    """How boards may be laid.

    `lays`: directions allowed. `people` lift `lift_kg_each`. `corner_clear_mm`: least distance of
    a joint from the line of an opening's corner. `stagger_mm`: least shift between butt joints of
    neighbouring courses (None: one support spacing). `floor_gap_mm` is left under the lowest edge.
    `least_piece_mm` and `least_course_mm`: no joint leaves a piece narrower, or lower; what the
    wall itself leaves so small is no fault of a joint. `layer_shift_mm`: least shift of a joint
    from one that runs along it in the layer under it. `same_stud_cost` is what a joint weighs more
    on a stud where the other side has one: as much may be spent to keep off it.
    `joint_cost` is money for a metre of joint, `lift_cost` for each piece that is put up.
    Screws: `field_mm` between screws on a support, `edge_mm` at board ends and edges,
    `edge_distance_mm` in from an edge.
    """

    lays: tuple[Lay, ...] = ("across", "up")
    people: int = 2
    lift_kg_each: float = 20.0
    corner_clear_mm: float = 100.0
    stagger_mm: float | None = None
    floor_gap_mm: float = 10.0
    least_piece_mm: float = 150.0
    least_course_mm: float = 150.0
    layer_shift_mm: float = 250.0
    same_stud_cost: int = 5_000
    joint_cost_per_m: int = 450
    butt_extra_per_m: int = 300
    lift_cost: int = 300
    field_mm: float = 300.0
    edge_mm: float = 200.0
    edge_distance_mm: float = 12.0


SAME_EDGE = 0.1
"""A notch that comes this near to an edge reaches it, mm."""


@dataclass(frozen=True, slots=True)
class Notch:
    """A rectangle that is cut out of a piece, as it is seen on the wall from its own side: from the
    piece's left and lower edges to the notch, and its size, mm."""

    left_mm: float
    bottom_mm: float
    wide_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of board on the wall.

    `outline` is its true shape (with notches at an opening); x0..z1 its bounding rectangle, which
    is what is cut from the board: `along_mm` of the board's length by `across_mm` of its width.
    `sheet` is the number of the bought board it comes from. `notches` are cut out of the rectangle;
    where the shape has sides that are neither level nor plumb there are none, and `corners` tell
    it. `corners` are those of its shape as it is seen on the wall from its own side, from its left
    and lower edges.
    """

    id: str
    face: str
    lay: Lay
    course: int
    x0_mm: float
    z0_mm: float
    x1_mm: float
    z1_mm: float
    outline: tuple[Point, ...]
    along_mm: float
    across_mm: float
    mass_kg: float
    board: str
    sheet: int
    notches: tuple[Notch, ...] = ()
    corners: tuple[Point, ...] = ()

    @property
    def wide_mm(self) -> float:
        """Width as it hangs on the wall."""
        return self.along_mm if self.lay == "across" else self.across_mm

    @property
    def high_mm(self) -> float:
        """Height as it hangs on the wall."""
        return self.across_mm if self.lay == "across" else self.along_mm

    def cut_out(self, length: Callable[[float], str]) -> str:
        """What is cut out of its rectangle, each length as `length` prints it; "" for nothing."""
        if self.notches:
            return "; ".join(self._notch(notch, length) for notch in self.notches)
        if len(self.corners) <= 4 and not self._slanted:
            return ""
        told = "; ".join(f"{length(x)} from left {length(z)} up" for x, z in self.corners)
        return f"corners at {told}"

    def _notch(self, notch: Notch, length: Callable[[float], str]) -> str:
        """Its size, then where: no number where it reaches an edge, so that none can disagree."""
        ends = {
            "left": notch.left_mm < SAME_EDGE,
            "right": notch.left_mm + notch.wide_mm > self.wide_mm - SAME_EDGE,
            "bottom": notch.bottom_mm < SAME_EDGE,
            "top": notch.bottom_mm + notch.high_mm > self.high_mm - SAME_EDGE,
        }
        level = "bottom" if ends["bottom"] else "top" if ends["top"] else ""
        upright = "left" if ends["left"] else "right" if ends["right"] else ""
        size = f"{length(notch.wide_mm)} wide x {length(notch.high_mm)} high"
        if level and upright:
            return f"{size}, {level} {upright} corner"
        across, up = f"{length(notch.left_mm)} from left", f"{length(notch.bottom_mm)} up"
        if level:
            return f"{size}, {level} edge, {across}"
        return f"{size}, {upright} edge, {up}" if upright else f"{size}, {across}, {up}"

    @property
    def _slanted(self) -> bool:
        ring = zip(self.corners, self.corners[1:] + self.corners[:1], strict=True)
        return any(abs(a[0] - b[0]) > 0.05 and abs(a[1] - b[1]) > 0.05 for a, b in ring)


@dataclass(frozen=True, slots=True)
class Joint:
    """A line where two pieces meet, to be taped and set."""

    x0_mm: float
    z0_mm: float
    x1_mm: float
    z1_mm: float
    kind: JointKind

    @property
    def length_mm(self) -> float:
        """Length of the joint."""
        return abs(self.x1_mm - self.x0_mm) + abs(self.z1_mm - self.z0_mm)


@dataclass(frozen=True, slots=True)
class ScrewLine:
    """A row of screws on a support. `longest_mm` is set where the leaf is behind the board."""

    x_mm: float
    z0_mm: float
    z1_mm: float
    count: int
    spacing_mm: float
    support: SupportKind
    longest_mm: float | None

    @property
    def places(self) -> tuple[Point, ...]:
        """Where each screw goes, from the lowest up."""
        return tuple((self.x_mm, self.z0_mm + self.spacing_mm * i) for i in range(self.count))


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """Where a piece lies on its board: `along` from one end, `across` from one long edge, mm.

    The board lies face up, its first end at the left and its first edge below. `outline` is the
    true shape of the piece on it. Unless `turned` end for end, a piece laid across hangs as it
    lies; one on end is stood up with its first end down.
    """

    piece: str
    along_mm: float
    across_mm: float
    length_mm: float
    width_mm: float
    turned: bool = False
    outline: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One bought board and the pieces cut from it."""

    number: int
    board: str
    length_mm: float
    width_mm: float
    pieces: tuple[SheetPiece, ...]


@dataclass(frozen=True, slots=True)
class FacePlan:
    """The boards of one face, ready to be drawn.

    `value` is the least weight (boards bought for this face alone, joints and lifts, in minor units
    of money) over the layouts that the rules allow and that keep off the joints of the layer under
    it, if any does; `bound` is what none of them is under.
    """

    face: Face
    lay: Lay
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    screw_lines: tuple[ScrewLine, ...]
    joint_m: float
    area_m2: float
    value: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether no layout of this face alone, given the faces laid before it, costs less."""
        return self.value <= self.bound


@dataclass(frozen=True, slots=True)
class BoardCount:
    """How many of one board to buy."""

    board: str
    count: int
    price: Money | None
    total: Money | None


@dataclass(frozen=True, slots=True)
class LiningPlan:
    """The layout of all faces, the boards to buy and how each is cut.

    Each face is laid for its own least cost, one after the other; then all pieces are cut from one
    pool of boards, so that what is left of one face serves another. `value` is the cost of that
    pool with joints and lifts, in minor units of money; `proved` says that every face is proved
    least on its own and that no set of boards for these pieces costs less.
    """

    faces: tuple[FacePlan, ...]
    sheets: tuple[Sheet, ...]
    boards: tuple[BoardCount, ...]
    total: Money | None
    value: int
    proved: bool
    waste_m2: float
    screws: int
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
