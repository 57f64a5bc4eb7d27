"""The chosen option in full: where does everything stand, along, up and through the wall?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.figures import Figure
from truehang.findings import Change, Finding, Severity
from truehang.fit.access import access_findings, handle_over_floor
from truehang.fit.beside import left_over, place_findings
from truehang.fit.choose import access_checks, too_narrow
from truehang.fit.footing import floor_here
from truehang.fit.gaps import GAP_NEVER_UNDER, GAP_TARGET, SEEN, extremes, on_stacks
from truehang.fit.model import (
    Arrangement,
    Clash,
    FitRequest,
    FloorGap,
    FramePart,
    Heights,
    Leaf,
    Option,
    Pack,
    Pocket,
    Refusal,
    Side,
    Span,
)
from truehang.fit.packers import floor_at, highest_under, packs
from truehang.fit.rod import set_out
from truehang.fit.section import layers, parts, rib_offsets
from truehang.fit.solve import BESIDE_INSTEAD, Solved, Solver, standing
from truehang.fit.why import arrangement_figures, floor_here_figures
from truehang.lengths import said, said_between
from truehang.message import message
from truehang.words import word

PRACTICE = "common practice, no source"
HUMP_SEEN = 0.05
"""A rise between supports of less is not worth a word, mm."""


class NotFitted(ValueError):
    """The option can't be built here; the message says which dimension binds and the mend."""


def arrange(
    request: FitRequest,
    option: Option,
    kits: Sequence[Kit],
    leaves: Sequence[LeafConstruction],
) -> Arrangement:
    """Recompute one option in full for the request it came from.

    Raises NotFitted where kit or leaf are no longer in the catalogue, or the option does not fit
    this request.
    """
    kit = next((one for one in kits if one.id == option.kit_id), None)
    leaf = next((one for one in leaves if one.id == option.leaf_id), None)
    if kit is None or leaf is None:
        gone = f"kit {option.kit_id!r}" if kit is None else f"leaf {option.leaf_id!r}"
        raise NotFitted(f"{gone} is not in the catalogue; choose the option again")
    solved = Solver(request).solve(kit, leaf, option.arrangement, shelf=option.leaf_stock)
    if isinstance(solved, Refusal):
        raise NotFitted(f"{option.key}: {solved.what}; {solved.mend}")
    return _Builder(request, option, solved).arrangement()


