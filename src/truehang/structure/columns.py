"""How much of its strength does a stud keep when it may buckle? One curve for each timber code."""

from __future__ import annotations

import math

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade
from truehang.structure.beams import Array
from truehang.structure.loads import Acting

AS_COLUMN = (11.39, 0.408, 0.074)
"""AS 1720.1 E2: rho_c = 11.39 (E/f'c)^-0.408 r^-0.074, seasoned (public transcription)."""
LEAST_SHARE = 0.05
"""The least share of temporary load put into rho: the formula grows without end towards 0, and
what the standard takes there was not read. The transcription takes 0.25 at 0, which is less safe.
"""
EULER_NDS = 0.822
MOST_SLENDER_NDS = 50.0
"""NDS 3.7.1.4: the most that l_e/d may be."""


def slenderness(length: float, thickness: float) -> float:
    """Effective length over radius of gyration of a rectangle (both mm)."""
    return length * math.sqrt(12.0) / thickness


def edge_ratio(slender: float) -> float:
    """The same slenderness as effective length over thickness."""
    return slender / math.sqrt(12.0)


def too_slender(code: CodeSet, slender: float) -> bool:
    """True past the slenderness up to which the code gives a rule at all."""
    return code.stability == "NDS" and edge_ratio(slender) > MOST_SLENDER_NDS


def buckling_factor(
    code: CodeSet, grade: Grade, strength: float, slender: float, acting: Acting
) -> Array:
    """Share (0..1) of the compression strength left at a slenderness l/i, under a combination.

    `strength` is the characteristic (or reference) compression strength along the grain, MPa.
    EN 1995-1-1 6.3.2 (6.21)-(6.28); AS 1720.1 3.3.3 k12; NDS 3.7.1 C_P.
    """
    if code.stability == "EN 1995-1-1":
        kept = _eurocode(strength, grade.modulus_low, code.shape[grade.kind].column, slender)
        return np.full_like(acting.temporary, kept)
    if code.stability == "AS 1720.1":
        return _australian(strength, grade.modulus, edge_ratio(slender), acting.temporary)
    kept = _american(code, grade, strength, edge_ratio(slender), acting)
    return np.full_like(acting.temporary, kept)


def _eurocode(strength: float, modulus_low: float, straightness: float, slender: float) -> float:
    relative = slender / math.pi * math.sqrt(strength / modulus_low)
    if relative <= 0.3:
        return 1.0
    k = 0.5 * (1.0 + straightness * (relative - 0.3) + relative**2)
    return 1.0 / (k + math.sqrt(k**2 - relative**2))


def _australian(strength: float, modulus: float, slender: float, temporary: Array) -> Array:
    return australian_stability(
        australian_constant(AS_COLUMN, modulus / strength, temporary) * slender
    )


def australian_constant(formula: tuple[float, float, float], stiff: Array | float,
                        temporary: Array) -> Array:  # fmt: skip
    """AS 1720.1 E2: rho from E/f' and the share r of temporary load."""
    factor, power, share_power = formula
    share = np.clip(temporary, LEAST_SHARE, 1.0)
    constant: Array = factor * np.power(stiff, -power) * np.power(share, -share_power)
    return constant


def australian_stability(slender: Array) -> Array:
    """AS 1720.1 k12 at rho S: 1, then 1.5 - 0.05 rho S, then 200/(rho S)^2."""
    safe = np.maximum(slender, 10.0)
    factor: Array = np.where(
        slender <= 10.0, 1.0, np.where(slender <= 20.0, 1.5 - 0.05 * safe, 200.0 / safe**2)
    )
    return factor


def _american(
    code: CodeSet, grade: Grade, strength: float, slender: float, acting: Acting
) -> float:
    rules, c = acting.method.resistance[grade.kind], code.shape[grade.kind].column
    factored = strength * rules.compression * acting.lasting
    euler = EULER_NDS * grade.modulus_low * acting.method.stiffness / max(slender, 1e-9) ** 2
    return american_stability(euler / factored, c)


def american_stability(ratio: float, c: float) -> float:
    """NDS 3.7-1: C_P from F_cE/F_c* and the material's constant."""
    half = (1.0 + ratio) / (2.0 * c)
    kept: float = half - math.sqrt(half**2 - ratio / c)
    return kept
