"""Does this kit, leaf and arrangement fit here, and if not, which dimension binds?

One combination is solved in the order a carpenter would ask: wall, leaf thickness, widths, run,
place, level, height, mass. The answer is a `Solved` with every number of the frame or a
`Refusal` that names what binds, by how much, and the nearest change.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from truehang.amounts import amount
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.fit.beside import frame_left, kept_inside
from truehang.fit.gaps import extremes, leaf_bottom
from truehang.fit.geometry import (
    CLEAR_HEIGHT,
    FRAME_HEIGHT,
    Symbols,
    Widths,
    down,
    on_step,
    opening_for_frame,
    opening_for_leaf,
    opening_for_passage,
    symbols,
    up,
    widths,
)
from truehang.fit.model import ArrangementKind, Clash, FitRequest, Refusal, Service, Span
from truehang.fit.packers import floor_at, highest_under, level_line
from truehang.fit.section import Ribs, TooThin, ribs
from truehang.lengths import said
from truehang.message import Message, message
from truehang.words import word

BASE_SPAN_MOST = 900.0
"""Longest base (mm) between packs: common practice, no source."""

BESIDE_INSTEAD = "put the pocket in the wall beside the opening (wall.situation: beside-opening)"
"""What an old opening that is too narrow for the whole frame asks for."""

TRADES = {
    "electrician": ("outlet", "switch", "light", "cable", "data", "power", "tv", "socket"),
    "plumber": ("pipe", "water", "drain", "tap", "waste", "heating"),
    "licensed gas fitter": ("gas",),
    "ductwork installer": ("duct", "vent"),
    "alarm technician": ("alarm", "smoke", "sensor"),
}


@dataclass(frozen=True, slots=True)
class Size:
    """Leaf sizes that both kit and leaf allow: width and height ranges, mm."""

    width: Span
    height: Span


@dataclass(frozen=True, slots=True)
class Solved:
    """One combination that fits. x and z absolute, mm; mass kg of one leaf."""

    kit: Kit
    leaf: LeafConstruction
    arrangement: ArrangementKind
    sym: Symbols
    ribs: Ribs
    widths: Widths
    frame: Span
    opening: Span
    pockets: tuple[tuple[str, Span, float], ...]
    """(side, inside, mouth) of each pocket."""
    clashes: tuple[Clash, ...]
    avoidable: float | None
    """Frame left (mm) that would avoid clashes where the wished place has some, else None."""
    supports: tuple[tuple[str, str, float], ...]
    level_line: float
    floor_high: float
    floor_low: float
    leaf_bottom: float
    leaf_height: float
    mass: float
    shelf: bool

    @property
    def pair(self) -> bool:
        """Two leaves that meet."""
        return self.arrangement == "pair"

    @property
    def leaf_top(self) -> float:
        """z, mm."""
        return self.leaf_bottom + self.leaf_height

    @property
    def head_underside(self) -> float:
        """z, mm."""
        return self.leaf_top + self.kit.hanging_allowance

    @property
    def frame_height(self) -> float:
        """Level line to top of head member, mm."""
        return FRAME_HEIGHT(
            B=self.leaf_bottom,
            h=self.leaf_height,
            u=self.kit.hanging_allowance,
            d=self.kit.head_depth,
            L=self.level_line,
        )

    @property
    def clear_height(self) -> float:
        """Highest finished floor to underside of head trim, mm."""
        return CLEAR_HEIGHT(
            B=self.leaf_bottom, h=self.leaf_height, k=self.kit.head_cover, f=self.floor_high
        )


def trade_for(kind: str) -> str:
    """Who moves a service of this kind."""
    word = kind.lower()
    for trade, kinds in TRADES.items():
        if any(name in word for name in kinds):
            return trade
    return "the licensed trade it belongs to"


def option_key(
    arrangement: ArrangementKind, kit: Kit, leaf: LeafConstruction, shelf: bool = False
) -> str:
    """The key of an option: arrangement/kit/leaf, with /stock for a shelf size where made to
    size could be had."""
    return f"{arrangement}/{kit.id}/{leaf.id}" + ("/stock" if shelf else "")


@dataclass(frozen=True, slots=True)
class _Stand:
    """Where a frame of one width stands and how it is levelled; the leaf's height is open."""

    avoidable: float | None
    frame: Span
    opening: Span
    pockets: tuple[tuple[str, Span, float], ...]
    supports: tuple[tuple[str, str, float], ...]
    line: float
    high: float
    low: float
    bottom: float


