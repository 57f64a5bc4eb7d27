"""What length did the user write, and how is one printed? Millimetres inside, always.

Rooms don't know how a job prints its lengths. A text made in a room says each of them with
`said`, and `spell` puts it the job's way when the plan is handed out.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from truehang.amounts import LengthStyle as LengthStyle

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
    """A length that can't be read. The message says what was given and how to write it; `what` is
    the trouble by itself."""

    def __init__(self, message: str, what: str = "not a length") -> None:
        super().__init__(message)
        self.what = what


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
        if int(imperial["num"]) >= int(imperial["den"]):
            raise LengthError(
                f"{given!r} has a fraction of an inch or more; write it under one, with the whole "
                "inches before it and a space between (11 3/8)",
                "a fraction of an inch or more",
            )
        inches += Fraction(int(imperial["num"]), int(imperial["den"]))
    if imperial["feet"] and inches >= 12:
        raise LengthError(
            f"{given!r} has a foot or more of inches beside its feet; write under 12 inches, or "
            "read the tape again",
            "a foot or more of inches beside its feet",
        )
    total = (Fraction(imperial["feet"] or 0) * 12 + inches) * MM_PER_INCH
    return _bounded(given, -total if imperial["sign"] == "-" else total)


def _bounded(given: str, exact: Fraction) -> float:
    if abs(exact) > _MOST:
        raise LengthError(f"{given!r} is not a length; write millimetres (2870)")
    return float(exact)


TAPE: dict[LengthStyle, Fraction] = {"mm": Fraction(1, 2), "feet-inches": MM_PER_INCH / 32}
"""The last step that a tape shows, in mm: half a millimetre, or 1/32 inch."""
_TENTH = Fraction(1, 10)
_NOISE = 1_000_000
"""What is within this part of a millimetre of the middle of two steps is on it: sums of floats
don't flip a print."""


def _steps(mm: float, step: Fraction) -> int:
    """The nearest whole number of steps; from the middle of two away from zero."""
    # floor((|mm| + 1 / _NOISE) / step + 1/2) in whole numbers: exact, and a plan asks thousands.
    over, under = mm.as_integer_ratio()
    size = step.numerator * under * _NOISE
    count = (2 * step.denominator * (abs(over) * _NOISE + under) + size) // (2 * size)
    return -count if mm < 0 else count


def on_tape(mm: float, style: LengthStyle = "mm") -> float:
    """The nearest length (mm) that a tape shows. Running marks are rounded so, each by itself."""
    return float(_steps(mm, TAPE[style]) * TAPE[style])


def between(low: float, high: float, style: LengthStyle = "mm") -> float:
    """From one mark to another (mm) as a tape shows them, so that printed marks add up."""
    return float((_steps(high, TAPE[style]) - _steps(low, TAPE[style])) * TAPE[style])


def format_length(mm: float, style: LengthStyle = "mm") -> str:
    """Print a length as a tape shows it: to half a millimetre, or feet and inches to 1/32.

    The unit is part of the feet-inches text (``9' 5 1/2"``, and ``6' 0 1/4"`` so that it can't be
    misread) and left off for millimetres.
    """
    count = _steps(mm, TAPE[style])
    if style == "mm":
        return f"{count / 2:.0f}" if count % 2 == 0 else f"{count / 2:.1f}"
    return _imperial(count, 32)


def lead(words: str) -> str:
    """Words to put before a length: "hanger 1 90" would be read as 190, so "hanger 1:"."""
    return f"{words}:" if words[-1:].isdigit() else words


_INSIDE = re.compile(r"""(?<=\d') (?=\d)|(?<=\d) (?=\d+/\d+\\?")""")


def held(text: str) -> str:
    """The text with spaces that do not break inside each length in feet and inches.

    Cut in two at the end of a line, half of one is a length as well. JSON may be given, too.
    """
    return _INSIDE.sub("\u00a0", text)


def format_between(low: float, high: float, style: LengthStyle = "mm") -> str:
    """Print the length from one mark to another: the difference of the two as they are printed."""
    return format_length(between(low, high, style), style)


