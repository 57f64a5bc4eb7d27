"""How does the rod come off the printer at full size? Pages of strips to cut and join.

Each strip is laid with its lower edge on the plate or the stud; its first match line lies on the
last match line of the strip before. Every page has a proving scale: if 100 mm isn't 100 mm on a
rule, the page was not printed at full size and must not be used.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from truehang.drawing import metrics
from truehang.drawing.draft import spread
from truehang.drawing.scene import (
    TEXT_HEIGHT,
    Circle,
    Item,
    Layer,
    Line,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.drawing.sheet import PAPERS, Sheet
from truehang.lengths import format_length

PAGE = PAPERS["A4"]
"""Where everything is placed; on other paper the same strips stand in the middle."""
USEFUL = 260.0
"""Length of rod on one strip, mm, overlap included."""
OVERLAP = 20.0
LEFT = (PAGE[0] - USEFUL) / 2
STRIPS = 3
"""Strips on one page."""
FIRST = 187.0
"""Upper edge of the first strip above the foot of the page, mm."""
DEEP = 57.0
APART = 2.0
PROOF = 100.0
"""Length of the proving scale, mm."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A running mark on the rod: place (mm from the datum) and its name."""

    at: float
    name: str


_WAYS = {
    "x": "along the wall (x from the datum)",
    "z": "up the wall (z from the level datum)",
}


def rod_strips(
    marks: Sequence[Mark], axis: Literal["x", "z"], sheet: Sheet, *, job: str = "", stamp: str = ""
) -> tuple[Scene, ...]:
    """The pages of one rod, along the wall ("x") or up it ("z"), at 1:1 on the sheet on its side.

    The rod begins at the lowest mark, or at the datum where that is lower, rounded down to 10 mm.
    No marks give no pages.
    """
    if not marks:
        return ()
    low = math.floor(min(0.0, *(mark.at for mark in marks)) / 10.0) * 10.0
    if axis == "x":
        low = math.floor(min(mark.at for mark in marks) / 10.0) * 10.0 - 10.0
    high = max(mark.at for mark in marks) + 10.0
    step = USEFUL - OVERLAP
    count = max(1, math.ceil((high - low - OVERLAP) / step - 1e-9))
    rod = _Rod(_merged(marks), axis, sheet, count)
    return tuple(
        _page(
            rod,
            page,
            [
                (number, low + number * step)
                for number in range(page * STRIPS, min(count, (page + 1) * STRIPS))
            ],
            job,
            stamp,
        )
        for page in range(rod.pages)
    )


@dataclass(frozen=True, slots=True)
class _Rod:
    """A rod in strips: its marks, the way that it runs, the sheet, and how many strips it takes."""

    marks: Sequence[Mark]
    axis: Literal["x", "z"]
    sheet: Sheet
    count: int

    @property
    def pages(self) -> int:
        return math.ceil(self.count / STRIPS)


def _merged(marks: Sequence[Mark]) -> list[Mark]:
    """One mark for each place; names at one place are joined."""
    places: dict[float, list[str]] = {}
    for mark in sorted(marks, key=lambda mark: mark.at):
        places.setdefault(round(mark.at, 2), []).append(mark.name)
    return [Mark(at, "; ".join(names)) for at, names in places.items()]


def _page(rod: _Rod, page: int, strips: Sequence[tuple[int, float]], job: str, stamp: str) -> Scene:
    axis, sheet = rod.axis, rod.sheet
    items: list[Item] = []
    if stamp:
        items.append(Text((LEFT, 204.0), stamp, 3.0, bold=True))
    way = sheet.word(_WAYS[axis])
    title = f"{sheet.word('Rod strip')} {way}, 1:1"
    number = f"{sheet.word('page')} {page + 1} {sheet.word('of')} {rod.pages}"
    items.append(Text((LEFT, 198.0), title, 3.5, bold=True))
    items.append(Text((LEFT + USEFUL, 198.0), f"{job}  {number}".strip(), across="right"))
    note = "Print at 100 %, never fitted to the page. Cut on the lower edge; lay match line on"
    items.append(Text((LEFT, 191.5), f"{sheet.word(note)} {sheet.word('match line.')}"))
    for place, (strip, start) in enumerate(strips):
        foot = FIRST - DEEP - place * (DEEP + APART)
        items += _strip(rod, strip, start, foot)
    items += _proof(sheet)
    wide, high = PAPERS[sheet.paper]
    left = (PAGE[0] - wide) / 2
    return Scene(
        f"rod-{axis}-{page + 1}", title, 1.0, tuple(items), (left, 0.0), (left + wide, high)
    )


def _strip(rod: _Rod, strip: int, start: float, foot: float) -> list[Item]:
    """One strip with its edge, ticks, match lines and marks. `foot` is its lower edge."""
    right = LEFT + USEFUL
    items: list[Item] = [Line(Layer.OUTLINE, (LEFT, foot), (right, foot))]
    first, last = strip == 0, strip == rod.count - 1
    items += _ticks(start, foot, rod.sheet)
    for x, wanted in ((LEFT + OVERLAP / 2, not first), (right - OVERLAP / 2, not last)):
        if wanted:
            items += _match_line(x, foot)
    inside = [mark for mark in rod.marks if start - 1e-6 <= mark.at <= start + USEFUL + 1e-6]
    items += _marks(inside, start, foot, rod.sheet)
    name = f"{rod.axis} {strip + 1}/{rod.count}"
    items.append(Text((LEFT - 2.0, foot + DEEP / 2), name, across="middle", turn=90))
    items.append(Line(Layer.HATCH, (LEFT, foot + DEEP), (right, foot + DEEP)))
    return items


