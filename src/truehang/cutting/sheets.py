"""Which sheets are bought, and how is each sawn into panels? Guillotine cuts, kerf and grain.

The bound comes from column generation in which each sheet may repeat a panel as often as it pays;
patterns come from it and from many seeded fillings; HiGHS chooses among them. Bound and gap are
always given.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from truehang.cutting.best import Best
from truehang.cutting.bins import Packing, Pattern, Problem
from truehang.cutting.counts import Row, least_counts, load_row
from truehang.cutting.guillotine import Filling, Shape, Tree, coarser, place
from truehang.cutting.master import EPS, SCALE, Clock, Floats, Master
from truehang.cutting.request import (
    COMMON_PRACTICE,
    LONGEST_MM,
    TENTHS,
    CutRules,
    Effort,
    check_rules,
    tenths,
)
from truehang.cutting.result import (
    Objective,
    Placed,
    Proof,
    Purchase,
    SawCut,
    SheetLayout,
    SheetPlan,
)
from truehang.cutting.whole import choose
from truehang.figures import Figure
from truehang.findings import Finding, Severity, worst_first
from truehang.money import Money

SHEETS_SOURCE = "Gilmore and Gomory, Operations Research 13 (1965); cited from memory"
MOST_CELLS = 5_000
MOST_PANELS = 2_000
ROUNDS = 5
TRIES = 25


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangle that a job needs, `count` times. `width_mm` lies along the sheet's width.

    `may_turn` False: its height follows the grain, which runs along the sheet's height.
    """

    id: str
    width_mm: float
    height_mm: float
    count: int = 1
    may_turn: bool = True
    job: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet that can be bought. `grain`: panels keep their direction on it."""

    id: str
    width_mm: float
    height_mm: float
    price: Money | None = None
    on_hand: int | None = None
    grain: bool = False


def cut_sheets(
    material: str,
    panels: Sequence[Panel],
    sheets: Sequence[SheetStock],
    rack: Sequence[SheetStock] = (),
    rules: CutRules | None = None,
    effort: Effort | None = None,
) -> SheetPlan:
    """The sheets to buy and how to saw them: least cost, or least area where a price is missing.

    The end trim of the rules is taken off the left and the bottom edge. Pieces of the rack are
    there once and cost nothing. Bad values become findings; what can't be cut is in `uncut`.
    """
    rules, effort = rules or CutRules(), effort or Effort()
    findings = [*check_rules(rules), *_check(panels, [*sheets, *rack])]
    if findings:
        return _empty(material, [panel.id for panel in panels], findings)
    kinds = [*rack, *sheets]
    from_rack = len(rack)
    sizes = [_inner(sheet, rules) for sheet in kinds]
    grain = any(sheet.grain for sheet in kinds)
    shapes, members, uncut = _shapes(panels, sizes, rules, grain)
    findings += [_too_large(material, name, grain) for name in uncut]
    if not shapes:
        return _empty(material, uncut, findings)
    objective: Objective = "cost" if all(s.price is not None for s in sheets) else "length"
    if objective == "length":
        findings.append(_no_price(material))
    of = Problem(
        tuple(shape.width * shape.height for shape in shapes),
        tuple(len(names) for names in members),
        tuple(w * h for w, h in sizes),
        tuple(_cost(s, objective, k < from_rack) for k, s in enumerate(kinds)),
        tuple(1 if k < from_rack else s.on_hand for k, s in enumerate(kinds)),
    )
    best, trees = _search(of, shapes, sizes, effort)
    if best.packing is None:
        findings.append(_too_few(material))
        return _empty(material, [panel.id for panel in panels], findings)
    layouts = _layouts(best.packing, trees, members, kinds, from_rack, rules)
    value = best.packing.cost
    bound = min(best.bound, value)
    gap = (value - bound) / value if value else 0.0
    proof = Proof(objective, value, float(bound), gap, value <= bound, best.method)
    purchases = _purchases(material, layouts, sheets)
    totals = [item.total for item in purchases if item.total is not None]
    total = sum(totals[1:], totals[0]) if totals and objective == "cost" else None
    return SheetPlan(
        material,
        layouts,
        purchases,
        tuple(uncut),
        total,
        proof,
        _figures(material, proof, layouts),
        worst_first(tuple(findings)),
    )


def _too_large(material: str, name: str, grain: bool) -> Finding:
    return Finding(
        Severity.STOP,
        f"cutting.panel {name}",
        f"it is larger than every sheet of {material} less trim"
        + (", and the grain keeps it from being turned" if grain else ""),
        "order a larger sheet or make the panel of two",
        COMMON_PRACTICE,
    )


def _no_price(material: str) -> Finding:
    return Finding(
        Severity.WARN,
        f"cutting.{material}",
        "a sheet has no price: the plan buys the least area, not the least cost",
        "give the price of each sheet",
        COMMON_PRACTICE,
    )


def _too_few(material: str) -> Finding:
    return Finding(
        Severity.STOP,
        f"cutting.{material}",
        "the sheets on hand are not enough for all panels",
        "raise on_hand, or take panels off the list",
        COMMON_PRACTICE,
    )


def _check(panels: Sequence[Panel], sheets: Sequence[SheetStock]) -> list[Finding]:
    found: list[Finding] = []

    def bad(where: str, what: str, mend: str) -> None:
        found.append(Finding(Severity.STOP, where, what, mend, COMMON_PRACTICE))

    for kind, rows in (("panel", panels), ("sheet", sheets)):
        for row in rows:
            for name in ("width_mm", "height_mm"):
                mm = getattr(row, name)
                if not math.isfinite(mm) or not 0.1 <= mm <= LONGEST_MM:
                    bad(f"cutting.{kind} {row.id}", f"{name} {mm!r} is not a size", "give mm")
        for name, times in Counter(row.id for row in rows).items():
            if times > 1:
                bad(f"cutting.{kind} {name}", f"the id is used {times} times", "use it once")
    for panel in panels:
        if not isinstance(panel.count, int) or isinstance(panel.count, bool) or panel.count < 1:
            bad(
                f"cutting.panel {panel.id}",
                f"count {panel.count!r} is not a whole number of 1 or more",
                "give how many are wanted",
            )
    for sheet in sheets:
        count = sheet.on_hand
        if count is not None and (not isinstance(count, int) or count < 0):
            bad(f"cutting.sheet {sheet.id}", f"on_hand {count!r} is not a whole number", "count")
    if sum(panel.count for panel in panels) > MOST_PANELS:
        bad("cutting.panels", f"there are more than {MOST_PANELS} panels", "look at the counts")
    if panels and not sheets:
        bad("cutting.sheet", "there is no sheet to cut from", "add a sheet of this material")
    return found


def _inner(sheet: SheetStock, rules: CutRules) -> tuple[int, int]:
    """Width and height that panels, kerf added, may fill."""
    extra = tenths(rules.kerf_mm) - tenths(rules.end_trim_mm)
    return max(0, tenths(sheet.width_mm) + extra), max(0, tenths(sheet.height_mm) + extra)


def _cost(sheet: SheetStock, objective: Objective, from_rack: bool) -> int:
    if from_rack:
        return 0
    if objective == "cost" and sheet.price is not None:
        return sheet.price.minor
    return round(sheet.width_mm * sheet.height_mm)


def _shapes(
    panels: Sequence[Panel], sizes: Sequence[tuple[int, int]], rules: CutRules, grain: bool
) -> tuple[list[Shape], list[list[Panel]], list[str]]:
    """Sizes of panel with the panels of each, and panels that no sheet holds."""
    kerf = tenths(rules.kerf_mm)
    grouped: dict[Shape, list[Panel]] = {}
    uncut: list[str] = []
    for panel in panels:
        w, h = tenths(panel.width_mm) + kerf, tenths(panel.height_mm) + kerf
        turns = panel.may_turn and not grain
        shape = Shape(max(w, h), min(w, h), True) if turns else Shape(w, h, False)
        if any(a <= W and b <= H for a, b, _ in shape.ways() for W, H in sizes):
            grouped.setdefault(shape, []).extend([panel] * panel.count)
        else:
            uncut.append(panel.id)
    shapes = sorted(grouped, key=lambda s: (-s.width * s.height, -s.width, s.turns))
    return shapes, [grouped[shape] for shape in shapes], uncut


def _search(
    of: Problem, shapes: Sequence[Shape], sizes: Sequence[tuple[int, int]], effort: Effort
) -> tuple[Best, dict[Pattern, Tree]]:
    """The best choice of sheets, with the layout of every pattern looked at."""
    clock = Clock(effort.seconds)
    best = Best(of)
    trees: dict[Pattern, Tree] = {}
    area = min((Fraction(c, a) for c, a in zip(of.costs, of.capacities, strict=True) if a),
               default=Fraction(0))  # fmt: skip
    best.raise_bound(area * sum(s * d for s, d in zip(of.sizes, of.demands, strict=True)))
    for seed in range(TRIES * effort.dives):
        if best.closed or clock.over():
            return best, trees
        best.offer(_filled(of, shapes, sizes, trees, seed), "seeded filling")
    if best.closed:
        return best, trees
    _bounded(best, shapes, sizes, trees, ROUNDS * effort.dives, clock)
    cost = Row(tuple(map(float, of.costs)), float(best.bound))
    best.raise_bound(least_counts(of, [load_row(of), cost])[1])
    if not best.closed:
        pool = sorted(trees, key=lambda p: (p.kind, p.counts))[: effort.columns]
        choose(of, pool, best, effort.nodes, clock)
    return best, trees


def _bounded(
    best: Best,
    shapes: Sequence[Shape],
    sizes: Sequence[tuple[int, int]],
    trees: dict[Pattern, Tree],
    rounds: int,
    clock: Clock,
) -> None:
    """Raise the bound by column generation; on the true sizes if their sums are few enough, else
    on sizes rounded down to a grid (then no patterns come from it)."""
    of, grid = best.of, 1
    while True:
        coarse = coarser(shapes, grid)
        inner = [(w // grid, h // grid) for w, h in sizes]
        if any(s.width < 1 or s.height < 1 for s in coarse):
            return
        fillings = [Filling(coarse, of.demands, w, h) for w, h in inner]
        if all(filling.cells <= MOST_CELLS for filling in fillings):
            break
        grid = max(grid + 1, round(grid * 1.3))
    duals = _generate(of, inner, fillings, trees if grid == 1 else {}, rounds, clock)
    best.raise_bound(_checked(of, fillings, duals))


def _filled(
    of: Problem,
    shapes: Sequence[Shape],
    sizes: Sequence[tuple[int, int]],
    trees: dict[Pattern, Tree],
    seed: int,
) -> Counter[Pattern] | None:
    """Sheets filled one after another; of the kinds, the one that costs least for its load."""
    draw = random.Random(seed)
    left = list(of.demands)
    free = list(of.limits)
    uses: Counter[Pattern] = Counter()
    while any(left):
        offers: list[tuple[float, int, list[int], Tree]] = []
        for kind, (width, height) in enumerate(sizes):
            if free[kind] == 0:
                continue
            rest = list(left)
            tree = place(shapes, rest, width, height, draw)
            load = sum((a - b) * s for a, b, s in zip(left, rest, of.sizes, strict=True))
            if load:
                offers.append((of.costs[kind] / load, kind, rest, tree))
        if not offers:
            return None
        _, kind, rest, tree = min(offers, key=lambda offer: offer[:2])
        pattern = Pattern(kind, tuple(a - b for a, b in zip(left, rest, strict=True)))
        trees.setdefault(pattern, tree)
        uses[pattern] += 1
        limit = free[kind]
        if limit is not None:
            free[kind] = limit - 1
        left = rest
    return uses


def _generate(
    of: Problem,
    sizes: Sequence[tuple[int, int]],
    fillings: Sequence[Filling],
    trees: dict[Pattern, Tree],
    rounds: int,
    clock: Clock,
) -> Floats:
    """Item prices at the end of column generation; the patterns met are added to `trees`."""
    master = Master(of)
    for pattern in trees:
        master.add(pattern)
    for _ in range(rounds):
        _, _, duals, rent = master.solve()
        grown = False
        for kind, (width, height) in enumerate(sizes):
            worth = float(fillings[kind].run(duals)[-1, -1])
            if of.limits[kind] == 0 or worth <= (of.costs[kind] + rent[kind]) * (1 + EPS) + EPS:
                continue
            tree = fillings[kind].tree(width, height)
            held = Counter(tree.items())
            pattern = Pattern(kind, tuple(held[item] for item in range(len(of.sizes))))
            trees.setdefault(pattern, tree)
            grown |= master.add(pattern)
        if not grown or clock.over():
            break
    return master.solve()[2]


def _checked(of: Problem, fillings: Sequence[Filling], duals: Floats) -> Fraction:
    """The bound from these prices, recomputed in whole numbers (see master.checked_bound)."""
    whole = np.maximum(np.round(duals * SCALE), 0).astype(np.int64)
    worths = [int(filling.run(whole)[-1, -1]) for filling in fillings]
    total = sum(int(w) * d for w, d in zip(whole, of.demands, strict=True))
    shrink = Fraction(1)
    for kind, worth in enumerate(worths):
        if of.limits[kind] is None and worth > 0:
            shrink = min(shrink, Fraction(of.costs[kind] * SCALE, worth))
    bound = shrink * total / SCALE
    for worth, cost, limit in zip(worths, of.costs, of.limits, strict=True):
        if limit is not None:
            bound -= limit * max(Fraction(0), shrink * worth / SCALE - cost)
    return bound


def _layouts(
    packing: Packing,
    trees: dict[Pattern, Tree],
    members: Sequence[Sequence[Panel]],
    kinds: Sequence[SheetStock],
    from_rack: int,
    rules: CutRules,
) -> tuple[SheetLayout, ...]:
    """Each sheet with its panels and saw cuts in mm."""
    waiting = [list(reversed(group)) for group in members]
    layouts: list[SheetLayout] = []
    for pattern, times in packing.uses:
        tree = trees.get(pattern) or _wider(pattern, trees)
        for _ in range(times):
            sheet = kinds[pattern.kind]
            drawing = _Drawing(waiting, list(pattern.counts), rules)
            edge = tenths(rules.end_trim_mm)
            if edge:
                drawing.trim_edges(sheet)
            drawing.walk(tree, edge, edge)
            layouts.append(
                SheetLayout(
                    len(layouts) + 1,
                    sheet.id,
                    "rack" if pattern.kind < from_rack else "buy",
                    sheet.width_mm,
                    sheet.height_mm,
                    tuple(drawing.placed),
                    tuple(drawing.cuts),
                )
            )
    return tuple(layouts)


def _wider(pattern: Pattern, trees: dict[Pattern, Tree]) -> Tree:
    """A layout that holds at least this pattern: what is over is left as waste."""
    return next(
        tree
        for held, tree in trees.items()
        if held.kind == pattern.kind
        and all(a >= b for a, b in zip(held.counts, pattern.counts, strict=True))
    )


class _Drawing:
    """Walks a layout and notes panels and cuts, outermost cut first."""

    def __init__(self, waiting: list[list[Panel]], wanted: list[int], rules: CutRules) -> None:
        self.waiting, self.wanted = waiting, wanted
        self.kerf = tenths(rules.kerf_mm)
        self.placed: list[Placed] = []
        self.cuts: list[SawCut] = []

    def trim_edges(self, sheet: SheetStock) -> None:
        """The two trims that square the left and the bottom edge; the kerf is in the trim."""
        self.cuts.append(SawCut(1, 0.0, 0.0, 0.0, sheet.height_mm))
        self.cuts.append(SawCut(2, 0.0, 0.0, sheet.width_mm, 0.0))

    def walk(self, tree: Tree, x: int, y: int) -> None:
        """Note what is in a rectangle whose lower left corner is at x, y (tenths of mm)."""
        if tree.item is not None and self.wanted[tree.item]:
            self.wanted[tree.item] -= 1
            panel = self.waiting[tree.item].pop()
            self._panel(panel, tree, x, y)
            return
        if tree.first is None or tree.second is None:
            return
        if not self._any(tree.first) and not self._any(tree.second):
            return
        inner_w, inner_h = tree.width - self.kerf, tree.height - self.kerf
        if tree.across and tree.at < tree.height:
            self._cut(x, y + tree.at - self.kerf, x + inner_w, y + tree.at - self.kerf)
        elif not tree.across and tree.at < tree.width:
            self._cut(x + tree.at - self.kerf, y, x + tree.at - self.kerf, y + inner_h)
        self.walk(tree.first, x, y)
        if tree.across:
            self.walk(tree.second, x, y + tree.at)
        else:
            self.walk(tree.second, x + tree.at, y)

    def _any(self, tree: Tree) -> bool:
        return any(self.wanted[item] for item in tree.items())

    def _cut(self, x0: int, y0: int, x1: int, y1: int) -> None:
        ends = (x0 / TENTHS, y0 / TENTHS, x1 / TENTHS, y1 / TENTHS)
        self.cuts.append(SawCut(len(self.cuts) + 1, *ends))

    def _panel(self, panel: Panel, tree: Tree, x: int, y: int) -> None:
        plain = (tenths(panel.width_mm), tenths(panel.height_mm))
        fits = [
            (w, h, turned)
            for (w, h), turned in ((plain, False), (plain[::-1], True))
            if w + self.kerf <= tree.width and h + self.kerf <= tree.height
            and (panel.may_turn or not turned)
        ]  # fmt: skip
        w, h, turned = max(fits, key=lambda fit: (fit[0] + self.kerf == tree.width, not fit[2]))
        right, top = x + tree.width - self.kerf, y + tree.height - self.kerf
        if x + w < right:
            self._cut(x + w, y, x + w, top)
        if y + h < top:
            self._cut(x, y + h, x + w, y + h)
        self.placed.append(
            Placed(
                panel.id,
                panel.job,
                panel.label or panel.id,
                x / TENTHS,
                y / TENTHS,
                w / TENTHS,
                h / TENTHS,
                turned and w != h,
            )
        )


def _purchases(
    material: str, layouts: Sequence[SheetLayout], sheets: Sequence[SheetStock]
) -> tuple[Purchase, ...]:
    counted = Counter(layout.sheet for layout in layouts if layout.source == "buy")
    return tuple(
        Purchase(
            sheet.id,
            material,
            sheet.height_mm,
            counted[sheet.id],
            sheet.price,
            None if sheet.price is None else sheet.price.times(counted[sheet.id]),
        )
        for sheet in sheets
        if counted[sheet.id]
    )


def _empty(material: str, uncut: Sequence[str], findings: Sequence[Finding]) -> SheetPlan:
    return SheetPlan(material, (), (), tuple(uncut), None, None, (), worst_first(tuple(findings)))


def _figures(material: str, proof: Proof, layouts: Sequence[SheetLayout]) -> tuple[Figure, ...]:
    whole = sum(layout.width_mm * layout.height_mm for layout in layouts)
    used = sum(part.width_mm * part.height_mm for layout in layouts for part in layout.placed)
    key = f"cutting.{material}"
    return (
        Figure(
            f"{key}.value",
            f"{material}: {'cost' if proof.objective == 'cost' else 'area'} of the sheets bought",
            proof.value,
            "minor units" if proof.objective == "cost" else "mm2",
            f"least found over guillotine layouts, by: {proof.method}",
            ("job:takeoff", "catalogue:boards"),
            SHEETS_SOURCE,
        ),
        Figure(
            f"{key}.gap",
            f"{material}: above the least possible by at most",
            round(100 * proof.gap, 4),
            "%",
            "(value - bound) / value; 0 is proved least",
            (f"{key}.value",),
            SHEETS_SOURCE,
        ),
        Figure(
            f"{key}.waste",
            f"{material}: waste and offcuts",
            round((whole - used) / 1e6, 4),
            "m2",
            "area of sheets used - area of panels",
            (f"{key}.value",),
            COMMON_PRACTICE,
        ),
    )
