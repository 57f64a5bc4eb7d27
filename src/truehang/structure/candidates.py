"""Which built-up sections can be tried as a head? The timber catalogue as arrays, one code at a
time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade, Method, Section, TimberKind, grade
from truehang.structure.beams import Array
from truehang.structure.inputs import StructureError

Strength = Literal["bending", "shear", "compression", "bearing"]
MOST_PLIES: dict[TimberKind, int] = {"sawn": 3, "laminated veneer": 3, "glued laminated": 1}


@dataclass(frozen=True, slots=True)
class Candidates:
    """Sections single and built up, (n,) each. Lengths mm; moduli and strengths MPa, characteristic
    or reference, with their depth effect; `crack` is the share of the breadth that takes shear;
    density kg/m3."""

    sections: tuple[Section, ...]
    grades: tuple[Grade, ...]
    plies: Array
    ply_breadth: Array
    depth: Array
    bending: Array
    shear: Array
    across: Array
    crack: Array
    modulus: Array
    modulus_low: Array
    shear_modulus: Array
    density: Array

    @property
    def breadth(self) -> Array:
        """Breadth of all plies together, mm."""
        return self.plies * self.ply_breadth


def depth_strengths(timber: Grade, depth: float) -> tuple[float, float, float]:
    """Bending, shear and compression along the grain (MPa) of a grade at a depth (mm)."""
    for band in timber.bands:
        if depth <= band.up_to or band is timber.bands[-1]:
            return band.bending, band.shear, band.compression_along
    bending = timber.bending
    if timber.size is not None:
        ratio = (timber.size.reference / depth) ** timber.size.exponent
        bending *= min(max(ratio, timber.size.least), timber.size.most)
    return bending, timber.shear, timber.compression_along


def resistance_factor(
    code: CodeSet, method: Method, kind: TimberKind, strength: Strength, area: float
) -> float:
    """Multiplier on a characteristic strength under one of the code's methods.

    `area` (m2) is what one failure would bring down: above the code's `large_area` the lower
    factor rules.
    """
    rules = method.resistance[kind]
    if code.large_area and area > code.large_area and rules.large_area_factor is not None:
        return rules.large_area_factor
    factor: float = getattr(rules, strength)
    return factor


def resistance_factors(
    code: CodeSet, method: Method, tried: Candidates, strength: Strength, area: float
) -> Array:
    """`resistance_factor` of every candidate, (n,)."""
    by_kind = {
        kind: resistance_factor(code, method, kind, strength, area) for kind in method.resistance
    }
    return np.array([by_kind[timber.kind] for timber in tried.grades])


def build(
    code: CodeSet,
    stock: Sequence[Section],
    known: Sequence[Grade],
    most_plies: int,
) -> Candidates:
    """Every section whose grade belongs to the code, in one to `most_plies` plies.

    Raises UnknownTimber for a section of an unknown grade; StructureError when none is left or
    they are priced in several currencies.
    """
    by_code = {each.code: each for each in known}
    tried = []
    for section in stock:
        timber = by_code.get(section.grade) or grade(section.grade, tuple(known))
        if timber.design_code == code.code:
            most = min(most_plies, MOST_PLIES[timber.kind])
            tried += [(section, timber, plies) for plies in range(1, most + 1)]
    if not tried:
        raise StructureError(
            f"structure.code: the timber catalogue holds no section for {code.code}; "
            "add one or choose another code"
        )
    currencies = sorted({section.currency for section, _, _ in tried})
    if len(currencies) > 1:
        raise StructureError(
            f"timber: sections are priced in {' and '.join(currencies)}; give one currency"
        )
    table = np.array([_numbers(code, *each) for each in tried]).T
    return Candidates(
        tuple(section for section, _, _ in tried), tuple(timber for _, timber, _ in tried), *table
    )


def _numbers(code: CodeSet, section: Section, timber: Grade, plies: int) -> tuple[float, ...]:
    bending, shear, _ = depth_strengths(timber, section.depth)
    return (
        float(plies),
        section.breadth,
        section.depth,
        bending,
        shear,
        timber.compression_across,
        code.shape[timber.kind].crack,
        timber.modulus,
        timber.modulus_low,
        timber.shear_modulus,
        timber.density,
    )
