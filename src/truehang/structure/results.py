"""What does the room answer? The state of the wall, how the head moves, and what would carry it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.message import Message
from truehang.structure.inputs import HeadMember

PRELIMINARY = "preliminary sizing, for pricing and for the engineer"
"""The words that stand with every load-bearing result."""


class WallState(StrEnum):
    """The only three things this tool says about a wall."""

    TREATED = "treated as load-bearing"
    CARRIES = "carries load"
    NOTHING = "opened up and recorded as carrying nothing"


@dataclass(frozen=True, slots=True)
class Bearing:
    """The state of the wall with the reasons for it.

    `hold` is true while no stud may be stripped out; `contradictions` name pieces of evidence
    that can't both be so and say which was taken.
    """

    state: WallState
    reasons: tuple[Message, ...]
    contradictions: tuple[Message, ...]
    hold: bool
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def bears(self) -> bool:
        """True unless the wall was opened up and recorded as carrying nothing."""
        return self.state is not WallState.NOTHING


@dataclass(frozen=True, slots=True)
class LeafMovement:
    """How one leaf is let down by the head over its whole travel (mm; positive is down).

    `worst` is the most at a hanger, creep and all, and `at` the leaf's movement from closed
    (signed) where it happens. `hung_drop` (leading, trailing edge) and `closed_tilt` are what the
    hanging adjustment must take out when the leaves are first hung and closed; a tilt is over the
    leaf's height, positive when the leading edge is let down more (its foot then leans away).
    `later_drop`, `later_tilt` and `least_gap` are what still happens after that adjustment: over
    the travel, with the other leaf anywhere, and in time.
    """

    name: str
    worst: float
    at: float
    hung_drop: tuple[float, float]
    closed_tilt: float
    later_drop: float
    later_tilt: float
    least_gap: float


@dataclass(frozen=True, slots=True)
class HeadMovement:
    """The head over an opening that carries no load of the building. mm.

    `deflection` is the worst at any hanger, `limit` what it may be; `permanent` the part at
    mid-span from the head and its lining after creep. `out_of_parallel` is how much the closed
    meeting (or closing) edges open from top to bottom as first hung, `out_of_parallel_later` what
    creep adds after the hangers were adjusted. `x` (wall frame) and `envelope` give the largest
    deflection of the head at each place, for the drawing.
    """

    span: float
    deflection: float
    permanent: float
    limit: float
    out_of_parallel: float
    out_of_parallel_later: float
    leaves: tuple[LeafMovement, ...]
    x: tuple[float, ...]
    envelope: tuple[float, ...]
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class TrackHeadChoice:
    """A section that holds the track within the limit. `deflection` (mm) is never less than
    what `head_movement` gives for `member`; mass kg and price (minor units) for the span."""

    member: HeadMember
    section: str
    deflection: float
    limit: float
    mass: float
    price: int
    currency: str


@dataclass(frozen=True, slots=True)
class CheckedHead:
    """One built-up section tried as the head. Utilisations: 1 is just enough, more is too weak.

    `section` is the catalogue code; breadth is of all plies together, mm; mass kg and price in
    minor units for the length to cut; `studs` jamb studs under each end; `governs` names the
    check with the highest utilisation and `combination` the clause of the loads that ask most of
    its strength; `why_not` is empty when it passes.
    """

    section: str
    grade: str
    plies: int
    breadth: float
    depth: float
    studs: int
    length: float
    mass: float
    price: int
    currency: str
    bending: float
    shear: float
    bearing: float
    live_deflection: float
    final_deflection: float
    studs_used: float
    governs: str
    combination: str
    why_not: Message

    @property
    def passes(self) -> bool:
        """True when every utilisation is at most 1 and the section fits."""
        return not self.why_not

    @property
    def utilisation(self) -> float:
        """The highest of the utilisations."""
        return max(
            self.bending,
            self.shear,
            self.bearing,
            self.live_deflection,
            self.final_deflection,
            self.studs_used,
        )


@dataclass(frozen=True, slots=True)
class JambStuds:
    """Studs under each end of the cheapest head: how many and how hard they work (1: just
    enough), under the combination that works them hardest."""

    each_end: int
    load: float
    """Design load on one end, N."""
    utilisation: float
    slenderness: float
    buckling_factor: float
    combination: str


@dataclass(frozen=True, slots=True)
class Props:
    """Temporary props: rows, props in each row, spacing (mm) and working load on one (N)."""

    rows: int
    per_row: int
    spacing: float
    load: float
    cautions: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class HeadSizing:
    """Preliminary sizing of a load-bearing head: `label` always stands with it.

    `lightest`, `cheapest` and `shallowest` are None when nothing in the catalogue passes.
    """

    label: str
    code: str
    line_dead: float
    line_live: float
    """Characteristic loads on the head, N/mm (= kN/m)."""
    candidates: tuple[CheckedHead, ...]
    lightest: CheckedHead | None
    cheapest: CheckedHead | None
    shallowest: CheckedHead | None
    jamb: JambStuds | None
    props: Props
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
    drop: float = 0.0
    """How far the cheapest may still come down after the leaves hang, mm."""
