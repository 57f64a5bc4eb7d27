"""What length did the user write, and how is one printed? Millimetres inside, always.

Rooms don't know how a job prints its lengths. A text made in a room says each of them with
`said`, and `spell` puts it the job's way when the plan is handed out.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
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
    feet-inches text (``9' 5 1/2"``, and ``6' 0 1/4"`` so that it can't be misread) and left off
    for millimetres.
    """
    if style == "mm":
        rounded = round(mm, 1) + 0.0
        return f"{rounded:.0f}" if rounded == int(rounded) else f"{rounded:.1f}"
    parts = round(Fraction(mm) / MM_PER_INCH * denominator)
    sign = "-" if parts < 0 else ""
    feet, rest = divmod(abs(parts), 12 * denominator)
    inches, over = divmod(rest, denominator)
    fraction = Fraction(over, denominator)
    words = [str(inches)] if inches or feet or not over else []
    tail = " ".join([*words, str(fraction)] if over else words)
    return f"{sign}{feet}' {tail}\"" if feet else f'{sign}{tail}"'


def said(mm: float, places: int = 0, *, plus: bool = False) -> str:
    """A length as a token for `spell`, which is readable as it stands: ``⟨38 mm⟩``.

    `places` is the most decimals of a millimetre that are told: 0 for what is struck with a tape,
    1 for gaps and packs. `plus` gives a sign to what is above zero. What rounding hides is kept
    behind a bar (``⟨2890 mm|2890.4⟩``), so that another unit is rounded once only.
    """
    shown, exact = _short(mm, places), _short(mm, 2)
    sign = "+" if plus and not shown.startswith("-") and shown != "0" else ""
    return f"⟨{sign}{shown} mm{'' if exact == shown else f'|{exact}'}⟩"


def said_metres(metres: float, places: int = 1) -> str:
    """A length bought by the metre as a token for `spell`: ``⟨19.2 m⟩``; feet in feet-inches."""
    return f"⟨{metres:.{places}f} m⟩"


def spell(text: str, style: LengthStyle) -> str:
    """The text with each length said in it printed in this style, with its unit."""
    if "⟨" not in text:
        return text
    text = _METRES.sub(lambda token: format_metres(float(token[1]), style), text)
    return _TOKEN.sub(lambda token: _spelled(token[1], token[2], token[3], style), text)


_METRES = re.compile(r"⟨(\d+(?:\.\d+)?) m⟩", re.ASCII)
_TOKEN = re.compile(r"⟨([+-]?)(\d+(?:\.\d+)?) mm(?:\|-?(\d+(?:\.\d+)?))?⟩", re.ASCII)


def _short(mm: float, places: int) -> str:
    text = f"{round(mm, places) + 0.0:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text


@lru_cache(maxsize=4096)
def _spelled(sign: str, shown: str, exact: str | None, style: LengthStyle) -> str:
    if style == "mm":
        return f"{sign}{shown} mm"
    size = float(exact or shown)
    if 0.05 <= size < FINE / 64:
        return 'under 1/32"'
    return sign + format_length(size, style, denominator=32 if size < FINE else 16)


FINE = 25.4
"""Lengths under this, in mm, are told to 1/32 inch: gaps and packs, not marks."""


def format_metres(metres: float, style: LengthStyle = "mm") -> str:
    """Print a length that is bought by the run with its unit: ``19.2 m``, or ``63.0 ft``."""
    return f"{metres:.1f} m" if style == "mm" else f"{metres / 0.3048:.1f} ft"


def format_most(mm: float, style: LengthStyle = "mm") -> str:
    """Print a length that may not be passed, rounded down: to 0.1 mm, or to 1/32 inch."""
    step = 0.1 if style == "mm" else 25.4 / 32
    return format_length(math.floor(mm / step + 1e-6) * step, style, denominator=32)


def format_piece(mm: float, style: LengthStyle = "mm") -> str:
    """Print a piece as it was bought: a packer of 1.5 mm stays one where feet-inches are printed.

    In feet-inches, what is no whole number of 1/32 inch keeps its millimetres, for another name
    would not be found on the van.
    """
    if style == "mm":
        return format_length(mm)
    parts = mm / 25.4 * 32
    whole = abs(parts - round(parts)) < 0.02
    return format_length(mm, style, denominator=32) if whole else f"{format_length(mm)} mm"


def format_fall(mm_per_metre: float, style: LengthStyle = "mm") -> str:
    """Print a fall or a rise with its unit: ``+2.3 mm per m``, or ``+9/32" in 10'``."""
    if style == "mm":
        return f"{round(mm_per_metre, 1) + 0.0:+.1f} mm per m"
    text = format_length(mm_per_metre * 3.048, style, denominator=32)
    return f"{text if text.startswith('-') else '+' + text} in 10'"