def _ticks(start: float, foot: float, sheet: Sheet) -> list[Item]:
    """A rule along the lower edge, its decimetres or feet told at the upper edge."""
    step, group = (10.0, 10) if sheet.style == "mm" else (25.4, 12)
    items: list[Item] = []
    for index in range(math.ceil(start / step - 1e-9), math.floor((start + USEFUL) / step) + 1):
        x = LEFT + index * step - start
        whole = index % group == 0
        half = index % (group // 2) == 0
        tall = 4.0 if whole else 2.8 if half else 1.6
        items.append(Line(Layer.HATCH, (x, foot), (x, foot + tall)))
        if whole:
            top = foot + DEEP
            items.append(Line(Layer.HATCH, (x, top), (x, top - 1.2)))
            text = format_length(index * step, sheet.style)
            half_wide = metrics.width(text, TEXT_HEIGHT) / 2
            middle = min(max(x, LEFT + half_wide), LEFT + USEFUL - half_wide)
            items.append(Text((middle, top - 1.6), text, across="middle", upright="top"))
    return items


def _match_line(x: float, foot: float) -> list[Item]:
    """A line to lay on its twin, with a cross in a circle to set it square."""
    y = foot + 9.0
    return [
        Line(Layer.HIDDEN, (x, foot), (x, foot + 13.5)),
        Circle(Layer.OUTLINE, (x, y), 2.0),
        Line(Layer.OUTLINE, (x - 3.5, y), (x + 3.5, y)),
        Line(Layer.OUTLINE, (x, y - 3.5), (x, y + 3.5)),
    ]


def _marks(marks: Sequence[Mark], start: float, foot: float, sheet: Sheet) -> list[Item]:
    """The running marks with their names turned upright, spread so that none touch."""
    rows = [_wrapped(mark, sheet) for mark in marks]
    places = _room([LEFT + mark.at - start for mark in marks], [len(row) for row in rows])
    items: list[Item] = []
    for mark, row, place in zip(marks, rows, places, strict=True):
        x = LEFT + mark.at - start
        way = ((x, foot), (x, foot + 5.5), (place, foot + 12.5), (place, foot + 14.0))
        items.append(Polyline(Layer.FRAME, way))
        for line, text in enumerate(row):
            at = (place + (line - (len(row) - 1) / 2) * LINE, foot + 15.0)
            items.append(Text(at, text, upright="middle", turn=90, bold=line == 0))
    return items


LINE = 3.6
"""Pitch of lines of text, mm."""
_LONGEST = DEEP - 21.0


def _wrapped(mark: Mark, sheet: Sheet) -> list[str]:
    """The number, then the name on as few lines as it takes, of much the same length."""
    number, name = format_length(mark.at, sheet.style), sheet.word(mark.name)
    joined = f"{number}  {name}"
    if metrics.width(joined, TEXT_HEIGHT, True) <= _LONGEST:
        return [joined]
    rows = _rows(name, _LONGEST)
    room = _LONGEST - 1.0
    while room > 0 and len(narrower := _rows(name, room)) == len(rows):
        rows, room = narrower, room - 1.0
    return [number, *rows]


def _rows(name: str, room: float) -> list[str]:
    rows = [""]
    for word in name.split():
        longer = f"{rows[-1]} {word}".strip()
        if rows[-1] and metrics.width(longer, TEXT_HEIGHT) > room:
            rows.append(word)
        else:
            rows[-1] = longer
    return rows


def _room(wanted: Sequence[float], lines: Sequence[int]) -> list[float]:
    """Middles of blocks of text of so many lines, near their marks, inside the strip, apart."""
    if not wanted:
        return []
    gap = 0.6
    half = [count * LINE / 2 + gap / 2 for count in lines]
    offsets = [0.0]
    for a, b in pairwise(half):
        offsets.append(offsets[-1] + a + b)
    flat = spread([at - off for at, off in zip(wanted, offsets, strict=True)], 0.0)
    places = [at + off for at, off in zip(flat, offsets, strict=True)]
    right = LEFT + USEFUL
    over = places[-1] + half[-1] - right
    index = len(places) - 1
    while index >= 0 and over > 0:
        places[index] = min(places[index], right - half[index])
        right = places[index] - half[index]
        index -= 1
        over = places[index] + half[index] - right if index >= 0 else 0.0
    left = LEFT
    for index, place in enumerate(places):
        if place - half[index] >= left:
            break
        places[index] = left + half[index]
        left = places[index] + half[index]
    return places


def _proof(sheet: Sheet) -> list[Item]:
    """The proving scale at the foot of the page: a bar of exactly 100 mm."""
    x, y = LEFT, 4.0
    items: list[Item] = [
        Line(Layer.FRAME, (x, y), (x, y + 4.0)),
        Line(Layer.FRAME, (x + PROOF, y), (x + PROOF, y + 4.0)),
    ]
    for part in range(10):
        left = x + part * PROOF / 10
        corners = ((left, y), (left + 10.0, y), (left + 10.0, y + 2.0), (left, y + 2.0))
        hatch: Literal["solid"] | None = "solid" if part % 2 == 0 else None
        items.append(Polygon(Layer.DIM, corners, hatch, part="proving scale"))
    words = sheet.word("This bar must measure 100 mm on a rule, or the page must not be used.")
    items.append(Text((x + PROOF + 4.0, y), words))
    return items