class Solver:
    """Solves combinations for one request; what several of them share is worked out once."""

    def __init__(self, request: FitRequest) -> None:
        self.request = request
        self._sizes: dict[tuple[str, str, bool], list[Size]] = {}
        self.stands: dict[tuple[str, str, float], _Stand] = {}

    def sizes(self, kit: Kit, leaf: LeafConstruction, shelf: bool) -> list[Size]:
        """The leaf sizes that both kit and leaf allow; only those on the shelf if `shelf`."""
        key = (kit.id, leaf.id, shelf)
        if key not in self._sizes:
            self._sizes[key] = _sizes(kit, leaf, leaf.made_to_size and not shelf)
        return self._sizes[key]

    def solve(
        self,
        kit: Kit,
        leaf: LeafConstruction,
        arrangement: ArrangementKind,
        *,
        shelf: bool = False,
    ) -> Solved | Refusal:
        """Solve one combination; `shelf` takes a stock size though made to size could be had."""
        case = _Case(self, kit, leaf, arrangement, shelf)
        rib = ribs(kit, self.request.wall.stud, leaf.thickness)
        if isinstance(rib, TooThin):
            return case.refuse(1, "wall thickness", rib.short_by, rib.what, rib.mend)
        limits = kit.leaf_thickness
        if not limits.holds(leaf.thickness):
            over = max(limits.least - leaf.thickness, leaf.thickness - limits.most)
            return case.refuse(
                2,
                "leaf thickness",
                over,
                f"leaf {leaf.id} is {said(leaf.thickness, 1)} thick; kit {kit.id} takes "
                f"leaf_thickness {said(limits.least, 1)} to {said(limits.most, 1)}",
                "take a leaf inside the range or another kit",
            )
        sizes = self.sizes(kit, leaf, shelf)
        if not sizes:
            return case.refuse(
                3,
                "leaf size",
                0.0,
                f"kit {kit.id} and leaf {leaf.id} have no size in common",
                "take a leaf or a kit made to size",
            )
        return case.solve_sizes(rib, sizes)


def _sizes(kit: Kit, leaf: LeafConstruction, made_to_size: bool) -> list[Size]:
    """The leaf sizes that both allow: made to size as ranges, standard sizes as points."""
    if kit.made_to_size:
        kit_sizes = [
            Size(
                Span(kit.leaf_width.least, kit.leaf_width.most),
                Span(kit.leaf_height.least, kit.leaf_height.most),
            )
        ]
    else:
        kit_sizes = [
            Size(Span(w, w), Span(h, h)) for w in kit.standard_widths for h in kit.standard_heights
        ]
    if made_to_size:
        leaf_sizes = [
            Size(Span(leaf.width.least, leaf.width.most), Span(leaf.height.least, leaf.height.most))
        ]
    else:
        leaf_sizes = [
            Size(Span(s.width, s.width), Span(s.height - leaf.trim_height_most, s.height))
            for s in leaf.stock
        ]
    both = []
    for one in kit_sizes:
        for other in leaf_sizes:
            width = _overlap(one.width, other.width)
            height = _overlap(one.height, other.height)
            if width is not None and height is not None:
                both.append(Size(width, height))
    return both


def _overlap(one: Span, other: Span) -> Span | None:
    low, high = max(one.low, other.low), min(one.high, other.high)
    return Span(low, high) if low <= high else None


