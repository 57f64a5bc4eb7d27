"""Which boards go where on each face, at what cost, and is that the least? The lining layout.

Every layout that the rules allow is a choice of courses and of joints on supports. They are walked
depth first with a bound on the boards still to come, so that what is returned is proved least for
the face; at each full layout the boards are bought exactly (module `pool`).
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from truehang.amounts import amount
from truehang.figures import Figure
from truehang.findings import Finding, Severity, worst_first
from truehang.lengths import said
from truehang.lining.courses import (
    TENTHS,
    LaidPart,
    Run,
    Stack,
    Taken,
    bearing,
    stacks,
    stagger,
    surface,
)
from truehang.lining.model import (
    SAME_EDGE,
    BoardCount,
    BoardSize,
    Face,
    FacePlan,
    Joint,
    JointKind,
    LiningPlan,
    LiningRules,
    Piece,
    ScrewLine,
    Sheet,
    SheetPiece,
)
from truehang.lining.pool import (
    SHARES,
    BoardKind,
    Fill,
    Size,
    cheapest,
    counted,
    crosscuts,
    load_bound,
    shares,
)
from truehang.lining.shape import notches, on_board, seen
from truehang.money import Money

COMMON_PRACTICE = "common practice, no source"
NOMINAL_PER_M2 = 800
"""Stands in for a price that isn't known, minor units a m2, so that joints still weigh in."""
EPS = 1e-6
SMALLEST = 50.0
"""No joint leaves less than this in any case, mm; common practice, no source."""
LEAST_HELD = 30.0
"""Timber that is lower than this behind a board takes no screw, mm (common practice, no source)."""
LEAST_FOR_TWO = 100.0
"""Lower timber than this behind a board takes one screw, mm (common practice, no source)."""
MOST_LAYOUTS = 5_000
MOST_BOUGHT = 150
"""How much is worked out of what boards cost, as `pool.Bought` counts it."""
EXTRA_WITHOUT_BEST = 4_000
"""How far past the fewest joints to look, in money, while no layout is known."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """A whole face: the courses and the joints chosen, and what it weighs."""

    stack: Stack
    runs: tuple[tuple[int, Run], ...]
    value: int

    @property
    def parts(self) -> tuple[tuple[int, LaidPart], ...]:
        return tuple((course, part) for course, run in self.runs for part in run.parts)


def lay_boards(
    faces: Sequence[Face],
    boards: Sequence[BoardSize],
    rules: LiningRules | None = None,
    beside: Sequence[FacePlan] = (),
) -> LiningPlan:
    """The lining of these faces with these boards.

    Faces are laid in the order given, each with its joints off those of the layer under it and off
    the studs of the other side's; `beside` are faces of the wall that other boards line already.
    Never raises for bad values: each becomes a finding that names the field, the value and the
    mend, and the other faces are still laid.
    """
    rules = rules or LiningRules()
    findings = [*_check_rules(rules), *_check_boards(boards)]
    if findings:
        return _nothing(findings)
    kinds = [_kind(board) for board in boards]
    if any(board.price is None for board in boards):
        findings.append(
            Finding(
                Severity.WARN,
                "lining.boards",
                "a board has no price: boards are weighed by area",
                "give the price of each board",
                COMMON_PRACTICE,
            )
        )
    layouts: list[tuple[Face, _Layout, int]] = []
    there = [(plan.face, [_ends(joint) for joint in plan.joints]) for plan in beside]
    for face in faces:
        wrong = _check_face(face)
        findings.extend(wrong)
        if any(finding.severity is Severity.STOP for finding in wrong):
            continue
        found = _kept_off(face, boards, kinds, rules, there)
        if found is None:
            findings.append(_no_layout(face, boards, rules))
        else:
            layouts.append((face, *found))
            lines = [line for _, line in _lines(face, found[0], rules)]
            findings.extend(_small(face, found[0], rules))
            findings.extend(_shared(face, lines, there, rules))
            there.append((face, lines))
    if not layouts:
        return _nothing(findings)
    return _plan(layouts, boards, kinds, rules, findings)


def _kind(board: BoardSize) -> BoardKind:
    cost = (
        round(board.width_mm * board.length_mm * NOMINAL_PER_M2 / 1e6)
        if board.price is None
        else board.price.minor
    )
    length, width = round(board.length_mm * TENTHS), round(board.width_mm * TENTHS)
    return BoardKind(board.id, length, width, cost, board.on_hand)


_Line = tuple[float, float, float, float]
"""A joint: from x, z to x, z."""
_There = Sequence[tuple[Face, Sequence[_Line]]]
"""Faces that are laid already, and their joints."""


def _ends(joint: Joint) -> _Line:
    return joint.x0_mm, joint.z0_mm, joint.x1_mm, joint.z1_mm


def _kept_off(
    face: Face,
    boards: Sequence[BoardSize],
    kinds: Sequence[BoardKind],
    rules: LiningRules,
    there: _There,
) -> tuple[_Layout, int] | None:
    """The least layout that keeps off the joints of the layer under it and leaves no small piece,
    if there is one; else one that leaves smaller pieces; else one that shares the layer's joints.
    Joints on the other side's studs weigh more in each."""
    under, dear = _under(face, there, rules), _other_side(face, there)
    small = replace(
        rules,
        least_piece_mm=min(rules.least_piece_mm, SMALLEST),
        least_course_mm=min(rules.least_course_mm, SMALLEST),
    )
    for layer, allowed in dict.fromkeys(itertools.product((under, Taken()), (rules, small))):
        found = _least(face, boards, kinds, allowed, replace(layer, dear=dear))
        if found is not None:
            return found
    return None


