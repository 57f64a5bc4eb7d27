"""What does the measure say? The frozen results that the plan, the pages and the drawings read."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.message import NOTHING, Message

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ellipse:
    """95 % confidence ellipse: half axes in mm, and the long axis' turn from +x, degrees."""

    long: float
    short: float
    turn: float


@dataclass(frozen=True, slots=True)
class Corner:
    """An adjusted corner: name ("bottom-left", ...), x and z, standard uncertainties, mm."""

    name: str
    x: float
    z: float
    sigma_x: float
    sigma_z: float
    ellipse: Ellipse


@dataclass(frozen=True, slots=True)
class Side:
    """The middle of one side: `bow` is how far it stands into the opening from the straight line
    between its corners, mm; `measured` is False where a straight side was assumed."""

    name: str
    x: float
    z: float
    bow: float
    sigma_bow: float
    measured: bool


@dataclass(frozen=True, slots=True)
class ReadingCheck:
    """One reading after the adjustment, mm.

    `misfit` = value - adjusted. `redundancy` 0..1: the share of a slip that would show.
    `w` is the standardised residual (None where nothing checks the reading), `least_slip` the
    smallest slip found with 80 % power (None likewise), `slip` what a slip here alone would be.
    `tied` names readings that can't be told apart from this one (|correlation| > 0.9).
    `assumed`: not read, taken so that something can be said at all.
    """

    id: str
    label: Message
    kind: str
    place: str
    value: float
    sigma: float
    adjusted: float
    misfit: float
    redundancy: float
    w: float | None
    least_slip: float | None
    slip: float | None
    tied: tuple[str, ...]
    assumed: bool


@dataclass(frozen=True, slots=True)
class GlobalTest:
    """Chi-square test of all misfits together: passed where `value` <= `limit`.

    `scatter` is how many times as widely as was said the readings scatter.
    """

    redundant: int
    value: float
    limit: float
    p: float
    passed: bool
    scatter: float