class _Case:
    """One combination being solved; holds what every step needs so that steps stay short."""

    def __init__(
        self,
        solver: Solver,
        kit: Kit,
        leaf: LeafConstruction,
        arrangement: ArrangementKind,
        shelf: bool,
    ) -> None:
        self.solver = solver
        self.shelf = shelf
        self.request = request = solver.request
        self.kit = kit
        self.leaf = leaf
        self.arrangement = arrangement
        self.pair = arrangement == "pair"
        self.sym = symbols(kit, self._standing_out())
        self.frame_most = request.space.length - 2 * kit.side_clearance
        self.largest: float | None = None

    def _standing_out(self) -> float:
        """The kit's r, more where a pull stands off the leaf and would meet the mouth, or where
        the rule set wants the pull in reach of the open leaf."""
        access = self.request.access
        least = min(
            max(self.kit.standing_out, self.request.wishes.pull_room), self.kit.standing_out_most
        )
        if access is not None and access.hardware_exposed_open:
            return min(max(least, access.exposed_least), self.kit.standing_out_most)
        return least

    def _up(self, mm: float) -> float:
        return up(mm, self.request.step)

    def _down(self, mm: float) -> float:
        return down(mm, self.request.step)

    def refuse(
        self, step: int, binding: str, short_by: float, what: Message | str, mend: Message | str,
        unit: str = "mm",
    ) -> Refusal:  # fmt: skip
        return Refusal(
            option_key(self.arrangement, self.kit, self.leaf, self.shelf),
            self.arrangement,
            self.kit.id,
            self.leaf.id,
            binding,
            round(short_by, 1),
            unit,
            message(what),
            message(mend),
            self.largest,
            step,
        )

    def solve_sizes(self, rib: Ribs, sizes: list[Size]) -> Solved | Refusal:
        """Try each size that gives the wished passage, best first; the last refusal stands."""
        opening = opening_for_frame(self.frame_most, self.sym, self.pair)
        leaf_most = widths(opening, self.sym, self.pair).leaf + 1e-9
        self.largest = self._largest_passage(sizes, leaf_most)
        wish = self.request.wishes.clear_width
        wanted = 0.0
        if wish is not None:
            opening = opening_for_passage(wish, self.sym, self.pair)
            wanted = self._up(widths(opening, self.sym, self.pair).leaf)
        low = min(size.width.low for size in sizes)
        high = max(size.width.high for size in sizes)
        if wish is not None and wanted > high:
            return self.refuse(
                4,
                "leaf width",
                (wanted - high) * (2 if self.pair else 1),
                f"a clear width of {said(wish)} asks for a leaf of {said(wanted)}; "
                f"{self._limit(high)} is the most",
                self._narrower_or("another kit or leaf"),
            )
        if wish is not None and leaf_most < max(wanted, low):
            return self._too_wide(max(wanted, low), wish)
        if leaf_most < low:
            return self._too_wide(low, None)
        candidates = []
        for size in sizes:
            least, most = max(size.width.low, wanted), self._widest(size, leaf_most)
            if size.width.length:
                least = self._up(least)
            if least <= most:
                candidates.append((least if wish is not None else most, size))
        if not candidates:
            above = [size.width.low for size in sizes if size.width.low >= wanted]
            return self._too_wide(min(above), wish)
        candidates.sort(key=self._preference)
        refused = []
        for leaf_width, size in candidates:
            answer = self._solve_width(rib, leaf_width, size)
            if isinstance(answer, Solved):
                return answer
            refused.append(answer)
        return max(refused, key=lambda refusal: (refusal.step, -refusal.short_by))

    def _widest(self, size: Size, room: float) -> float:
        """The widest leaf of this size (mm): in whole steps, but as it is where it is kept so."""
        most = min(size.width.high, room)
        return self._down(most) if size.width.length else most

    def _preference(self, candidate: tuple[float, Size]) -> tuple[float, float]:
        """Narrowest that gives the wish, else widest; tallest where an old opening is filled."""
        width, size = candidate
        wishes = self.request.wishes
        tallest = self.request.situation == "fill" and wishes.clear_height is None
        return (
            -width if wishes.clear_width is None else width,
            -size.height.high if tallest else size.height.low,
        )

    def _limit(self, high: float) -> str:
        kit_most = (
            self.kit.leaf_width.most if self.kit.made_to_size else max(self.kit.standard_widths)
        )
        if kit_most <= high + 1e-9:
            return f"{said(high)} (kit {self.kit.id}, leaf_width)"
        return f"{said(high)} (leaf {self.leaf.id}, width)"

    def _largest_passage(self, sizes: list[Size], leaf_most: float) -> float | None:
        fitting = [self._widest(size, leaf_most) for size in sizes if size.width.low <= leaf_most]
        if not fitting:
            return None
        opening = opening_for_leaf(max(fitting), self.sym, self.pair)
        passage = widths(opening, self.sym, self.pair).passage
        return passage if passage > 0 else None

    def _narrower_or(self, other: str) -> str:
        if self.largest is None:
            return f"no clear width would do; take {other}"
        most = down(self.largest, self.request.step / 2)
        return f"reduce the clear width to {said(most)}, or take {other}"

    def _too_wide(self, leaf_width: float, wish: float | None) -> Refusal:
        opening = opening_for_leaf(leaf_width, self.sym, self.pair)
        wide = widths(opening, self.sym, self.pair)
        rough = wide.frame + 2 * self.kit.side_clearance
        short = rough - self.request.space.length
        fill = self.request.situation == "fill"
        asked = f"a clear width of {said(wish)}" if wish is not None else "the smallest leaf"
        more = math.ceil(short - 1e-9)
        wider = f"widen the opening by {said(more)}" if fill else f"find {said(more)} more run"
        return self.refuse(
            5,
            "opening width" if fill else "run length",
            short,
            f"{asked} with kit {self.kit.id} asks for a rough opening of "
            f"{said(rough)}; "
            f"{'the old opening' if fill else 'the free run'} has "
            f"{said(self.request.space.length)}, {said(short, 1)} short",
            self._narrower_or(f"another kit, or {wider}")
            + (f"; or {BESIDE_INSTEAD}" if fill else ""),
        )

    def _solve_width(self, rib: Ribs, leaf_width: float, size: Size) -> Solved | Refusal:
        wide = widths(opening_for_leaf(leaf_width, self.sym, self.pair), self.sym, self.pair)
        if wide.passage <= 0:
            return self.refuse(
                4,
                "leaf width",
                -wide.passage,
                f"a leaf of {said(leaf_width)} leaves no clear width with kit {self.kit.id}",
                "take a wider leaf",
            )
        stand = self._stand(wide)
        height = self._height(stand.bottom, stand.high, size)
        if isinstance(height, Refusal):
            return height
        mass = self.leaf.mass(leaf_width, height)
        refused = self._too_heavy(leaf_width, height, mass) or self._soft_close_refusal(
            leaf_width, mass
        )
        if refused is not None:
            return refused
        rough_top = (
            stand.bottom
            + height
            + self.kit.hanging_allowance
            + self.kit.head_depth
            + self.kit.head_clearance
        )
        clear, frame = self.kit.side_clearance, stand.frame
        rough = Span(frame.low - clear, frame.high + clear)
        clashes = _clashes(self.request, rough, stand.opening, stand.pockets, rough_top)
        for clash in clashes:
            if clash.service.stays:
                return self._kept_out(clash, rough)
        return Solved(
            self.kit,
            self.leaf,
            self.arrangement,
            self.sym,
            rib,
            wide,
            stand.frame,
            stand.opening,
            stand.pockets,
            clashes,
            stand.avoidable if clashes else None,
            stand.supports,
            stand.line,
            stand.high,
            stand.low,
            stand.bottom,
            height,
            mass,
            self.shelf,
        )

    def _too_heavy(self, width: float, height: float, mass: float) -> Refusal | None:
        if mass <= self.kit.leaf_mass_most + 1e-9:
            return None
        return self.refuse(
            7,
            "leaf mass",
            mass - self.kit.leaf_mass_most,
            f"a leaf of {said(width)} x {said(height)} in {self.leaf.id} weighs "
            f"{amount(mass, 'kg')}; kit {self.kit.id} carries "
            f"{amount(self.kit.leaf_mass_most, 'kg', None)} (leaf_mass_most)",
            "take a lighter leaf, a pair, or a kit for heavier leaves",
            "kg",
        )

    def _kept_out(self, clash: Clash, rough: Span) -> Refusal:
        """What must stay where it is keeps the frame off that side of it."""
        one = clash.service
        clear_left = rough.high - (one.x - one.width / 2)
        clear_right = one.x + one.width / 2 - rough.low
        far = min(clear_left, clear_right)
        where = "inside the wall" if one.hidden else f"on face {one.face}"
        return self.refuse(
            7,
            f"{word(one.kind)} {one.name} stays",
            far,
            f"{word(one.kind)} {one.name} at x {said(one.x)} {where} must stay (wall.services."
            f"{one.name}.stays), and it stands in the {clash.where}",
            "take the pocket to the other side, move the opening "
            f"{said(math.ceil(far))} away from it, or ask {word(clash.trade)} whether it may be "
            "moved after all",
        )

    def _soft_close_refusal(self, leaf_width: float, mass: float) -> Refusal | None:
        """Where a soft close is asked for: has the kit one, and does it suit this leaf?"""
        if not self.request.wishes.soft_close:
            return None
        unit = self.kit.soft_close
        other = "take another kit, or do without the soft close"
        if unit is None:
            return self.refuse(7, "soft close", 0.0, f"kit {self.kit.id} has no soft close", other)
        if mass > unit.mass_most + 1e-9:
            return self.refuse(
                7,
                "soft close",
                mass - unit.mass_most,
                f"the leaf weighs {amount(mass, 'kg')}; the soft close of kit {self.kit.id} stops "
                f"{amount(unit.mass_most, 'kg', None)} (soft_close.mass_most)",
                f"take a lighter leaf; {other}",
                "kg",
            )
        if leaf_width < unit.leaf_width_least - 1e-9:
            return self.refuse(
                7,
                "soft close",
                unit.leaf_width_least - leaf_width,
                f"the leaf is {said(leaf_width)} wide; the soft close of kit {self.kit.id} "
                f"needs {said(unit.leaf_width_least)} (soft_close.leaf_width_least)",
                f"take a wider leaf; {other}",
            )
        return None

    def _stand(self, wide: Widths) -> _Stand:
        """Place and level a frame of this width; the same for every leaf of that width."""
        key = (self.arrangement, self.kit.id, wide.leaf)
        known = self.solver.stands.get(key)
        if known is not None:
            return known
        frame_left, avoidable = self._place(wide)
        frame = Span(frame_left, frame_left + wide.frame)
        opening, pockets = self._inside(frame, wide)
        supports = self._supports(frame, pockets)
        floor = self.request.floor
        line = level_line(
            [floor_at(floor, x) for _, _, x in supports],
            self.request.packers,
            max(highest_under(floor, span)[0] for span in standing(frame, opening)),
        )
        high, _, low, _ = extremes(floor, frame)
        bottom = leaf_bottom(
            line,
            self.kit.floor_gap,
            floor.build_up + floor.rise,
            high + floor.rise,
            low + floor.rise,
            self.request.head_drop,
        )
        made = _Stand(avoidable, frame, opening, pockets, supports, line, high, low, bottom)
        self.solver.stands[key] = made
        return made

    def _place(self, wide: Widths) -> tuple[float, float | None]:
        """Frame left (mm), and the place with fewer clashes where a wish overrules it."""
        space, clearance = self.request.space, self.kit.side_clearance
        low = space.low + clearance
        high = max(low, space.high - clearance - wide.frame)
        wishes, offset = self.request.wishes, self._opening_offset(wide)
        old = self.request.old if wishes.centre is None else None
        if old is not None:
            opening = Span(offset, offset + wide.opening)
            preferred = frame_left(old, self.arrangement, wide.frame, clearance, self.request.step)
            preferred = kept_inside(preferred, opening, wishes.place)
        else:
            middle = wishes.centre
            if middle is None and wishes.place is not None:
                middle = wishes.place.middle
            preferred = (low + high) / 2 if middle is None else middle - offset - wide.opening / 2
        step = self.request.step
        preferred = on_step(min(max(preferred, low), high), low, high, step)
        if not self.request.services:
            return preferred, None
        beside = clearance + self.request.beside
        places = [preferred, *(on_step(end, low, high, step) for end in (low, high))]
        for service in self.request.services:
            for at in (
                service.x - service.width / 2 - beside - wide.frame,
                service.x + service.width / 2 + beside,
            ):
                if low <= at <= high:
                    places.append(at)

        def met(left: float) -> int:
            rough = Span(left - beside, left + wide.frame + beside)
            return sum(
                _stands_in(service, rough) and _stands_under(service, self.request.head_limit)
                for service in self.request.services
            )

        def outside(left: float) -> float:
            if wishes.place is None:
                return 0.0
            opening = Span(left + offset, left + offset + wide.opening)
            return max(wishes.place.low - opening.low, opening.high - wishes.place.high, 0.0)

        best = min(places, key=lambda left: (outside(left), met(left), abs(left - preferred), left))
        if wishes.centre is None and old is None:
            return best, None
        return preferred, best if met(best) < met(preferred) else None

    def _opening_offset(self, wide: Widths) -> float:
        """From frame left to the left end of the clear opening, mm."""
        return self.sym.j if self.arrangement == "single-right" else self.sym.s + wide.pocket

    def _inside(
        self, frame: Span, wide: Widths
    ) -> tuple[Span, tuple[tuple[str, Span, float], ...]]:
        left = frame.low + self._opening_offset(wide)
        opening = Span(left, left + wide.opening)
        pockets = []
        if self.arrangement != "single-right":
            pockets.append(("left", Span(left - wide.pocket, left), left))
        if self.arrangement != "single-left":
            right = opening.high
            pockets.append(("right", Span(right, right + wide.pocket), right))
        return opening, tuple(pockets)

    def _supports(
        self, frame: Span, pockets: Sequence[tuple[str, Span, float]]
    ) -> tuple[tuple[str, str, float], ...]:
        """Where packs go: ends of the frame, mouths, and along a base longer than the most."""
        made = [("frame-left", "frame, left end", frame.low)]
        for side, _, mouth in pockets:
            outer = frame.low if side == "left" else frame.high
            bays = max(1, math.ceil(abs(mouth - outer) / BASE_SPAN_MOST - 1e-9))
            for bay in range(1, bays):
                x = outer + (mouth - outer) * bay / bays
                made.append((f"base-{side}-{bay}", f"{side} pocket base, pack {bay}", x))
            made.append((f"mouth-{side}", f"{side} mouth", mouth))
        made.append(("frame-right", "frame, right end", frame.high))
        if len(pockets) == 1:
            jamb = (
                ("jamb", "closing jamb, inner edge", frame.high - self.sym.j)
                if pockets[0][0] == "left"
                else ("jamb", "closing jamb, inner edge", frame.low + self.sym.j)
            )
            made.append(jamb)
        return tuple(sorted(made, key=lambda row: row[2]))

    def _height(self, bottom: float, floor_high: float, size: Size) -> float | Refusal:
        """Leaf height (mm, whole) between what is wished and what the head allows."""
        kit, request = self.kit, self.request
        above = kit.hanging_allowance + kit.head_depth + kit.head_clearance
        limit = request.head_limit - request.head_keep
        kept = f" less {said(request.head_keep)} for a new head" if request.head_keep else ""
        room = limit - above - bottom + 1e-9
        wish = request.wishes.clear_height
        wanted = 0.0
        if wish is not None:
            over = floor_high + request.floor.rise + wish
            wanted = self._up(over + kit.head_cover - bottom)
        elif request.situation != "fill":
            wanted = request.usual_leaf_height
        least = max(size.height.low, wanted)
        if wish is not None and wanted > size.height.high:
            return self.refuse(
                6,
                "leaf height",
                wanted - size.height.high,
                f"a clear height of {said(wish)} asks for a leaf {said(wanted)} high; "
                f"kit {kit.id} with "
                f"leaf {self.leaf.id} goes to {said(size.height.high)}",
                f"reduce the clear height by {said(wanted - size.height.high)}, or take another "
                "kit or leaf",
            )
        if least > room and (wish is not None or size.height.low > room):
            short = least - room
            return self.refuse(
                6,
                "head height",
                short,
                f"a leaf {said(least)} high with kit {kit.id} asks for a rough head at "
                f"{said(bottom + least + above)} over the datum; {said(request.head_limit)}{kept} "
                f"is there, {said(short)} short",
                f"find {said(math.ceil(short))} more height at the head, or take a lower leaf",
            )
        if request.situation == "fill" and wish is None:
            return min(self._down(room), size.height.high)
        return min(max(self._up(least), size.height.low), size.height.high, self._down(room))