def _small(face: Face, layout: _Layout, rules: LiningRules) -> list[Finding]:
    """What is said where a joint had to leave a piece smaller than the rules want."""
    lines = [line for _, line in _lines(face, layout, rules)]

    def at_joint(place: float, upright: bool) -> bool:
        here = 0 if upright else 1
        return any(
            (line[0] == line[2]) == upright and abs(line[here] - place) < 0.1 for line in lines
        )

    found = []
    for x0, z0, x1, z1 in (part.bounds for _, part in layout.parts):
        for size, least, ends, upright in (
            (x1 - x0, rules.least_piece_mm, (x0, x1), True),
            (z1 - z0, rules.least_course_mm, (z0, z1), False),
        ):
            if size < least - 0.5 and any(at_joint(end, upright) for end in ends):
                found.append((size, "wide" if upright else "high"))
    if not found:
        return []
    size, word = min(found)
    return [
        Finding(
            Severity.WARN,
            f"lining.face {face.id}",
            f"joints leave {len(found)} small pieces, the smallest {said(size)} {word}: no layout "
            "of these boards leaves none",
            "glue and screw them on all sides, or add a board of another width or length",
            COMMON_PRACTICE,
        )
    ]


def _under(face: Face, there: _There, rules: LiningRules) -> Taken:
    """The joints of the layers next to this one on its own side."""
    lines = [
        line
        for other, laid in there
        if face.side and other.side == face.side and abs(other.layer - face.layer) == 1
        for line in laid
    ]
    shift = rules.layer_shift_mm
    return Taken(
        tuple((x0, z0, z1, shift) for x0, z0, x1, z1 in lines if x0 == x1),
        tuple((z0, x0, x1, shift) for x0, z0, x1, z1 in lines if z0 == z1),
    )


def _other_side(face: Face, there: _There) -> tuple[float, ...]:
    """The studs that the joints of the other side stand on, at any height."""
    return tuple(
        x0
        for other, laid in there
        if face.side and other.side and other.side != face.side
        for x0, _, x1, _ in laid
        if x0 == x1
    )


def _shared(face: Face, lines: Sequence[_Line], there: _There, rules: LiningRules) -> list[Finding]:
    """What is said where joints could not keep off those that were there."""
    under = _under(face, there, rules)
    both = Taken(dear=_other_side(face, there))
    where = f"lining.face {face.id}"
    found = []
    on_layer = sum(
        under.upright(x0, z0, z1) if x0 == x1 else under.level(z0, x0, x1)
        for x0, z0, x1, z1 in lines
    )
    if on_layer:
        found.append(
            Finding(
                Severity.WARN,
                where,
                f"{on_layer} joints run within {said(rules.layer_shift_mm)} of joints in the layer "
                "under them: no layout of these boards keeps off all of them",
                "add a board of another width or length, or lay one layer the other way",
                COMMON_PRACTICE,
            )
        )
    studs = sorted({x0 for x0, _, x1, _ in lines if x0 == x1 and both.is_dear(x0)})
    if studs:
        found.append(
            Finding(
                Severity.NOTE,
                where,
                f"joints of both sides fall on the upright at {', '.join(map(said, studs))}: none "
                f"was found that keeps off it for less than {rules.same_stud_cost / 100:.2f} more",
                "tape and set both sides well there, or add a longer board to choose from",
                COMMON_PRACTICE,
            )
        )
    return found