class _Builder:
    """Builds the arrangement part by part from the solved numbers."""

    def __init__(self, request: FitRequest, option: Option, solved: Solved) -> None:
        self.request = request
        self.option = option
        self.one = solved
        self.kit = solved.kit

    def arrangement(self) -> Arrangement:
        """Where everything stands, then what is figured out and found of it."""
        made = self._set_out()
        return replace(made, figures=self._figures(made), findings=self._findings(made))

    def _set_out(self) -> Arrangement:
        """Where everything stands."""
        request, one, kit = self.request, self.one, self.kit
        pockets = tuple(self._pocket(side, inside) for side, inside, _ in one.pockets)
        leaves = tuple(self._leaf(side) for side, _, _ in one.pockets)
        heights = self._heights()
        rough = Span(one.frame.low - kit.side_clearance, one.frame.high + kit.side_clearance)
        jamb = self._jamb()
        under = packs(one.supports, request.floor, one.level_line, request.packers)
        gaps = tuple(
            self._gap(leaf, pocket, under) for leaf, pocket in zip(leaves, pockets, strict=True)
        )
        here = floor_here(request.floor, one.level_line, one.supports, rough, pockets, jamb)
        access = access_checks(request, one, heights.handle - one.floor_high)
        groove = kit.lead if jamb is not None else 0.0
        rod = set_out(
            rough=rough,
            frame=one.frame,
            opening=one.opening,
            pockets=pockets,
            closing_jamb=jamb,
            jamb_groove=groove,
            leaves=leaves,
            heights=heights,
        )
        return Arrangement(
            option=self.option,
            kind=one.arrangement,
            situation=request.situation,
            kit_id=kit.id,
            leaf_id=one.leaf.id,
            wall=request.wall,
            rough=rough,
            frame=one.frame,
            opening=one.opening,
            centre=one.opening.middle,
            passage=self._passage(),
            pockets=pockets,
            closing_jamb=jamb,
            jamb_groove=groove,
            guide_groove=kit.guide_groove,
            guide_width=kit.guide_width,
            leaves=leaves,
            infill=self._infill(rough),
            heights=heights,
            pocket_section=layers(request.wall, one.ribs, one.leaf.thickness),
            mouths=tuple(mouth for _, _, mouth in one.pockets),
            packs=under,
            floor_here=here,
            floor_gaps=gaps,
            guide_positions=tuple(mouth for _, _, mouth in one.pockets),
            parts=self._parts(),
            clashes=one.clashes,
            access=access,
            rod=rod,
            figures=(),
            findings=(),
            old=request.old,
        )

    def _figures(self, made: Arrangement) -> tuple[Figure, ...]:
        return (
            *arrangement_figures(self.request, self.option, self.one, made),
            *floor_here_figures(made.floor_here),
        )

    def _findings(self, made: Arrangement) -> tuple[Finding, ...]:
        return (
            *(clash_finding(clash) for clash in made.clashes),
            *self._passage_findings(),
            *place_findings(
                self.request,
                self.one.arrangement,
                self.one.frame,
                self.one.opening,
                self.kit.side_clearance,
            ),
            *self._place_findings(),
            *self._handle_findings(made.heights),
            *self._hump_findings(),
            *_pack_findings(made.packs),
            *self._gap_findings(made.floor_gaps),
            *self._hang_findings(),
            *access_findings(made.access),
        )

    def _parts(self) -> tuple[FramePart, ...]:
        one = self.one
        frame = parts(
            self.kit,
            one.ribs,
            self.request.wall.stud,
            one.widths.pocket,
            (one.widths.frame, one.frame_height),
            one.pair,
        )
        if not self.request.wishes.soft_close:
            return frame
        count = 2 if one.pair else 1
        unit = FramePart("soft-close", "soft-close unit", "soft-close", (0.0, 0.0), 0.0, count)
        return (*frame, unit)

    def _pocket(self, side: str, inside: Span) -> Pocket:
        kit = self.kit
        offsets = rib_offsets(kit, self.one.widths.pocket)
        if side == "left":
            mouth, back = inside.high, inside.low
            stud = Span(back - kit.back_stud, back)
            ribs = tuple(sorted(mouth - offset for offset in offsets))
        else:
            mouth, back = inside.low, inside.high
            stud = Span(back, back + kit.back_stud)
            ribs = tuple(mouth + offset for offset in offsets)
        return Pocket(
            _side(side), mouth, back, inside, stud, ribs, kit.rib_width, self.one.ribs.thickness
        )

    def _leaf(self, side: str) -> Leaf:
        """A leaf closed and open. Measured from its mouth: closed it keeps b in the pocket, open
        it stands r out of it."""
        one, kit = self.one, self.kit
        width, sym = one.widths.leaf, one.sym
        if side == "left":
            mouth = one.opening.low
            closed = Span(mouth - sym.b, mouth - sym.b + width)
            opened = Span(mouth + sym.r - width, mouth + sym.r)
        else:
            mouth = one.opening.high
            closed = Span(mouth + sym.b - width, mouth + sym.b)
            opened = Span(mouth - sym.r, mouth - sym.r + width)
        name = f"{side} leaf" if one.pair else "leaf"
        return Leaf(
            name,
            _side(side),
            width,
            one.leaf_height,
            one.leaf.thickness,
            one.mass,
            closed,
            opened,
            width - sym.r - sym.b,
            (closed.low + kit.hanger_inset, closed.high - kit.hanger_inset),
            (opened.low + kit.hanger_inset, opened.high - kit.hanger_inset),
            one.leaf_bottom,
            one.leaf_top,
        )

    def _heights(self) -> Heights:
        one, kit = self.one, self.kit
        handle = handle_over_floor(
            one.leaf_height, self.request.wishes.handle_height, self.request.access
        )
        head_top = one.head_underside + kit.head_depth
        return Heights(
            level_line=one.level_line,
            frame_bottom=one.level_line,
            floor_low=one.floor_low,
            floor_high=one.floor_high,
            leaf_bottom=one.leaf_bottom,
            handle=one.floor_high + handle,
            clear_head=one.leaf_top - kit.head_cover,
            leaf_top=one.leaf_top,
            track_bottom=one.head_underside - kit.track_depth,
            track_top=one.head_underside,
            head_underside=one.head_underside,
            head_top=head_top,
            rough_head=head_top + kit.head_clearance,
        )

    def _jamb(self) -> Span | None:
        one = self.one
        if one.arrangement == "single-left":
            return Span(one.opening.high, one.opening.high + one.sym.j)
        if one.arrangement == "single-right":
            return Span(one.opening.low - one.sym.j, one.opening.low)
        return None

    def _passage(self) -> Span:
        one = self.one
        left = any(side == "left" for side, _, _ in one.pockets)
        right = any(side == "right" for side, _, _ in one.pockets)
        return Span(
            one.opening.low + (one.sym.r if left else 0.0),
            one.opening.high - (one.sym.r if right else 0.0),
        )

    def _infill(self, rough: Span) -> tuple[Span, ...]:
        space, old = self.request.space, self.request.old
        if old is not None:
            return left_over(old, rough)
        if self.request.situation != "fill":
            return ()
        rest = (Span(space.low, rough.low), Span(rough.high, space.high))
        return tuple(span for span in rest if span.length > 0.5)

    def _gap(self, leaf: Leaf, pocket: Pocket, under: tuple[Pack, ...]) -> FloorGap:
        """The gap of a leaf hung as set out. The frame stands on stacks that may be a little off,
        so the leaf may come out that much lower or higher."""
        travel = Span(min(leaf.closed.low, leaf.open.low), max(leaf.closed.high, leaf.open.high))
        floor = self.request.floor
        high, high_at, low, low_at = extremes(floor, travel)
        high, low = high + floor.rise, low + floor.rise
        guide_gap = leaf.bottom - floor_at(floor, pocket.mouth) - floor.build_up - floor.rise
        made = FloorGap(
            leaf.name,
            leaf.bottom - high,
            high_at,
            leaf.bottom - low,
            low_at,
            self.kit.guide_height - guide_gap,
            pocket.mouth,
            floor.coming,
            max(0.0, *(pack.error for pack in under)),
            max(0.0, *(-pack.error for pack in under)),
        )
        return replace(made, on_stacks=message(on_stacks(made)))

    def _passage_findings(self) -> list[Finding]:
        """A door that nobody walks through is never planned in silence."""
        passage, request = self.one.widths.passage, self.request
        if not too_narrow(passage, request):
            return []
        return [
            Finding(
                Severity.WARN,
                "wishes.least_passage",
                f"{said(passage, limit=request.least_passage)} is left to walk through with the "
                f"{'leaves' if self.one.pair else 'leaf'} open; under "
                f"{said(request.least_passage)} a person doesn't pass freely",
                f"{BESIDE_INSTEAD}, or set wishes.least_passage lower where it is not walked "
                "through"
                if request.situation == "fill"
                else "wish for a wider passage, or set wishes.least_passage lower where it is "
                "not walked through",
                PRACTICE,
            )
        ]

    def _place_findings(self) -> list[Finding]:
        one, wish = self.one, self.request.wishes.centre
        made = []
        if wish is not None and abs(one.opening.middle - wish) > 1.0:
            made.append(
                Finding(
                    Severity.WARN,
                    "wishes.centre",
                    f"the centre is wished at {said(wish)}; the nearest place that fits is "
                    f"{said(one.opening.middle, limit=wish)}",
                    "agree the place with the customer, or take a narrower frame",
                    "geometry of the arrangement",
                )
            )
        if one.avoidable is not None:
            made.append(self._elsewhere(one.avoidable - one.frame.low))
        return made

    def _elsewhere(self, shift: float) -> Finding:
        """Fewer services would have to be moved where the frame stands `shift` mm to the right. It
        is stated as a wish only where the floor is as well known there as here."""
        one, floor, wishes = self.one, self.request.floor, self.request.wishes
        in_old = self.request.old is not None and wishes.centre is None
        unread = [x for _, _, x in one.supports if floor.reaches(x) > floor.reaches(x + shift)]
        mend = f"move the opening {said(abs(shift))} to the {'right' if shift > 0 else 'left'}"
        if unread:
            places = ", ".join(said(x + shift) for x in unread)
            mend += f" once the floor is read there too (x {places})"
        changes = [Change("wishes.place.centre", one.opening.middle + shift)]
        if len(wishes.arrangements) != 1:
            changes.append(Change("wishes.arrangement", one.arrangement))
        return Finding(
            Severity.WARN,
            "wishes.centre",
            f"the {'old' if in_old else 'wished'} place meets services that another would not",
            f"have them moved; another place is: {mend}, and the old opening is closed up by itself"
            if in_old
            else f"{mend}, or have them moved",
            "geometry of the arrangement",
            () if unread or wishes.centre is None else tuple(changes),
        )

    def _handle_findings(self, heights: Heights) -> list[Finding]:
        wish, placed = self.request.wishes.handle_height, heights.handle - heights.floor_high
        if wish is None or abs(wish - placed) < 0.05:
            return []
        return [
            Finding(
                Severity.WARN,
                "wishes.handle_height",
                f"a pull at {said(wish)} over the floor is not on the leaf, which is "
                f"{said(self.one.leaf_height)} high; it is set at {said(placed)}",
                "give a height on the leaf, or leave it out for the middle",
                "geometry of the arrangement",
                (Change("wishes.handle_height", None),),
            )
        ]

    def _gap_findings(self, gaps: tuple[FloorGap, ...]) -> list[Finding]:
        return [
            finding
            for gap in gaps
            for finding in (*self._floor_findings(gap), *self._guide_findings(gap))
        ]

    def _floor_findings(self, gap: FloorGap) -> Iterator[Finding]:
        """A floor gap that is too little, or off what it should be."""
        if gap.least_built < GAP_NEVER_UNDER - 1e-9 <= gap.least:
            yield Finding(
                Severity.WARN,
                gap.leaf,
                f"the floor gap{_down(gap)} is "
                f"{said(gap.least_built, limit=GAP_NEVER_UNDER)} at x "
                f"{said(gap.least_at)} on packers up to {said(gap.low, 1)} thinner "
                f"than the packs wanted; {said(GAP_NEVER_UNDER)} is the least",
                f"turn the leaf up by {said(gap.low, 1)} when it hangs, or bring packers "
                "that make the packs",
                PRACTICE,
            )
        elif gap.least < GAP_NEVER_UNDER - 1e-9:
            yield Finding(
                Severity.STOP,
                gap.leaf,
                f"the floor gap{_down(gap)} is "
                f"{said(gap.least, limit=GAP_NEVER_UNDER)} at x "
                f"{said(gap.least_at)}; "
                f"{said(GAP_NEVER_UNDER)} is the least",
                "hang the leaf higher or plane the floor there",
                PRACTICE,
            )
        elif gap.least < GAP_TARGET.low - SEEN or gap.most > GAP_TARGET.high + SEEN:
            yield Finding(
                Severity.NOTE,
                gap.leaf,
                f"the floor gap{_down(gap)} runs from "
                f"{said(gap.least)} at x "
                f"{said(gap.least_at)} to {said(gap.most)} at x "
                f"{said(gap.most_at)}; the target is "
                f"{said(GAP_TARGET.low)} to {said(GAP_TARGET.high)}",
                f"{self._why_off_target()}; show the customer, or level the floor",
                PRACTICE,
            )

    def _guide_findings(self, gap: FloorGap) -> Iterator[Finding]:
        """A bottom guide that does not reach into its groove, or reaches its bottom."""
        kit = self.kit
        if gap.guide_engagement < kit.guide_engagement_least - 1e-9:
            yield Finding(
                Severity.WARN,
                gap.leaf,
                "the bottom guide reaches "
                f"{said(gap.guide_engagement, limit=kit.guide_engagement_least)} into the "
                f"leaf at x {said(gap.guide_at)}; "
                f"{said(kit.guide_engagement_least, 1)} is the least",
                f"set the guide on packing of "
                f"{said(kit.guide_engagement_least - gap.guide_engagement, 1)} or more",
                f"kit {kit.id}",
            )
        if gap.guide_engagement > kit.guide_groove - 1.0:
            yield Finding(
                Severity.WARN,
                gap.leaf,
                "the bottom guide reaches "
                f"{said(gap.guide_engagement, limit=kit.guide_groove)} into a groove "
                f"{said(kit.guide_groove, 1)} deep",
                "lower the guide or deepen the groove",
                f"kit {kit.id}",
            )

    def _why_off_target(self) -> str:
        drop = self.request.head_drop
        if drop <= 0:
            return "the floor falls"
        return f"the floor falls, and the head may still come down {said(drop, 1)}"

    def _hump_findings(self) -> list[Finding]:
        """Where the floor between two supports stands higher than under any of them."""
        one, floor = self.one, self.request.floor
        under = max(floor_at(floor, x) for _, _, x in one.supports)
        z, x = max(highest_under(floor, span) for span in standing(one.frame, one.opening))
        if z <= under + self.request.packers.least + HUMP_SEEN:
            return []
        return [
            Finding(
                Severity.NOTE,
                "floor.stations",
                f"between the supports the floor rises to {said(z - under, 1)} over the highest "
                f"of them, at x {said(x)}: the level line clears it, and every pack is that much "
                "thicker",
                "use it as it is, or grind the hump off and read the floor again",
                PRACTICE,
            )
        ]

    def _hang_findings(self) -> list[Finding]:
        """A frame of fixed height hangs its leaf off the design height only within its range."""
        kit, one = self.kit, self.one
        off = one.leaf_bottom - one.level_line - kit.floor_gap
        if kit.made_to_size or abs(off) <= kit.hanging_range / 2:
            return []
        return [
            Finding(
                Severity.WARN,
                f"kit {kit.id}",
                f"the leaf hangs {said(off, 1)} off the kit's design height; the hangers reach "
                f"{said(kit.hanging_range / 2, 1)} each way",
                f"stand the frame on a sole {said(off)} thick, or take a kit made to size",
                f"kit {kit.id}, hanging_range",
            )
        ]


