"""What does a lining layout take, and what does it say? Inputs and frozen results, in wall mm.

x runs along the wall, z up. A face is a polygon with holes; pieces, joints and screw lines are in
the same frame, so that they are drawn as they stand.
"""

from __future__ import annotations

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
    """An upright that carries board edges: centre line at `x_mm`, `width_mm` of bearing face."""

    x_mm: float
    kind: SupportKind = "stud"
    width_mm: float = 35.0


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
    """One side of the wall to be lined: outline and holes as (x, z) corners in order."""

    id: str
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    supports: tuple[Support, ...] = ()
    zones: tuple[PocketZone, ...] = ()


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
    joint_cost_per_m: int = 450
    butt_extra_per_m: int = 300
    lift_cost: int = 300
    field_mm: float = 300.0
    edge_mm: float = 200.0
    edge_distance_mm: float = 12.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of board on the wall.

    `outline` is its true shape (with notches at an opening); x0..z1 its bounding rectangle, which
    is what is cut from the board: `along_mm` of the board's length by `across_mm` of its width.
    `sheet` is the number of the bought board it comes from.
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


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """Where a piece lies on its board: `along` from one end, `across` from one long edge, mm."""

    piece: str
    along_mm: float
    across_mm: float
    length_mm: float
    width_mm: float


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
    of money) over the layouts that the rules allow; `bound` is what none of them is under.
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
        """Whether no layout of this face alone costs less."""
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

    Each face is laid for its own least cost; then all pieces are cut from one pool of boards, so
    that what is left of one face serves another. `value` is the cost of that pool with joints and
    lifts, in minor units of money; `proved` says that every face is proved least on its own and
    that no set of boards for these pieces costs less.
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