def _least(
    face: Face,
    boards: Sequence[BoardSize],
    kinds: Sequence[BoardKind],
    rules: LiningRules,
    taken: Taken,
) -> tuple[_Layout, int] | None:
    """The layout of least weight, and the bound on every layout of the face that keeps off what is
    taken."""
    free = [replace(kind, on_hand=None) for kind in kinds]
    search = _Search(free, stagger(face, rules))
    ways = sorted(
        stacks(face, boards, rules, taken), key=lambda stack: (stack.level_cost, stack.levels)
    )
    for stack in ways:
        search.walk(stack, [stretch.fewest for _, stretch in stack.stretches])
    for _ in range(1 if search.best else 2):  # without a best, a first look only finds one
        for stack in ways:
            search.walk(stack, search.within_reach(stack))
    if search.best is None:
        return None
    return search.best, math.ceil(min(search.best.value, search.passed_over) - EPS)


class _Search:
    """Depth first over the stretches of a stack, cheapest first, with a bound to turn back at.

    The bound on the boards still to come is a sum over pieces, one sum for each share in SHARES:
    see `pool.shares`. The largest of the sums holds.
    """

    def __init__(self, kinds: Sequence[BoardKind], shift: float) -> None:
        self.kinds, self.shift = kinds, shift
        self.best: _Layout | None = None
        self.passed_over: float = math.inf
        self._shares: dict[Size, tuple[float, ...]] = {}
        self._bought: dict[tuple[Size, ...], int] = {}
        self._at_least: dict[tuple[Size, ...], float] = {}
        self._looked = self._worked = 0

    def _floors(self, run: Run) -> tuple[float, ...]:
        """What a run weighs at least, by each of the bounds."""
        rows = []
        for part in run.parts:
            if part.size not in self._shares:
                self._shares[part.size] = shares(part.size, self.kinds)
            rows.append(self._shares[part.size])
        return tuple(run.extra + sum(column) for column in zip(*rows, strict=True))

    def within_reach(self, stack: Stack) -> list[tuple[Run, ...]]:
        """For each stretch, the choices of joints that a layout better than the best can hold."""
        least = [
            [min(column) for column in zip(*map(self._floors, stretch.fewest), strict=True)]
            for _, stretch in stack.stretches
        ]
        fewest = [min(run.extra for run in stretch.fewest) for _, stretch in stack.stretches]
        area = sum(row[0] - low for row, low in zip(least, fewest, strict=True))
        most = EXTRA_WITHOUT_BEST + sum(fewest)
        if self.best is not None:
            most = self.best.value - 1 - math.floor(area) - stack.level_cost
        found: list[tuple[Run, ...]] = []
        for (_, stretch), low in zip(stack.stretches, fewest, strict=True):
            options, cut_short = stretch.options(most - sum(fewest) + low)
            if cut_short:
                self.passed_over = min(self.passed_over, stack.level_cost + area + sum(fewest))
            found.append(options)
        return found

    def walk(self, stack: Stack, choices: Sequence[Sequence[Run]]) -> None:
        """Look at every layout of these choices that may be better than the best."""
        if not all(choices):
            return
        count = len(SHARES)
        floors = [[(self._floors(run), run) for run in options] for options in choices]
        rest = [[0.0] * count for _ in range(len(floors) + 1)]
        for place in range(len(floors) - 1, -1, -1):
            for k in range(count):
                least = min(floor[k] for floor, _ in floors[place])
                rest[place][k] = rest[place + 1][k] + least
        main = max(range(count), key=lambda k: rest[0][k])
        ranked = [sorted(row, key=lambda pair: (pair[0][main], pair[1].joints)) for row in floors]
        chosen: list[tuple[int, Run]] = []

        def go(place: int, spent: tuple[float, ...]) -> None:
            if place == len(ranked):
                self._weigh(stack, tuple(chosen))
                return
            course = stack.stretches[place][0]
            for floor, run in ranked[place]:
                total = tuple(a + b for a, b in zip(spent, floor, strict=True))
                low = total[main] + rest[place + 1][main]
                if self.best is not None and low > self.best.value - 1 + EPS:
                    break
                low = max(a + b for a, b in zip(total, rest[place + 1], strict=True))
                if self.best is not None and low > self.best.value - 1 + EPS:
                    continue
                if self._looked > MOST_LAYOUTS or self._worked > MOST_BOUGHT:
                    self.passed_over = min(self.passed_over, low)
                    return
                if self._staggered(course, run, chosen):
                    chosen.append((course, run))
                    go(place + 1, total)
                    chosen.pop()

        go(0, (float(stack.level_cost),) * count)

    def _staggered(self, course: int, run: Run, chosen: Sequence[tuple[int, Run]]) -> bool:
        return all(
            abs(x - other) >= self.shift - 0.5
            for below, laid in chosen
            if abs(below - course) == 1
            for x in run.joints
            for other in laid.joints
        )

    def _weigh(self, stack: Stack, runs: tuple[tuple[int, Run], ...]) -> None:
        self._looked += 1
        pieces = tuple(sorted(part.size for _, run in runs for part in run.parts))
        extra = stack.level_cost + sum(run.extra for _, run in runs)
        under = math.inf if self.best is None else self.best.value - extra
        cost = self._cost(pieces, extra, under)
        if cost is not None and cost < under:
            self.best = _Layout(stack, runs, extra + cost)

    def _cost(self, pieces: tuple[Size, ...], extra: int, under: float) -> int | None:
        """What boards for these pieces cost, where that is less than `under`; beside them a layout
        weighs `extra`."""
        if pieces in self._bought:
            return self._bought[pieces]
        sizes, counts = counted(pieces)
        low = max(self._at_least.get(pieces, 0.0), load_bound(sizes, counts, self.kinds))
        if low >= under:
            return None
        bought = cheapest(sizes, counts, self.kinds, under)
        self._worked += bought.work
        if not bought.proved:
            self.passed_over = min(self.passed_over, extra + low)
        if bought.cost is None:
            self._at_least[pieces] = under
        else:
            self._bought[pieces] = bought.cost
        return bought.cost


