"""What does fit take in and hand back? Plain frozen values; every position is absolute.

x runs along the wall from the job's datum mark, left to right seen from side A; z runs up from
the site level datum; y runs through the wall from face A (0) to face B. All in mm unless said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from truehang.catalogue.access import AccessLimits
from truehang.figures import Figure
from truehang.findings import Finding
from truehang.fit.geometry import GUIDE_GROOVE
from truehang.lengths import LengthStyle
from truehang.message import NOTHING, Message
from truehang.shapes import Span as Span

ArrangementKind = Literal["single-left", "single-right", "pair"]
Situation = Literal["fill", "beside", "new", "divide"]
Side = Literal["left", "right"]
Face = Literal["A", "B"]

ARRANGEMENTS: tuple[ArrangementKind, ...] = ("single-left", "single-right", "pair")


def _finite(name: str, *values: float) -> None:
    for value in values:
        if not math.isfinite(value):
            raise ValueError(f"{name} holds {value}; give a length in mm")


@dataclass(frozen=True, slots=True)
class Service:
    """Something in the wall that a pocket can't share: outlet, switch, pipe, duct, ...

    `x`, `z` (mm) are the centre; `width`, `height` (mm) its size; `face` the side it shows on, or
    the side it is drawn on where it is `hidden` inside the wall; `runs` the way its cable or pipe
    goes inside the wall: up, down, left, right, none, unknown. `stays`: it may not be moved.
    """

    name: str
    kind: str
    x: float
    z: float
    face: Face = "A"
    width: float = 80.0
    height: float = 120.0
    runs: str = "unknown"
    hidden: bool = False
    stays: bool = False


@dataclass(frozen=True, slots=True)
class WallMakeup:
    """The wall through its thickness (mm): lining on face A, stud depth, lining on face B."""

    stud: float
    lining_a: float
    lining_b: float

    @property
    def thickness(self) -> float:
        """Both linings and the stud, mm."""
        return self.lining_a + self.stud + self.lining_b


REACH = 150.0
"""How far from the nearest floor station a floor may be taken to go on level, mm (common practice,
no source)."""


@dataclass(frozen=True, slots=True)
class Floor:
    """The floor as it stands on the day of measure: piecewise linear through (x, z) stations.

    `x` strictly rising, mm; `z` mm from the level datum (negative = below), same length, at least
    one station. Level beyond the outer stations. `build_up` is the thickness (mm) of new flooring
    still to be laid between the frames: the frame stands on the floor as it is now and the leaf
    must clear the floor as it will be.
    """

    x: tuple[float, ...] = (0.0,)
    z: tuple[float, ...] = (0.0,)
    build_up: float = 0.0
    rise: float = 0.0
    """How much (mm) of what the leaf must clear stands over that new flooring: the other side's
    floor, a threshold."""
    to_come: float | None = None
    """How much higher (mm) what the leaf must clear will be than the highest there is now; None:
    the new flooring."""

    @property
    def coming(self) -> float:
        """What a gap reads more until the floors are down, mm."""
        return self.build_up if self.to_come is None else self.to_come

    def __post_init__(self) -> None:
        if not self.x or len(self.x) != len(self.z):
            raise ValueError(
                f"floor: {len(self.x)} stations x, {len(self.z)} heights z; give one z for each x"
            )
        if any(later <= earlier for earlier, later in pairwise(self.x)):
            raise ValueError(f"floor: stations x must rise; got {self.x}; sort them, no repeats")
        _finite("floor", *self.x, *self.z, self.build_up)
        if self.build_up < 0:
            raise ValueError(f"floor.build_up is {self.build_up:g}; new flooring can't be negative")

    def reaches(self, x: float) -> bool:
        """Whether the floor was read about here: between its stations, or REACH beyond them."""
        return len(self.x) > 1 and self.x[0] - REACH <= x <= self.x[-1] + REACH


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the customer asks for; None or () means no wish.

    `clear_width` is the clear passage (mm) with the leaves open; `clear_height` the clear height
    (mm) over the finished floor; `centre` the x (mm) wished for the middle of the clear opening;
    `handle_height` mm above finished floor; `kit` and `leaf` are catalogue ids.
    """

    clear_width: float | None = None
    clear_height: float | None = None
    centre: float | None = None
    place: Span | None = None
    """Where the clear opening should lie; kept to as nearly as the space allows."""
    arrangements: tuple[ArrangementKind, ...] = ()
    kit: str | None = None
    leaf: str | None = None
    glass: bool | None = None
    soft_close: bool = False
    """True: a soft-close unit for each leaf is asked for and priced in."""
    handle_height: float | None = None
    pull_room: float = 0.0
    """How far (mm) an open leaf must stand out of the pocket for its pull to clear the mouth."""


