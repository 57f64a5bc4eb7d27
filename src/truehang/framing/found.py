"""What stands in the wall already: what comes out, what stays, what becomes part of the framing?

A stud that stands where a new one would go is kept for it, if somebody is sure of it and it is long
enough. Whatever stands in the rough opening, or where new timber goes, comes out; the rest stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from truehang.framing.model import Found, OpeningSetOut
from truehang.lengths import said
from truehang.members import Member, Role, Side
from truehang.message import message
from truehang.shapes import Block, Span

IN_PLACE = 3.0
"""How far a stud may be off the mark of a new one and still do for it, mm: packing takes it up
(common practice, no source)."""
MEETS = 0.5
"""Pieces that lie in each other by less touch, mm."""
LEAST_BREADTH = 30.0
"""A thinner stud does for no new one, mm (common practice, no source)."""
_ROLES: dict[str, Role] = {
    "stud": "wall stud",
    "noggin": "noggin",
    "plate": "plate",
    "head": "head",
}
_KEYS = {
    "stud": "there.stud",
    "noggin": "there.noggin",
    "plate": "there.top-plate",
    "head": "there.old-head",
}


def with_found(at: OpeningSetOut, new: tuple[Member, ...]) -> tuple[Member, ...]:
    """The new pieces with those that are there already in their place, then all that was found."""
    made, kept = [], set[str]()
    for member in new:
        stud = _does_for(at, member, kept)
        if stud is None:
            made.append(member)
        else:
            kept.add(stud.id)
            made.append(_kept(member, stud))
    rest = (_found(at, one, made) for one in at.found if one.id not in kept)
    return (*made, *rest)


def _does_for(at: OpeningSetOut, member: Member, kept: set[str]) -> Found | None:
    """The stud that was found and that does for a new one, if any."""
    if member.role not in ("jamb stud", "king stud") or member.origin != "new":
        return None
    return next((one for one in at.found if one.id not in kept and _does(at, one, member)), None)


def _does(at: OpeningSetOut, one: Found, member: Member) -> bool:
    if one.what != "stud" or not one.sure or one.x.length < LEAST_BREADTH:
        return False
    if one.foot is not None and one.foot > member.z.low + IN_PLACE:
        return False
    if one.top < member.z.high - IN_PLACE or (one.stays and one.top > member.z.high + IN_PLACE):
        return False  # too short, or it may not be cut off under the head
    near = abs(_near(one.x, member) - _near(member.x, member)) <= IN_PLACE
    at_opening = abs(_near(member.x, member) - _edge(at, member)) < MEETS
    far = abs(_far(one.x, member) - _far(member.x, member)) <= IN_PLACE
    return near and (far or at_opening)


def stands_behind(at: OpeningSetOut, place: Span, side: Side) -> bool:
    """Does a stud that was found begin in the place of a backing, so that it serves as one?"""
    return any(
        one.what == "stud"
        and one.sure
        and one.x.length >= LEAST_BREADTH
        and (one.foot is None or one.foot < at.rough_head / 2)
        and one.top >= at.rough_head
        and place.low - MEETS <= (one.x.high if side == "left" else one.x.low) <= place.high + MEETS
        for one in at.found
    )


def _near(x: Span, member: Member) -> float:
    """The face of a stud towards the opening."""
    return x.high if member.side == "left" else x.low


def _far(x: Span, member: Member) -> float:
    return x.low if member.side == "left" else x.high


def _edge(at: OpeningSetOut, member: Member) -> float:
    return at.rough.low if member.side == "left" else at.rough.high


def _kept(member: Member, stud: Found) -> Member:
    """A stud that is there, in the place of a new one: no piece is cut for it."""
    over = stud.top - member.z.high
    cut = f"; cut it off at the head, {said(over)} under its top" if over > IN_PLACE else ""
    blocks = tuple(replace(block, x0=stud.x.low, x1=stud.x.high) for block in member.blocks)
    return replace(
        member,
        key="there.stud", name=f"stud {stud.id}, becomes the {member.label}", blocks=blocks,
        origin="there already", label=message(stud.label), stock="", section=None,
        where=message(
            f"as the {member.label}, {member.side}{cut}: look that it is sound and plumb"
        ),
    )  # fmt: skip


def _found(at: OpeningSetOut, one: Found, new: list[Member]) -> Member:
    """A piece that was found, with what becomes of it."""
    why = "" if one.stays else _in_the_way(at, one, new)
    sure = "" if one.sure else "; not sure: look before it is counted on"
    return Member(
        key=_KEYS[one.what], name=f"{one.what} {one.id}", role=_ROLES[one.what],
        lies="z" if one.what == "stud" else "x", label=one.label,
        origin="comes out" if why else "there already",
        where=(why or "clear of the work") + sure,
        blocks=(_block(at, one),),
    )  # fmt: skip


def _block(at: OpeningSetOut, one: Found) -> Block:
    floor = at.ground.under(one.x)
    bottom = floor if one.foot is None else (one.foot, one.foot)
    return Block(one.x.low, one.x.high, at.y.low, at.y.high, bottom, (one.top, one.top))


def _in_the_way(at: OpeningSetOut, one: Found, new: list[Member]) -> str:
    """Where a piece stands that has to come out; "" where it may stay."""
    block = _block(at, one)
    low = min(block.bottom)
    if one.x.shared(at.rough) > MEETS and low < at.rough_head - MEETS and (
        at.situation != "divide"
    ):  # fmt: skip
        for name, stretch in at.stretches:
            if one.x.shared(stretch) > MEETS:
                return f"in the {name}"
        return "in the rough opening"
    for member in new:
        if member.origin != "new" or member.key.startswith("frame.") or member.role == "packers":
            continue
        height = Span(low, one.top).shared(member.z)
        if one.x.shared(member.x) > MEETS and height > MEETS:
            return f"where the {member.label} goes"
    return ""


def overlapping(found: tuple[Found, ...]) -> Iterator[tuple[Found, Found]]:
    """Pairs of studs that were found in one another: one of the readings is wrong."""
    studs = sorted((one for one in found if one.what == "stud"), key=lambda one: one.x.low)
    for first, second in pairwise(studs):
        if first.x.shared(second.x) > IN_PLACE:
            yield first, second
