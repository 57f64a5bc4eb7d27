"""Which stock length holds, and reaches nothing that moves?

Longest = all layers where they are thinnest, up to the pocket's cavity, less 1 mm. Shortest = outer
layers where they are thickest, and the least hold. Both are common practice, no source, but for the
hold, which names its own rule.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fixings.model import (
    Boxes,
    Choice,
    Fixings,
    NoGo,
    Row,
    Sheet,
    StockFastener,
)
from truehang.lengths import said
from truehang.message import messages

CLEAR_OF_CAVITY = 1.0
"""mm left between the tip and the pocket (common practice, no source)."""
SAME_DEPTH = 0.5
"""A layer that varies by less counts as even, mm (common practice, no source)."""
WASTE = 0.1
"""Share of fasteners lost or bent (common practice, no source)."""
RULE = "common practice, no source"


class FixingsInputError(ValueError):
    """A row that can't be worked out; the message names field, value and mend."""


def spread(low: float, high: float, most: float, edge: float = 0.0) -> tuple[float, ...]:
    """Even places from `low` + edge to `high` - edge, no further than `most` apart (all mm).

    One place in the middle where there is no room for two.
    """
    if most <= 0:
        raise FixingsInputError(f"spacing = {most:g}: must be above zero; give it in mm")
    first, last = low + edge, high - edge
    if last <= first:
        return ((low + high) / 2,)
    gaps = max(1, math.ceil((last - first) / most - 1e-9))
    return tuple(first + (last - first) * i / gaps for i in range(gaps + 1))


def window(row: Row, *, glued: bool) -> tuple[float, float]:
    """Shortest and longest length (mm) that will do at every place of this row: it holds where the
    layers are thickest, and reaches no further than it may where they are thinnest."""
    hold = row.hold.glued if glued and row.hold.glued is not None else row.hold.plain
    clear = CLEAR_OF_CAVITY if row.cavity else 0.0
    return _outer(row) + hold, _thinnest(row) + row.into.thinnest - clear


def _outer(row: Row) -> float:
    """What a fixing passes before it holds, at most."""
    return sum(sheet.thickness for sheet in row.through)


def _thinnest(row: Row) -> float:
    """What a fixing passes before it holds, at least."""
    return sum(sheet.thinnest for sheet in row.through)


def rows_by_depth(
    row: Row, varies: str, depths: Sequence[float], stock: Sequence[StockFastener]
) -> tuple[Row, ...]:
    """One row where one length does at every place; else the fewest rows of neighbours in depth,
    each of which one length does for if any does.

    `depths` (mm, one for each place) is what the layer called `varies` measures there. It is the
    last that is passed; where it is nothing all along it is left out.
    """
    order = sorted(range(len(depths)), key=lambda i: (depths[i], row.places[i]))
    groups: list[list[int]] = []
    for place in order:
        last = groups[-1] if groups else []
        together = last and _does(_part(row, varies, depths, [*last, place]), stock)
        hopeless = last and not any(
            _does(_part(row, varies, depths, some), stock) for some in (last, [place])
        )
        if together or hopeless:
            last.append(place)
        else:
            groups.append([place])
    return tuple(_part(row, varies, depths, group) for group in groups)


def _does(row: Row, stock: Sequence[StockFastener]) -> bool:
    return bool(_between(row, stock, *window(row, glued=row.glued)))


def _part(row: Row, varies: str, depths: Sequence[float], group: Sequence[int]) -> Row:
    """The row at some of its places only."""
    most, least = max(depths[i] for i in group), min(depths[i] for i in group)
    layer = (Sheet(varies, most, least),) if most > 0 else ()
    places = tuple(row.places[i] for i in sorted(group))
    return replace(row, places=places, through=(*row.through, *layer))


def choose(row: Row, stock: Sequence[StockFastener]) -> Choice:
    """The fastener for one row: into a rib the longest that will do, into solid the shortest."""
    _check(row)
    glued = row.glued
    shortest, longest = window(row, glued=glued)
    fits = _between(row, stock, shortest, longest)
    if not fits and not glued and row.hold.glued is not None:
        low, _ = window(row, glued=True)
        if rescued := _between(row, stock, low, longest):
            fits, shortest, glued = rescued, low, True
    if not fits:
        return Choice(row, shortest, longest, None, glued, 0.0, 0.0, messages(_offers(row, stock)))
    best = (max if row.cavity else min)(fits, key=lambda f: f.length)
    spare = _thinnest(row) + row.into.thinnest - best.length
    offers = _offers(row, stock) if glued and not row.glued else ()
    return Choice(
        row, shortest, longest, best, glued, best.length - _outer(row), spare, messages(offers)
    )