def format_fine(mm: float, style: LengthStyle = "mm") -> str:
    """Print what is reckoned or bought finer than a tape shows: thicknesses, movements, misfits.

    To a tenth of a millimetre; feet-inches have no finer step than the tape's own 1/32, so that
    no length stands there in two roundings.
    """
    if style != "mm":
        return format_length(mm, style)
    tenths = _steps(mm, _TENTH)
    return f"{tenths / 10:.0f}" if tenths % 10 == 0 else f"{tenths / 10:.1f}"


def format_given(mm: float, style: LengthStyle = "mm") -> str:
    """Print a length that was typed as it was: all decimals, or the fraction down to 1/64.

    Millimetres that are no such fraction are told in feet-inches as a tape shows them.
    """
    if style == "mm":
        return _short(mm, 4)
    inches = Fraction(mm) / MM_PER_INCH
    count = round(inches * 64)
    near = abs(float(count * MM_PER_INCH / 64) - mm) < 0.005
    return _imperial(count, 64) if near else format_length(mm, style)


def _imperial(parts: int, denominator: int) -> str:
    sign = "-" if parts < 0 else ""
    feet, rest = divmod(abs(parts), 12 * denominator)
    inches, over = divmod(rest, denominator)
    fraction = Fraction(over, denominator)
    words = [str(inches)] if inches or feet or not over else []
    tail = " ".join([*words, str(fraction)] if over else words)
    return f"{sign}{feet}' {tail}\"" if feet else f'{sign}{tail}"'


@dataclass(frozen=True, slots=True)
class Length:
    """A length in a sentence: printed as a tape shows it; with `places` 1 to a tenth of a
    millimetre, as thicknesses and movements are.

    `plus` gives a sign to what is above zero. `limit` is what the length is held against in the
    same sentence: where the tape's step would put both on one mark, tenths are told (in
    feet-inches, "just under"), so that no sentence says that 5 is less than 5.
    """

    mm: float
    places: int = 0
    plus: bool = False
    limit: float | None = None

    def mark(self) -> str:
        """As it stands in a text that nobody has printed yet: ``⟨38 mm⟩``. What rounding hides is
        kept behind a bar (``⟨2890 mm|2890.4⟩``), so that every style rounds the length once."""
        shown, exact = self._in_mm(), _short(self.mm, 9)
        hidden = "" if exact == shown.lstrip("+") else f"|{exact}"
        if self.limit is not None and self._beside(self.limit):
            hidden = f"|{exact}~{_short(self.limit, 9)}"
        return f"⟨{shown} mm{hidden}⟩"

    def printed(self, style: LengthStyle) -> str:
        """With its unit, as a job of this style prints it."""
        shown = self._in_mm()
        if style == "mm":
            return f"{shown} mm"
        size = abs(self.mm)
        if 0.05 <= size < TAPE[style] / 2:
            return 'under 1/32"'
        near = ""
        if self.limit is not None and self._beside(self.limit) and size != self.limit:
            near = "just under " if size < self.limit else "just over "
        sign = shown[0] if shown[0] in "+-" else ""
        return near + sign + format_length(size, style)

    def _in_mm(self) -> str:
        fine = self.places or (self.limit is not None and on_tape(self.mm) == on_tape(self.limit))
        shown = format_fine(self.mm) if fine else format_length(self.mm)
        return f"+{shown}" if self.plus and shown[0] != "-" and shown != "0" else shown

    def _beside(self, limit: float) -> bool:
        """True where a tape in inches shows both on one mark."""
        return on_tape(self.mm, "feet-inches") == on_tape(limit, "feet-inches")


