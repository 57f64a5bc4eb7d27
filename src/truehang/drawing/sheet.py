"""How big is the paper, how are lengths printed, and which words do people here use?"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from truehang.drawing.scene import Point, Scene
from truehang.lengths import (
    LengthStyle,
    format_between,
    format_fine,
    format_length,
    format_most,
    format_piece,
)

SCALES: tuple[float, ...] = (1, 2, 5, 10, 20, 25, 50, 100, 200)
"""Scales a rule or a scale stick reads: ISO 5455's, with the building trade's 1:25."""


Paper = Literal["A4", "Letter"]
PAPERS: Mapping[Paper, Point] = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9)}
"""Sheets by name, lying on their side: width by height, mm (ISO 216; ANSI/ASME Y14.1, from memory:
8 1/2 by 11 inches)."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What every view needs to know. `landscape` and `portrait` are the usable mm of the paper,
    width by height."""

    style: LengthStyle = "mm"
    words: Mapping[str, str] = field(default_factory=dict)
    landscape: Point = (277.0, 170.0)
    portrait: Point = (180.0, 267.0)
    paper: Paper = "A4"

    def upright(self, share: int = 1) -> Sheet:
        """The same sheet for drawings that stand upright, so that `share` of them go on a page."""
        wide, high = self.portrait
        room = (wide, high / share)
        return replace(self, landscape=room, portrait=room)

    def length(self, mm: float) -> str:
        """A length as a tape shows it."""
        return format_length(mm, self.style)

    def between(self, low: float, high: float) -> str:
        """From one mark to another: the difference of the two as they are printed."""
        return format_between(low, high, self.style)

    def fine(self, mm: float) -> str:
        """A thickness, which is finer than a tape shows."""
        return format_fine(mm, self.style)

    def most(self, mm: float) -> str:
        """A length that may not be passed, rounded down."""
        return format_most(mm, self.style)

    def piece(self, mm: float) -> str:
        """A packer by its bought size."""
        return format_piece(mm, self.style)

    def word(self, term: str) -> str:
        """The word used here for one of our terms; the term itself where none is given."""
        return self.words.get(term, term)

    def bar(self, scale: float) -> tuple[float, str]:
        """Length (mm) and text of a scale bar that is 20 to 60 mm long on paper."""
        if self.style == "mm":
            ladder = [(10.0, "10 mm"), (20.0, "20 mm"), (50.0, "50 mm"), (100.0, "100 mm")]
            ladder += [(200.0, "200 mm"), (500.0, "500 mm"), (1000.0, "1 m"), (2000.0, "2 m")]
        else:
            ladder = [(25.4, '1"'), (50.8, '2"'), (101.6, '4"'), (304.8, "1'"), (914.4, "3'")]
            ladder += [(1828.8, "6'")]
        return next((step for step in ladder if step[0] / scale >= 20.0), ladder[-1])

    def holds(self, paper: Point) -> bool:
        """Does a drawing of this size go on the page, one way up or the other?"""
        return any(
            paper[0] <= width + 1e-6 and paper[1] <= height + 1e-6
            for width, height in (self.landscape, self.portrait)
        )


def largest(
    build: Callable[[float], Scene],
    sheet: Sheet,
    size: Point,
    finest: float = 1,
    around: Point = (0.0, 0.0),
) -> Scene:
    """The scene at the largest standard scale (none larger than 1:`finest`) that fits the page.

    `size` is the bare object's width and height (mm) and `around` the least paper (mm) that its
    dimensions and words take besides, so that hopeless scales aren't built.
    """
    scene = None
    for scale in SCALES:
        least = (size[0] / scale + around[0], size[1] / scale + around[1])
        if scale < finest or not sheet.holds(least):
            continue
        scene = build(scale)
        if sheet.holds(scene.paper):
            return scene
    return scene if scene is not None else build(SCALES[-1])
