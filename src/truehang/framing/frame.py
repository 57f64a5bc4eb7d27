"""Which pieces is the pocket frame made of, and where does each stand?

A bought kit's pieces stand where those of a site-built one do, but come with the kit.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from truehang.framing.model import FrameSetOut, Groove, PocketSetOut
from truehang.members import Member, Role, Side
from truehang.shapes import Block, Span, box

PACKER_WIDTH = 50.0
"""How wide a stack of packers is taken to be, mm; nothing is set out from it."""
_PLACES = {
    1: ("",),
    2: ("lower piece", "upper piece"),
    3: ("lower piece", "middle piece", "upper piece"),
}
LEAST_STRIP = 30.0
"""A lining that hangs lower than this under what it is screwed to wants timber behind it, mm
(common practice, no source)."""
LEAST = 0.05
"""Thinner than this, nothing is there, mm."""


def frame_members(frame: FrameSetOut) -> tuple[Member, ...]:
    """Every piece of the frame, and the packers under it."""
    return (
        *_head_member(frame),
        *(_back_stud(frame, pocket) for pocket in frame.pockets),
        *(() if frame.jamb is None else (_closing_jamb(frame, frame.jamb),)),
        *(rib for pocket in frame.pockets for rib in _ribs(frame, pocket)),
        *(batten for pocket in frame.pockets for batten in _battens(frame, pocket)),
        *_head_strips(frame),
        *_packers(frame),
    )


def _piece(
    frame: FrameSetOut,
    role: Role,
    name: str,
    blocks: tuple[Block, ...],
    section: tuple[float, float],
    *,
    key: str,
    where: str,
    lies: Literal["x", "z"] = "z",
    side: Side = "",
    face: Literal["A", "B", ""] = "",
    at_mouth: bool = False,
    making: str = "",
) -> Member:
    """A piece of the frame: cut from what is sold in its section, or part of a kit."""
    sold = frame.stock(section)
    cut_down = "" if frame.bought_in else sold.making
    return Member(
        key=f"frame.{key}", name=name, role=role, blocks=blocks, lies=lies, label=role,
        where=where, section=section, stock="" if frame.bought_in else sold.code,
        bought_in=frame.bought_in, side=side, face=face, at_mouth=at_mouth,
        making="; ".join(filter(None, (cut_down, making))),
    )  # fmt: skip


def _head_member(frame: FrameSetOut) -> Iterator[Member]:
    """What the track hangs under, from the lowest piece up where it is made of several."""
    whole, y, count = frame.frame, frame.y, frame.head_pieces
    deep = (frame.top - frame.under) / count
    for number in range(count):
        low = frame.under + deep * number
        yield _piece(
            frame, "head member", f"head member, {_PLACES[count][number]}".rstrip(", "),
            (box(whole.low, whole.high, y.low, y.high, low, low + deep),), (deep, y.length),
            key="head", lies="x", where="top of the frame, from end to end",
            making=_laid_flat(count),
        )  # fmt: skip


def _laid_flat(count: int) -> str:
    """How a head member of several pieces becomes one (common practice, no source)."""
    return f"{count} laid flat one on the other, glued and screwed together" if count > 1 else ""


def _back_stud(frame: FrameSetOut, pocket: PocketSetOut) -> Member:
    x, y = pocket.back_stud, frame.y
    solid = box(x.low, x.high, y.low, y.high, frame.bottom, frame.under)
    return _piece(
        frame, "back stud", f"back stud, {pocket.side}", (solid,), (x.length, y.length),
        key="back-stud", side=pocket.side, where="back of each pocket, under the head member",
    )  # fmt: skip


def _closing_jamb(frame: FrameSetOut, jamb: Span) -> Member:
    return _piece(
        frame, "closing jamb", "closing jamb", tuple(_grooved(frame, jamb)),
        (jamb.length, frame.y.length), key="jamb", making=frame.groove_told,
        side="right" if jamb.middle > frame.centre else "left",
        where="closing side, under the head member",
    )  # fmt: skip


def _grooved(frame: FrameSetOut, jamb: Span) -> Iterator[Block]:
    """The closing jamb, as three blocks about the groove that the leaf runs into."""
    y, z = frame.y, (frame.bottom, frame.under)
    groove: Groove | None = frame.groove
    if groove is None or groove.depth < LEAST:
        yield box(jamb.low, jamb.high, y.low, y.high, *z)
        return
    right = jamb.middle > frame.centre
    floor = jamb.low + groove.depth if right else jamb.high - groove.depth
    cheek = (jamb.low, floor) if right else (floor, jamb.high)
    behind = (floor, jamb.high) if right else (jamb.low, floor)
    yield box(*cheek, y.low, groove.y.low, *z)
    yield box(*cheek, groove.y.high, y.high, *z)
    if behind[1] - behind[0] > LEAST:
        yield box(*behind, y.low, y.high, *z)


def _ribs(frame: FrameSetOut, pocket: PocketSetOut) -> Iterator[Member]:
    """The ribs of a pocket on both faces, on a base batten where the frame is made on site."""
    half = pocket.rib_width / 2
    foot = frame.bottom + (pocket.rib_width if frame.batten else 0.0)
    mouth = min(pocket.rib_centres, key=lambda x: abs(x - pocket.mouth), default=0.0)
    faces: tuple[tuple[Literal["A", "B"], Span], ...] = (("A", frame.ribs[0]), ("B", frame.ribs[1]))
    for face, y in faces:
        for number, centre in enumerate(pocket.rib_centres, 1):
            solid = box(centre - half, centre + half, y.low, y.high, foot, frame.under)
            yield _piece(
                frame, "rib", f"rib {number} on side {face}, {pocket.side} pocket", (solid,),
                (y.length, pocket.rib_width), key="rib", side=pocket.side, face=face,
                at_mouth=centre == mouth,
                where="both sides of each pocket, from base batten to head member",
            )  # fmt: skip


def _battens(frame: FrameSetOut, pocket: PocketSetOut) -> Iterator[Member]:
    if not frame.batten:
        return
    faces: tuple[tuple[Literal["A", "B"], Span], ...] = (("A", frame.ribs[0]), ("B", frame.ribs[1]))
    x, z = pocket.inside, (frame.bottom, frame.bottom + pocket.rib_width)
    for face, y in faces:
        yield _piece(
            frame, "base batten", f"base batten on side {face}, {pocket.side} pocket",
            (box(x.low, x.high, y.low, y.high, *z),), (y.length, pocket.rib_width), key="base",
            lies="x", side=pocket.side, face=face, where="foot of both sides of each pocket",
        )  # fmt: skip


def _head_strips(frame: FrameSetOut) -> Iterator[Member]:
    """Behind the lining and the head of the trim over the clear opening, where these hang under the
    head member: one at each face, in line with the ribs, clear of track and leaf."""
    if frame.clear_head is None or frame.under - frame.clear_head < LEAST_STRIP:
        return
    x, z = frame.opening, (frame.clear_head, frame.under)
    faces: tuple[tuple[Literal["A", "B"], Span], ...] = (("A", frame.ribs[0]), ("B", frame.ribs[1]))
    stock, making = frame.strip
    for face, y in faces:
        yield Member(
            key="head-strip", name=f"head strip on side {face}", role="head strip", lies="x",
            blocks=(box(x.low, x.high, y.low, y.high, *z),), label="head strip", face=face,
            where="under the head member over the clear opening, one at each face, outer face in "
            "line with the ribs; its lower edge is where the lining ends",
            stock=stock, making=making, section=(y.length, z[1] - z[0]),
        )  # fmt: skip


def _packers(frame: FrameSetOut) -> Iterator[Member]:
    """Under the frame and nowhere else: never out in the clear opening or beside the frame."""
    whole, opening = frame.frame, frame.opening
    for label, x, floor, height in frame.packs:
        if height <= LEAST:
            continue
        room = (whole.low, opening.low) if x < frame.centre else (opening.high, whole.high)
        low, high = max(x - PACKER_WIDTH / 2, room[0]), min(x + PACKER_WIDTH / 2, room[1])
        yield Member(
            key="packers", name=f"packers, {label}", role="packers", lies="z", label="packers",
            blocks=(box(low, high, frame.y.low, frame.y.high, floor, floor + height),),
            where="from the floor to the level line", bought_in="packers",
        )  # fmt: skip
