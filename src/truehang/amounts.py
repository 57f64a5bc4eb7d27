"""In which unit is a mass, a force, a load, an area told here? SI inside, always.

Where lengths are told in feet and inches, everything else has the units that go with them: pounds,
square feet, degrees Fahrenheit. A text made in a room holds each amount as a token (`amount`,
`amounts`), as it holds each length, which a message reads as an `Amount`; pages that print a bare
number ask `told`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

LengthStyle = Literal["mm", "feet-inches"]
"""How a job tells its lengths; everything else follows."""

FOOT, POUND, GRAVITY = 0.3048, 0.45359237, 9.80665
"""m, kg and m/s2: exact by definition (international yard and pound, 1959; CGPM 1901)."""
_FORCE = POUND * GRAVITY
_INCH = FOOT / 12


@dataclass(frozen=True, slots=True)
class _Here:
    """The unit told instead, how many of ours one of it is, and what is added on top (of a
    temperature). `places` are its decimals; None: as many as ours has."""

    unit: str
    size: float
    places: int | None = None
    above: float = 0.0


_CUSTOMARY = {
    "m": _Here("ft", FOOT),
    "m2": _Here("ft2", FOOT**2),
    "m3": _Here("ft3", FOOT**3),
    "kg": _Here("lb", POUND),
    "kg/m": _Here("lb/ft", POUND / FOOT),
    "kg/m2": _Here("lb/ft2", POUND / FOOT**2, 1),
    "kg/m3": _Here("lb/ft3", POUND / FOOT**3, 0),
    "N": _Here("lbf", _FORCE),
    "N/m": _Here("lbf/ft", _FORCE / FOOT),
    "kN": _Here("lbf", _FORCE / 1000, 0),
    "kN/m": _Here("plf", _FORCE / FOOT / 1000, 0),
    "N/mm": _Here("plf", _FORCE / FOOT / 1000, 0),
    "kPa": _Here("psf", _FORCE / FOOT**2 / 1000, 0),
    "MPa": _Here("psi", _FORCE / _INCH**2 / 1e6, 0),
    "kN m2": _Here("kip ft2", _FORCE * FOOT**2, 0),
    "cm4": _Here("in4", (_INCH * 100) ** 4, 1),
    "J": _Here("ft lbf", _FORCE * FOOT),
    "m/s": _Here("ft/s", FOOT),
    "C": _Here("F", 5 / 9, 0, 32.0),
}
_RAISED = {"C": "°C", "F": "°F"}
_FINE_BELOW = 20.0
"""A force in pounds under this has a decimal at least: whole ones would be too coarse."""


def unit_here(unit: str, style: LengthStyle) -> str:
    """The unit that is told for one of ours."""
    here = _CUSTOMARY.get(unit) if style != "mm" else None
    return _raised(here.unit if here else unit)


def number_here(value: float, unit: str, style: LengthStyle, places: int = 1) -> str:
    """The number that is told for so many of ours, with a plain minus sign."""
    here = _CUSTOMARY.get(unit) if style != "mm" else None
    if here is not None:
        value = value / here.size + here.above
        if here.places is not None:
            places = here.places
        elif here.unit == "lbf" and abs(value) < _FINE_BELOW:
            places = max(places, 1)
    return f"{round(value, places) + 0.0:.{places}f}"


def told(value: float, unit: str, style: LengthStyle, places: int = 1) -> str:
    """So many of a unit of ours as they are told here: "33.7 kg", or "74.3 lb"."""
    return f"{number_here(value, unit, style, places)} {unit_here(unit, style)}".strip()


def told_given(value: float, unit: str, style: LengthStyle) -> str:
    """An amount that was given as it was, "80 kg", or in round numbers of the unit here."""
    if style == "mm" or unit not in _CUSTOMARY:
        return f"{value:g} {unit_here(unit, style)}".strip()
    number = float(number_here(value, unit, style, 1))
    return f"{number:g} {unit_here(unit, style)}"


def amount(value: float, unit: str, places: int | None = 1) -> str:
    """An amount as a mark for a message, readable as it stands: ``⟨33.7 kg|33.6512⟩``.

    `places` None is for what somebody gave: told with the decimals that it has.
    """
    shown = f"{value:g}" if places is None else f"{round(value, places) + 0.0:.{places}f}"
    exact = f"{value:.9g}"
    return f"⟨{shown} {unit}{'' if exact == shown else f'|{exact}'}⟩"


def amounts(low: float, high: float, unit: str, places: int = 1) -> str:
    """From one amount to another as a token, the unit said once: ``⟨7 to 23 N|7.1..22.8⟩``."""
    ends = (f"{round(value, places) + 0.0:.{places}f}" for value in (low, high))
    return f"⟨{' to '.join(ends)} {unit}|{low:.9g}..{high:.9g}⟩"


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount, or from one to another, in a sentence: as it is shown in ours, and exactly."""

    shown: str
    second: str | None
    unit: str
    exact: str | None
    end: str | None

    def printed(self, style: LengthStyle) -> str:
        """As it is told in this style, with its unit."""
        return _spelled((self.shown, self.second, self.unit, self.exact, self.end), style)

    def mark(self) -> str:
        """As it stands in an f-string."""
        second = f" to {self.second}" if self.second is not None else ""
        end = f"..{self.end}" if self.end is not None else ""
        exact = f"|{self.exact}{end}" if self.exact is not None else ""
        return f"⟨{self.shown}{second} {self.unit}{exact}⟩"


