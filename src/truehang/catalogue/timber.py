"""What timber can be bought, and how strong is it? Grades and sections with stock lengths and
prices."""

from __future__ import annotations

import difflib
from functools import cache
from typing import Any, Literal

from pydantic import Field, PositiveFloat, PositiveInt

from truehang.catalogue._read import Entry, table

DesignCode = Literal["AS 1720.1", "EN 1995-1-1", "NDS"]
TimberKind = Literal["sawn", "glued laminated", "laminated veneer"]


class DepthBand(Entry):
    """Strengths (MPa) for sections up to a depth (mm), where a grade gives them by depth."""

    up_to: PositiveFloat
    bending: PositiveFloat
    shear: PositiveFloat
    compression_along: PositiveFloat


class SizeRule(Entry):
    """Bending strength times (reference/depth)^exponent, within `least` and `most`."""

    reference: PositiveFloat
    exponent: PositiveFloat
    least: float
    most: PositiveFloat


class Grade(Entry):
    """A strength class. Strengths and moduli MPa (characteristic, or the code's reference value),
    densities kg/m3. `size` gives the depth effect as a rule, `bands` as a table."""

    code: str
    name: str
    kind: TimberKind
    design_code: DesignCode
    bending: PositiveFloat
    shear: PositiveFloat
    compression_along: PositiveFloat
    compression_across: PositiveFloat
    modulus: PositiveFloat
    modulus_low: PositiveFloat
    shear_modulus: PositiveFloat
    density_low: PositiveFloat
    density: PositiveFloat
    size: SizeRule | None = None
    bands: tuple[DepthBand, ...] = ()
    source: str


class Section(Entry):
    """A section sold by the metre: mm, stock lengths mm, price in minor units per metre."""

    code: str
    grade: str
    breadth: PositiveFloat
    depth: PositiveFloat
    stock_lengths: tuple[PositiveInt, ...] = Field(min_length=1)
    price_per_metre: PositiveInt
    currency: str


class Resistance(Entry):
    """What a kind of timber's strengths are multiplied by under one code. `crack` is the share of
    the breadth that takes shear; `column` shapes the buckling curve (EN: beta_c; NDS: c);
    `large_area_factor` stands in for the others above the code set's `large_area`."""

    bending: PositiveFloat
    shear: PositiveFloat
    compression: PositiveFloat
    bearing: PositiveFloat
    crack: PositiveFloat
    column: float
    large_area_factor: PositiveFloat | None = None


class CodeSet(Entry):
    """One timber code as parameters of the same limit-state check. `large_area` is m2 of floor or
    roof that one failure would bring down, above which lower factors rule; 0: no such rule."""

    code: DesignCode
    source: str
    dead_only: PositiveFloat
    dead: PositiveFloat
    live: PositiveFloat
    companion: dict[str, float]
    load_duration: dict[str, str]
    long_share: dict[str, float]
    duration_factor: dict[str, PositiveFloat]
    creep: tuple[float, float]
    bearing_extra: float
    large_area: float
    resistance: dict[TimberKind, Resistance]


class UnknownTimber(ValueError):
    """A grade or section that the catalogue doesn't hold. The message suggests the nearest."""


@cache
def grades() -> tuple[Grade, ...]:
    """Every grade, in the order of the data file."""
    return tuple(Grade.model_validate(row) for row in table("timber")["grade"])


@cache
def sections() -> tuple[Section, ...]:
    """Every section of every grade, in the order of the data file."""
    return tuple(
        section for group in table("timber")["sections"] for section in _expand_group(group)
    )


@cache
def code_sets() -> dict[str, CodeSet]:
    """The timber codes' parameter sets, by code."""
    rows = (CodeSet.model_validate(row) for row in table("timber_codes")["code"])
    return {row.code: row for row in rows}


def _expand_group(group: dict[str, Any]) -> list[Section]:
    """One group of the data file: rows of breadth, depth and price share the other fields."""
    shared = {key: value for key, value in group.items() if key != "rows"}
    return [
        Section(
            code=f"{group['grade']} {breadth}x{depth}",
            breadth=breadth,
            depth=depth,
            price_per_metre=price,
            **shared,
        )
        for breadth, depth, price in group["rows"]
    ]


def grade(code: str, among: tuple[Grade, ...] | None = None) -> Grade:
    """The grade with this code. Raises UnknownTimber, suggesting the nearest."""
    known = {each.code: each for each in (grades() if among is None else among)}
    if code in known:
        return known[code]
    near = difflib.get_close_matches(
        code.upper(), [name.upper() for name in known], n=1, cutoff=0.5
    )
    by_upper = {name.upper(): name for name in known}
    hint = f"did you mean {by_upper[near[0]]!r}?" if near else f"known: {', '.join(known)}"
    raise UnknownTimber(f"grade: {code!r} is not in the timber catalogue; {hint}")
