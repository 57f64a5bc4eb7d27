"""Who works on which day? Bars over days, for black and white: heavy where nothing may slip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from truehang.drawing.metrics import width
from truehang.drawing.scene import TEXT_HEIGHT, HatchKind, Item, Layer, Line, Polygon, Scene, Text
from truehang.drawing.sheet import Sheet
from truehang.programme.answer import said_day
from truehang.programme.model import Programme, Row

NAMES = 84.0
"""Width of the column of names, mm."""
PITCH, BAR = 4.5, 2.7
"""From row to row, and the height of a bar, mm."""
HEAD = 12.0
"""Room for the days over the bars, and as much for the key under them, mm."""
LEAST_DAY = 7.0
"""From this width (mm) on each day is named, under it each week alone."""
SMALL = 1.8


@dataclass(frozen=True, slots=True)
class _Days:
    """Where a moment is across the chart: each day as wide as any, its hours of work across it."""

    first: date
    count: int
    left: float
    right: float
    opens: int
    shuts: int

    @property
    def wide(self) -> float:
        return (self.right - self.left) / self.count

    def begin(self, day: date) -> float:
        return self.left + (day - self.first).days * self.wide

    def x(self, at: datetime) -> float:
        minute = min(max(60 * at.hour + at.minute, self.opens), self.shuts)
        share = (minute - self.opens) / max(self.shuts - self.opens, 1)
        return self.begin(at.date()) + share * self.wide


def programme_bars(made: Programme, sheet: Sheet) -> tuple[Scene, ...]:
    """The chart, on as many sheets as its rows take; none where nothing is planned."""
    rows = [row for row in made.rows if not (row.done and row.end.date() < made.begin)]
    if not rows:
        return ()
    wide, tall = sheet.landscape
    each = max(1, int((tall - 2 * HEAD - 8) / PITCH))
    pages = [rows[at : at + each] for at in range(0, len(rows), each)]
    days = _days(made, rows, wide)
    return tuple(
        _page(made, page, days, number, len(pages)) for number, page in enumerate(pages, start=1)
    )


def _days(made: Programme, rows: Sequence[Row], wide: float) -> _Days:
    work = [row for row in rows if row.kind == "work"]
    first = min(row.begin.date() for row in work) if work else made.begin
    last = max(row.end.date() for row in rows)
    minutes = [60 * at.hour + at.minute for row in work for at in (row.begin, row.end)]
    opens, shuts = (min(minutes), max(minutes)) if minutes else (420, 930)
    return _Days(first, (last - first).days + 1, NAMES, wide - 2, opens, shuts)


def _page(made: Programme, rows: Sequence[Row], days: _Days, number: int, pages: int) -> Scene:
    several = len({row.job for row in made.rows}) > 1
    bottom = -PITCH * len(rows)
    items: list[Item] = [*_grid(days, bottom, made)]
    for index, row in enumerate(rows):
        items += _row(row, days, -PITCH * (index + 1) + 1, several, made)
    items += _key(bottom - 6)
    title = "Programme" if pages == 1 else f"Programme, sheet {number} of {pages}"
    items.append(Text((0, HEAD + 2), title, 3.5, bold=True))
    return Scene(
        key="programme" if pages == 1 else f"programme-{number}",
        title=title,
        scale=1.0,
        items=tuple(items),
        low=(0.0, bottom - 10),
        high=(days.right + 2, HEAD + 7),
        to_scale=False,
    )


def _grid(days: _Days, bottom: float, made: Programme) -> list[Item]:
    """Days and weeks, and what is no working day filled with dots."""
    worked = {
        day for row in made.rows if row.kind == "work" for day in (row.begin.date(), row.end.date())
    }
    items: list[Item] = []
    for number in range(days.count):
        day = days.first + timedelta(days=number)
        x = days.begin(day)
        monday = day.weekday() == 0
        if day.weekday() >= 5 and day not in worked and days.wide >= 1.5:
            corners = ((x, bottom), (x + days.wide, bottom), (x + days.wide, 0.0), (x, 0.0))
            items.append(Polygon(Layer.HATCH, corners, "dots", edge=False))
        if monday or number == 0 or days.wide >= LEAST_DAY:
            items.append(Line(Layer.DIM if monday else Layer.HATCH, (x, bottom), (x, 2.0)))
        if days.wide >= LEAST_DAY:
            items.append(Text((x + days.wide / 2, 1.0), f"{day.day}", TEXT_HEIGHT, "middle"))
        if (monday and days.right - x > 16) or number == 0:
            items.append(Text((x + 0.5, 5.5), said_day(day), SMALL))
    items.append(Line(Layer.OUTLINE, (0.0, 0.0), (days.right, 0.0)))
    items.append(Line(Layer.OUTLINE, (0.0, bottom), (days.right, bottom)))
    return items


def _row(row: Row, days: _Days, low: float, several: bool, made: Programme) -> list[Item]:
    name = f"{row.job}: {row.title}" if several else row.title
    who = said_day(row.begin.date()) if row.kind != "work" else row.word
    room = NAMES - width(who, SMALL) - 4
    items: list[Item] = [
        Text((0.5, low + 0.4), _short(name, room), SMALL),
        Text((NAMES - 1.5, low + 0.4), who, SMALL, "right"),
    ]
    if row.kind != "work":
        x = max(days.x(row.begin), days.left)
        middle, half = low + BAR / 2, BAR / 2
        diamond = ((x - half, middle), (x, middle + half), (x + half, middle), (x, middle - half))
        fill: HatchKind | None = "solid" if row.chain else None
        return [*items, Polygon(Layer.OUTLINE, diamond, fill)]
    begin, end = max(days.x(row.begin), days.left), days.x(row.end)
    end = max(end, begin + 0.5)
    corners = ((begin, low), (end, low), (end, low + BAR), (begin, low + BAR))
    hatch: HatchKind | None = None if row.done else "solid" if row.chain else "diagonal"
    items.append(Polygon(Layer.OUTLINE, corners, hatch))
    for wait in made.waiting:
        if wait.after == row.key:
            until = min(days.x(wait.end), days.right)
            if until > end:
                items.append(Line(Layer.HIDDEN, (end, low + BAR / 2), (until, low + BAR / 2)))
            break
    return items


def _key(y: float) -> list[Item]:
    """What the fills mean."""
    told: list[tuple[str, HatchKind | None]] = [
        ("nothing may slip", "solid"), ("may slip", "diagonal"), ("done", None),
    ]  # fmt: skip
    items: list[Item] = []
    x = 0.5
    for text, hatch in told:
        corners = ((x, y), (x + 8, y), (x + 8, y + BAR), (x, y + BAR))
        items += [Polygon(Layer.OUTLINE, corners, hatch), Text((x + 9.5, y + 0.4), text, SMALL)]
        x += 14 + width(text, SMALL)
    items += [
        Line(Layer.HIDDEN, (x, y + BAR / 2), (x + 9, y + BAR / 2)),
        Text((x + 10.5, y + 0.4), "setting, drying", SMALL),
    ]
    x += 16 + width("setting, drying", SMALL)
    half = BAR / 2
    diamond = ((x - half, y + half), (x, y + BAR), (x + half, y + half), (x, y))
    items += [
        Polygon(Layer.OUTLINE, diamond, None),
        Text((x + 3, y + 0.4), "something comes, or is answered; dots: no working day", SMALL),
    ]
    return items


def _short(text: str, room: float) -> str:
    """The text, cut where the column ends."""
    if width(text, SMALL) <= room:
        return text
    while text and width(f"{text}…", SMALL) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"
