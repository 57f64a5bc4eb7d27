"""What does the room answer? The state of the wall, how the head moves, and what would carry it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from truehang.figures import Figure
from truehang.findings import Finding

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
    reasons: tuple[str, ...]
    contradictions: tuple[str, ...]
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

    `at` is the leaf's movement from closed (signed, mm) at which the worst hanger deflection
    happens; `leading_drop` the largest at the leading (meeting) edge; `closed_tilt` the change of
    its edge over the leaf's height when closed (mm; positive: the leading edge is let down more).
    """

    name: str
    worst: float
    at: float
    leading_drop: float
    trailing_drop: float
    closed_tilt: float
    least_gap: float


@dataclass(frozen=True, slots=True)
class HeadMovement:
    """The head over an opening that carries no load of the building.

    `x` and `envelope` give the largest deflection of the head at each place (mm), for the
    drawing; `out_of_parallel` is how much the closed meeting edges open from bottom to top (mm).
    `deflection` is the worst at any hanger, `limit` what it may be, both mm; `permanent` the part
    from self-weight and lining after creep, which hanging takes out.
    """

    span: float
    deflection: float
    permanent: float
    limit: float
    out_of_parallel: float
    leaves: tuple[LeafMovement, ...]
    x: tuple[float, ...]
    envelope: tuple[float, ...]
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class CheckedHead:
    """One built-up section tried as the head. Utilisations: 1 is just enough, more is too weak.

    `section` is the catalogue code; breadth is of all plies together, mm; mass kg and price in
    minor units for the length to cut; `studs` jamb studs under each end; `governs` names the
    check with the highest utilisation; `why_not` is empty when it passes.
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
    governs: str
    why_not: str

    @property
    def passes(self) -> bool:
        """True when every utilisation is at most 1 and the section fits."""
        return not self.why_not

    @property
    def utilisation(self) -> float:
        """The highest of the utilisations."""
        return max(
            self.bending, self.shear, self.bearing, self.live_deflection, self.final_deflection
        )


@dataclass(frozen=True, slots=True)
class JambStuds:
    """Studs under each end of the head: how many, and how hard they work (1 is just enough)."""

    each_end: int
    load: float
    """Design load on one end, N."""
    utilisation: float
    slenderness: float
    buckling_factor: float


@dataclass(frozen=True, slots=True)
class Props:
    """Temporary props: rows, props in each row, spacing (mm) and working load on one (N)."""

    rows: int
    per_row: int
    spacing: float
    load: float
    cautions: tuple[str, ...]


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