@dataclass(frozen=True, slots=True)
class PackerSet:
    """The packers on the van: thicknesses (mm), most in one stack, thickest stack (mm)."""

    sizes: tuple[float, ...] = (1.0, 1.5, 2.0, 3.0, 5.0, 6.0, 10.0)
    pieces_most: int = 3
    total_most: float = 20.0
    step: float = 0.5
    least: float = 0.0
    """The least pack under the highest support, mm."""
    tolerance: float = 0.5
    """How far a stack may be off the pack wanted where none is exact, mm (common practice, no
    source)."""
    style: LengthStyle = "mm"
    """How the packs are printed."""

    def __post_init__(self) -> None:
        _finite("packers", *self.sizes, self.total_most, self.step, self.least)
        if self.step <= 0 or any(size <= 0 for size in self.sizes):
            raise ValueError("packers: sizes and step must be more than 0 mm")


LEAST_PASSAGE = 600.0
"""Narrower than this a person doesn't walk through, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class OldOpening:
    """The old opening that a pocket goes in beside: the `hole` between its studs, the `clear`
    opening between its linings (x), and the underside of its head (z), mm."""

    hole: Span
    clear: Span
    head: float


@dataclass(frozen=True, slots=True)
class FitRequest:
    """One opening to be fitted out.

    `situation`: "fill" an old opening (the frame stands inside `space` and the wall beside it
    stays), stand "beside" an `old` one with the pocket in the wall, cut a "new" opening in a wall
    run, or build a wall that "divide"s a room. `space` is where the rough opening may lie along x:
    the usable opening for "fill", the free run between obstacles else. `head_limit` is the z under
    which the rough head must stay: the underside of the usable opening for "fill", the ceiling
    less what stands under it else.
    `beside` is the width (mm) of new studs on each side of the rough opening, which must meet no
    service; `space` leaves room for them at its ends.
    """

    situation: Situation
    space: Span
    head_limit: float
    wall: WallMakeup
    floor: Floor = field(default_factory=Floor)
    services: tuple[Service, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)
    access: AccessLimits | None = None
    beside: float = 0.0
    head_keep: float = 0.0
    """Room (mm) kept between the rough head and `head_limit` for a new head over the frame."""
    head_drop: float = 0.0
    """How far (mm) the head over the frame still comes down once the leaves hang."""
    packers: PackerSet = field(default_factory=PackerSet)
    usual_leaf_height: float = 2040.0
    """Leaf height (mm) taken in a new opening when no clear height is wished."""
    currency: str = "AUD"
    labour_minor_per_hour: int = 0
    """What an hour costs (minor units), so that kits and site-built pockets are ranked alike."""
    space_inputs: tuple[str, ...] = ("measure.usable_width",)
    """Figure keys or job paths that `space` came from, for the answer to "why?"."""
    head_inputs: tuple[str, ...] = ("measure.usable_height",)
    width_inputs: tuple[str, ...] = ("job:wishes.clear_width",)
    """The same of the clear width that is wished for."""
    step: float = 1.0
    """Leaves are ordered, and frames placed, in whole steps of this (mm): what a tape here shows
    plainly."""
    least_passage: float = LEAST_PASSAGE
    """A narrower passage (mm) is never offered without a word."""
    old: OldOpening | None = None
    """The old opening of "beside"."""

    def __post_init__(self) -> None:
        _finite("space", self.space.low, self.space.high)
        _finite("head_limit", self.head_limit)
        if self.space.length <= 0:
            raise ValueError(
                f"space runs from {self.space.low:g} to {self.space.high:g}; it must have a width"
            )
        for name in ("beside", "head_keep", "head_drop"):
            value = getattr(self, name)
            _finite(name, value)
            if value < 0:
                raise ValueError(f"{name} is {value:g} mm; give 0 or more")


@dataclass(frozen=True, slots=True)
class Clash:
    """A service that stands where the pocket or frame will be, and who has to move it."""

    service: Service
    where: str
    """What it stands in: "left pocket", "right pocket", "clear opening", "frame" or
    "studs beside the frame"."""
    trade: str


@dataclass(frozen=True, slots=True)
class AccessCheck:
    """One accessibility figure held against its limit.

    `passed` None: not known before it is measured. `shown` is the value as it is said, empty
    where there is none yet.
    """

    key: str
    label: str
    value: float | None
    limit: Message
    passed: bool | None
    source: str
    shown: Message = NOTHING


@dataclass(frozen=True, slots=True)
class Option:
    """One arrangement x kit x leaf that fits. Lengths mm, mass kg per leaf, price minor units.

    `key` is "<arrangement>/<kit>/<leaf>", with "/stock" where a leaf that could be made to size is
    taken from the shelf; `opening` is the clear opening between mouths (or mouth and closing
    jamb), `passage` what is left to walk through with the leaves open. `lost_wall` is
    the length of wall beside the opening that is pocket or back stud: no service, no deep fixing.
    """

    key: str
    arrangement: ArrangementKind
    kit_id: str
    kit_name: str
    leaf_id: str
    leaf_name: str
    leaf_glass: bool
    opening: float
    passage: float
    clear_height: float
    frame_width: float
    frame_height: float
    rough_width: float
    rough_height: float
    frame_left: float
    pocket_length: float
    leaf_width: float
    leaf_height: float
    leaf_thickness: float
    leaf_count: int
    leaf_mass: float
    standing_out: float
    lost_wall: float
    clashes: tuple[Clash, ...]
    access: tuple[AccessCheck, ...]
    price_minor: int
    currency: str
    lead_time_days: int
    assembly_hours: float = 0.0
    """Hours to make or assemble the frame before it stands, likely value."""
    built_minor: int = 0
    """Price with the assembly hours at the request's hourly cost: what options are ranked by."""
    leaf_minor: int = 0
    """Price of one leaf, minor units, which is in `price_minor`."""
    off_old: float = 0.0
    """How far (mm, + to the right) the frame stands off the place of the old opening."""
    leaf_stock: bool = False
    """True where a leaf that could be made to size is taken in a size from the shelf."""
    wins: tuple[Message, ...] = ()
    loses: tuple[Message, ...] = ()
    rank: int = 0
    unbeaten: bool = False

    @property
    def access_passed(self) -> bool:
        """True where no accessibility figure of this option fails."""
        return all(check.passed is not False for check in self.access)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A combination that does not fit: which dimension binds, by how much, the nearest change.

    `short_by` is in `unit` (mm or kg); `largest_passage` (mm) is the most that this combination
    could give here, None where no clear width would do.
    """

    key: str
    arrangement: ArrangementKind
    kit_id: str
    leaf_id: str
    binding: str
    short_by: float
    unit: str
    what: Message
    mend: Message
    largest_passage: float | None
    step: int = 0
    """How far the check got before it refused (later = nearer to fitting)."""


@dataclass(frozen=True, slots=True)
class Options:
    """All that fit, ranked (best first), all that don't, and what a person must know."""

    options: tuple[Option, ...]
    refusals: tuple[Refusal, ...]
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Pocket:
    """One pocket. `inside` is the pocket from its back to its mouth; `back_stud` closes it.

    `rib_centres` (mm, absolute x, left to right) are the upright ribs on each face; the rib at
    the mouth is among them. `rib_width` is seen from the face, `rib_thickness` through the wall.
    """

    side: Side
    mouth: float
    back: float
    inside: Span
    back_stud: Span
    rib_centres: tuple[float, ...]
    rib_width: float
    rib_thickness: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf, closed and open. x absolute; `hangers_closed/open` are the hanger centres.

    `pocket` names the side it slides to; `travel` (mm) is positive whatever the direction.
    """

    name: str
    pocket: Side
    width: float
    height: float
    thickness: float
    mass: float
    closed: Span
    open: Span
    travel: float
    hangers_closed: tuple[float, ...]
    hangers_open: tuple[float, ...]
    bottom: float
    top: float


@dataclass(frozen=True, slots=True)
class Heights:
    """Heights z (mm) from the level datum.

    `level_line` is the top of all packs and the underside of the frame. `floor_high`/`floor_low`
    are the finished floor under the frame. `clear_head` is the underside of the head trim.
    """

    level_line: float
    frame_bottom: float
    floor_low: float
    floor_high: float
    leaf_bottom: float
    handle: float
    clear_head: float
    leaf_top: float
    track_bottom: float
    track_top: float
    head_underside: float
    head_top: float
    rough_head: float


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of the wall from y0 to y1 (mm from face A): lining, rib, air, leaf, jamb."""

    key: str
    label: str
    kind: Literal["lining", "rib", "air", "leaf", "jamb", "stud"]
    y0: float
    y1: float


