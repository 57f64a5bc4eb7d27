"""Which board goes where, and how is each length and board cut?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from truehang.drawing.draft import Draft
from truehang.drawing.metrics import width
from truehang.drawing.scene import TEXT_HEIGHT, Box, Layer, Point, Scene, Text
from truehang.drawing.sheet import Sheet, largest
from truehang.lengths import lead


@dataclass(frozen=True, slots=True)
class Board:
    """A piece on a face or a sheet: outline (mm), short mark, and size as printed."""

    mark: str
    outline: tuple[Point, ...]
    size: str

    @property
    def box(self) -> Box:
        """The piece's bounding rectangle."""
        xs, ys = zip(*self.outline, strict=True)
        return (min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece on a length: from `start` to `end` of the uncut length, mm."""

    label: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Bar:
    """One length to be cut: its name, whole length, pieces, and what its end piece is called."""

    name: str
    length: float
    pieces: tuple[CutPiece, ...]
    rest: str = ""


def board_layout(
    key: str,
    title: str,
    boards: Sequence[Board],
    sheet: Sheet,
    *,
    outline: Sequence[Point] = (),
    holes: Sequence[Sequence[Point]] = (),
    supports: Sequence[tuple[Point, Point]] = (),
    mirror: bool = False,
    notes: Sequence[str] = (),
) -> Scene:
    """Pieces on a face, or on the board they are cut from, with marks and sizes, and running marks
    at every edge of a piece and every corner of a notch."""
    points = [point for board in boards for point in board.outline] + list(outline)
    xs, ys = zip(*points, strict=True)

    def build(scale: float) -> Scene:
        draft = Draft(scale, mirror=mirror)
        if outline:
            draft.polygon(Layer.OUTLINE, tuple(outline), part="face")
        for hole in holes:
            draft.polygon(Layer.OUTLINE, tuple(hole), part="face")
        for a, b in supports:
            draft.line(Layer.CENTRE, a, b, "supports")
        for board in boards:
            draft.polygon(Layer.LINING, board.outline, part="lining")
        told = []
        for board in boards:
            box = board.box
            middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
            whole = f"{lead(board.mark)}  {board.size}"
            if _room(box, whole, scale):
                draft.label(whole, middle, box)
            else:
                draft.label(board.mark, middle, box)
                told.append(whole)
        draft.running("below", _marks((x for board in boards for x, _ in board.outline), sheet))
        draft.running("left", _marks((z for board in boards for _, z in board.outline), sheet))
        more = [*notes, *([sheet.word("Sizes: ") + ";  ".join(told)] if told else [])]
        return draft.close(key, title, notes=more, bar=sheet.bar(scale), least_width=BESIDE)

    return largest(build, sheet, (max(xs) - min(xs), max(ys) - min(ys)), finest=10)


BESIDE = 90.0
"""Words under a drawing may be this wide (mm on paper), so that two stand side by side."""


def _marks(places: Iterable[float], sheet: Sheet) -> list[tuple[float, str]]:
    """Running marks at these places, each told once."""
    kept: list[float] = []
    for place in sorted(places):
        if not kept or place - kept[-1] > SAME_PLACE:
            kept.append(place)
    return [(place, sheet.length(place)) for place in kept]


SAME_PLACE = 0.5
"""Places nearer than this have one mark, mm."""


def _room(box: Box, text: str, scale: float) -> bool:
    """Is there comfortable room for the mark and the size inside the piece?"""
    wide, tall = (box[2] - box[0]) / scale, (box[3] - box[1]) / scale
    need = width(text, TEXT_HEIGHT) + 4.0
    return min(wide, tall) >= 9.0 and max(wide, tall) >= need


def cut_bars(
    key: str, title: str, bars: Sequence[Bar], sheet: Sheet, *, per_page: int = 12
) -> tuple[Scene, ...]:
    """Cutting pictures of lengths, one below the other; as many pages as it takes."""
    pages = [bars[i : i + per_page] for i in range(0, len(bars), per_page)]
    several = len(pages) > 1
    longest = max((bar.length for bar in bars), default=1.0)
    return tuple(
        _bars(
            f"{key}-{number}" if several else key,
            f"{title} ({number}/{len(pages)})" if several else title,
            page,
            sheet,
            longest,
        )
        for number, page in enumerate(pages, 1)
    )


def _bars(key: str, title: str, bars: Sequence[Bar], sheet: Sheet, longest: float) -> Scene:
    draft = Draft(1.0)
    unit = 172.0 / longest
    draft.text(Text((0.0, 0.0), title, 3.0, bold=True))  # over the bars, which it heads
    deep, y = 6.0, -7.5
    for bar in bars:
        draft.text(Text((0.0, y), f"{bar.name}, {sheet.length(bar.length)}", bold=True))
        y -= deep + 2.0
        outside = _bar(draft, bar, sheet, y, deep, unit)
        y -= 7.0 + outside * 4.2
    return draft.close(key, title, to_scale=False, headed=False)


def _bar(draft: Draft, bar: Bar, sheet: Sheet, y: float, deep: float, unit: float) -> int:
    """One length with its pieces; returns how many rows of text stand under it."""
    draft.rectangle(Layer.OUTLINE, (0.0, y, bar.length * unit, y + deep), part="bar")
    under: list[str] = []
    for number, piece in enumerate(bar.pieces, 1):
        box = (piece.start * unit, y, piece.end * unit, y + deep)
        draft.rectangle(Layer.FRAME, box, part="piece")
        whole = f"{lead(piece.label)} {sheet.length(piece.end - piece.start)}"
        room = box[2] - box[0] - 2.0
        middle = ((box[0] + box[2]) / 2, y + deep / 2)
        if width(whole, TEXT_HEIGHT) <= room:
            draft.text(Text(middle, whole, across="middle", upright="middle"))
            continue
        if width(f"{number}", TEXT_HEIGHT) <= room + 1.0:
            draft.text(Text(middle, f"{number}", across="middle", upright="middle"))
        under.append(f"{number}: {whole}")
    end = max((piece.end for piece in bar.pieces), default=0.0)
    rest = (bar.length - end) * unit
    if bar.rest and rest > width(bar.rest, TEXT_HEIGHT) + 2.0:
        place = (end * unit + rest / 2, y + deep / 2)
        draft.text(Text(place, bar.rest, across="middle", upright="middle"))
    elif bar.rest:
        under.append(bar.rest)
    rows = _rows(under, 172.0)
    for row, text in enumerate(rows, 1):
        draft.text(Text((0.0, y - 4.2 * row), text))
    return len(rows)


def _rows(texts: Sequence[str], room: float) -> list[str]:
    rows: list[str] = []
    for text in texts:
        longer = f"{rows[-1]};  {text}" if rows else text
        if rows and width(longer, TEXT_HEIGHT) <= room:
            rows[-1] = longer
        else:
            rows.append(text)
    return rows