def marked_amount(mark: str) -> Amount | None:
    """The amount that a mark stands for; None for any other mark."""
    found = _TOKEN.fullmatch(mark)
    return Amount(*found.groups()) if found else None


_NUMBER = r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?"
_UNITS = "|".join(sorted(_CUSTOMARY.keys() - {"m"}, reverse=True))
_TOKEN = re.compile(
    rf"⟨({_NUMBER})(?: to ({_NUMBER}))? ({_UNITS})"
    rf"(?:\|({_NUMBER})(?:\.\.({_NUMBER}))?)?⟩",
    re.ASCII,
)


def _raised(unit: str) -> str:
    return _RAISED.get(unit, unit.replace("2", "²").replace("3", "³").replace("4", "⁴"))


@lru_cache(maxsize=2048)
def _spelled(groups: tuple[str | None, ...], style: LengthStyle) -> str:
    shown, second, unit, exact, end = groups
    assert shown is not None
    assert unit is not None
    if style == "mm":
        return f"{shown} to {second} {_raised(unit)}" if second else f"{shown} {_raised(unit)}"
    places = len(shown.partition(".")[2])
    low = number_here(float(exact or shown), unit, style, places)
    if second is None:
        return f"{low} {unit_here(unit, style)}"
    high = number_here(float(end or second), unit, style, places)
    return f"{low} to {high} {unit_here(unit, style)}"


_WRITTEN = re.compile(r"^\s*([+-]?\d+(?:[.,]\d+)?)\s*([^\d\s].*?)\s*$")
_NAMES = {
    "kg": {"kg": 1.0, "lb": POUND, "lbs": POUND, "pound": POUND, "pounds": POUND},
    "N": {"n": 1.0, "lbf": _FORCE, "lb": _FORCE, "lbs": _FORCE},
    "kN": {"kn": 1.0, "lbf": _FORCE / 1000, "lb": _FORCE / 1000, "lbs": _FORCE / 1000,
           "kip": _FORCE, "kips": _FORCE},
    "kPa": {"kpa": 1.0, "kn/m2": 1.0, "psf": _FORCE / FOOT**2 / 1000},
    "kN/m": {"kn/m": 1.0, "kn per metre": 1.0, "plf": _FORCE / FOOT / 1000},
    "kg/m2": {"kg": 1.0, "kg/m2": 1.0, "psf": POUND / FOOT**2, "lb/ft2": POUND / FOOT**2},
    "m2": {"m2": 1.0, "ft2": FOOT**2, "sq ft": FOOT**2, "sqft": FOOT**2, "square feet": FOOT**2},
    "m3": {"m3": 1.0, "ft3": FOOT**3, "cu ft": FOOT**3, "cuft": FOOT**3, "cubic feet": FOOT**3},
    "cm4": {"cm4": 1.0, "in4": (_INCH * 100) ** 4},
    "C": {"c": 1.0, "f": 5 / 9},
}  # fmt: skip
"""How each unit may be written after a number, and what it is in ours."""


def ways_to_write(unit: str) -> str:
    """How an amount of ours may be written, for a message: "25, 25 kg or 55 lb"."""
    here = _CUSTOMARY[unit]
    return f"a number of {_raised(unit)}, or with its unit: {_raised(unit)} or {_raised(here.unit)}"


def read_here(given: str, unit: str, style: LengthStyle) -> float | None:
    """What somebody wrote, in ours: a bare number is in the unit that is told here."""
    try:
        number = float(given.replace(",", "."))
    except ValueError:
        return read_amount(given, unit)
    here = _CUSTOMARY.get(unit) if style != "mm" else None
    if not math.isfinite(number):
        return None
    return number if here is None else (number - here.above) * here.size


def read_amount(given: str, unit: str) -> float | None:
    """What somebody wrote with a unit ("55 lb", "70 °F"), in ours; None where it can't be read."""
    found = _WRITTEN.match(given.replace("²", "2").replace("³", "3").replace("⁴", "4"))
    if found is None:
        return None
    name = " ".join(found[2].replace("°", " ").lower().rstrip(".").split())
    size = _NAMES.get(unit, {}).get(name)
    if size is None:
        return None
    number = float(found[1].replace(",", "."))
    above = _CUSTOMARY[unit].above if size == _CUSTOMARY[unit].size else 0.0
    return (number - above) * size