def fixings(
    rows: Iterable[Row], stock: Sequence[StockFastener], no_go: Iterable[NoGo] = ()
) -> Fixings:
    """The fastener for every row, what to buy, and findings where a row can't be fixed."""
    choices = tuple(choose(row, stock) for row in rows)
    zones = tuple(no_go)
    findings = tuple(finding for choice in choices for finding in _findings(choice))
    figures = tuple(_figures(choices)) + tuple(
        Figure(
            key=f"fixings.longest.{zone.key}",
            label=f"longest fixing from face {zone.face}, {zone.label}",
            value=zone.longest,
            unit="mm",
            rule="layers from the finished face to the pocket's cavity, less 1",
            inputs=("job:wall.make_up", "fit.rib_thickness"),
            source=RULE,
        )
        for zone in zones
    )
    return Fixings(choices, _boxes(choices), zones, figures, findings)


def _check(row: Row) -> None:
    for sheet in (*row.through, row.into):
        if not (math.isfinite(sheet.thickness) and sheet.thickness > 0):
            raise FixingsInputError(
                f"{row.key}: thickness of {sheet.name} = {sheet.thickness!r}; "
                "give a thickness above zero, in mm"
            )
        if not 0 <= sheet.thinnest <= sheet.thickness:
            raise FixingsInputError(
                f"{row.key}: least thickness of {sheet.name} = {sheet.least!r}; "
                f"give one from 0 to {sheet.thickness:g}, in mm"
            )
    if row.counted and row.cavity:
        raise FixingsInputError(f"{row.key}: counted over a pocket; give each fixing its place")
    if not row.places and row.counted <= 0:
        raise FixingsInputError(f"{row.key}: places = (); give at least one place")


def _between(
    row: Row, stock: Sequence[StockFastener], low: float, high: float
) -> list[StockFastener]:
    room = math.inf if row.head_room is None else row.head_room
    return [
        fastener
        for fastener in stock
        if fastener.kind == row.kind
        and fastener.into == row.substrate
        and low - 1e-9 <= fastener.length <= high + 1e-9
        and fastener.head_height <= room
    ]


def _offers(row: Row, stock: Sequence[StockFastener]) -> tuple[str, ...]:
    """What would make the plain window take a stock fastener, easiest first."""
    outer, thinnest = _outer(row), _thinnest(row)
    lengths = sorted(f.length for f in stock if f.kind == row.kind and f.into == row.substrate)
    if row.head_room is not None and lengths and not _between(row, stock, 0, math.inf):
        return (
            f"no {row.kind} has a head under {said(row.head_room, 1)}: sink it, or plane a recess",
        )
    offers = []
    clear = CLEAR_OF_CAVITY if row.cavity else 0.0
    longest = thinnest + row.into.thinnest - clear
    if row.hold.glued is not None and any(
        outer + row.hold.glued <= length <= longest for length in lengths
    ):
        best = max(x for x in lengths if outer + row.hold.glued <= x <= longest)
        offers.append(f"glue as well, and use {said(best, 1)}")
    offers += _closer(row, lengths)
    longer = [x for x in lengths if x >= outer + row.hold.plain]
    if longer and not row.into.there:
        need = longer[0] - thinnest + clear
        offers.append(
            f"use {row.into.name} of at least {said(need, 1)} instead of "
            f"{said(row.into.thinnest, 1)}, and a fixing of {said(longer[0], 1)}"
        )
    if row.through and outer - thinnest < SAME_DEPTH:
        short = [x for x in lengths if x - row.hold.plain > 0]
        thinner = max((x for x in short if x <= longest), default=0.0) - row.hold.plain
        if 0 < thinner < outer:
            offers.append(f"keep what it passes through to {said(thinner, 1)}")
    if row.cavity:
        offers.append("move the fixing off the pocket, to a stud")
    return tuple(offers)


def _closer(row: Row, lengths: Sequence[float]) -> list[str]:
    """Where one layer varies: within which thicknesses of it one length would do."""
    varied = [sheet for sheet in row.through if sheet.thickness - sheet.thinnest >= SAME_DEPTH]
    if len(varied) != 1:
        return []
    (layer,) = varied
    clear = CLEAR_OF_CAVITY if row.cavity else 0.0
    rest = _outer(row) - layer.thickness
    ways = []
    for length in lengths:
        low = max(length + clear - row.into.thinnest - rest, layer.thinnest)
        high = min(length - row.hold.plain - rest, layer.thickness)
        if high - low >= SAME_DEPTH:
            ways.append((high - low, low, high, length))
    if not ways:
        return []
    _, low, high, length = max(ways)
    return [f"keep {layer.name} from {said(low, 1)} to {said(high, 1)}, and use {said(length, 1)}"]


