"""PDFs are measured as printed, by an independent PDF reader (PDFium)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pypdfium2
import pytest

from truehang.drawing import metrics
from truehang.drawing.pdf import TitleBlock, pdf
from truehang.drawing.scene import Layer, Scene, Text
from truehang.drawing.sheet import Sheet
from truehang.drawing.strip import (
    APART,
    DEEP,
    FIRST,
    LEFT,
    OVERLAP,
    STRIPS,
    USEFUL,
    Mark,
    rod_strips,
)

DPI = 600
PX = DPI / 25.4
BLOCK = TitleBlock("fernhollow", "3", "demo data, invented")


def _band(document: pypdfium2.PdfDocument, page: int, low: float, high: float) -> np.ndarray:
    """The page's pixels between two heights (mm from its foot), dark = True."""
    tall = document[page].get_size()[1]
    per_mm = 72 / 25.4
    crop = (0, low * per_mm, 0, tall - high * per_mm)
    image = document[page].render(scale=DPI / 72, crop=crop, grayscale=True).to_numpy()
    return np.asarray(image).reshape(image.shape[0], image.shape[1]) < 128


def _runs(row: np.ndarray) -> list[float]:
    """Middles (mm from the left) of the dark stretches of a row of pixels."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return [(a + b) / 2 / PX for a, b in zip(edges[::2], edges[1::2], strict=True)]


@pytest.fixture(scope="module")
def strips() -> tuple[list[Mark], tuple[Scene, ...], pypdfium2.PdfDocument]:
    """A rod with few marks, far apart, and its printed pages."""
    marks = [Mark(x, f"mark at {x:g}") for x in (103.0, 260.5, 430.0, 611.1, 905.2, 1212.0)]
    pages = rod_strips(marks, "x", Sheet(), job="test")
    return marks, pages, pypdfium2.PdfDocument(pdf(pages, BLOCK))


def test_pages_are_a4_and_the_proving_scale_is_100_mm_on_each(strips: Any) -> None:
    _, pages, document = strips
    assert len(document) == len(pages) == 2
    for page in range(len(document)):
        wide, tall = document[page].get_size()
        assert (wide * 25.4 / 72, tall * 25.4 / 72) == pytest.approx((297.0, 210.0), abs=0.01)
        row = _band(document, page, 7.0, 7.4)[3]
        ends = _runs(row)
        assert ends[1] - ends[0] == pytest.approx(100.0, abs=0.1)


def test_every_mark_is_where_it_should_be_on_paper(strips: Any) -> None:
    marks, _, document = strips
    start, step = 90.0, USEFUL - OVERLAP
    found = 0
    for strip in range(5):
        page, place = divmod(strip, STRIPS)
        foot = FIRST - DEEP - place * (DEEP + APART)
        # Between the rule's longest tick (4.0) and the first bend of a mark (5.5).
        lines = _runs(_band(document, page, foot + 4.6, foot + 5.0)[4])
        begin = start + strip * step
        for mark in marks:
            if begin <= mark.at <= begin + USEFUL:
                assert min(abs(x - (LEFT + mark.at - begin)) for x in lines) < 0.1, mark
                found += 1
    assert found >= len(marks)


def test_match_lines_lie_on_the_same_place_of_the_rod(strips: Any) -> None:
    _, pages, _ = strips
    step = USEFUL - OVERLAP
    lines = []
    for number, page in enumerate(pages):
        for place in range(STRIPS):
            foot = FIRST - DEEP - place * (DEEP + APART)
            begin = 90.0 + (number * STRIPS + place) * step
            lines += [
                begin + item.a[0] - LEFT
                for item in page.items
                if item.layer is Layer.HIDDEN and item.a[1] == foot
            ]
    pairs = [tuple(lines[i : i + 2]) for i in range(0, len(lines), 2)]
    assert len(pairs) == 4
    assert all(a == pytest.approx(b) for a, b in pairs)


def test_one_page_says_which_it_is(strips: Any) -> None:
    _, _, document = strips
    told = document[1].get_textpage().get_text_bounded()
    assert "page 2 of 2" in told
    assert "100 mm" in told


def test_no_marks_no_pages() -> None:
    assert rod_strips((), "x", Sheet()) == ()


def test_widths_that_placing_uses_are_the_widths_that_are_printed() -> None:
    # The check against the outside: PDFium's own character boxes of the printed page.
    words = ("rough opening 3458", "left pocket, back", "2347 x 841 x 35", "WAVE TAPE 1/2")
    items = tuple(Text((10.0, 20.0 + 20.0 * i), text, 5.0) for i, text in enumerate(words))
    scene = Scene("x", "x", 1.0, items, (0.0, 0.0), (150.0, 100.0))
    page = pypdfium2.PdfDocument(pdf((scene,), BLOCK))[0].get_textpage()
    for text in words:
        start, count = page.search(text).get_next()
        boxes = [page.get_charbox(start + i, loose=True) for i in range(count)]
        printed = (boxes[-1][2] - boxes[0][0]) * 25.4 / 72
        # Kerning only ever draws signs together here, so placing is on the safe side.
        assert printed <= metrics.width(text, 5.0) * 1.005
        assert printed >= metrics.width(text, 5.0) * 0.95


def test_a_drawing_is_printed_true_to_scale(views: dict[str, dict[str, Scene]]) -> None:
    scene = views["archway"]["plan-section"]
    document = pypdfium2.PdfDocument(pdf((scene,), BLOCK))
    bars = [i for i in scene.items if getattr(i, "part", "") == "scale bar"]
    xs = [x for bar in bars for x, _ in bar.points]  # type: ignore[union-attr]
    foot = min(y for _, y in bars[0].points)  # type: ignore[union-attr]
    tall = 210.0 if scene.paper[0] > 190 else 297.0
    y = tall - 15.0 - (scene.high[1] - foot) / scene.scale + 0.75
    row = _band(document, 0, y - 0.2, y + 0.2)[4]
    dark = np.flatnonzero(row)
    left = (297.0 - scene.paper[0]) / 2 + (min(xs) - scene.low[0]) / scene.scale
    right = left + (max(xs) - min(xs)) / scene.scale
    inside = dark[(dark / PX > left - 1) & (dark / PX < right + 1)]
    printed = (inside[-1] - inside[0]) / PX
    assert printed == pytest.approx(500.0 / scene.scale, abs=0.25)


def test_same_scenes_same_bytes(views: dict[str, dict[str, Scene]]) -> None:
    scenes = tuple(views["bathroom"].values())
    made = pdf(scenes, BLOCK)
    assert made == pdf(scenes, BLOCK)
    assert len(pypdfium2.PdfDocument(made)) == len(scenes)
    assert b"CreationDate" not in made


def test_what_cannot_be_printed_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        pdf((), BLOCK)
    huge = Scene("huge", "huge", 1.0, (), (0.0, 0.0), (400.0, 100.0))
    with pytest.raises(ValueError, match="larger than an A4 page"):
        pdf((huge,), BLOCK)