SEEN_OFF = 0.25
"""A stack off by less is what is wanted, as a tape shows it, mm."""


@dataclass(frozen=True, slots=True)
class Pack:
    """The packers under one support. `pieces` thickest first; None: plane or tapered plate."""

    key: str
    label: str
    x: float
    floor: float
    height: float
    pieces: tuple[float, ...] | None
    error: float
    """What is wanted up to the level line as it is printed and snapped, less sum(pieces), mm;
    within half a step, or the tolerance, when pieces are given."""

    @property
    def made(self) -> float:
        """What the pieces add up to, mm; the pack wanted where it is planed or tapered."""
        return self.height if self.pieces is None else float(sum(self.pieces))

    @property
    def off(self) -> bool:
        """True where the pieces are not the pack that is wanted, as a person must be told."""
        return self.pieces is not None and abs(self.error) >= SEEN_OFF


@dataclass(frozen=True, slots=True)
class FloorHere:
    """One place along the wall where a tape is hooked on the floor: a support, a stud, a jamb.

    `x` (mm) is the middle of what stands there, or the face that is marked; `floor` the floor as
    it is now, `floor_down` with the floor to come on it, `line` the level line: z (mm) from the
    datum.
    """

    key: str
    label: str
    what: Literal["support", "stud", "jamb"]
    x: float
    floor: float
    floor_down: float
    line: float

    @property
    def from_floor(self) -> float:
        """The level line over the floor as it is here now, mm."""
        return self.line - self.floor

    @property
    def from_floor_down(self) -> float:
        """The level line over the floor here once it is down, mm; below 0 where it is buried."""
        return self.line - self.floor_down

    def over(self, z: float) -> float:
        """Any height z (mm from the datum) over the floor as it is here now, mm."""
        return z - self.floor