def _findings(choice: Choice) -> Iterable[Finding]:
    row = choice.row
    where = f"fixings.{row.key}"
    if choice.fastener is None:
        yield Finding(
            Severity.WARN,
            where,
            f"{row.label}: no stock fixing lies between {said(choice.shortest, 1)} and "
            f"{said(choice.longest, 1)}",
            "; or ".join(map(str, choice.offers)) or "choose another fixing for this place",
            RULE,
        )
    elif choice.glued and not row.glued:
        yield Finding(
            Severity.WARN,
            where,
            f"{row.label}: no stock screw both holds {said(row.hold.plain, 1)} and stays clear of "
            f"the pocket; {said(choice.fastener.length, 1)} holds {said(choice.holds, 1)}"
            + (f", and {row.glue_doubt}" if row.glue_doubt else ""),
            "; or ".join(map(str, choice.offers)),
            row.hold.source,
        )
    elif choice.glued and choice.holds < row.hold.plain:
        yield Finding(
            Severity.NOTE,
            where,
            f"{row.label}: {said(choice.fastener.length, 1)} holds {said(choice.holds, 1)}, less "
            f"than the {said(row.hold.plain, 1)} for screws alone",
            "glue every support before you screw, and keep to this length",
            row.hold.source,
        )


def _open_question(choice: Choice) -> Figure:
    """What stands in the step that needs a fixing which does not exist."""
    row = choice.row
    least, most = said(choice.shortest, 1), said(choice.longest, 1)
    if choice.shortest > choice.longest:
        none = f"it would have to be {least} at least and {most} at most"
    else:
        none = f"none is sold from {least} to {most}"
    offers = "; or ".join(map(str, choice.offers))
    return Figure(
        key=f"fixings.{row.key}.use",
        label=f"fixing to use: {row.label}",
        value=f"OPEN QUESTION: {none}. {offers or 'Ask before it is fixed'}",
        unit="",
        rule="no stock length from shortest to longest",
        inputs=(f"fixings.{row.key}.shortest", f"fixings.{row.key}.longest"),
        source=RULE,
    )


def _figures(choices: Iterable[Choice]) -> Iterable[Figure]:
    for choice in choices:
        row = choice.row
        outer = " + ".join(f"{sheet.name} {sheet.thickness:g}" for sheet in row.through) or "0"
        thin = " + ".join(f"{sheet.name} {sheet.thinnest:g}" for sheet in row.through) or "0"
        clear = f" - {CLEAR_OF_CAVITY:g}" if row.cavity else ""
        yield Figure(
            key=f"fixings.{row.key}.longest",
            label=f"longest fixing: {row.label}",
            value=choice.longest,
            unit="mm",
            rule=f"{thin} + {row.into.name} {row.into.thinnest:g}{clear}",
            inputs=row.inputs,
            source=RULE,
        )
        yield Figure(
            key=f"fixings.{row.key}.shortest",
            label=f"shortest fixing: {row.label}",
            value=choice.shortest,
            unit="mm",
            rule=f"{outer} + hold {choice.shortest - _outer(row):g}",
            inputs=row.inputs,
            source=row.hold.source_glued if choice.glued else row.hold.source,
        )
        if choice.fastener is None:
            yield _open_question(choice)
        else:
            yield Figure(
                key=f"fixings.{row.key}.length",
                label=f"length of the fixing: {row.label}",
                value=choice.fastener.length,
                unit="mm",
                rule=("longest" if row.cavity else "shortest")
                + " stock length from shortest to longest",
                inputs=(
                    f"fixings.{row.key}.shortest",
                    f"fixings.{row.key}.longest",
                    f"catalogue:fasteners.{choice.fastener.id}",
                ),
                source=RULE,
            )
            yield Figure(
                key=f"fixings.{row.key}.use",
                label=f"fixing to use: {row.label}",
                value=f"{choice.count} × {choice.fastener.name}"
                + (", and glue" if choice.glued else "")
                + (f"; {choice.row.note}" if choice.row.note else ""),
                unit="",
                rule="as its box is named, and how many go in this row",
                inputs=(f"fixings.{row.key}.length",),
                source=RULE,
            )


def _boxes(choices: Iterable[Choice]) -> tuple[Boxes, ...]:
    counts: dict[StockFastener, int] = {}
    for choice in choices:
        if choice.fastener is not None:
            counts[choice.fastener] = counts.get(choice.fastener, 0) + choice.count
    rows = []
    for fastener, count in sorted(counts.items(), key=lambda item: item[0].id):
        needed = math.ceil(count * (1 + WASTE))
        boxes = math.ceil(needed / fastener.box_count)
        rows.append(Boxes(fastener, needed, boxes, boxes * fastener.box_price_minor))
    return tuple(rows)