def _plan(
    layouts: Sequence[tuple[Face, _Layout, int]],
    boards: Sequence[BoardSize],
    kinds: Sequence[BoardKind],
    rules: LiningRules,
    findings: list[Finding],
) -> LiningPlan:
    pieces = [part.size for _, layout, _ in layouts for _, part in layout.parts]
    sizes, counts = counted(pieces)
    pooled = cheapest(sizes, counts, kinds)
    if pooled.cost is None:
        findings.append(
            Finding(
                Severity.STOP,
                "lining.boards",
                "the boards on hand are not enough for all faces",
                "raise on_hand, or leave it empty for as many as wanted",
                COMMON_PRACTICE,
            )
        )
        return _nothing(findings)
    sheets, places = _sheets(sizes, pooled.fills, kinds)
    plans = [_face_plan(laid, sheets, places, boards, rules) for laid in layouts]
    extra = sum(
        layout.stack.level_cost + sum(run.extra for _, run in layout.runs)
        for _, layout, _ in layouts
    )
    bought, total = _bought(boards, Counter(sheet.board for sheet in sheets))
    used = {count.board for count in bought}
    findings.extend(_heavy([board for board in boards if board.id in used], rules))
    area = sum(sheet.length_mm * sheet.width_mm for sheet in sheets) / 1e6
    waste = area - sum(plan.area_m2 for plan in plans)
    screws = sum(line.count for plan in plans for line in plan.screw_lines)
    proved = pooled.proved and all(plan.proved for plan in plans)
    plan = LiningPlan(
        tuple(plans),
        tuple(sheets),
        bought,
        total,
        pooled.cost + extra,
        proved,
        waste,
        screws,
        (),
        worst_first(tuple(findings)),
    )
    return replace(plan, figures=_figures(plan))


