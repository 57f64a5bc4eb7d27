"""How much of its strength does a stud keep when it may buckle? One curve for each timber code."""

from __future__ import annotations

import math

from truehang.catalogue.timber import CodeSet, Grade

AS_COLUMN = (11.39, 0.408, 0.074)
"""AS 1720.1 material constant rho_c = 11.39 (E/f'c)^-0.408 r^-0.074, seasoned (from memory)."""
TEMPORARY_SHARE = 0.25
"""r in rho_c: share of temporary load. The constant is nearly flat in r; this is taken."""
EULER_NDS = 0.822
EMIN_FACTOR_NDS = 1.76 * 0.85
"""LRFD format conversion and resistance factor of Emin (from memory: NDS Appendix N)."""


def slenderness(length: float, thickness: float) -> float:
    """Effective length over radius of gyration of a rectangle (both mm)."""
    return length * math.sqrt(12.0) / thickness


def buckling_factor(code: CodeSet, grade: Grade, strength: float, slender: float) -> float:
    """Share (0..1) of the compression strength left at a slenderness l/i.

    `strength` is the characteristic (or reference) compression strength along the grain, MPa.
    EN 1995-1-1 6.3.2 (6.21)-(6.28); AS 1720.1 3.3.3 k12 and NDS 3.7.1 Cp from memory.
    """
    if code.code == "EN 1995-1-1":
        return _eurocode(strength, grade.modulus_low, code.resistance[grade.kind].column, slender)
    edge_ratio = slender / math.sqrt(12.0)
    if code.code == "AS 1720.1":
        return _australian(strength, grade.modulus, edge_ratio)
    return _american(code, grade, strength, edge_ratio)


def _eurocode(strength: float, modulus_low: float, straightness: float, slender: float) -> float:
    relative = slender / math.pi * math.sqrt(strength / modulus_low)
    if relative <= 0.3:
        return 1.0
    k = 0.5 * (1.0 + straightness * (relative - 0.3) + relative**2)
    return 1.0 / (k + math.sqrt(k**2 - relative**2))


def _australian(strength: float, modulus: float, edge_ratio: float) -> float:
    factor, power, share_power = AS_COLUMN
    stiff = math.pow(modulus / strength, -power) * math.pow(TEMPORARY_SHARE, -share_power)
    slender = factor * stiff * edge_ratio
    if slender <= 10.0:
        return 1.0
    return 1.5 - 0.05 * slender if slender <= 20.0 else 200.0 / slender**2


def _american(code: CodeSet, grade: Grade, strength: float, edge_ratio: float) -> float:
    rules = code.resistance[grade.kind]
    factored = strength * rules.compression * code.duration_factor["medium"]
    ratio = EULER_NDS * grade.modulus_low * EMIN_FACTOR_NDS / max(edge_ratio, 1e-9) ** 2 / factored
    half = (1.0 + ratio) / (2.0 * rules.column)
    kept: float = half - math.sqrt(half**2 - ratio / rules.column)
    return kept