def clash_finding(clash: Clash) -> Finding:
    """A service that stands where something is built."""
    service = clash.service
    if service.stays:
        return Finding(
            Severity.STOP,
            f"services.{service.name}",
            f"{word(service.kind)} at x {said(service.x)}, z {said(service.z)} must stay, and it "
            f"stands in the {clash.where}",
            "move the opening clear of it (wishes.place), or ask "
            f"{word(clash.trade)} whether it may be moved after all",
            PRACTICE,
        )
    return Finding(
        Severity.HOLD,
        f"services.{service.name}",
        f"{word(service.kind)} at x {said(service.x)}, z {said(service.z)} "
        f"{'inside the wall' if service.hidden else f'on face {service.face}'} "
        f"{'or its run stands' if service.runs in ('left', 'right') else 'stands'} in "
        f"the {clash.where}",
        f"isolate, prove dead and move it before the frame goes in: {word(clash.trade)}",
        PRACTICE,
    )


def _down(gap: FloorGap) -> str:
    return f", once the floor to come ({said(gap.to_come, 1)}) is down," if gap.to_come else ""


def _side(side: str) -> Side:
    return "left" if side == "left" else "right"


def _pack_findings(under: tuple[Pack, ...]) -> list[Finding]:
    return [
        Finding(
            Severity.WARN,
            pack.label,
            f"a pack of {said_between(pack.floor, pack.floor + pack.height)} at x "
            f"{said(pack.x)} can't be made from the packers on the van within the "
            "limits of a stack",
            "plane the high spot or pack with a tapered plate",
            PRACTICE,
        )
        for pack in under
        if pack.pieces is None
    ]