def _bought(
    boards: Sequence[BoardSize], tally: Counter[str]
) -> tuple[tuple[BoardCount, ...], Money | None]:
    """The boards to buy, and what they cost together where each has its price."""
    bought = tuple(
        BoardCount(
            board.id,
            tally[board.id],
            board.price,
            None if board.price is None else board.price.times(tally[board.id]),
        )
        for board in boards
        if tally[board.id]
    )
    totals = [item.total for item in bought if item.total is not None]
    whole = len(totals) == len(bought) and totals
    return bought, sum(totals[1:], totals[0]) if whole else None


_Places = dict[Size, list[tuple[int, int]]]


def _sheets(
    sizes: Sequence[Size], chosen: Sequence[Fill], kinds: Sequence[BoardKind]
) -> tuple[list[Sheet], _Places]:
    """The boards with where each piece size lies on them, and for each size its places as (number
    of the sheet, place on it). Pieces are named when they are put on the wall."""
    places: _Places = {size: [] for size in sizes}
    sheets: list[Sheet] = []
    for fill in sorted(chosen, key=lambda f: (-kinds[f.kind].length, f.kind, f.counts)):
        kind = kinds[fill.kind]
        held = [size for size, n in zip(sizes, fill.counts, strict=True) for _ in range(n)]
        at = 0
        laid: list[SheetPiece] = []
        for group in crosscuts(tuple(sorted(held, reverse=True)), kind.width):
            across = 0
            for along, wide in group:
                places[(along, wide)].append((len(sheets), len(laid)))
                laid.append(
                    SheetPiece("", at / TENTHS, across / TENTHS, along / TENTHS, wide / TENTHS)
                )
                across += wide
            at += group[0][0]
        sheets.append(
            Sheet(len(sheets) + 1, kind.id, kind.length / TENTHS, kind.width / TENTHS, tuple(laid))
        )
    return sheets, places


def _name(sheet: Sheet, place: int, piece: Piece, joints: tuple[bool, bool]) -> Sheet:
    """The sheet with the piece at a place named and shaped.

    `joints`: is there one at its lower edge, and at its upper (laid across; on end, at its right
    and left)? A piece that keeps one long edge of the board is turned so that it lies at a joint.
    """
    here = sheet.pieces[place]
    first = here.across_mm < 0.05
    last = here.across_mm + here.width_mm > sheet.width_mm - 0.05
    turned = (first and not last and joints == (False, True)) or (
        last and not first and joints == (True, False)
    )
    named = replace(here, piece=piece.id, turned=turned)
    named = replace(named, outline=on_board(named, piece.corners, piece.lay))
    return replace(sheet, pieces=(*sheet.pieces[:place], named, *sheet.pieces[place + 1 :]))


def _beside(face: Face, layout: _Layout, shape: Polygon, rules: LiningRules) -> tuple[bool, bool]:
    """Is there a joint at the first long edge of a piece, and at the other? See `_name`."""
    x0, z0, x1, z1 = shape.bounds
    low_x, low_z, high_x, high_z = surface(face, rules).bounds
    if layout.stack.lay == "across":
        return z0 > low_z + 0.5, z1 < high_z - 0.5
    left, right = x0 > low_x + 0.5, x1 < high_x - 0.5
    return (left, right) if face.mirrored else (right, left)


def _factory_edges(sheet: Sheet, place: int) -> int:
    """How many long edges of the board the piece at a place keeps."""
    piece = sheet.pieces[place]
    far = piece.across_mm + piece.width_mm
    return int(piece.across_mm < 0.05) + int(far > sheet.width_mm - 0.05)