@dataclass(frozen=True, slots=True)
class Usable:
    """Largest plumb, level rectangle inside the outline, mm, with lower bounds.

    Both bounds hold together, in one and the same opening, with 95 %. `held_by` names what touches
    (left, right, base, head) edges: "left jamb, middle" and so on.
    """

    left: float
    right: float
    base: float
    head: float
    width: float
    height: float
    width_low: float
    height_low: float
    sigma_width: float
    sigma_height: float
    held_by: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Adjustment:
    """One least-squares adjustment of the opening.

    `corners` run bottom-left, bottom-right, top-right, top-left; `sides` run base, right, head,
    left, each after the corner it starts at. `unknowns` names the adjusted parameters
    ("bottom-left.x", "left.bow", "run", ...), `values` are theirs and `covariance` is theirs
    (n x n, mm2). `humps` are floor stations (x, z, sigma) inside the opening that the base must
    clear too. `set_aside` names readings left out.
    """

    corners: tuple[Corner, ...]
    sides: tuple[Side, ...]
    unknowns: tuple[str, ...]
    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    readings: tuple[ReadingCheck, ...]
    global_test: GlobalTest | None
    usable: Usable
    humps: tuple[tuple[float, float, float], ...]
    set_aside: tuple[str, ...]

    def corner(self, name: str) -> Corner:
        """The corner called "bottom-left", "bottom-right", "top-right" or "top-left"."""
        return next(corner for corner in self.corners if corner.name == name)

    def side(self, name: str) -> Side:
        """The side called "base", "right", "head" or "left"."""
        return next(side for side in self.sides if side.name == name)

    @property
    def outline(self) -> tuple[Point, ...]:
        """The eight points of the outline, round from bottom-left by the base, (x, z)."""
        pairs = zip(self.corners, self.sides, strict=True)
        return tuple(p for c, s in pairs for p in ((c.x, c.z), (s.x, s.z)))


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip found: `suspects` (the likeliest first, until the wrong one is among them with 99 %),
    how much the first reads too much (+) or too little (-), mm, with its standard uncertainty, and
    its standardised residual. `instead` says what else it may be, "the floor steps ..."."""

    suspects: tuple[str, ...]
    size: float
    sigma: float
    w: float
    instead: Message = NOTHING


@dataclass(frozen=True, slots=True)
class Advice:
    """A reading to take next, and why: `checks` names the readings that it would check.

    The redundancies are those of the one that it checks least, before and after (after it, those
    advised before it, and every side taken on trust are read). A bow that nobody read checks
    nothing: `surer` is by how much more, mm, the usable opening would be sure once all of the
    bows are read, the most of width and height.
    """

    kind: str
    place: str
    label: Message
    checks: tuple[str, ...]
    redundancy_before: float
    redundancy_after: float
    surer: float = 0.0


@dataclass(frozen=True, slots=True)
class Profile:
    """Heights along the run: straight between stations, level beyond the first and the last.

    `stations` are (x, z, sigma) in order of x, mm. `slope` is mm per metre, up to the right.
    """

    stations: tuple[tuple[float, float, float], ...]
    slope: float
    sigma_slope: float | None
    highest: Point
    lowest: Point

    @property
    def spread(self) -> float:
        """Highest less lowest, mm."""
        return self.highest[1] - self.lowest[1]

    def z(self, x: float) -> float:
        """Height at x, mm."""
        return self._at(x)[0]

    def sigma(self, x: float) -> float:
        """Standard uncertainty of the height at x, mm, as read (not of the floor between)."""
        return self._at(x)[1]

    def _at(self, x: float) -> tuple[float, float]:
        xs = [station[0] for station in self.stations]
        right = bisect_right(xs, x)
        if right == 0:
            return self.stations[0][1:]
        if right == len(xs):
            return self.stations[-1][1:]
        (x0, z0, s0), (x1, z1, s1) = self.stations[right - 1], self.stations[right]
        share = (x - x0) / (x1 - x0)
        variance = ((1 - share) * s0) ** 2 + (share * s1) ** 2
        return z0 + share * (z1 - z0), variance**0.5


@dataclass(frozen=True, slots=True)
class Thickness:
    """Finished wall thickness over its stations, mm. `stations` are (x, thickness)."""

    stations: tuple[Point, ...]
    mean: float
    sigma_mean: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class FaceBow:
    """Worst hollow (negative) or crown (positive) of a face, mm over `over` mm, at x."""

    face: str
    worst: float
    over: float
    at: float


@dataclass(frozen=True, slots=True)
class Run:
    """The wall run from its datum end (x = 0) to its other end, mm."""

    length: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Measured:
    """Everything the readings say.

    `opening` is None for a new opening, or where the readings can't make one (a finding says
    why); then run, floor, ceiling and thickness still stand. With slips, `as_read` has every
    reading in, `opening` has each slip's first suspect set aside, and `usable` is the most
    cautious over all `alternatives` (each suspect set aside in turn, and none). `along` is what
    the readings along the wall (floor, ceiling, thickness, run) make of each other. A test figure
    over `limit` is blamed; a sound job has one with chance 1 %.
    """

    opening: Adjustment | None
    as_read: Adjustment | None
    alternatives: tuple[Adjustment, ...]
    usable: Usable | None
    slips: tuple[Slip, ...]
    along: tuple[ReadingCheck, ...]
    limit: float
    advice: tuple[Advice, ...]
    run: Run | None
    floor: Profile | None
    ceiling: Profile | None
    thickness: Thickness | None
    faces: tuple[FaceBow, ...]
    seed: int
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]

    @property
    def checks(self) -> tuple[ReadingCheck, ...]:
        """Every reading with what the others make of it, as read: the opening's, then those along
        the wall that are not in it."""
        shape = self.as_read.readings if self.as_read is not None else ()
        known = {check.id for check in shape}
        return shape + tuple(check for check in self.along if check.id not in known)

    def trouble_with(self, name: str) -> Finding | None:
        """The finding that says of this reading, or of one taken with it, that it is wrong or may
        be: the one that everybody is told."""
        for slip in self.slips:
            if any(_base(suspect) == _base(name) for suspect in slip.suspects):
                at = (f"measure.{slip.suspects[0]}", "measure")
                stops = [one for one in self.findings if one.severity is Severity.STOP]
                return next((one for place in at for one in stops if one.where == place), None)
        return None

    def weakness_of(self, check: ReadingCheck) -> Finding | None:
        """The finding that says of this reading that a slip in it would hardly show."""
        at = ("measure", f"measure.{check.kind}")
        return next(
            (one for one in self.findings if one.where in at and check.label in one.what), None
        )


def _base(id: str) -> str:
    return id.partition("#")[0]


@dataclass(frozen=True, slots=True)
class FitChance:
    """Will a frame go in? mm and probabilities 0..1.

    `probability` that a `width` x `height` frame keeps at least the least clearances on each
    side and at the head; `clearance_for_99` is the planned clearance on each side of the
    measured usable width that makes this 99 %, `head_clearance_for_99` likewise in all upright.
    """

    width: float
    height: float
    least_side: float
    least_head: float
    probability: float
    probability_width: float
    probability_height: float
    clearance_for_99: float
    head_clearance_for_99: float
    figures: tuple[Figure, ...]
