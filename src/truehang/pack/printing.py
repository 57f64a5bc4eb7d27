"""How is a number printed here: millimetres or feet-inches, and in which words?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from truehang.figures import is_most
from truehang.lengths import (
    FINE,
    LengthStyle,
    format_fall,
    format_length,
    format_most,
    format_piece,
)
from truehang.words import local

_FEET = {"m": (1, "ft"), "m2": (2, "ft2"), "m3": (3, "ft3")}
_RAISED = {"m2": "m²", "m3": "m³", "ft2": "ft²", "ft3": "ft³"}
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
        """A length for a column whose head gives the unit."""
        return _signed(format_length(mm, self.style), plus=plus)

    def measure(self, mm: float) -> str:
        """A length in running text, with its unit."""
        text = self.length(mm)
        return f"{text}\u00a0mm" if self.style == "mm" else text

    def size(self, *mm: float) -> str:
        """Sizes joined: 910 × 2040 × 35 mm."""
        joined = " × ".join(self.length(value) for value in mm)
        return f"{joined}\u00a0mm" if self.style == "mm" else joined

    def small(self, mm: float, *, plus: bool = False) -> str:
        """A small length (misfit, pack, gap): tenths of mm, or 1/32 of an inch."""
        if self.style == "mm":
            return _signed(format_length(mm, "mm"), plus=plus)
        return _signed(format_length(mm, "feet-inches", denominator=32), plus=plus)

    def most(self, mm: float) -> str:
        """A length that may not be passed, rounded down."""
        return format_most(mm, self.style).replace(" ", "\u00a0")

    def piece(self, mm: float) -> str:
        """A packer by its bought size."""
        return format_piece(mm, self.style).replace(" ", "\u00a0")

    def figure(self, key: str, value: float, unit: str) -> str:
        """A figure's value with its unit; what may not be passed is rounded down."""
        if unit == "mm":
            text = self.most(value) if is_most(key) else self._told(value)
            return f"{text}\u00a0mm" if self.style == "mm" else text
        if unit == "mm per m":
            return self.fall(value)
        whole = abs(value) >= 100 or value == int(value)
        return self.quantity(value, unit, 0 if whole else 1)

    def _told(self, mm: float) -> str:
        return self.small(mm) if abs(mm) < FINE else self.length(mm)

    def fall(self, mm_per_metre: float) -> str:
        """A fall or rise with its unit: per metre, or over ten feet."""
        return _signed(format_fall(mm_per_metre, self.style), plus=False)

    def quantity(self, value: float, unit: str, digits: int = 1) -> str:
        """An amount bought by m, m2 or m3 in the style's own unit; other units as they are."""
        if self.style != "mm" and unit in _FEET:
            value, unit = value / 0.3048 ** _FEET[unit][0], _FEET[unit][1]
        return f"{number(value, digits)}\u00a0{_RAISED.get(unit, unit)}".strip("\u00a0")

    def word(self, ours: str) -> str:
        """The region's word for one of ours; ours where the region has none."""
        return local(ours, self.words)