def _face_plan(
    laid: tuple[Face, _Layout, int],
    sheets: list[Sheet],
    places: _Places,
    boards: Sequence[BoardSize],
    rules: LiningRules,
) -> FacePlan:
    face, layout, bound = laid
    by_id = {board.id: board for board in boards}
    pieces: list[Piece] = []
    edges: list[int] = []
    for number, (course, part) in enumerate(layout.parts, start=1):
        sheet, place = places[part.size].pop(0)
        name = f"{face.id}-{number}" if face.id[-1:].isdigit() else f"{face.id}{number}"
        board = by_id[sheets[sheet].board]
        edges.append(_factory_edges(sheets[sheet], place) if board.recessed else 0)
        x0, z0, x1, z1 = part.bounds
        ring = list(part.shape.exterior.coords)[:-1]
        corners = seen(part.shape, face.mirrored)
        pieces.append(
            Piece(
                name,
                face.id,
                part.lay,
                course,
                x0,
                z0,
                x1,
                z1,
                tuple((float(x), float(z)) for x, z in ring),
                part.size[0] / TENTHS,
                part.size[1] / TENTHS,
                part.shape.area * board.kg_per_m2 / 1e6,
                board.id,
                sheet + 1,
                notches(corners),
                corners,
            )
        )
        joints_at = _beside(face, layout, part.shape, rules)
        sheets[sheet] = _name(sheets[sheet], place, pieces[-1], joints_at)
    joints = tuple(_joints(face, layout, rules, pieces, edges))
    return FacePlan(
        face,
        layout.stack.lay,
        tuple(pieces),
        joints,
        tuple(_screw_lines(face, [part.shape for _, part in layout.parts], rules)),
        sum(joint.length_mm for joint in joints) / 1000,
        surface(face, rules).area / 1e6,
        layout.value,
        bound,
    )


def _joints(
    face: Face,
    layout: _Layout,
    rules: LiningRules,
    pieces: Sequence[Piece],
    edges: Sequence[int],
) -> list[Joint]:
    """Level joints between courses, upright joints in them.

    A joint is recessed where every piece beside it keeps a board's long edge there: two for a piece
    with a joint on both sides, one for a piece at the end.
    """
    last = len(layout.stack.levels) - 2
    joints: list[Joint] = []
    for course, line in _lines(face, layout, rules):
        x0, z0, x1, z1 = line
        kind: JointKind
        if x0 == x1:
            kind = "butt" if layout.stack.lay == "across" else _upright_kind(x0, pieces, edges)
        else:
            beside = [
                kept >= (1 if piece.course in (0, last) else 2)
                for piece, kept in zip(pieces, edges, strict=True)
                if piece.course in (course, course + 1)
            ]
            kind = "recessed" if all(beside) else "cut-edge"
        joints.append(Joint(x0, z0, x1, z1, kind))
    return joints


def _lines(face: Face, layout: _Layout, rules: LiningRules) -> list[tuple[int, _Line]]:
    """Where the joints of a layout run, each with its course: level ones over it, then uprights."""
    area = surface(face, rules)
    low, _, high, _ = area.bounds
    levels = layout.stack.levels
    lines = []
    for course, z in enumerate(levels[1:-1]):
        for a, _, b, _ in _stretches(area, LineString([(low, z), (high, z)])):
            lines.append((course, (a, z, b, z)))
    for course, run in layout.runs:
        for x in run.joints:
            upright = LineString([(x, levels[course]), (x, levels[course + 1])])
            for _, bottom, _, top in _stretches(area, upright):
                lines.append((course, (x, bottom, x, top)))
    return lines


def _upright_kind(x: float, pieces: Sequence[Piece], edges: Sequence[int]) -> JointKind:
    """The kind of an upright joint between boards on end."""
    left, right = min(p.x0_mm for p in pieces), max(p.x1_mm for p in pieces)
    for piece, kept in zip(pieces, edges, strict=True):
        if min(abs(piece.x0_mm - x), abs(piece.x1_mm - x)) > 0.05:
            continue
        at_end = abs(piece.x0_mm - left) < 0.05 or abs(piece.x1_mm - right) < 0.05
        if kept < (1 if at_end else 2):
            return "cut-edge"
    return "recessed"


def _stretches(area: BaseGeometry, line: LineString) -> list[tuple[float, float, float, float]]:
    cut = line.intersection(area)
    parts = getattr(cut, "geoms", [cut])
    return sorted(part.bounds for part in parts if part.length > 0.5)


def bare_lines(face: Face, rules: LiningRules) -> tuple[ScrewLine, ...]:
    """The screws of a face that no boards could be laid on: as if one board covered it."""
    return tuple(_screw_lines(face, [surface(face, rules)], rules))