@dataclass(frozen=True, slots=True)
class FloorGap:
    """The gap under one leaf along its whole travel, over the finished floor (mm).

    `to_come` (mm) is what of that floor is still to be laid: till then the gap reads more by it.
    """

    leaf: str
    least: float
    least_at: float
    most: float
    most_at: float
    guide_engagement: float
    """How far the bottom guide is still in its groove at the guide's own place, mm."""
    guide_at: float
    to_come: float = 0.0
    low: float = 0.0
    """How much less (mm) the gap may come out because stacks are thinner than the packs wanted."""
    high: float = 0.0
    """How much more (mm) it may come out because they are thicker."""
    on_stacks: Message = NOTHING
    """Least and most on the stacks as they are made, in words; "" where they make the packs."""

    @property
    def least_built(self) -> float:
        """The least gap over the finished floor, on the stacks as they are made, mm."""
        return self.least - self.low

    @property
    def most_built(self) -> float:
        """The most gap over the finished floor, on the stacks as they are made, mm."""
        return self.most + self.high

    @property
    def off(self) -> bool:
        """True where the stacks change the gap, as a person must be told."""
        return max(self.low, self.high) >= SEEN_OFF

    @property
    def least_now(self) -> float:
        """The least gap as it reads until the floor to come is down, mm."""
        return self.least + self.to_come

    @property
    def most_now(self) -> float:
        """The most gap as it reads until the floor to come is down, mm."""
        return self.most + self.to_come


