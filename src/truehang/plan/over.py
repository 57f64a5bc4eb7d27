"""What does the track hang from: what is over the opening already, or a new head under it?

A new head needs room between the frame and what is over it, and where there is none the leaf pays
for it. What is there must be known before anything hangs from it. Both ways are worked out for the
same kit and leaf, with what each costs, and one is chosen.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from truehang.catalogue.timber import Grade
from truehang.figures import Figure
from truehang.findings import Finding
from truehang.fit import Arrangement, NotFitted, Option, Options, arrange
from truehang.fit import options as fit_options
from truehang.hardware import LeafHardware
from truehang.lengths import said
from truehang.measure import Measured
from truehang.message import message, messages
from truehang.plan.carry import (
    LEAST_HEAD,
    LINING_MASS,
    HungHead,
    bare_head,
    framing,
    keeps_true,
    lightest,
    moved_by,
    track_head,
    track_head_of,
)
from truehang.plan.given import Given
from truehang.plan.hang import hang
from truehang.plan.over_model import (
    PACK_MOST,
    HeadPack,
    HeadWay,
    OverOpening,
    There,
    Verdict,
    Way,
    stiffness,
)
from truehang.plan.over_packs import head_packs, packs_figure, sag_over
from truehang.plan.over_told import figures_of, findings_of
from truehang.plan.over_ways import Fitted, OtherWays, hung_clashes
from truehang.plan.space import Ask, stays_over
from truehang.plan.weigh import WeighedOption
from truehang.structure import HeadMember, HeadSizing
from truehang.words import word

STEEL_E, STEEL_G = 200_000.0, 76_900.0
"""Moduli of structural steel, MPa: E 200 000 (AS 4100 and ANSI/AISC 360; EN 1993-1-1 has 210 000),
G = E/2(1 + 0.3); from memory, to be checked against those standards."""
ALREADY_DOWN = 1e-3
"""What is there has gone down under its own weight already, so it is given next to none, kg/m3."""
CM4 = 1e4
GRAVITY = 9.81


@dataclass(frozen=True, slots=True)
class Try:
    """What fits for one request to the fit room, the best option first."""

    asked: Ask
    found: Options
    weighed: tuple[WeighedOption, ...]

    @property
    def keep(self) -> float:
        """The room (mm) kept for a new head."""
        return self.asked.request.head_keep

    @property
    def head_limit(self) -> float:
        """The z (mm) under which a new head must stay."""
        return self.asked.request.head_limit


Fitter = Callable[[Ask], Try]
"""Tries all options for a request."""


@dataclass(frozen=True, slots=True)
class Settled:
    """The options under the way that is planned, and what holds the track of the first.

    Where a head that carries load goes in, `over` is None and `sizing` is what is reckoned of it.
    `head` is None where no head is sized; `unsized` says why, empty where what is to be put in is
    known.
    """

    tried: Try
    head: HungHead | None
    over: OverOpening | None
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]
    sizing: HeadSizing | None = None
    unsized: str = ""


@dataclass(frozen=True, slots=True)
class _Case:
    """A kit and leaf with a new head over them: the room kept for it, and what it comes to."""

    keep: float
    option: Option
    fit: Arrangement
    hung: tuple[LeafHardware, ...]
    head: HungHead

    @property
    def good(self) -> bool:
        return self.head.choice is not None and keeps_true(self.head.movement)


def settle(
    given: Given, measured: Measured, bears: bool, first: Try, again: Fitter
) -> Settled | None:
    """Which way the track is held, and the options under it; None where nothing fits."""
    if not first.weighed:
        return None
    return _Settler(given, measured, bears, first).settle(again)


class _Settler:
    """Looks at both ways for the first option of a job."""

    def __init__(self, given: Given, measured: Measured, bears: bool, first: Try) -> None:
        self.job, self.catalogue, self.region = given.job, given.catalogue, given.region
        self.measured, self.bears, self.first = measured, bears, first
        self.chosen = first.weighed[0]
        self.lower: float | None = None

    def settle(self, again: Fitter) -> Settled:
        """The planned way. Under a lower leaf another option may come first: its own head is looked
        for again, so that what is planned holds for what is planned."""
        case, why_not = self._own(self.chosen)
        there = self._there()
        other = self._elsewhere(again) if case is None else None
        must = there is None or self.job.wishes.head == "own"
        if other is not None and not other[1].good and not must:
            other = None  # what is there, once it is known, may do better
        if other is not None:
            case = other[1]
        way = self._way(case, there)
        tried = self.first
        if way == "own" and other is not None:
            tried, case = other
        elif way == "own" and case is not None and case.keep:
            tried, case = self._refitted(again, case)
        return self._settled(tried, way, case, why_not, there)

    # ------------------------------------------------------------ a head of its own

    def _own(self, chosen: WeighedOption) -> tuple[_Case | None, str]:
        """A new head over this option, under as high a leaf as it allows, and why there is none."""
        limit, fit = self.first.head_limit, chosen.arrangement
        room = limit - fit.heights.rough_head
        case = _Case(0.0, chosen.option, fit, chosen.hardware, self._head(fit, chosen, room))
        soft: _Case | None = case if case.head.choice is not None else None
        if case.good:
            return case, ""
        for depth in self._depths(fit, room):
            one = self._under(chosen, depth)
            if one is None:
                break
            if one.good:
                return one, ""
            soft = soft or (one if one.head.choice is not None else None)
        else:
            return soft, f"no {word('timber')} that is sold here keeps the leaves true over it"
        return soft, self._too_low(chosen, max(room, 0.0))

    def _too_low(self, chosen: WeighedOption, room: float) -> str:
        """Why no new head goes in, with the clear height under which one would."""
        why = f"over the frame there is {said(room, 1)}, too little for one that holds"
        lower = self.lower = self._lower_clear_height(chosen, room)
        if lower is None:
            return f"{why}, and no lower leaf goes in"
        return f"{why}; under a clear height of {said(lower)} one goes in"

    def _lower_clear_height(self, chosen: WeighedOption, room: float) -> float | None:
        """The clear height (mm) that leaves room for a new head that holds, where one is wished."""
        wish = self.first.asked.request.wishes.clear_height
        if wish is None:
            return None
        for depth in self._depths(chosen.arrangement, room):
            lower = math.floor(wish - (depth - room))
            one = self._under(chosen, depth, lower)
            if one is not None and one.good:
                return float(lower)
        return None

    def _head(self, fit: Arrangement, chosen: WeighedOption, room: float) -> HungHead:
        return track_head(fit, self.catalogue, self.region, chosen.hardware, room)

    def _depths(self, fit: Arrangement, room: float) -> list[float]:
        """The depths of what is sold that do not go in as it is, least first."""
        return sorted(
            {
                section.depth
                for section in self.catalogue.timber_in(self.region).sawn
                if section.breadth <= fit.wall.stud + 0.5
                and section.depth >= LEAST_HEAD
                and section.depth > room
            }
        )

    def _under(
        self,
        chosen: WeighedOption,
        keep: float,
        clear_height: float | None = None,
        asked: Ask | None = None,
    ) -> _Case | None:
        """The same arrangement, kit and leaf with so much room kept, and under a lower clear height
        or for another request where one is given; None where it then can't be built."""
        asked, option = asked or self.first.asked, chosen.option
        wishes = replace(
            asked.request.wishes,
            arrangements=(option.arrangement,),
            kit=option.kit_id,
            leaf=option.leaf_id,
            clear_height=clear_height or asked.request.wishes.clear_height,
        )
        request = replace(asked.request, wishes=wishes, head_keep=keep)
        found = fit_options(request, asked.kits, asked.leaves).options
        same = [one for one in found if one.key == option.key] or list(found)
        if not same:
            return None
        try:
            fit = arrange(request, same[0], asked.kits, asked.leaves)
        except NotFitted:
            return None
        kit = next(kit for kit in asked.kits if kit.id == fit.kit_id)
        leaf = next(leaf for leaf in asked.leaves if leaf.id == fit.leaf_id)
        hung = hang(self.job, fit, kit, leaf, self.catalogue.seals)
        room = asked.request.head_limit - fit.heights.rough_head
        head = track_head(fit, self.catalogue, self.region, hung, room)
        return _Case(keep, same[0], fit, hung, head)

    def _refitted(self, again: Fitter, case: _Case) -> tuple[Try, _Case]:
        """All options with room kept for the head that this case needs, or for the deeper one that
        the option which then comes first needs."""
        best, tried = case, again(self._kept(case.keep))
        for keep in (case.keep, *self._depths(case.fit, case.keep)):
            next_one = tried if keep == tried.keep else again(self._kept(keep))
            if not next_one.weighed:
                break
            tried = next_one
            one = tried.weighed[0]
            room = tried.head_limit - one.arrangement.heights.rough_head
            head = self._head(one.arrangement, one, room)
            best = _Case(keep, one.option, one.arrangement, one.hardware, head)
            if best.good or not case.good:
                return tried, best
        return tried, best

    def _elsewhere(self, again: Fitter) -> tuple[Try, _Case] | None:
        """Where the first option takes no new head: the options that do, and the first of those
        with its head: one that keeps the leaves true, else the least soft depth of those that keep
        the limit. None where none does."""
        soft: tuple[Try, _Case] | None = None
        for keep in self._depths(self.chosen.arrangement, 0.0):
            tried = again(self._kept(keep))
            if not tried.weighed:
                break
            one = tried.weighed[0]
            room = tried.head_limit - one.arrangement.heights.rough_head
            head = self._head(one.arrangement, one, room)
            case = _Case(keep, one.option, one.arrangement, one.hardware, head)
            if case.good:
                return tried, case
            soft = (tried, case) if case.head.choice is not None else soft
        return soft

    def _kept(self, keep: float) -> Ask:
        """The same request with so much room (mm) kept for a new head."""
        asked = self.first.asked
        return replace(asked, request=replace(asked.request, head_keep=keep))

    # ------------------------------------------------------------ what is there

    def _there(self) -> There | None:
        """What is over the opening as something to hang from; None where nothing is."""
        job, over = self.job, self.job.wall.over
        fit, hung = self.chosen.arrangement, self.chosen.hardware
        if not stays_over(job):
            return None
        if job.wall.situation != "fill-opening" and (over.kind == "unknown" or not over.underside):
            return None
        ends = self._ends(fit)
        need = lightest(fit, self.catalogue, self.region, hung, ends)
        member, timber = self._member_there()
        movement = None
        if member is not None:
            movement = moved_by(fit, hung, member, ends)
        verdict: Verdict = "unknown"
        if movement is not None:
            verdict = "holds" if keeps_true(movement) else "too soft"
        load = self._hung_load(hung, ends)
        if over.capacity is not None and over.capacity.load < load:
            verdict = "too weak"
        option = self.chosen.option
        shown = member or (need.choice.member if need else None)
        way = HeadWay(
            way="existing",
            possible=True,
            why_not=message(""),
            member=message(shown.name if shown else ""),
            span=ends[1] - ends[0],
            leaf_height=fit.leaves[0].height,
            clear_height=option.clear_height,
            packing=self.first.head_limit - fit.heights.head_top,
            price_minor=option.price_minor,
            currency=option.currency,
            option=option.key,
            verdict=verdict,
            stiffness=stiffness(shown) if shown else None,
        )
        depth = over.depth or (need.choice.member.depth if need else LEAST_HEAD)
        way = replace(way, clashes=messages(hung_clashes(job, way, self.bears)))
        return There(way, need, depth, movement, member, timber, ends, load)

    def _hung_load(self, hung: tuple[LeafHardware, ...], ends: tuple[float, float]) -> float:
        """What leaves, lining and track weigh on what they hang from, kN."""
        leaves = sum(sum(one.standing) for one in hung)
        return (leaves + LINING_MASS * GRAVITY * (ends[1] - ends[0]) / 1000.0) / 1000.0

    def _others(self, there: There | None) -> tuple[HeadWay, ...]:
        """What else could be done about what is there."""
        if there is None:
            return ()
        fit = self.chosen.arrangement
        return OtherWays(
            job=self.job,
            catalogue=self.catalogue,
            region=self.region,
            there=there,
            fit=fit,
            option=self.chosen.option,
            hung=self.chosen.hardware,
            limit=self.first.head_limit,
            jambs=self._jambs(fit),
            bears=self.bears,
            refit=self._anew,
        ).ways()

    def _anew(self, limit: float, keep: float, highest: bool) -> Fitted | None:
        """The same kit and leaf under this z (mm), with so much (mm) kept for a head."""
        asked = self.first.asked
        wishes = asked.request.wishes
        wishes = replace(wishes, clear_height=None) if highest else wishes
        other = replace(asked, request=replace(asked.request, head_limit=limit, wishes=wishes))
        one = self._under(self.chosen, keep, asked=other)
        return None if one is None else Fitted(one.option, one.fit, one.hung)

    def _ends(self, fit: Arrangement) -> tuple[float, float]:
        """What is there is reckoned from mouth to mouth where it can be packed tight onto the ribs;
        where it carries load it can't, and spans the whole old opening."""
        return self._jambs(fit) if self.bears else (fit.opening.low, fit.opening.high)

    def _jambs(self, fit: Arrangement) -> tuple[float, float]:
        """From old jamb to old jamb; the rough opening where there was none."""
        usable = self.measured.usable
        if self.job.wall.situation == "fill-opening" and usable is not None:
            return usable.left, usable.right
        return fit.rough.low, fit.rough.high

    def _member_there(self) -> tuple[HeadMember | None, Grade | None]:
        """What is there as a beam, as far as the job says what it is. Timber whose grade is not
        marked is reckoned as the least stiff that is sold here."""
        over = self.job.wall.over
        if over.kind == "steel":
            return (
                (None, None) if over.inertia is None else (_steel(over.inertia, over.depth), None)
            )
        if over.kind == "unknown" or over.depth is None or over.breadth is None:
            return None, None
        timber = next((g for g in self.catalogue.timber_grades if g.code == over.grade), None)
        if timber is None:
            timber, _ = framing(self.catalogue, self.region, self.chosen.arrangement.wall.stud)
        code = self.catalogue.timber_in(self.region).code(self.region.timber_code)
        creep = 1.0 + code.creep[0]
        name = f"{over.kind} of {said(over.depth)} x {said(over.breadth)}, {timber.code} on edge"
        return HeadMember(
            name=name,
            breadth=over.breadth,
            depth=over.depth,
            modulus=timber.modulus,
            shear_modulus=timber.shear_modulus,
            density=ALREADY_DOWN,
            creep=creep,
        ), timber

    # ------------------------------------------------------------ which way

    def _way(self, case: _Case | None, there: There | None) -> Way:
        """The way wished for where it can be had; else what is there where it holds and is within
        reach; else a new head where it costs no leaf; else what is there, on hold until somebody
        has looked, unless it is known to be too soft."""
        wish = self.job.wishes.head
        if there is None:
            return "own"
        if case is None:
            return "existing"
        if wish != "any":
            return wish
        near = (there.way.packing or 0.0) <= PACK_MOST
        if there.way.verdict == "holds" and near:
            return "existing"
        if not case.keep or there.way.verdict in ("too soft", "too weak"):
            return "own"
        return "existing"

    def _settled(
        self, tried: Try, way: Way, case: _Case | None, why_not: str, there: There | None
    ) -> Settled:
        chosen = tried.weighed[0]
        limit, fit = tried.head_limit, chosen.arrangement
        room = limit - fit.heights.rough_head
        ends = (fit.opening.low, fit.opening.high)
        if way == "existing" and there is not None:
            head, ends = self._hung_there(there), there.ends
        else:
            head = case.head if case is not None else self._head(fit, chosen, room)
        there_still = stays_over(self.job)
        packs: tuple[HeadPack, ...] = ()
        if way == "existing":
            kit = next(kit for kit in self.catalogue.kits if kit.id == fit.kit_id)
            packs = head_packs(self.job, fit, kit, tried.asked.request.packers, limit)
        over = OverOpening(
            kind=self.job.wall.over.kind,
            way=way,
            limit=limit,
            room=room,
            top=fit.heights.rough_head + (head.choice.member.depth if head.choice else 0.0),
            sag=sag_over(self.job, self._jambs(fit)) if there_still else 0.0,
            ways=(
                _own_way(case, why_not, chosen),
                *([there.way] if there else []),
                *self._others(there),
            ),
            ends=ends,
            free=way == "existing" and self.bears,
            packs=packs,
        )
        told = findings_of(self.job, self.measured, self.bears, over, there, self.lower)
        unsized = ""
        if way == "own" and head.choice is None:
            unsized = f"no {word('timber')} sold here that goes in keeps the leaves true"
        figures = (*figures_of(over, there), *packs_figure(packs))
        return Settled(tried, head, over, tuple(told), figures, unsized=unsized)

    def _hung_there(self, there: There) -> HungHead:
        """What is there as the head that the track hangs from; where it is not known, it is taken
        to be just what it must be."""
        fit, hung = self.chosen.arrangement, self.chosen.hardware
        member, timber, movement = there.member, there.timber, there.movement
        if member is None and there.need is not None:
            member, timber = there.need.choice.member, there.need.timber
            movement = there.need.movement
        if member is None or movement is None:
            return self._head(fit, self.chosen, 0.0)
        findings: tuple[Finding, ...] = ()
        figures: tuple[Figure, ...] = ()
        props = False
        if timber is not None and not self.bears:
            held = track_head_of(fit, hung, member, there.ends)
            bare = bare_head(fit, self.catalogue, self.region, held, timber, self._jambs(fit))
            findings, figures, props = bare.findings, bare.figures, bare.props
        return HungHead(None, there.depth, movement, findings, figures, props)


def _own_way(case: _Case | None, why_not: str, chosen: WeighedOption) -> HeadWay:
    """A new head as one of the ways."""
    if case is None or case.head.choice is None:
        span = chosen.arrangement.opening.length
        return HeadWay("own", False, message(why_not), message(""), span)
    choice, option = case.head.choice, case.option
    return HeadWay(
        way="own",
        possible=True,
        why_not=message(""),
        member=message(choice.member.name),
        span=case.fit.opening.length,
        leaf_height=case.fit.leaves[0].height,
        clear_height=option.clear_height,
        packing=case.fit.heights.rough_head - case.fit.heights.head_top,
        price_minor=option.price_minor + choice.price,
        currency=option.currency,
        option=option.key,
        stiffness=stiffness(choice.member),
    )


def _steel(inertia: float, depth: float | None) -> HeadMember:
    """Steel of this second moment (cm4) as the rectangle that bends alike."""
    deep = depth or 100.0
    return HeadMember(
        name=f"steel of {inertia:g} cm4",
        breadth=12.0 * inertia * CM4 / deep**3,
        depth=deep,
        modulus=STEEL_E,
        shear_modulus=STEEL_G,
        density=ALREADY_DOWN,
        creep=1.0,
    )
