"""Which ways of building this opening fit, what does each win and lose, and which comes first?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from truehang.amounts import amount
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.figures import Figure
from truehang.findings import Change, Finding, Severity
from truehang.fit.access import checks, handle_over_floor, rule_findings
from truehang.fit.beside import off_place
from truehang.fit.geometry import ROUGH_HEIGHT, ROUGH_WIDTH, across
from truehang.fit.model import (
    ARRANGEMENTS,
    AccessCheck,
    FitRequest,
    Option,
    Options,
    Refusal,
    Wishes,
)
from truehang.fit.packers import lowest_support
from truehang.fit.rank import Sense, non_dominated
from truehang.fit.section import parts
from truehang.fit.solve import BESIDE_INSTEAD, Solved, Solver, option_key
from truehang.fit.ways import ways_out
from truehang.lengths import said
from truehang.message import messages
from truehang.money import Money
from truehang.rule import Given
from truehang.words import word

PRACTICE = "common practice, no source"
GEOMETRY = "geometry of the arrangement"
KEPT = "job:wall.old"
"""What a clear width comes from that nobody wished for: the old opening."""
WALKED = 0.05
"""A passage that is less short than this is wide enough, mm: no tape shows it."""
SENSES: tuple[Sense, ...] = ("more", "less", "less", "less", "less", "more")
"""passage, price with assembly, lead time, clashes, lost wall, accessibility kept."""


def options(
    request: FitRequest, kits: Sequence[Kit], leaves: Sequence[LeafConstruction]
) -> Options:
    """Every arrangement x kit x leaf that fits, ranked; every one that doesn't, with the reason.

    Never raises for a request that can't be met: `options` is then empty and `findings` says
    which dimension binds and the nearest change.
    """
    unknown = _unknown_wishes(request.wishes, kits, leaves)
    if unknown:
        return Options((), (), unknown, ())
    solved, refusals = _enumerate(request, kits, leaves)
    made = tuple(_option(request, one) for one in solved)
    ranked = _ranked(made, request)
    findings = list(_request_findings(request))
    if not ranked:
        findings.append(_nothing_fits(request, kits, leaves, refusals))
    return Options(ranked, refusals, tuple(findings), _figures(request, ranked, kits))


def nearest(refusals: Sequence[Refusal]) -> Refusal | None:
    """The refusal that came nearest to fitting: furthest in the checks, then least short."""
    return min(refusals, key=lambda one: (-one.step, one.short_by, one.key), default=None)


def _enumerate(
    request: FitRequest, kits: Sequence[Kit], leaves: Sequence[LeafConstruction]
) -> tuple[list[Solved], tuple[Refusal, ...]]:
    wishes = request.wishes
    solver = Solver(request)
    solved: list[Solved] = []
    refused: list[Refusal] = []
    wished = [
        leaf
        for leaf in leaves
        if wishes.leaf in (None, leaf.id) and wishes.glass in (None, leaf.glass)
    ]
    for arrangement in wishes.arrangements or ARRANGEMENTS:
        way = "pair" if arrangement == "pair" else "single"
        for kit in kits:
            if way not in kit.arrangements or wishes.kit not in (None, kit.id):
                continue
            for leaf in wished:
                made = solver.solve(kit, leaf, arrangement)
                if isinstance(made, Refusal):
                    refused.append(made)
                else:
                    solved.append(made)
                if leaf.made_to_size and leaf.stock:
                    shelf = solver.solve(kit, leaf, arrangement, shelf=True)
                    if isinstance(shelf, Solved) and not _same_size(shelf, made):
                        solved.append(shelf)
    return solved, tuple(refused)


def _same_size(one: Solved, other: Solved | Refusal) -> bool:
    return isinstance(other, Solved) and (one.widths.leaf, one.leaf_height) == (
        other.widths.leaf,
        other.leaf_height,
    )


def _option(request: FitRequest, one: Solved) -> Option:
    wide, rules = one.widths, across(one.pair)
    count = 2 if one.pair else 1
    hours = count * one.kit.assembly_hours
    price = price_minor(request, one)
    handle = handle_over_floor(one.leaf_height, request.wishes.handle_height, request.access)
    return Option(
        key=option_key(one.arrangement, one.kit, one.leaf, one.shelf),
        assembly_hours=hours,
        built_minor=price + _round(hours * request.labour_minor_per_hour),
        leaf_stock=one.shelf,
        off_old=off_place(request, one.arrangement, one.frame, one.kit.side_clearance),
        arrangement=one.arrangement,
        kit_id=one.kit.id,
        kit_name=one.kit.name,
        leaf_id=one.leaf.id,
        leaf_name=one.leaf.name,
        leaf_glass=one.leaf.glass,
        opening=wide.opening,
        passage=wide.passage,
        clear_height=one.clear_height,
        frame_width=wide.frame,
        frame_height=one.frame_height,
        rough_width=ROUGH_WIDTH(F=wide.frame, c=one.kit.side_clearance),
        rough_height=rough_height(request, one),
        frame_left=one.frame.low,
        pocket_length=wide.pocket,
        leaf_width=wide.leaf,
        leaf_height=one.leaf_height,
        leaf_thickness=one.leaf.thickness,
        leaf_count=count,
        leaf_mass=one.mass,
        standing_out=one.sym.r,
        lost_wall=rules.lost_wall(s=one.sym.s, P=wide.pocket),
        clashes=one.clashes,
        access=access_checks(request, one, handle),
        price_minor=price,
        leaf_minor=leaf_price_minor(one),
        currency=request.currency,
        lead_time_days=max(one.kit.lead_time_days, _leaf_lead(one)),
    )


def rough_height(request: FitRequest, one: Solved) -> float:
    """Deepest pack + frame height + head clearance, mm."""
    return ROUGH_HEIGHT(
        L=one.level_line,
        z=lowest_support(request.floor, one.supports),
        E=one.frame_height,
        c=one.kit.head_clearance,
    )


def access_checks(request: FitRequest, one: Solved, handle: float) -> tuple[AccessCheck, ...]:
    """The accessibility figures of a solved combination."""
    one_leaf = (one.widths.opening + one.sym.m) / 2 - one.sym.r if one.pair else one.widths.passage
    return checks(
        request.access,
        passage=one.widths.passage,
        one_leaf_passage=one_leaf,
        standing_out=one.sym.r,
        handle=handle,
    )


def _stock_price(one: Solved) -> int | None:
    """Price of the stock leaf this one is, or is trimmed from; None when made to size."""
    for size in one.leaf.stock:
        low = size.height - one.leaf.trim_height_most
        if abs(size.width - one.widths.leaf) < 1e-6 and low <= one.leaf_height <= size.height:
            return size.price_minor
    return None


def _leaf_lead(one: Solved) -> int:
    stock = _stock_price(one) is not None
    return one.leaf.stock_lead_time_days if stock else one.leaf.lead_time_days


def leaf_price_minor(one: Solved) -> int:
    """Price of one leaf, minor units: stock size, else by area with a least charge."""
    stock = _stock_price(one)
    if stock is not None:
        return stock
    area = one.widths.leaf * one.leaf_height / 1e6
    return max(one.leaf.price_least_minor, _round(area * one.leaf.price_minor_per_m2))


def frame_price_minor(request: FitRequest, one: Solved) -> int:
    """Price of the frame, minor units: kit (and off-standard size), or track, parts, timber."""
    kit = one.kit
    if kit.site_parts is not None:
        cost = kit.site_parts
        pieces = parts(
            kit,
            one.ribs,
            request.wall.stud,
            one.widths.pocket,
            (one.widths.frame, one.frame_height),
            one.pair,
        )
        timber = sum(piece.length * piece.count for piece in pieces if piece.material == "timber")
        track = sum(piece.length * piece.count for piece in pieces if piece.material == "track")
        return (
            _round(timber / 1000 * cost.timber_minor_per_m)
            + _round(track / 1000 * cost.track_minor_per_m)
            + (2 if one.pair else 1) * cost.running_set_minor
        )
    standard = not kit.standard_widths or (
        one.widths.leaf in kit.standard_widths and one.leaf_height in kit.standard_heights
    )
    price = kit.price_pair_minor if one.pair else kit.price_single_minor
    return price + (0 if standard else kit.made_to_size_extra_minor)


def price_minor(request: FitRequest, one: Solved) -> int:
    """Frame, leaves and soft close where asked, before labour, lining, tax and margin."""
    count = 2 if one.pair else 1
    unit = one.kit.soft_close if request.wishes.soft_close else None
    closing = 0 if unit is None else count * unit.price_minor
    return frame_price_minor(request, one) + count * leaf_price_minor(one) + closing


def _round(amount: float) -> int:
    """Half up to the minor unit; the nudge keeps 0.5 from landing a hair under."""
    return math.floor(amount + 0.5 + 1e-9)


def _ranked(made: tuple[Option, ...], request: FitRequest) -> tuple[Option, ...]:
    """Rank, mark what nothing beats, and say what each wins and loses.

    Order: walked through; accessibility kept; fewest clashes; in an old opening's place; nearest
    over the wished passage (without a wish the widest, in steps of 50); cheapest with assembly;
    soonest; key.
    """
    if not made:
        return ()
    unbeaten = non_dominated([criteria(option) for option in made], SENSES)
    wish = request.wishes.clear_width

    def order(option: Option) -> tuple[object, ...]:
        reach = -(option.passage // 50) if wish is None else (option.passage - wish) // 25
        return (
            too_narrow(option.passage, request),
            not option.access_passed,
            len(option.clashes),
            bool(option.off_old),
            reach,
            option.built_minor,
            option.lead_time_days,
            option.key,
        )

    best = _Best(made, request)
    ranked = sorted(zip(made, unbeaten, strict=True), key=lambda pair: order(pair[0]))
    return tuple(
        replace(
            option,
            rank=at,
            unbeaten=mark,
            wins=messages(best.wins(option)),
            loses=messages(best.loses(option)),
        )
        for at, (option, mark) in enumerate(ranked, start=1)
    )


def too_narrow(passage: float, request: FitRequest) -> bool:
    """Is this passage (mm) one that nobody walks through?"""
    return passage < request.least_passage - WALKED


def criteria(option: Option) -> tuple[float, ...]:
    """The option's values in the order of SENSES."""
    return (
        option.passage,
        float(option.built_minor),
        float(option.lead_time_days),
        float(len(option.clashes)),
        option.lost_wall,
        1.0 if option.access_passed else 0.0,
    )


