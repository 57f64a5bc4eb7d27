"""What length did the user write, and how is one printed? Millimetres inside, always."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

LengthStyle = Literal["mm", "feet-inches"]

MM_PER_INCH = Fraction(254, 10)

_MOST = 1e9
"""No length is larger, in mm: a thousand kilometres."""
_LONGEST_TEXT = 40

_METRIC = re.compile(r"^([+-]?\d+(?:[.,]\d+)?)\s*(mm|cm|m)?$", re.IGNORECASE | re.ASCII)
_FRACTION = r"(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<num>\d+)\s*/\s*(?P<den>\d+)"
_INCHES = rf"{_FRACTION}|(?P<dec>\d+(?:\.\d+)?)"
_IMPERIAL = re.compile(
    rf"^(?P<sign>[+-])?\s*(?:(?P<feet>\d+(?:\.\d+)?)\s*(?:'|ft\.?|feet|foot))?"
    rf"(?:\s*-?\s*(?:{_INCHES})\s*(?:\"|''|in\.?|inch(?:es)?))?$",
    re.IGNORECASE,
)
_PRIMES = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"', "⁄": "/"})
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


class LengthError(ValueError):
    """A length that can't be read. The message says what was given and how to write it."""


def parse_length(given: object) -> float:
    """Read a length as millimetres.

    A bare number is millimetres. A text may carry mm, cm or m, or be feet, inches and fractions:
    ``9' 5 1/2"``, ``9'5-1/2"``, ``5 1/2 in``, ``9 ft``. Raises LengthError for anything else,
    and for values that are not finite.
    """
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise LengthError(f"{given!r} is not a length; write millimetres (2870) or 9' 5 1/2\"")
    if isinstance(given, int | float):
        if not abs(given) <= _MOST:  # NaN and infinity too
            raise LengthError(f"{given!r:.40} is not a length; write millimetres (2870)")
        return float(given)
    if len(given) > _LONGEST_TEXT:
        raise LengthError(f"{given[:20]!r}... is not a length; write 2870, 2.87 m or 9' 5 1/2\"")
    text = given.strip().translate(_PRIMES)
    for sign, plain in _VULGAR.items():
        text = re.sub(rf"(\d)\s*{sign}", rf"\1 {plain}", text).replace(sign, plain)
    if metric := _METRIC.match(text):
        if re.search(r",\d{3}$", metric[1]):
            raise LengthError(
                f"{given!r} is not a length that can be read one way only; write it without the "
                "comma (2870 or 2.87)"
            )
        scale = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
        number = Fraction(metric[1].replace(",", "."))
        return _bounded(given, number * scale[(metric[2] or "mm").lower()])
    imperial = _IMPERIAL.match(text)
    if not text or imperial is None or not any(imperial.group("feet", "num", "dec")):
        raise LengthError(f"{given!r} is not a length; write 2870, 2.87 m or 9' 5 1/2\"")
    inches = Fraction(imperial["dec"] or imperial["whole"] or 0)
    if imperial["num"]:
        if int(imperial["den"]) == 0:
            raise LengthError(f"{given!r} divides by zero; write the fraction again")
        inches += Fraction(int(imperial["num"]), int(imperial["den"]))
    total = (Fraction(imperial["feet"] or 0) * 12 + inches) * MM_PER_INCH
    return _bounded(given, -total if imperial["sign"] == "-" else total)


def _bounded(given: str, exact: Fraction) -> float:
    if abs(exact) > _MOST:
        raise LengthError(f"{given!r} is not a length; write millimetres (2870)")
    return float(exact)


def format_length(mm: float, style: LengthStyle = "mm", *, denominator: int = 16) -> str:
    """Print a length: whole millimetres or tenths where there are any, or feet and inches.

    Feet-inches are rounded to the nearest 1/`denominator` inch. The unit is part of the
    feet-inches text (``9' 5 1/2"``) and left off for millimetres.
    """
    if style == "mm":
        rounded = round(mm, 1) + 0.0
        return f"{rounded:.0f}" if rounded == int(rounded) else f"{rounded:.1f}"
    parts = round(Fraction(mm) / MM_PER_INCH * denominator)
    sign = "-" if parts < 0 else ""
    feet, rest = divmod(abs(parts), 12 * denominator)
    inches, over = divmod(rest, denominator)
    fraction = Fraction(over, denominator)
    words = [str(inches)] if inches or not over else []
    tail = " ".join([*words, str(fraction)] if over else words)
    return f"{sign}{feet}' {tail}\"" if feet else f'{sign}{tail}"'
