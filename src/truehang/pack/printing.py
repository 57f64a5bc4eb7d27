"""How is a number printed here: millimetres or feet-inches, and in which words?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from truehang.amounts import number_here, unit_here
from truehang.figures import Told, told
from truehang.lengths import (
    LengthStyle,
    format_between,
    format_fall,
    format_fine,
    format_length,
    format_most,
    format_piece,
)
from truehang.words import local

MINUS = "−"
DASH = "–"


def _signed(text: str, *, plus: bool) -> str:
    """The text with a true minus, a plus where wanted, and spaces that do not break."""
    text = text.replace(" ", "\u00a0")
    if text.startswith("-"):
        return MINUS + text[1:]
    return "+" + text if plus and text.strip('0."') else text


def number(value: float, digits: int = 0, *, plus: bool = False) -> str:
    """A bare number with a true minus sign; -0 is 0."""
    return _signed(f"{round(value, digits) + 0.0:.{digits}f}", plus=plus)


@dataclass(frozen=True, slots=True)
class Printing:
    """Length style and words. `words` maps our trade words to the region's ("lining board")."""

    style: LengthStyle = "mm"
    words: Mapping[str, str] = field(default_factory=dict)

    @property
    def unit(self) -> str:
        """What stands in a column head over lengths."""
        return "mm" if self.style == "mm" else "ft in"

    def length(self, mm: float, *, plus: bool = False) -> str:
        """A length as a tape shows it, for a column whose head gives the unit."""
        return _signed(format_length(mm, self.style), plus=plus)

    def between(self, low: float, high: float) -> str:
        """From one mark to another: the difference of the two as they are printed."""
        return _signed(format_between(low, high, self.style), plus=False)

    def measure(self, mm: float) -> str:
        """A length in running text, with its unit."""
        text = self.length(mm)
        return f"{text}\u00a0mm" if self.style == "mm" else text

    def size(self, *mm: float) -> str:
        """Sizes joined: 910 × 2040 × 35 mm."""
        joined = " × ".join(self.length(value) for value in mm)
        return f"{joined}\u00a0mm" if self.style == "mm" else joined

    def fine(self, mm: float, *, plus: bool = False) -> str:
        """What is reckoned or bought finer than a tape shows: misfit, movement, thickness."""
        return _signed(format_fine(mm, self.style), plus=plus)

    def fine_measure(self, mm: float) -> str:
        """A fine length in running text, with its unit."""
        text = self.fine(mm)
        return f"{text}\u00a0mm" if self.style == "mm" else text

    def most(self, mm: float) -> str:
        """A length that may not be passed, rounded down."""
        return format_most(mm, self.style).replace(" ", "\u00a0")

    def piece(self, mm: float) -> str:
        """A packer by its bought size."""
        return format_piece(mm, self.style).replace(" ", "\u00a0")

    def figure(
        self, key: str, value: float, unit: str, ends: tuple[float, float] | None = None
    ) -> str:
        """A figure's value with its unit. `ends` are the two marks that a length lies between."""
        if unit == "mm":
            text = self._told(key, value, ends)
            return f"{text}\u00a0mm" if self.style == "mm" else text
        if unit == "mm per m":
            return self.fall(value)
        whole = abs(value) >= 100 or value == int(value)
        return self.quantity(value, unit, 0 if whole else 1)

    def _told(self, key: str, mm: float, ends: tuple[float, float] | None) -> str:
        if ends is not None:
            return self.between(*ends)
        match told(key):
            case Told.MOST:
                return self.most(mm)
            case Told.TAPE:
                return self.length(mm)
            case Told.FINE:
                return self.fine(mm)

    def fall(self, mm_per_metre: float) -> str:
        """A fall or rise with its unit: per metre, or over ten feet."""
        return _signed(format_fall(mm_per_metre, self.style), plus=False)

    def quantity(self, value: float, unit: str, digits: int = 1) -> str:
        """So many of a unit of ours in the unit that is told here."""
        return f"{self.bare(value, unit, digits)}\u00a0{self.unit_of(unit)}".strip("\u00a0")

    def bare(self, value: float, unit: str, digits: int = 1) -> str:
        """The same without its unit, for a column whose head gives it."""
        return _signed(number_here(value, unit, self.style, digits), plus=False)

    def unit_of(self, unit: str) -> str:
        """The unit that is told here for one of ours."""
        return unit_here(unit, self.style)

    def word(self, ours: str) -> str:
        """The region's word for one of ours; ours where the region has none."""
        return local(ours, self.words)