@dataclass(frozen=True, slots=True)
class Between:
    """The length from one mark to another in a sentence: the difference of the two as printed."""

    low: float
    high: float

    def mark(self) -> str:
        """As it stands in a text that nobody has printed yet."""
        shown = format_between(self.low, self.high)
        return f"⟨{shown} mm|{_short(self.low, 9)}..{_short(self.high, 9)}⟩"

    def printed(self, style: LengthStyle) -> str:
        """With its unit, as a job of this style prints it."""
        shown = format_between(self.low, self.high, style)
        return f"{shown} mm" if style == "mm" else shown


@dataclass(frozen=True, slots=True)
class Metres:
    """A length in a sentence that is bought by the metre; by the foot in feet-inches."""

    metres: float

    def mark(self) -> str:
        """As it stands in a text that nobody has printed yet: ``⟨19.2 m⟩``."""
        return f"⟨{self.metres:.1f} m⟩"

    def printed(self, style: LengthStyle) -> str:
        """With its unit, as a job of this style prints it."""
        return format_metres(self.metres, style)


def said(mm: float, places: int = 0, *, plus: bool = False, limit: float | None = None) -> str:
    """A `Length` as it is written into an f-string that becomes a message."""
    return Length(mm, places, plus, limit).mark()


def said_between(low: float, high: float) -> str:
    """The length from one mark to another as it is written into an f-string."""
    return Between(low, high).mark()


def said_metres(metres: float) -> str:
    """A length bought by the metre as it is written into an f-string."""
    return Metres(metres).mark()


_NUMBER = r"-?\d+(?:\.\d+)?"
_METRES = re.compile(r"⟨(\d+(?:\.\d+)?) m⟩", re.ASCII)
_LENGTH = re.compile(
    rf"⟨([+-]?)(\d+(?:\.\d+)?) mm(?:\|({_NUMBER})(?:(\.\.|~)({_NUMBER}))?)?⟩", re.ASCII
)


def marked_length(mark: str) -> Length | Between | Metres | None:
    """The length that was written as this mark; None where it is no mark of a length."""
    if by_metre := _METRES.fullmatch(mark):
        return Metres(float(by_metre[1]))
    found = _LENGTH.fullmatch(mark)
    if found is None:
        return None
    sign, shown, exact, joint, other = found.groups()
    if joint == "..":
        return Between(float(exact), float(other))
    mm = float(exact) if exact else float(sign.replace("+", "") + shown)
    places = 0 if format_length(abs(mm)) == shown else 1
    return Length(mm, places, sign == "+", float(other) if other else None)


def _short(mm: float, places: int) -> str:
    text = f"{round(mm, places) + 0.0:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text


def format_metres(metres: float, style: LengthStyle = "mm") -> str:
    """Print a length that is bought by the run with its unit: ``19.2 m``, or ``63.0 ft``."""
    return f"{metres:.1f} m" if style == "mm" else f"{metres / 0.3048:.1f} ft"


def format_most(mm: float, style: LengthStyle = "mm") -> str:
    """Print a length that may not be passed, rounded down: to 0.1 mm, or to 1/32 inch."""
    if style == "mm":
        return format_fine(math.floor(mm * 10 + 1e-6) / 10)
    parts = math.floor(mm / 25.4 * 32 + 1e-6)
    return _imperial(parts, 32)


def format_piece(mm: float, style: LengthStyle = "mm") -> str:
    """Print a piece as it was bought: a packer of 1.5 mm stays one where feet-inches are printed.

    In feet-inches, what is no whole number of 1/32 inch keeps its millimetres, for another name
    would not be found on the van.
    """
    if style == "mm":
        return format_fine(mm)
    parts = mm / 25.4 * 32
    whole = abs(parts - round(parts)) < 0.02
    return format_length(mm, style) if whole else f"{format_fine(mm)} mm"


def format_fall(mm_per_metre: float, style: LengthStyle = "mm") -> str:
    """Print a fall or a rise with its unit: ``+2.3 mm per m``, or ``+9/32" in 10'``."""
    if style == "mm":
        return f"{round(mm_per_metre, 1) + 0.0:+.1f} mm per m"
    text = format_length(mm_per_metre * 3.048, style)
    return f"{text if text.startswith('-') else '+' + text} in 10'"
