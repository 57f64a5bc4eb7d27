"""What is over the opening, and which ways are there to hold the track? Plain values of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.catalogue.timber import Grade
from truehang.fit import Arrangement
from truehang.message import Message
from truehang.plan.carry import Lightest
from truehang.structure import HeadMember, HeadMovement

Way = Literal["own", "existing", "higher", "replace", "beside"]
"""A new head under what is there; what is there; the same with a higher leaf close under it; a new
head in its place; a new head beside it, at the same height."""
Verdict = Literal["holds", "too soft", "too weak", "unknown"]
PACK_MOST = 45.0
"""How far a frame is packed down from what is over it before a new head is the better way: one
piece of framing on the flat, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HeadWay:
    """One way to hold the track, for the chosen kit and leaf. Lengths mm, price in minor units.

    `member` is what goes in, or what is there must at least be; `span` is what it is reckoned over,
    `packing` what is between the top of the frame and it. `price_minor` is frame, leaves and what
    is bought to hang them from. Where it is not possible, `why_not` says what is in the way and the
    sizes are None.
    """

    way: Way
    possible: bool
    why_not: Message
    member: Message
    span: float
    leaf_height: float | None = None
    clear_height: float | None = None
    packing: float | None = None
    price_minor: int | None = None
    currency: str = ""
    option: str = ""
    """The key of the option that this is reckoned for."""
    verdict: Verdict = "holds"
    stiffness: float | None = None
    """E x I that it has, or must at least have, kN m2."""
    clashes: tuple[Message, ...] = ()
    """What is in the way of it, or has to be done for it, beside the frame."""

    @property
    def name(self) -> str:
        """What a carpenter calls it."""
        if self.way == "existing" and (self.packing or 0.0) > PACK_MOST:
            return PACKED
        return NAMES[self.way]


PACKED = "pack down from what is over the opening"
NAMES: dict[Way, str] = {
    "own": "a new head under it",
    "existing": "hang off what is over the opening",
    "higher": "hang off what is over the opening, with a higher leaf",
    "replace": "replace it by a new head in its place",
    "beside": "a new head beside it, at the same height",
}


@dataclass(frozen=True, slots=True)
class HeadPack:
    """What is packed over the frame's head at one of its fixings (mm): the underside there, the gap
    down to the frame, a strip of timber that lies over the whole head (0: none), and the packers on
    it, thickest first; None where no stack makes it."""

    x: float
    underside: float
    gap: float
    strip: float
    pieces: tuple[float, ...] | None


@dataclass(frozen=True, slots=True)
class OverOpening:
    """What is over the opening, and what the track hangs from: the way that is planned and both
    that were looked at. `limit` is the z (mm) under which everything new must stay, `top` the z of
    the highest of it."""

    kind: str
    way: Way
    limit: float
    room: float
    """Between the rough head and the limit, mm."""
    top: float
    sag: float
    """How much the underside that was read is out of level from jamb to jamb, mm."""
    ways: tuple[HeadWay, ...]
    ends: tuple[float, float]
    """The x (mm) from where to where the member that holds the track spans."""
    free: bool
    """It carries load: nothing may be packed tight between it and the ribs."""
    packs: tuple[HeadPack, ...] = ()
    """What is packed at each head fixing, where the frame is fixed up to an underside that was
    read."""

    @property
    def planned(self) -> HeadWay:
        """The way that is planned."""
        return next(one for one in self.ways if one.way == self.way)


@dataclass(frozen=True, slots=True)
class There:
    """What is there, looked at as something to hang from."""

    way: HeadWay
    need: Lightest | None
    depth: float
    movement: HeadMovement | None
    member: HeadMember | None
    timber: Grade | None
    ends: tuple[float, float]
    load: float
    """What leaves, lining and track weigh on it, kN."""


def head_packing(fit: Arrangement, over: OverOpening | None) -> tuple[float, float]:
    """Least and most packing (mm) between the frame's head and what it is fixed up to: the
    clearance under a new head, all that is left under what is there, and more where that is out of
    level."""
    clearance = fit.heights.rough_head - fit.heights.head_top
    if over is None or over.way == "own":
        return clearance, clearance
    least = over.limit - fit.heights.head_top
    return least, least + over.sag


def stiffness(member: HeadMember) -> float:
    """E x I of a member, kN m2."""
    return member.modulus * member.breadth * member.plies * member.depth**3 / 12.0 * 1e-9
