"""Which pieces go in about the frame: studs and head of the rough opening, and what fills the rest?

A stud stands on the floor under its own foot, or on the plate that is under it; nothing reaches
over what is over the opening.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from truehang.framing.found import IN_PLACE, stands_behind, with_found
from truehang.framing.head import (
    LEAST_PACKING,
    head_members,
    head_span,
    over_members,
    under_plate,
)
from truehang.framing.model import OpeningSetOut
from truehang.lengths import said
from truehang.members import Member, Role
from truehang.shapes import Block, Span, box
from truehang.words import word

LEAST_INFILL = 90.0
"""Narrower than two usual studs, or than one of this wall, an infill is packed solid instead of
studded, mm."""
LEAST_BACKING = 20.0
"""A narrower strip holds no row of screws, mm (common practice, no source)."""
TOUCH = 1e-6


def opening_members(at: OpeningSetOut) -> tuple[Member, ...]:
    """Every piece about the frame: what goes in, what is there, what comes out."""
    sides = [_Side(at, "left"), _Side(at, "right")]
    beside = [member for one in sides for member in one.members()]
    whole = _top_plate(at) if at.situation == "divide" else ()
    new = (*beside, *head_members(at), *whole, *over_members(at))
    made = with_found(at, new)
    return (*made, *_there(at, made))


def jamb_studs(at: OpeningSetOut, room: float) -> int:
    """How many studs stand up to the head on a side with so much room: those its load asks for,
    else one, where there is room for one. Where there is none the old jamb, or the wall that the
    run ends at, does."""
    if at.head is not None and at.head.studs:
        return at.head.studs
    return 1 if room >= at.stud.breadth - TOUCH else 0


class _Side:
    """What stands on one side of the rough opening, from the opening outwards."""

    def __init__(self, at: OpeningSetOut, side: Literal["left", "right"]) -> None:
        self.at, self.side = at, side
        left = side == "left"
        self.way = -1.0 if left else 1.0
        self.edge = at.rough.low if left else at.rough.high
        self.room = at.rough.low - at.room.low if left else at.room.high - at.rough.high
        self.studs = jamb_studs(at, self.room)
        spans = [s for s in at.infill if (s.low < at.rough.low) == left]
        self.infill = spans[0] if spans else None
        self.number = at.infill.index(spans[0]) + 1 if spans else 0
        self.where = f"{side} of the frame"

    def out(self, start: float, end: float) -> Span:
        """The stretch from `start` to `end` mm outwards from the rough opening."""
        one, other = self.edge + self.way * start, self.edge + self.way * end
        return Span(min(one, other), max(one, other))

    def _from(self, x: float) -> float:
        """How far outwards from the rough opening an x is, mm."""
        return self.way * (x - self.edge)

    def members(self) -> Iterator[Member]:
        """Jamb studs, a king stud under a load, and what fills the rest."""
        at, breadth = self.at, self.at.stud.breadth
        plate = self._bottom_plate() if at.situation == "divide" else None
        foot = plate.z.high if plate is not None else None
        for number in range(self.studs):
            which = f" {number + 1}" if self.studs > 1 else ""
            yield self._upright(
                ("jamb stud", f"stud{which} beside the rough opening, {self.side}"),
                self.out(breadth * number, breadth * (number + 1)), self._stud_top(), foot,
                label="stud beside the rough opening",
                where=f"at the ends of the head, from {self._on(foot)} to head",
            )  # fmt: skip
        done = breadth * self.studs
        if (at.head is not None and at.head.studs) or self._ties(done):
            yield self._upright(
                ("king stud", f"stud to the ceiling, {self.side}"), self.out(done, done + breadth),
                under_plate(at), foot, label="full-height stud beside the head",
                where=f"past each end of the head, from {self._on(foot)} to the plate under the "
                "ceiling" + ("; read its underside there once it is open, and cut to that"
                             if at.cut else ""),
            )  # fmt: skip
            done += breadth
        if at.cut and self.infill is None:
            yield from self._backing(done)
        if plate is not None:
            yield plate
            yield from self._wall(self.out(done, self.room), plate.z.high)
        elif self.infill is not None:
            far, near = sorted((self._from(self.infill.low), self._from(self.infill.high)),
                               reverse=True)  # fmt: skip
            if far - max(done, near) > LEAST_PACKING:
                yield from self._filled(self.out(max(done, near), far))

    def _ties(self, done: float) -> bool:
        """Does a stud from plate to plate hold a side of a new wall that carries nothing? In a wall
        that is cut the backing does, or a stud that was found there; in an old opening its jamb."""
        return self.at.situation == "divide" and self.room - done >= self.at.stud.breadth - TOUCH

    # ------------------------------------------------------------ single pieces

    def _stud_top(self) -> float:
        """Under the new head, or up to what is there that the track hangs from."""
        return self.at.limit if self.at.hung_there else self.at.rough_head

    def _nailed(self, foot: float | None, top: float) -> int:
        """How many ends of an upright are nailed: a foot that stands on a plate, and a top that
        meets timber, not steel or masonry."""
        at = self.at
        under = at.there if at.hung_there and abs(top - at.limit) < TOUCH else None
        return int(foot is not None) + int(under is None or under.timber)

    @staticmethod
    def _on(foot: float | None) -> str:
        """What an upright stands on, as it is called."""
        return "floor" if foot is None else "plate"

    def _standing(self, x: Span, top: float, foot: float | None) -> Block:
        """A piece over the whole stud space up to `top`, from the floor or from `foot`."""
        bottom = self.at.ground.under(x) if foot is None else (foot, foot)
        return Block(x.low, x.high, self.at.y.low, self.at.y.high, bottom, (top, top))

    def _upright(
        self, called: tuple[Role, str], x: Span, top: float, foot: float | None,
        *, label: str, where: str,
    ) -> Member:  # fmt: skip
        stud, (role, name) = self.at.stud, called
        return Member(
            key=role.replace(" ", "-"), name=name, role=role, lies="z", label=label, where=where,
            blocks=(self._standing(x, top, foot),), stock=stud.stock,
            section=(stud.breadth, stud.depth), side=self.side, nailed=self._nailed(foot, top),
        )  # fmt: skip

    def _plate(self, key: str, name: str, label: str, x: Span) -> Member:
        """A plate lies level, on the highest of the floor under it."""
        at = self.at
        low = at.ground.highest(x)
        return Member(
            key=key, name=name, role="plate", lies="x", label=label,
            where=f"on the floor, {self.where}", stock=at.stud.stock,
            section=(at.stud.breadth, at.stud.depth), side=self.side,
            blocks=(box(x.low, x.high, at.y.low, at.y.high, low, low + at.stud.breadth),),
        )  # fmt: skip

    def _packing(self, key: str, name: str, label: str, x: Span, foot: float | None) -> Member:
        """A stud ripped to a rest that is too narrow for a whole one."""
        stud, top = self.at.stud, self._top_at(x)
        return Member(
            key=key, name=name, role="packing", lies="z", label=label,
            where=f"{self.where}, from {self._on(foot)} to head",
            blocks=(self._standing(x, top, foot),),
            stock=stud.stock, section=(stud.breadth, stud.depth), rip=round(x.length, 1),
            making=f"rip its {said(stud.breadth, 1)} face to {said(x.length)}", side=self.side,
        )  # fmt: skip

    def _top_at(self, x: Span) -> float:
        """How far up a piece goes: under the head where that reaches over it, else right up."""
        over = head_span(self.at)
        under = over is not None and x.low < over.high - TOUCH and over.low < x.high - TOUCH
        if under or over is None:
            return self._stud_top()
        return under_plate(self.at) if self.at.situation == "divide" else self.at.limit

    def _backing(self, done: float) -> Iterator[Member]:
        """Behind the edge of the lining that stays: the new lining's edge has the outermost new
        stud, and nothing that was there need stand next to it. Where an old opening is filled the
        old jamb does."""
        at, stud = self.at, self.at.stud
        done = self._past_found(done)
        wide = min(self.room - done, stud.breadth)
        place = self.out(done, done + stud.breadth)
        old = at.old is not None and at.old.low < place.high and place.low < at.old.high
        if wide < LEAST_BACKING or old or stands_behind(at, place, self.side):
            return
        x = self.out(done, done + wide)
        ripped = wide < stud.breadth - TOUCH
        foot = at.ground.highest(x) + (at.plate_there or stud.breadth)
        yield Member(
            key="backing" + (f"-{self.side}" if ripped else ""), name=f"backing stud, {self.side}",
            role="backing", lies="z", label="backing for the edge of the lining that stays",
            where="against the outermost new stud, which it holds upright, from the plate on the "
            "floor to the plate under the ceiling; read between them once it is open, and cut to "
            "that",
            blocks=(self._standing(x, under_plate(at), foot),), stock=stud.stock,
            section=(stud.breadth, stud.depth), rip=round(wide, 1) if ripped else None,
            making=f"rip its {said(stud.breadth, 1)} face to {said(wide)}" if ripped else "",
            side=self.side, nailed=2,
        )  # fmt: skip

    def _past_found(self, done: float) -> float:
        """The same, or where a found stud ends that takes the new one's place and reaches a little
        further."""
        far = [self._from(one.x.low if self.side == "left" else one.x.high)
               for one in self.at.found if one.what == "stud"]  # fmt: skip
        return max((end for end in far if done < end <= done + IN_PLACE), default=done)

    def _row(self, called: tuple[Role, str], rest: Span, width: float, ends: tuple[float, float],
             *, label: str, where: str) -> Iterator[Member]:  # fmt: skip
        """Studs over a rest: the first against its far end, the others at even spaces towards the
        door. As many as the spacing asks for over `width`, and as there is room for."""
        stud, (role, name), (foot, top) = self.at.stud, called, ends
        count = min(math.ceil(width / stud.spacing), int((rest.length + TOUCH) / stud.breadth))
        for number in range(count):
            step = rest.length / count * number
            low = rest.low + step if self.side == "left" else rest.high - stud.breadth - step
            yield self._upright(
                (role, f"{name} {number + 1}, {self.side}"), Span(low, low + stud.breadth), top,
                foot, label=label, where=where,
            )  # fmt: skip

    # ------------------------------------------------------------ what fills the rest

    def _filled(self, rest: Span) -> Iterator[Member]:
        """A narrow rest of an old opening is packed solid, a wide one gets a plate and studs."""
        assert self.infill is not None
        if self.infill.length < max(LEAST_INFILL, self.at.stud.breadth):
            if rest.length > LEAST_PACKING:
                yield self._packing(
                    f"infill-packing-{self.number}", f"infill packed solid, {self.side}",
                    "ripped stud that packs a narrow infill solid", rest, None,
                )  # fmt: skip
            return
        plate = self._plate(
            f"infill-plate-{self.number}", f"plate of the infill, {self.side}",
            f"{word('bottom-plate')} of infill {self.number}", rest,
        )  # fmt: skip
        yield plate
        breadth = self.at.stud.breadth
        gap = rest.length - breadth
        if LEAST_PACKING < gap < breadth:  # no room for a second stud, yet nothing holds the first
            near = (rest.high - gap, rest.high) if self.side == "left" else (
                rest.low, rest.low + gap)  # fmt: skip
            yield self._packing(
                f"infill-packing-{self.number}", f"packing in the infill, {self.side}",
                "ripped stud between the studs of a narrow infill", Span(*near), plate.z.high,
            )  # fmt: skip
        yield from self._row(
            ("infill stud", "stud of the infill"), rest, self.infill.length,
            (plate.z.high, self._top_at(rest)), label="stud in the infill",
            where="in the infill, from its plate to what is over the opening",
        )  # fmt: skip

    def _bottom_plate(self) -> Member | None:
        """The plate of a new wall on this side: it stops at the rough opening."""
        if self.room <= 0.5:
            return None
        number = 2 if self.side == "right" and self.at.rough.low - self.at.room.low > 0.5 else 1
        return self._plate(
            f"wall-plate-{number}", f"plate of the new wall, {self.side}",
            f"{word('bottom-plate')} of the new wall", self.out(0.0, self.room),
        )  # fmt: skip

    def _wall(self, rest: Span, foot: float) -> Iterator[Member]:
        at, breadth = self.at, self.at.stud.breadth
        top = under_plate(at)
        if LEAST_PACKING < rest.length < breadth - TOUCH:
            yield self._packing(
                f"wall-packing-{self.side}", f"packing of the new wall, {self.side}",
                "ripped stud that packs the end of the new wall solid", rest, foot,
            )  # fmt: skip
            return
        yield from self._row(
            ("wall stud", "stud of the new wall"), rest, rest.length, (foot, top),
            label="stud of the new wall", where="beside the rough opening, between the plates",
        )  # fmt: skip


def _top_plate(at: OpeningSetOut) -> tuple[Member, ...]:
    """Under the ceiling, along the whole of a new wall; cut where what is there reaches into it."""
    stud, y, low = at.stud, at.y, at.ceiling - at.stud.breadth
    spans, where = {"": at.room}, "under the ceiling, along the whole wall"
    if at.there is not None and at.there.under + at.there.depth > low + TOUCH:
        where = "under the ceiling, up to what is there over the opening"
        spans = {
            ", left": Span(at.room.low, at.rough.low),
            ", right": Span(at.rough.high, at.room.high),
        }
    return tuple(
        Member(
            key="wall-plate-top", name=f"top plate of the new wall{side}", role="plate", lies="x",
            label=f"{word('top-plate')} of the new wall", where=where,
            blocks=(box(x.low, x.high, y.low, y.high, low, at.ceiling),), stock=stud.stock,
            section=(stud.breadth, stud.depth),
        )
        for side, x in spans.items()
        if x.length > 0.5
    )  # fmt: skip


def _there(at: OpeningSetOut, made: tuple[Member, ...]) -> Iterator[Member]:
    """What is over an old opening, and the plate that is cut out of a wall for a new one."""
    y, rough = at.y, at.rough
    if at.there is not None:
        x = at.room if at.situation == "fill" else rough
        under = at.there.under
        yield Member(
            key="there.head", name=f"{at.there.label} that is there", role="head", lies="x",
            origin="there already", label=at.there.label, where="over the opening",
            blocks=(box(x.low, x.high, y.low, y.high, under, under + at.there.depth),),
        )  # fmt: skip
    if at.cut:
        yield from _plate_between(at, made)


def _plate_between(at: OpeningSetOut, made: tuple[Member, ...]) -> Iterator[Member]:
    """The plate on the floor that is cut out between the marks, and under the new studs, which
    stand on the floor; an old opening has none."""
    depth = at.plate_there or at.stud.breadth
    old = at.old
    feet = [m.x for m in made if m.origin == "new" and m.role in ("jamb stud", "king stud")]
    cut = Span(min([at.rough.low, *(x.low for x in feet)]),
               max([at.rough.high, *(x.high for x in feet)]))  # fmt: skip
    parts = [cut]
    if old is not None and old.low < cut.high and old.high > cut.low:
        parts = [Span(cut.low, old.low), Span(old.high, cut.high)]
    parts = [x for x in parts if x.length > LEAST_PACKING]
    for number, x in enumerate(parts, 1):
        low = at.ground.highest(x)
        which = f" {number}" if len(parts) > 1 else ""
        yield Member(
            key="there.plate", name=f"plate between the marks{which}", role="plate", lies="x",
            origin="comes out", label=f"{word('bottom-plate')} between the marks",
            where="on the floor, in the rough opening and under the new studs beside it",
            blocks=(box(x.low, x.high, at.y.low, at.y.high, low, low + depth),),
        )  # fmt: skip