class _Best:
    """The best value of each criterion among the options, for the words."""

    def __init__(self, made: Sequence[Option], request: FitRequest) -> None:
        self.request = request
        self.price = min(option.price_minor for option in made)
        self.lead = min(option.lead_time_days for option in made)
        self.passage = max(option.passage for option in made)
        self.narrow = min(option.passage for option in made)
        self.lost = min(option.lost_wall for option in made)
        self.light = min(option.leaf_mass for option in made)
        self.heavy = max(option.leaf_mass for option in made)
        self.alone = len(made) == 1

    def wins(self, option: Option) -> tuple[str, ...]:
        points = []
        if not self.alone:
            if option.price_minor == self.price:
                points.append("lowest price")
            if option.lead_time_days == self.lead:
                points.append(f"soonest, {option.lead_time_days} days")
            if option.passage == self.passage and self.passage - self.narrow >= 10:
                points.append(f"widest passage, {said(option.passage)}")
            if option.lost_wall == self.lost:
                points.append(f"least wall given up, {said(option.lost_wall)}")
            if option.leaf_mass == self.light:
                points.append(f"lightest leaf, {amount(option.leaf_mass, 'kg', 0)}")
            if option.leaf_mass == self.heavy:
                points.append(f"heaviest leaf, {amount(option.leaf_mass, 'kg', 0)}: best for sound")
        if not option.clashes:
            points.append("nothing in the wall has to move")
        if option.access and option.access_passed:
            points.append("keeps the accessibility figures that are known here")
        return tuple(points)

    def loses(self, option: Option) -> tuple[str, ...]:
        points = []
        if too_narrow(option.passage, self.request):
            points.append(f"{said(option.passage)} is too narrow to walk through")
        if option.off_old:
            way = "right" if option.off_old > 0 else "left"
            points.append(f"stands {said(abs(option.off_old))} {way} of the old door's place")
        if option.price_minor > self.price:
            more = Money(option.price_minor - self.price, option.currency)
            points.append(f"{more} dearer than the cheapest")
        if option.lead_time_days > self.lead:
            points.append(f"{option.lead_time_days - self.lead} days later than the soonest")
        if self.passage - option.passage >= 10:
            points.append(f"{said(self.passage - option.passage)} narrower than the widest")
        if option.kit_id == "site-built":
            points.append(f"about {option.assembly_hours:g} h to make on site, not in its price")
        for clash in option.clashes:
            points.append(
                f"{clash.service.name} must move ({word(clash.trade)}): in the {clash.where}"
            )
        for check in option.access:
            if check.passed is False:
                points.append(f"{check.label} {check.shown}, asked {check.limit}")
        return tuple(points)


