"""How much paper does a text take? Measured with the advance widths of the font that prints it."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

from truehang.drawing.scene import Box, Text

FAMILY = "Source Sans Pro"
CAP_HEIGHT = 0.66
"""Height of capitals as a share of the font size (the font's own OS/2 table)."""
_DESCENDERS = frozenset("gjpqy,;()[]/|Q@")
_BELOW, _ABOVE = 0.32, 1.08
"""How far descenders and ascenders reach, as shares of the height of capitals."""


@cache
def font_folder() -> Path:
    """The folder of the font files."""
    import font_source_sans_pro

    return Path(font_source_sans_pro.font_directory)


@cache
def _advances(bold: bool) -> tuple[dict[int, float], float]:
    """Advance width by code point, and the one for a missing sign, in heights of capitals."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    name = "SourceSansPro-Bold.ttf" if bold else "SourceSansPro-Regular.ttf"
    with TTFont(font_folder() / name, lazy=True) as font:
        unit = font["head"].unitsPerEm * CAP_HEIGHT
        table = font["hmtx"]
        widths = {code: table[glyph][0] / unit for code, glyph in font.getBestCmap().items()}
        return widths, table[".notdef"][0] / unit


@lru_cache(maxsize=1 << 14)
def width(text: str, height: float, bold: bool = False) -> float:
    """Width of a text (mm on paper) whose capitals are `height` mm high. Kerning is left out."""
    widths, missing = _advances(bold)
    return height * sum(widths.get(ord(sign), missing) for sign in text)


def box(text: Text, scale: float) -> Box:
    """The world rectangle that a text covers at a scale."""
    wide = width(text.text, text.height, text.bold)
    low = -_BELOW * text.height if _DESCENDERS & set(text.text) else 0.0
    high = _ABOVE * text.height
    left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[text.across]
    base = {"bottom": 0.0, "middle": -text.height / 2, "top": -text.height}[text.upright]
    x0, x1, y0, y1 = left, left + wide, base + low, base + high
    if text.turn == 90:
        x0, x1, y0, y1 = -y1, -y0, x0, x1
    x, y = text.at
    return (x + x0 * scale, y + y0 * scale, x + x1 * scale, y + y1 * scale)


def baseline(text: Text, scale: float) -> tuple[float, float]:
    """The world point on the baseline that the text's left, middle or right stands on."""
    drop = {"bottom": 0.0, "middle": -text.height / 2, "top": -text.height}[text.upright] * scale
    x, y = text.at
    return (x - drop, y) if text.turn == 90 else (x, y + drop)