@dataclass(frozen=True, slots=True)
class RodMark:
    """One running mark, absolute from the datum: along the wall (axis x) or up it (axis z)."""

    key: str
    label: str
    axis: Literal["x", "z"]
    at: float
    what: str


@dataclass(frozen=True, slots=True)
class Rod:
    """All running marks: `along` the wall by rising x and `up` it by rising z."""

    along: tuple[RodMark, ...]
    up: tuple[RodMark, ...]

    @property
    def marks(self) -> tuple[RodMark, ...]:
        """Along, then up."""
        return self.along + self.up


@dataclass(frozen=True, slots=True)
class FramePart:
    """A piece of the frame to buy or cut: `section` is thickness x width (mm), `length` mm.

    A kit is one part with section (0, 0) and the frame width as its length.
    """

    key: str
    label: str
    material: Literal["kit", "timber", "track", "hanger", "guide", "buffer", "soft-close"]
    section: tuple[float, float]
    length: float
    count: int


GROOVE_AIR = 2.0
"""Air beside the leaf in the groove of the closing jamb, mm (common practice, no source)."""
GUIDE_PLAY = 2.0
"""How much wider than its guide the groove in a leaf is, both sides together, mm (common practice,
no source)."""
GROOVE_CHEEK = 6.0
"""The least of a leaf that is left on each side of that groove, mm (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Arrangement:
    """The chosen option in full: enough to draw elevation, plan and vertical section from."""

    option: Option
    kind: ArrangementKind
    situation: Situation
    kit_id: str
    leaf_id: str
    wall: WallMakeup
    rough: Span
    frame: Span
    opening: Span
    centre: float
    passage: Span
    """What is left to walk through with the leaves open."""
    pockets: tuple[Pocket, ...]
    closing_jamb: Span | None
    jamb_groove: float
    """Depth (mm) of the groove in the closing jamb that the leaf runs into; 0 for a pair."""
    guide_groove: float
    """Depth (mm) of the groove in the bottom edge of each leaf, in which the guide stands."""
    guide_width: float | None
    """How thick (mm) the guide is; None where its kit does not say."""
    leaves: tuple[Leaf, ...]
    infill: tuple[Span, ...]
    """Old opening left over beside the rough opening, to be studded and lined."""
    heights: Heights
    pocket_section: tuple[Layer, ...]
    """Layers through a pocket from face A to face B with the leaf in it."""
    mouths: tuple[float, ...]
    packs: tuple[Pack, ...]
    floor_here: tuple[FloorHere, ...]
    """Each support, stud and jamb with the level line over the floor there, by rising x."""
    floor_gaps: tuple[FloorGap, ...]
    guide_positions: tuple[float, ...]
    parts: tuple[FramePart, ...]
    clashes: tuple[Clash, ...]
    access: tuple[AccessCheck, ...]
    rod: Rod
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
    old: OldOpening | None = None
    """The old opening that it stands beside."""

    @property
    def jamb_groove_width(self) -> float:
        """Width (mm) of the groove in the closing jamb, in the middle of its depth."""
        return self.leaves[0].thickness + 2 * GROOVE_AIR

    @property
    def guide_groove_width(self) -> float | None:
        """Width (mm) of the groove in each leaf's bottom edge; None where the guide's thickness is
        not known, or the leaf is too thin to have it."""
        if self.guide_width is None:
            return None
        width = GUIDE_GROOVE(U=self.guide_width, v=GUIDE_PLAY)
        return width if self.leaves[0].thickness - width >= 2 * GROOVE_CHEEK - 1e-9 else None

    @property
    def floor_to_come_a(self) -> float:
        """Flooring still to be laid on side A, where the stations are, mm."""
        here = self.floor_here[0]
        return here.floor_down - here.floor

    @property
    def floor_to_come(self) -> float:
        """Flooring still to be laid where the leaves run, mm."""
        return max(gap.to_come for gap in self.floor_gaps)

    @property
    def leaf_order_size(self) -> tuple[float, float, float]:
        """Width, height and thickness (mm) of each leaf to order."""
        leaf = self.leaves[0]
        return (leaf.width, leaf.height, leaf.thickness)