def _unknown_wishes(
    wishes: Wishes, kits: Sequence[Kit], leaves: Sequence[LeafConstruction]
) -> tuple[Finding, ...]:
    known = (
        ("wishes.kit", "kit", wishes.kit, [kit.id for kit in kits]),
        ("wishes.leaf.construction", "leaf", wishes.leaf, [leaf.id for leaf in leaves]),
    )
    return tuple(
        Finding(
            Severity.STOP,
            path,
            f"there is no {thing} {given!r} in the catalogue",
            f"write one of: {', '.join(ids)}, or any",
            "the catalogue",
            (Change(path, "any"),),
        )
        for path, thing, given, ids in known
        if given is not None and given not in ids
    )


def _request_findings(request: FitRequest) -> tuple[Finding, ...]:
    made = []
    kept = request.wishes.clear_width
    if request.old is not None and kept is not None and KEPT in request.width_inputs:
        made.append(
            Finding(
                Severity.NOTE,
                "wishes.clear_width",
                f"no clear width is wished; the old opening's is kept, {said(kept)} to walk "
                "through",
                "write the clear width to widen or narrow it",
                PRACTICE,
            )
        )
    if kept is None:
        made.append(
            Finding(
                Severity.NOTE,
                "wishes.clear_width",
                "no clear width is wished; each option takes the widest that fits",
                "write the clear width the customer asked for, if there is one",
                PRACTICE,
            )
        )
    if request.wishes.clear_height is None and request.situation != "fill":
        made.append(
            Finding(
                Severity.NOTE,
                "wishes.clear_height",
                f"no clear height is wished; leaves are {said(request.usual_leaf_height)} high",
                "write the clear height if it is to be another",
                PRACTICE,
            )
        )
    made += rule_findings(request.access)
    return tuple(made)


