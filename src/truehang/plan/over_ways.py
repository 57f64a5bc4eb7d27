"""What else could be done about what is over the opening, what would it come to, and what is in the
way of it?

Beside a new head under it and hanging off it: a higher leaf close under it, a new head in its
place, a new head beside it. Each is worked out for the same kit and leaf, to be compared; which is
taken is the carpenter's and, where the wall carries load, the engineer's choice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.fit import Arrangement, Option
from truehang.hardware import LeafHardware
from truehang.job import Job
from truehang.lengths import between, said, said_between
from truehang.message import message, messages
from truehang.plan.carry import LEAST_HEAD, bearing_head, keeps_true, lightest, track_head
from truehang.plan.over_model import PACK_MOST, HeadWay, There, Way, stiffness
from truehang.shapes import Span
from truehang.structure import PRELIMINARY, described
from truehang.words import word

STEEL_PLATE = 35.0
"""Least timber that is bolted to steel for a frame to be screwed to, mm (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """The same kit and leaf, fitted anew."""

    option: Option
    fit: Arrangement
    hung: tuple[LeafHardware, ...]


Refit = Callable[[float, float, bool], Fitted | None]
"""Fits the same kit and leaf anew: under this z (mm), with so much (mm) kept for a head, and, where
True, as high as it goes whatever clear height was wished."""


@dataclass(frozen=True, slots=True)
class OtherWays:
    """Works out what else could be done about what is `there`."""

    job: Job
    catalogue: Catalogue
    region: Region
    there: There
    fit: Arrangement
    option: Option
    hung: tuple[LeafHardware, ...]
    limit: float
    jambs: tuple[float, float]
    bears: bool
    refit: Refit

    def ways(self) -> tuple[HeadWay, ...]:
        """Every other way, what can't be done among them with its reason; () where nobody knows
        what is there."""
        if self.job.wall.over.kind == "unknown" or self.job.wall.situation != "fill-opening":
            return ()
        return (*self._higher(), self._replaced(), self._beside())

    # ------------------------------------------------------------ close under it

    def _higher(self) -> Iterator[HeadWay]:
        """Where the frame is packed down a long way: the leaf that would go close under it."""
        packing = self.there.way.packing or 0.0
        if packing <= PACK_MOST:
            return
        new = self.refit(self.limit, 0.0, True)
        if new is None or new.fit.heights.head_top <= self.fit.heights.head_top + 0.5:
            return
        made = replace(
            self.there.way,
            way="higher",
            leaf_height=new.fit.leaves[0].height,
            clear_height=new.option.clear_height,
            packing=self.limit - new.fit.heights.head_top,
            price_minor=new.option.price_minor,
        )
        yield replace(made, clashes=messages(hung_clashes(self.job, made, self.bears)))

    # ------------------------------------------------------------ in its place

    def _replaced(self) -> HeadWay:
        depth = self.job.wall.over.depth
        if depth is None:
            return self._not("replace", "how deep what is there is was not read (wall.over.depth)")
        top = self.limit + depth
        return self._carrying(top) if self.bears else self._bare(top)

    def _bare(self, top: float) -> HeadWay:
        """A new head that carries the door only, up to the old one's top."""
        for keep in self._depths():
            new = self.refit(top, keep, False)
            if new is None:
                break
            room = top - new.fit.heights.rough_head
            head = track_head(new.fit, self.catalogue, self.region, new.hung, room)
            if head.choice is not None and keeps_true(head.movement):
                member = head.choice.member
                return self._way(
                    "replace", new, member.name, head.choice.price, stiffness(member),
                    new.fit.opening.length,
                )  # fmt: skip
        return self._not("replace", f"no {word('timber')} that is sold here goes in and holds")

    def _carrying(self, top: float) -> HeadWay:
        """A new head that carries the building too; nobody sizes one for loads that are unknown."""
        new = self.refit(top, 0.0, False)
        span = Span(*self.jambs)
        sizing = None if new is None else bearing_head(
            self.job, replace(new.fit, rough=span), self.catalogue, self.region, new.hung, top
        )  # fmt: skip
        if new is None or sizing is None:
            return self._not(
                "replace", "it counts as carrying load, and what bears on it is not known "
                "(wall.evidence.loads): no head is sized for it",
            )  # fmt: skip
        big = sizing.cheapest
        if big is None:
            return self._not("replace", "no section sold carries what bears on it in the room")
        return self._way(
            "replace", new, f"{described(big)} ({PRELIMINARY})", big.price, None, span.length
        )

    # ------------------------------------------------------------ beside it

    def _beside(self) -> HeadWay:
        """A head of its own next to it in the wall: what is there goes on as it is."""
        over, stud = self.job.wall.over, self.fit.wall.stud
        if over.breadth is None:
            return self._not("beside", "how thick what is there is was not read "
                             "(wall.over.breadth)")  # fmt: skip
        room = stud - over.breadth
        found = lightest(
            self.fit, self.catalogue, self.region, self.hung, self.jambs, (math.inf, room)
        ) if room > 0 else None  # fmt: skip
        if found is None:
            return self._not(
                "beside", f"what is there is {said(over.breadth)} through a wall of "
                f"{said(stud)} studs: {said(max(room, 0.0))} is left beside it, and nothing sold "
                "that thin holds",
            )  # fmt: skip
        choice = found.choice
        same = Fitted(self.option, self.fit, self.hung)
        way = self._way("beside", same, choice.member.name, choice.price,
                        stiffness(choice.member), self.jambs[1] - self.jambs[0])  # fmt: skip
        return replace(way, packing=self.there.way.packing)

    # ------------------------------------------------------------ of each

    def _depths(self) -> Sequence[float]:
        sold = self.catalogue.timber_in(self.region).sawn
        return sorted(
            {
                s.depth
                for s in sold
                if s.depth >= LEAST_HEAD and s.breadth <= self.fit.wall.stud + 0.5
            }
        )

    def _way(
        self, way: Way, new: Fitted, member: str, price: int, stiff: float | None, span: float
    ) -> HeadWay:
        made = HeadWay(
            way=way,
            possible=True,
            why_not=message(""),
            member=message(member),
            span=span,
            leaf_height=new.fit.leaves[0].height,
            clear_height=new.option.clear_height,
            packing=new.fit.heights.rough_head - new.fit.heights.head_top,
            price_minor=new.option.price_minor + price,
            currency=new.option.currency,
            option=new.option.key,
            stiffness=stiff,
        )
        return replace(made, clashes=tuple(messages(self._clashes(made))))

    def _not(self, way: Way, why: str) -> HeadWay:
        span = self.jambs[1] - self.jambs[0]
        return HeadWay(way, False, message(why), message(""), span)

    def _clashes(self, way: HeadWay) -> Iterator[str]:
        """What is in the way up there, and what has to be done for it."""
        deep = self.job.wall.over.depth or 0.0
        yield from services_over(self.job, self.jambs, self.limit, self.limit + deep)
        if way.way == "replace":
            yield (
                "what bears on it is propped on both sides before it comes out, as the engineer "
                "says"
                if self.bears
                else "it comes out, and what rests on it is looked at first"
            )
        else:
            yield "it stands on studs of its own at both ends and is fixed to nothing that is there"


def services_over(job: Job, ends: tuple[float, float], low: float, high: float) -> Iterator[str]:
    """Each service that stands or runs over the opening between two heights (mm)."""
    for one in job.wall.services:
        left, right = one.x - one.width / 2, one.x + one.width / 2
        if right < ends[0] or left > ends[1]:
            continue
        foot, top = one.z - one.height / 2, one.z + one.height / 2
        reaches = (top if one.runs != "up" else float("inf")) > low and (
            foot if one.runs != "down" else float("-inf")
        ) < high
        if reaches:
            yield f"{one.id} at x {said(one.x)}, z {said(one.z)} is moved first"


def hung_clashes(job: Job, way: HeadWay, bears: bool) -> tuple[str, ...]:
    """What has to be done to hang a frame off what is there."""
    made = []
    packing = way.packing or 0.0
    if job.wall.over.kind == "steel":
        lower = said_between(packing, STEEL_PLATE)
        made.append(
            f"{word('timber')} of {said(STEEL_PLATE)} at least is bolted to it as its engineer "
            "says, for the frame to be screwed to"
            + (
                f"; there is room for {said(max(packing, 0.0))}: the frame is {lower} "
                "lower, or is bolted straight up as its engineer says"
                if between(packing, STEEL_PLATE) > 0
                else ""
            )
        )
    if packing > PACK_MOST:
        made.append(f"{said(packing)} of solid packing over the whole head, fixed through")
    if bears:
        made.append("nothing is packed tight between it and the ribs")
    if job.wall.over.capacity is None:
        made.append("an engineer says that it may carry the leaves too" if bears else
                    "nobody gave what it may carry")  # fmt: skip
    return tuple(made)
