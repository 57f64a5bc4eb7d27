"""What goes in over the frame: the head in its plies, packing down to it, short studs over it?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from truehang.framing.model import OpeningSetOut
from truehang.lengths import said
from truehang.members import Member
from truehang.shapes import Span, box

PLY_FIXING = 300.0
"""How far the nails that join plies are apart along them, mm (common practice, no source)."""
LEAST_OVER = 60.0
"""Lower than this, what is over the head is packed solid, mm."""
LEAST_PACKING = 3.0
"""What is lower or narrower than this is packed with packers, mm."""
ROOM_TO_COME_DOWN = 10.0
"""What is kept over the short studs of a new head where what is over them carries load and comes
down, mm (common practice, no source)."""
LEAST_BEARING = 20.0
"""A strip narrower than this is no seat for an end of a head, mm (common practice, no source)."""
_AS_READ = "read the underside of the plate once it is open, and cut to that"
"""What the plate of a wall that stands is taken to be is not what it is."""


def head_span(at: OpeningSetOut) -> Span | None:
    """From where to where the head reaches: over the studs under its ends, as far as an old
    opening, or the run, lets it."""
    if at.head is None:
        return None
    reach = at.stud.breadth * max(at.head.studs, 1)
    rooms = at.rough.low - at.room.low, at.room.high - at.rough.high
    if at.head.studs:
        return Span(at.rough.low - reach, at.rough.high + reach)
    left, right = (min(reach, max(room, 0.0)) for room in rooms)
    return Span(at.rough.low - left, at.rough.high + right)


def head_members(at: OpeningSetOut) -> Iterator[Member]:
    """Each ply of the head, side by side in the middle of the wall."""
    span, head = head_span(at), at.head
    if span is None or head is None:
        return
    depth = head.depth or 0.0
    told = f", {head.stock}" if head.stock else ""
    told += ", preliminary" if head.preliminary else ""
    breadth = head.breadth or at.y.length
    first = at.y.middle - head.plies * breadth / 2
    for ply in range(head.plies):
        y = Span(first + ply * breadth, first + (ply + 1) * breadth)
        yield Member(
            key="head", name=f"head over the frame, ply {ply + 1}{told}", role="head", lies="x",
            label="head over the frame", stock=head.stock, making=_joined(head.plies),
            where="over the rough opening, level" + _in_the_wall(head.plies * breadth, at)
            + _unseated(at, span),
            section=(breadth, depth) if depth else None, preliminary=head.preliminary,
            nailed=2 - len(_bare_ends(at, span)),
            blocks=(
                box(span.low, span.high, y.low, y.high, at.rough_head, at.rough_head + depth),
            ),
        )  # fmt: skip


def _joined(plies: int) -> str:
    """How a head of several plies becomes one (common practice, no source)."""
    if plies < 2:
        return ""
    apart = said(PLY_FIXING)
    return f"{plies} side by side, edges flush, nailed together in two rows, {apart} apart"


def _in_the_wall(breadth: float, at: OpeningSetOut) -> str:
    """Where a head that is thinner than the wall's studs stands: over the track."""
    thin = breadth < at.y.length - 1
    return "; in the middle of the wall's thickness, over the track" if thin else ""


def _unseated(at: OpeningSetOut, span: Span) -> str:
    """What an end of the head needs where there is no room for a stud under it."""
    bare = _bare_ends(at, span)
    if not bare:
        return ""
    many = len(bare) > 1
    return (
        f"; no stud stands under its {' and '.join(bare)} {'ends' if many else 'end'}: "
        f"{'each sits' if many else 'it sits'} in a timber hanger of the head's size on what "
        "stands beside it, fixed as the hanger's own sheet says"
    )


def _bare_ends(at: OpeningSetOut, span: Span) -> list[str]:
    """The ends of the head that have no room for a stud under them: they hang."""
    if at.head is None or at.head.studs:
        return []
    seats = {"left": at.rough.low - span.low, "right": span.high - at.rough.high}
    return [side for side, seat in seats.items() if seat < LEAST_BEARING]