def _nothing_fits(
    request: FitRequest,
    kits: Sequence[Kit],
    leaves: Sequence[LeafConstruction],
    refusals: Sequence[Refusal],
) -> Finding:
    """Which dimension binds, by how much, and the nearest change that would do."""
    near = nearest(refusals)
    ways = ways_out(request, lambda asked: _enumerate(asked, kits, leaves)[0])
    changes = ways[0].changes if ways else ()
    tried = "; or ".join(way.words for way in ways)
    if near is None:
        return Finding(
            Severity.STOP,
            "wishes",
            "no kit and leaf in the catalogue answer these wishes at all",
            tried or "drop the wish for kit, leaf or glass, or add a kit to the catalogue",
            "the catalogue",
            changes,
        )
    if near.binding == "opening width" and tried:
        tried = f"{tried}; or {BESIDE_INSTEAD}"
    size = said(near.short_by, 1) if near.unit == "mm" else amount(near.short_by, near.unit, None)
    short = f", {size} short" if near.short_by > 0 else ""
    return Finding(
        Severity.STOP,
        f"options.{near.key}",
        f"nothing fits: {near.binding} binds{short}. {near.what}",
        tried or near.mend,
        GEOMETRY,
        changes,
    )


def _figures(
    request: FitRequest, ranked: Sequence[Option], kits: Sequence[Kit]
) -> tuple[Figure, ...]:
    made = []
    by_id = {kit.id: kit for kit in kits}
    for at, option in enumerate(ranked):
        kit = f"catalogue:kits.{option.kit_id}"
        leaf = f"catalogue:leaves.{option.leaf_id}"
        made += [
            across(option.arrangement == "pair").passage.figure(
                f"fit.option.{at}.passage",
                f"clear passage, {option.key}",
                {
                    "C": Given(option.opening, "job:wishes.clear_width"),
                    "r": Given(option.standing_out, f"{kit}.standing_out"),
                },
                GEOMETRY,
                behind=request.space_inputs,
            ),
            ROUGH_WIDTH.figure(
                f"fit.option.{at}.rough_width",
                f"rough opening width, {option.key}",
                {
                    "F": Given(option.frame_width, kit),
                    "c": Given(by_id[option.kit_id].side_clearance, f"{kit}.side_clearance"),
                },
                GEOMETRY,
                behind=(
                    f"fit.option.{at}.passage",
                    f"{kit}.back_stud",
                    f"{kit}.tail",
                    f"{kit}.buffer_space",
                ),
            ),
            Figure(
                f"fit.option.{at}.price_minor",
                f"frame and leaves, {option.key}",
                option.price_minor,
                f"minor units of {option.currency}",
                "frame + leaves + soft close where asked, before labour, lining, tax, margin",
                (kit, leaf),
                "the catalogue",
            ),
            Figure(
                f"fit.option.{at}.lead_time",
                f"lead time, {option.key}",
                option.lead_time_days,
                "days",
                "the longer of frame and leaf",
                (f"{kit}.lead_time_days", f"{leaf}.lead_time_days"),
                "the catalogue",
            ),
        ]
    return tuple(made)
