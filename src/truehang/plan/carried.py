"""How deep is a head that carries load, how many studs stand under it, and how high is the leaf
that it leaves room for?

The head is sized over the rough opening, the leaf and the studs beside it give it room, and the
opening they then make is sized again, until nothing changes. Preliminary, for pricing and for the
engineer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from truehang.figures import Figure
from truehang.findings import Change, Finding, Severity
from truehang.lengths import said
from truehang.measure import Measured
from truehang.money import Money
from truehang.plan.carry import PRACTICE, HungHead, bearing_head, carried_head, evidence, named
from truehang.plan.given import Given
from truehang.plan.over import Fitter, Settled, Try
from truehang.plan.space import ask
from truehang.plan.stud import new_stud
from truehang.plan.weigh import WeighedOption
from truehang.structure import PRELIMINARY, CheckedHead, HeadSizing, described, is_designed

FINAL_RATIO, MOST_DEFLECTION = 300.0, 10.0
"""What a head that carries load may come down in the end: span over this, and mm at most, as it is
sized to (common practice, no source)."""
ROUNDS = 8
"""How often the head is sized again before it is said that it does not settle."""


@dataclass(frozen=True, slots=True)
class _Room:
    """What is kept for the head: its depth (mm; 0: what there is), studs on each side, and how far
    it still comes down on the leaves (mm)."""

    keep: float
    studs: int
    drop: float = 0.0


def settle_carried(given: Given, measured: Measured, first: Try, again: Fitter) -> Settled | None:
    """The options that leave room for the head that is sized for them; None where nothing fits."""
    if not first.weighed:
        return None
    return _Carried(given, measured, first, again).settle()


class _Carried:
    """Sizes the head for the option that comes first, until both stay the same."""

    def __init__(self, given: Given, measured: Measured, first: Try, again: Fitter) -> None:
        self.job, self.catalogue, self.region = given.job, given.catalogue, given.region
        self.measured, self.first, self.again = measured, first, again

    def settle(self) -> Settled:
        tried, room = self.first, _Room(0.0, 2)
        for _ in range(ROUNDS):
            sizing = self._sized(tried.weighed[0], tried.head_limit)
            if sizing is None:
                return self._unsized(tried)
            wanted = self._wanted(tried, sizing, room)
            if wanted == room:
                return self._settled(tried, sizing, room, ())
            other = self._with(wanted)
            if other is None or not other.weighed:
                return self._settled(tried, sizing, room, (self._no_room(tried, wanted),))
            tried, room = other, wanted
        sizing = self._sized(tried.weighed[0], tried.head_limit)
        if sizing is None:
            return self._unsized(tried)
        return self._settled(tried, sizing, room, (_unsettled(sizing),))

    def _sized(self, one: WeighedOption, limit: float) -> HeadSizing | None:
        """The head of this option under this z (mm); None where the loads are not known."""
        return bearing_head(
            self.job, one.arrangement, self.catalogue, self.region, one.hardware, limit
        )

    def _wanted(self, tried: Try, sizing: HeadSizing, room: _Room) -> _Room:
        """What the head of this option needs: never less than was kept before, so that it settles.
        Where none goes in as it is, the shallowest that would."""
        chosen, keep = sizing.cheapest, room.keep
        if chosen is None:
            free = self._sized(tried.weighed[0], math.inf)
            chosen = free.shallowest if free is not None else None
            keep = max(keep, chosen.depth) if chosen is not None else keep
        studs = room.studs if chosen is None else max(room.studs, chosen.studs + 1)
        return _Room(keep, studs, max(room.drop, self._drop(tried, sizing)))

    def _drop(self, tried: Try, sizing: HeadSizing) -> float:
        """How far the head still comes down on a leaf once it hangs, to the tenth above, mm."""
        one = tried.weighed[0]
        head = self._head(one, sizing)
        if head is None:
            return 0.0
        gaps = {gap.leaf: gap.least for gap in one.arrangement.floor_gaps}
        most = max(gaps[leaf.name] - leaf.least_gap for leaf in head.movement.leaves)
        return max(math.ceil(10 * most - 1e-6) / 10, 0.0)

    def _head(self, one: WeighedOption, sizing: HeadSizing) -> HungHead | None:
        return carried_head(
            self.job, one.arrangement, self.catalogue, self.region, one.hardware, sizing
        )

    def _with(self, room: _Room, clear_height: float | None = None) -> Try | None:
        """All options with this room for the head, under another clear height where one is
        given."""
        asked = ask(self.job, self.catalogue, self.region, self.measured, room.studs)
        if asked is None:
            return None
        wishes = asked.request.wishes
        if clear_height is not None:
            wishes = replace(wishes, clear_height=clear_height)
        request = replace(asked.request, head_keep=room.keep, head_drop=room.drop, wishes=wishes)
        return self.again(replace(asked, request=request))

    # ------------------------------------------------------------ what comes of it

    def _unsized(self, tried: Try) -> Settled:
        """Nobody knows what the head must be. The leaf hangs so high that it clears under any head
        that keeps the limits of deflection, and how the head moves is not reckoned."""
        span = tried.weighed[0].arrangement.rough.length
        drop = math.ceil(10 * min(span / FINAL_RATIO, MOST_DEFLECTION)) / 10
        raised = self._with(_Room(0.0, 2, drop))
        if raised is not None and raised.weighed:
            tried = raised
        why = self._why()
        hold = self._unknown_head(tried, why)
        return Settled(tried, None, None, (hold,), (), unsized=why)

    def _unknown_head(self, tried: Try, why: str) -> Finding:
        """What is taken for granted while no head is sized: a hold before the order where the room
        over the leaf may turn out too low for one."""
        heights = tried.weighed[0].arrangement.heights
        drop = tried.asked.request.head_drop
        room = max(tried.head_limit - heights.rough_head, 0.0)
        deepest = max(
            (section.depth for section in self.catalogue.timber_in(self.region).sections),
            default=math.inf,
        )
        designed = is_designed(evidence(self.job).engineer)
        low = room < deepest and not designed
        return Finding(
            Severity.WARN if designed else Severity.HOLD,
            "head",
            f"no head is sized here: {why}. Over the rough head there is {said(room, 1)} for it, "
            f"and the leaf clears the floor while it comes down no more than {said(drop, 1)}",
            "read its depth, and how far it comes down, off the design before a leaf is ordered"
            if designed
            else "give wall.evidence.loads, so that one is sized, or have an engineer design it "
            "and record it in wall.evidence.engineer, before a leaf is ordered",
            PRACTICE,
            before="order" if low else "",
        )

    def _why(self) -> str:
        given = named(self.job)
        if is_designed(evidence(self.job).engineer):
            return "the engineer's design says what it is"
        if given.missing:
            return f"the loads leave out {'; '.join(given.missing)}"
        if given.unknown:
            return f"nobody knows yet {'; '.join(given.unknown)}"
        return "nothing is given of what bears on the wall (wall.evidence.loads)"

    def _settled(
        self, tried: Try, sizing: HeadSizing, room: _Room, more: tuple[Finding, ...]
    ) -> Settled:
        one = tried.weighed[0]
        head = self._head(one, sizing)
        if more and sizing.cheapest is None:
            kept = tuple(f for f in sizing.findings if f.severity < Severity.STOP)
            sizing = replace(sizing, findings=kept)  # said better in `more`
        unsized = "" if head is not None else (
            f"no section sold carries this over {said(one.arrangement.rough.length)} in the room "
            "over the frame"
        )  # fmt: skip
        found = (*more, *(self._ways(tried, sizing.cheapest, room) if sizing.cheapest else ()))
        figures = tuple(_figures(tried, sizing.cheapest)) if sizing.cheapest else ()
        return Settled(tried, head, None, found, figures, sizing=sizing, unsized=unsized)

    def _no_room(self, tried: Try, wanted: _Room) -> Finding:
        """The head that is needed does not go in, and what would make room for it."""
        one = tried.weighed[0]
        over = tried.head_limit - one.arrangement.heights.rough_head
        if wanted.keep > over + 1e-6:
            lower = self._lower(over, wanted)
            what = (
                f"the shallowest head that carries this is {said(wanted.keep)} deep, over the "
                f"frame there is {said(max(over, 0.0), 1)}"
            )
            return Finding(
                Severity.STOP,
                "head",
                f"{what} ({PRELIMINARY})",
                f"set wishes.clear_height to {said(lower)}, or ask an engineer for a shallower "
                "head (steel)"
                if lower is not None
                else "ask an engineer for a shallower head (steel), take a lower leaf or narrow "
                "the opening",
                "geometry of the arrangement",
                changes=() if lower is None else (Change("wishes.clear_height", lower),),
            )
        beside = wanted.studs * new_stud(self.job, self.catalogue, self.region).breadth
        return Finding(
            Severity.STOP,
            "head",
            f"the head stands on {wanted.studs - 1} studs at each end with one more beside them, "
            f"{said(beside)} on each side, and the run has no room for them ({PRELIMINARY})",
            "narrow the clear width, clear an obstacle, or ask the engineer for a post",
            "geometry of the arrangement",
        )

    def _lower(self, over: float, wanted: _Room) -> float | None:
        """The clear height (mm) under which the head goes in; None where none would do."""
        wish = self.first.asked.request.wishes.clear_height
        if wish is None:
            return None
        lower = float(math.floor(wish - (wanted.keep - over)))
        tried = self._with(wanted, lower) if lower > 0 else None
        if tried is None or not tried.weighed:
            return None
        sizing = self._sized(tried.weighed[0], tried.head_limit)
        return lower if sizing is not None and sizing.cheapest is not None else None

    def _ways(self, tried: Try, chosen: CheckedHead, room: _Room) -> Iterator[Finding]:
        """Which head and leaf are planned, and what the other head would come to."""
        plan = _sizes(tried, chosen, tried.weighed[0].option.key)
        other = self._other(tried, chosen, room)
        if not room.keep and not other:
            return
        lost = self.first.weighed[0].arrangement.leaves[0].height
        now = tried.weighed[0].arrangement.leaves[0].height
        why = (
            f"; a leaf of {said(lost)} leaves it no room" if room.keep and lost > now + 0.5 else ""
        )
        yield Finding(
            Severity.NOTE,
            "head",
            f"planned under {plan}{why}{other} ({PRELIMINARY})",
            "give wishes.clear_height to choose the height; the engineer chooses the head",
            PRACTICE,
        )

    def _other(self, tried: Try, chosen: CheckedHead, room: _Room) -> str:
        """The cheapest head of any depth, with the lower leaf that it costs, where it is another
        and saves something."""
        free = self._sized(tried.weighed[0], math.inf)
        deep = free.cheapest if free is not None else None
        if deep is None or deep.depth <= chosen.depth or deep.price >= chosen.price:
            return ""
        lower = self._with(_Room(deep.depth, max(room.studs, deep.studs + 1), room.drop))
        if lower is None or not lower.weighed:
            return f"; {described(deep)} is cheaper, and leaves no room for the leaf"
        sizing = self._sized(lower.weighed[0], lower.head_limit)
        if sizing is None or sizing.cheapest is None:
            return ""
        return f"; or under {_sizes(lower, sizing.cheapest, tried.weighed[0].option.key)}"


def _sizes(tried: Try, chosen: CheckedHead, beside: str) -> str:
    """A head with the leaf under it and the price of both, in words; with its kit and leaf where
    they are others than those `beside` it."""
    one = tried.weighed[0]
    kit = "" if one.option.key == beside else f" ({one.option.key})"
    price = Money(one.option.price_minor + chosen.price, one.option.currency)
    return (
        f"{described(chosen)}{kit}: leaf {said(one.arrangement.leaves[0].height)} "
        f"high, frame, leaves and head {price}"
    )


def _figures(tried: Try, chosen: CheckedHead) -> Iterator[Figure]:
    fit = tried.weighed[0].arrangement
    yield Figure(
        "structure.head.room", "room over the rough head for the head that carries load",
        tried.head_limit - fit.heights.rough_head, "mm",
        "what is over the opening, or the plate under the ceiling, less the rough head",
        ("fit.leaf_height", "job:wall.ceiling"), "geometry of the arrangement",
    )  # fmt: skip
    yield Figure(
        "structure.head.top", "top of the head that carries load, from the level datum",
        fit.heights.rough_head + chosen.depth, "mm", "rough head + depth of the head",
        ("fit.mark.rough-head", "structure.head.cheapest"), "geometry of the arrangement",
    )  # fmt: skip


def _unsettled(sizing: HeadSizing) -> Finding:
    chosen = described(sizing.cheapest) if sizing.cheapest else "none"
    return Finding(
        Severity.HOLD,
        "head",
        f"head, leaf and studs beside the opening go on changing each other; {chosen} was taken "
        f"last ({PRELIMINARY})",
        "give wishes.clear_height, wishes.clear_width and wishes.kit, so that less is open",
        PRACTICE,
        before="order",
    )