def standing(frame: Span, opening: Span) -> tuple[Span, Span]:
    """What of a frame stands over the floor: all but the clear opening. A pocket's base runs from
    the frame's end to its mouth, a closing jamb has its foot."""
    return Span(frame.low, opening.low), Span(opening.high, frame.high)


def _stands_in(service: Service, span: Span) -> bool:
    """Is the service, or a cable or pipe that leaves it sideways, within this stretch of x?"""
    low, high = service.x - service.width / 2, service.x + service.width / 2
    if service.runs == "left":
        low = -math.inf
    elif service.runs == "right":
        high = math.inf
    return high > span.low + 1e-9 and low < span.high - 1e-9


def _stands_under(service: Service, top: float) -> bool:
    """Is the service, or a cable or pipe that drops from it, under this z?"""
    return service.runs == "down" or service.z - service.height / 2 < top - 1e-9


def _clashes(
    request: FitRequest,
    rough: Span,
    opening: Span,
    pockets: Sequence[tuple[str, Span, float]],
    rough_top: float,
) -> tuple[Clash, ...]:
    """Services inside the rough opening or where new studs beside it go, below its head; each
    named by what it stands in."""
    built = Span(rough.low - request.beside, rough.high + request.beside)
    found = []
    for service in request.services:
        if not _stands_in(service, built) or not _stands_under(service, rough_top):
            continue
        stretches = [(f"{side} pocket", inside) for side, inside, _ in pockets]
        stretches.append(("clear opening", opening))
        near = min(max(service.x, rough.low), rough.high)
        where = next(
            (
                name
                for name, stretch in sorted(
                    stretches, key=lambda row: max(row[1].low - near, near - row[1].high)
                )
                if _stands_in(service, stretch)
            ),
            "frame" if _stands_in(service, rough) else "studs beside the frame",
        )
        found.append(Clash(service, where, trade_for(service.kind)))
    return tuple(found)