def over_members(at: OpeningSetOut) -> Iterator[Member]:
    """What is between the frame or its head and what is over the opening."""
    if at.hung_there:
        yield from _packed_down(at)
        return
    if at.head is not None and at.head.depth is None:
        return  # how high it reaches is not known yet
    depth = (at.head.depth or 0.0) if at.head else 0.0
    foot, top = at.rough_head + depth, _over(at)
    if top - foot < LEAST_OVER:
        if at.situation != "fill":
            yield from _packed_up(at, foot, top)
        return
    stud, over = at.stud, head_span(at) or at.rough
    where = "from the head to the plate over it" + (f"; {_AS_READ}" if at.cut else "")
    free = at.comes_down and at.situation == "fill"
    if free:
        top -= ROOM_TO_COME_DOWN
        where = (
            f"fixed to the head alone: {said(ROOM_TO_COME_DOWN)} stays free over it, under what "
            "carries load"
        )
    count = min(math.ceil(over.length / stud.spacing) + 1, int(over.length / stud.breadth))
    for number in range(count):
        low = over.low + (over.length - stud.breadth) / max(count - 1, 1) * number
        yield Member(
            key="short-stud", name=f"short stud {number + 1} over the head", role="short stud",
            lies="z", label="short stud over the head", stock=stud.stock, nailed=1 + (not free),
            where=where, section=(stud.breadth, stud.depth),
            blocks=(box(low, low + stud.breadth, at.y.low, at.y.high, foot, top),),
        )  # fmt: skip


def _over(at: OpeningSetOut) -> float:
    """What short studs run up to: the top plate of the wall, or what is over the opening."""
    if at.situation == "fill":
        return at.limit
    plate = under_plate(at)
    return plate if at.there is None else min(plate, at.there.under)


def under_plate(at: OpeningSetOut) -> float:
    """The underside of the plate under the ceiling: a new wall's own, or that of the wall."""
    return at.ceiling - (at.stud.breadth if at.situation == "divide" else at.plate)


def _packed_up(at: OpeningSetOut, foot: float, top: float) -> Iterator[Member]:
    """The timber between a head and the plate over it where short studs are too short: without it
    nothing that stands on the plate reaches the head."""
    span, height = head_span(at), top - foot
    if span is None or height < LEAST_PACKING:
        return
    pieces = math.ceil(height / at.stud.breadth - 1e-9) if at.stud.stock else 1
    each = height / pieces
    read = f"; {_AS_READ}" if at.cut else ""
    for piece in range(pieces):
        z = foot + each * piece
        yield Member(
            key="over-head-packing", name=f"packing over the head, {piece + 1}", role="packing",
            lies="x", label="packing over the head", stock=at.stud.stock,
            where="tight between the head and the plate over it, the head's whole length",
            section=(at.stud.breadth, at.stud.depth),
            making=f"rip to {said(each)} thick{read}",
            blocks=(box(span.low, span.high, at.y.low, at.y.high, z, z + each),),
        )  # fmt: skip


def _packed_down(at: OpeningSetOut) -> Iterator[Member]:
    """The timber between the frame's head and what is there, where packers don't reach."""
    if at.packed is None:
        return
    least, most = at.packed
    pieces = math.ceil(least / at.stud.breadth - 1e-9) if at.stud.stock else 1
    each = least / pieces
    more = f", and packers over it to {said(most, 1)} in all" if most - least > 0.5 else ""
    for piece in range(pieces):
        z = at.frame_top + each * piece
        yield Member(
            key="head-packing", name=f"packing over the frame's head, {piece + 1}", role="packing",
            lies="x", label="packing over the frame's head", stock=at.stud.stock,
            where="between the frame's head and what is over the opening",
            section=(at.stud.breadth, at.stud.depth),
            making=f"rip to {said(each)} thick{more}",
            blocks=(
                box(at.frame.low, at.frame.high, at.y.low, at.y.high, z, z + each),
            ),
        )  # fmt: skip