def _screw_lines(face: Face, shapes: Iterable[BaseGeometry], rules: LiningRules) -> list[ScrewLine]:
    """A row on every support behind each piece; two rows where two boards end on one support."""
    lines: list[ScrewLine] = []
    inset = rules.edge_distance_mm
    for shape in shapes:
        left, bottom, right, top = shape.bounds
        for support in sorted(face.supports, key=lambda s: s.x_mm):
            half = support.width_mm / 2
            if not left - half < support.x_mm < right + half:
                continue
            x = min(max(support.x_mm, left + inset), right - inset)
            if abs(x - support.x_mm) > half:
                continue
            at_edge = support.x_mm - half <= left or support.x_mm + half >= right
            upright = LineString([(x, bottom), (x, top)])
            for _, low, _, high in _stretches(shape, upright):
                for foot, head in _held(face, x, low, high):
                    lines.append(_row(face, support.kind, x, (foot, head), at_edge, rules))
    return lines


def _held(face: Face, x: float, low: float, high: float) -> list[tuple[float, float]]:
    """The parts of an upright line behind which there is timber; all of it where nobody says."""
    if not face.timber:
        return [(low, high)]
    parts: list[tuple[float, float]] = []
    behind = [t for t in face.timber if t.x0_mm <= x <= t.x1_mm]
    for one in sorted(behind, key=lambda t: t.z0_mm):
        foot, head = max(one.z0_mm, low), min(one.z1_mm, high)
        if head <= foot:
            continue
        if parts and foot - parts[-1][1] < SAME_EDGE:
            foot, head = parts[-1][0], max(head, parts[-1][1])
            parts.pop()
        parts.append((foot, head))
    return [(foot, head) for foot, head in parts if head - foot >= LEAST_HELD]


def _row(
    face: Face,
    kind: str,
    x: float,
    ends: tuple[float, float],
    at_edge: bool,
    rules: LiningRules,
) -> ScrewLine:
    low, high = ends
    narrow = high - low < LEAST_FOR_TWO
    inset = (high - low) / 2 if narrow else rules.edge_distance_mm
    length = high - low - 2 * inset
    most = rules.edge_mm if at_edge else rules.field_mm
    gaps = max(0, math.ceil(length / most - 1e-9))
    behind = [
        zone.longest_mm
        for zone in face.zones
        if zone.x0_mm <= x <= zone.x1_mm and zone.z0_mm < high and zone.z1_mm > low
    ]
    return ScrewLine(
        x,
        low + inset,
        high - inset,
        gaps + 1,
        length / gaps if gaps else 0.0,
        kind,  # type: ignore[arg-type]
        min(behind, default=None),
    )


def _bad(where: str, what: str, mend: str) -> Finding:
    return Finding(Severity.STOP, where, what, mend, COMMON_PRACTICE)


def _check_rules(rules: LiningRules) -> list[Finding]:
    found = []
    for name in ("lift_kg_each", "field_mm", "edge_mm"):
        value = getattr(rules, name)
        if not math.isfinite(value) or value <= 0:
            found.append(_bad("lining.rules", f"{name} {value!r} is not above 0", "give a number"))
    for name in (
        "corner_clear_mm", "floor_gap_mm", "least_piece_mm", "least_course_mm", "layer_shift_mm",
        "edge_distance_mm",
    ):  # fmt: skip
        value = getattr(rules, name)
        if not math.isfinite(value) or value < 0:
            found.append(_bad("lining.rules", f"{name} {value!r} is below 0", "give mm"))
    if not isinstance(rules.people, int) or rules.people < 1:
        found.append(_bad("lining.rules", f"people {rules.people!r} is below 1", "give 1 or more"))
    if not rules.lays:
        found.append(_bad("lining.rules", "no direction is allowed", "allow across, up or both"))
    return found


def _check_boards(boards: Sequence[BoardSize]) -> list[Finding]:
    found = [] if boards else [_bad("lining.boards", "there is no board", "add a board size")]
    for board in boards:
        where = f"lining.board {board.id}"
        for name in ("width_mm", "length_mm", "thickness_mm", "kg_per_m2"):
            value = getattr(board, name)
            if not math.isfinite(value) or value <= 0:
                found.append(_bad(where, f"{name} {value!r} is not above 0", "measure the board"))
        if board.on_hand is not None and board.on_hand < 0:
            found.append(_bad(where, f"on_hand {board.on_hand} is below 0", "count the boards"))
    ids = Counter(board.id for board in boards)
    found += [
        _bad(f"lining.board {name}", f"the id is used {n} times", "give each its own id")
        for name, n in ids.items()
        if n > 1
    ]
    currencies = sorted({board.price.currency for board in boards if board.price is not None})
    if len(currencies) > 1:
        found.append(
            _bad("lining.boards", f"prices are in {' and '.join(currencies)}", "use one currency")
        )
    return found


