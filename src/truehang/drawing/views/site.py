"""What stands in the wall, as drawings take it: floor, old outline, services, framing?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from truehang.drawing.scene import HatchKind, Layer, Point
from truehang.members import Member, Role, standing

if TYPE_CHECKING:
    from truehang.fit.model import Service

DRAWN_THERE = 120.0
"""How much is drawn of what is over an opening already, mm; its depth is not measured off it."""

_FRAME: dict[Role, str] = {
    "head member": "head frame",
    "back stud": "studs back-stud frame",
    "closing jamb": "closing-jamb frame",
    "rib": "ribs pockets frame",
    "base batten": "pockets frame",
    "head strip": "head strips frame",
}


def drawn_as(member: Member) -> tuple[Layer, HatchKind | None, str]:
    """On which layer a piece is drawn, how it is filled, and to which parts of a picture it
    belongs."""
    if member.origin == "comes out":
        return Layer.OUT, None, "comes-out"
    if member.origin == "there already" and member.role != "head":
        return Layer.THERE, None, "studs stays"
    if member.role in _FRAME:
        return Layer.FRAME, None, _FRAME[member.role]
    if member.role == "packers":
        return Layer.PACKER, "solid", "packers"
    if member.role == "head":
        return (Layer.ROUGH if member.origin == "new" else Layer.OLD), None, "head"
    if member.role == "packing" and member.lies == "x":
        return Layer.PACKER, "cross", "packing"
    filled = member.role in ("infill stud", "packing") or member.key.startswith("infill")
    return Layer.ROUGH, None, "infill" if filled else "studs"


@dataclass(frozen=True, slots=True)
class HeadOver:
    """The member that the track hangs from, x and z in mm. `new`: it is put in; else it is there,
    and `high` is only how far up it is drawn. `label` names it."""

    new: bool
    left: float
    right: float
    low: float
    high: float
    label: str


def head_over(members: Iterable[Member]) -> HeadOver | None:
    """The head that the track hangs from: the new one, as far as its depth is known, else what is
    there."""
    heads = standing(members, "head")
    new = [head for head in heads if head.origin == "new" and head.z.length > 0]
    if new:
        x, z = new[0].x, new[0].z
        label = "head, preliminary" if new[0].preliminary else "new head"
        return HeadOver(True, x.low, x.high, z.low, z.high, label)
    for there in heads:
        if there.origin == "there already":
            x, low = there.x, there.z.low
            return HeadOver(False, x.low, x.high, low, low + DRAWN_THERE, "head that is there")
    return None


@dataclass(frozen=True, slots=True)
class Site:
    """Floor and old outline (x, z; mm), services, and every piece of framing."""

    floor: Sequence[Point] = ()
    outline: Sequence[Point] = ()
    services: Sequence[Service] = ()
    members: Sequence[Member] = ()
    step_b: float = 0.0
    """How far side B's floor, as it is now, stands over side A's, mm."""
    to_come_b: float | None = None
    """What is still to be laid on side B's floor, mm; None: as on side A's."""

    def come_b(self, come_a: float) -> float:
        """The same, where side A's has so much to come."""
        return come_a if self.to_come_b is None else self.to_come_b

    @property
    def over(self) -> HeadOver | None:
        """The head that the track hangs from."""
        return head_over(self.members)

    @property
    def bare(self) -> Site:
        """Floor and framing only."""
        return replace(self, outline=(), services=())

    @property
    def out(self) -> tuple[Member, ...]:
        """The pieces that come out."""
        return tuple(one for one in self.members if not one.stands)

    @property
    def found(self) -> tuple[Member, ...]:
        """The pieces that are there before anything is done, whatever becomes of them."""
        return tuple(one for one in self.members if one.origin != "new")

    def pieces(self, *roles: Role) -> tuple[Member, ...]:
        """The pieces of these roles (all, where none is named) that stand when it is done."""
        return standing(self.members, *roles)
