"""What timber can be bought, and how strong is it? Grades and sections with stock lengths and
prices."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, Self

from pydantic import Field, PositiveFloat, PositiveInt, model_validator

from truehang.catalogue._read import Entry, table

Stability = Literal["AS 1720.1", "EN 1995-1-1", "NDS"]
"""Whose rules say how much of its strength a slender piece keeps."""
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
    design_code: str
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
    """A section sold by the metre: mm, stock lengths mm, price in minor units per metre. `code` is
    what it is asked for by: the grade and the size, a nominal one where that is what it is called.
    """

    code: str
    grade: str
    breadth: PositiveFloat
    depth: PositiveFloat
    stock_lengths: tuple[PositiveFloat, ...] = Field(min_length=1)
    price_per_metre: PositiveInt
    currency: str


class Shape(Entry):
    """What belongs to a kind of timber under one code, whatever the method: `crack` is the share of
    the breadth that takes shear; `column` shapes the buckling curve (EN: beta_c; NDS: c)."""

    crack: PositiveFloat
    column: float


class Resistance(Entry):
    """What a kind of timber's strengths are multiplied by. `large_area_factor` stands in for the
    others above the code set's `large_area`."""

    bending: PositiveFloat
    shear: PositiveFloat
    compression: PositiveFloat
    bearing: PositiveFloat
    large_area_factor: PositiveFloat | None = None


class Method(Entry):
    """One way in which a code sets loads against strengths. `stiffness` multiplies the low modulus
    in its stability rules; `bearing_lasts`: load duration counts for bearing too."""

    duration_factor: dict[str, PositiveFloat]
    stiffness: PositiveFloat = 1.0
    bearing_lasts: bool = True
    resistance: dict[TimberKind, Resistance]


class LoadRule(Entry):
    """One combination of loads as its clause has it, as a rule for any group of live loads.

    `lead` are the factors of the kinds that may lead it, `beside` those of the others; a kind in
    neither has no part in it. `lasting` is the factor on the lasting share of every live load
    together, `uplift` the one on wind that lifts; without any of them it is dead load alone.
    """

    clause: str
    says: str
    source: str
    method: str
    dead: PositiveFloat
    lead: dict[str, PositiveFloat] = Field(default_factory=dict)
    beside: dict[str, PositiveFloat] = Field(default_factory=dict)
    lasting: float = 0.0
    uplift: float = 0.0


class Clause(Entry):
    """A rule of the code other than a combination: what it says, whether it is checked, and where
    it was read or why it is left out."""

    clause: str
    says: str
    checked: bool
    why: str


class CodeSet(Entry):
    """One timber code as parameters of the same check. `large_area` is m2 of floor or roof that
    one failure would bring down, above which lower factors rule; 0: no such rule. Live loads in
    `either` never act together."""

    code: str
    stability: Stability
    source: str
    either: tuple[str, ...] = ()
    load_duration: dict[str, str]
    long_share: dict[str, float]
    creep: tuple[float, float]
    bearing_extra: float
    large_area: float
    shape: dict[TimberKind, Shape]
    method: dict[str, Method]
    combination: tuple[LoadRule, ...]
    clause: tuple[Clause, ...]

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        durations = {"permanent", "long", "instant", *self.load_duration.values()}
        for name, method in self.method.items():
            if missing := durations - set(method.duration_factor):
                raise ValueError(f"method {name} has no duration factor for {sorted(missing)}")
        for rule in self.combination:
            if rule.method not in self.method:
                raise ValueError(f"combination {rule.clause}: no method {rule.method!r}")
        return self


class UnknownTimber(ValueError):
    """A grade or code that the catalogue doesn't hold. The message suggests the nearest."""


@dataclass(frozen=True, slots=True)
class Timber:
    """The sections that are sold in one place, with every grade and every code that is known."""

    grades: tuple[Grade, ...]
    sections: tuple[Section, ...]
    codes: tuple[CodeSet, ...]

    def grade(self, code: str) -> Grade:
        """The grade with this code. Raises UnknownTimber, suggesting the nearest."""
        return grade(code, self.grades)

    def code(self, name: str) -> CodeSet:
        """The code's parameter set. Raises UnknownTimber, naming those there are."""
        for one in self.codes:
            if one.code == name:
                return one
        known = ", ".join(one.code for one in self.codes)
        raise UnknownTimber(f"structure.code: {name!r} is not known; write one of {known}")

    @property
    def sawn(self) -> tuple[Section, ...]:
        """The sections of solid timber."""
        solid = {grade.code for grade in self.grades if grade.kind == "sawn"}
        return tuple(section for section in self.sections if section.grade in solid)


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
def code_sets() -> tuple[CodeSet, ...]:
    """The timber codes' parameter sets, in the order of the data file."""
    whole: dict[str, dict[str, Any]] = {}
    for row in table("timber_codes")["code"]:
        whole[row["code"]] = _like(row, whole)
    return tuple(CodeSet.model_validate(row) for row in whole.values())


def _like(row: dict[str, Any], before: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """A code that is another but for what its row says; `clause` rows take the place of the one
    that they name in `instead`."""
    if "like" not in row:
        return row
    other = before[row["like"]]
    own = {each["instead"]: each for each in row.get("clause", ())}
    clauses = [own.get(each["clause"], each) for each in other["clause"]]
    plain = [{k: v for k, v in each.items() if k != "instead"} for each in clauses]
    mine = {key: value for key, value in row.items() if key != "like"}
    return {**other, **mine, "clause": plain}


def _expand_group(group: dict[str, Any]) -> list[Section]:
    """One group of the data file: rows of breadth, depth and price, and of the name that the size
    goes by where it has one, share the other fields."""
    shared = {key: value for key, value in group.items() if key != "rows"}
    return [
        Section(
            code=f"{group['grade']} {name[0] if name else f'{breadth}x{depth}'}",
            breadth=breadth,
            depth=depth,
            price_per_metre=price,
            **shared,
        )
        for breadth, depth, price, *name in group["rows"]
    ]


def grade(code: str, among: Iterable[Grade]) -> Grade:
    """The grade with this code. Raises UnknownTimber, suggesting the nearest."""
    known = {each.code: each for each in among}
    if code in known:
        return known[code]
    near = difflib.get_close_matches(
        code.upper(), [name.upper() for name in known], n=1, cutoff=0.5
    )
    by_upper = {name.upper(): name for name in known}
    hint = f"did you mean {by_upper[near[0]]!r}?" if near else f"known: {', '.join(known)}"
    raise UnknownTimber(f"grade: {code!r} is not in the timber catalogue; {hint}")