def _check_face(face: Face) -> list[Finding]:
    where = f"lining.face {face.id}"
    rings = [("outline", face.outline), *(("hole", hole) for hole in face.holes)]
    for name, ring in rings:
        if len(ring) < 3 or not all(math.isfinite(v) for point in ring for v in point):
            return [_bad(where, f"the {name} has no three corners", "give x and z of each corner")]
        if not Polygon(ring).is_valid:
            return [_bad(where, f"the {name} crosses itself", "give the corners in order")]
    if not face.supports:
        return [_bad(where, "there is no support", "give the centre of every stud and rib")]
    places = sorted({support.x_mm for support in face.supports})
    wide = max((b - a for a, b in itertools.pairwise(places)), default=0.0)
    if wide > 610:
        return [
            Finding(
                Severity.WARN,
                where,
                f"supports are up to {said(wide)} apart",
                f"add a support where board spans more than {said(600)}",
                COMMON_PRACTICE,
            )
        ]
    return []


def _no_layout(face: Face, boards: Sequence[BoardSize], rules: LiningRules) -> Finding:
    heaviest = max(board.mass_kg for board in boards)
    return _bad(
        f"lining.face {face.id}",
        f"no layout keeps every rule: {len(bearing(face))} supports carry joints, joints stay "
        f"{said(rules.corner_clear_mm)} off corners, {rules.people} lift "
        f"{amount(rules.people * rules.lift_kg_each, 'kg', None)} and the heaviest board is "
        f"{amount(heaviest, 'kg')}",
        "allow both directions, add a longer board or a support, or ask for one more to lift",
    )


def _heavy(bought: Sequence[BoardSize], rules: LiningRules) -> list[Finding]:
    """Boards that weigh more whole than the people there can lift: they are cut before."""
    most = rules.people * rules.lift_kg_each
    return [
        Finding(
            Severity.WARN,
            f"lining.board {board.id}",
            f"the whole board weighs {amount(board.mass_kg, 'kg')}, more than the "
            f"{amount(most, 'kg', None)} that {rules.people} lift",
            "cut it where it was unloaded, or ask for one more to carry",
            COMMON_PRACTICE,
        )
        for board in bought
        if board.mass_kg > most
    ]


def _nothing(findings: Sequence[Finding]) -> LiningPlan:
    return LiningPlan((), (), (), None, 0, False, 0.0, 0, (), worst_first(tuple(findings)))


def _figures(plan: LiningPlan) -> tuple[Figure, ...]:
    count = sum(item.count for item in plan.boards)
    joints = sum(face.joint_m for face in plan.faces)
    rows: list[Figure] = [
        Figure("lining.boards", "Boards to buy", count, "", "least cost for all pieces",
               ("catalogue:boards", "job:wall"), COMMON_PRACTICE),
        Figure("lining.joints", "Joints to tape and set", round(joints, 2), "m",
               "sum of the lengths of all joints", ("lining.boards",), COMMON_PRACTICE),
        Figure("lining.screws", "Board screws", plan.screws, "",
               "sum over supports and pieces of ceil(length / spacing) + 1",
               ("lining.boards",), COMMON_PRACTICE),
        Figure("lining.waste", "Board area bought but not on the wall", round(plan.waste_m2, 3),
               "m2", "area of boards - area covered", ("lining.boards",), COMMON_PRACTICE),
    ]  # fmt: skip
    if plan.total is not None:
        rows.append(
            Figure("lining.total", "Cost of boards", str(plan.total), plan.total.currency,
                   "sum of count * price", ("lining.boards",), COMMON_PRACTICE)
        )  # fmt: skip
    rows += [
        Figure(f"lining.{face.face.id}.area", f"Face {face.face.id}: area", round(face.area_m2, 3),
               "m2", "outline - holes - floor gap", ("job:wall",), COMMON_PRACTICE)
        for face in plan.faces
    ]  # fmt: skip
    return tuple(rows)
