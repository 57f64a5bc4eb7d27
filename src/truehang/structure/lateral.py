"""How much of its bending strength does a head keep when its pressed edge may move sideways? Each
code has its own rule. Plies count singly, which is on the safe side."""

from __future__ import annotations

import numpy as np

from truehang.catalogue.timber import CodeSet
from truehang.structure.beams import Array
from truehang.structure.candidates import Candidates
from truehang.structure.columns import australian_constant, australian_stability
from truehang.structure.loads import Acting

AS_BEAM = (14.71, 0.480, 0.061)
"""AS 1720.1 E2: rho_b = 14.71 (E/f'b)^-0.480 r^-0.061, seasoned (public transcription)."""
EULER_NDS = 1.20
MOST_SLENDER_NDS = 50.0
"""NDS 3.3.3.7: the most that R_B may be."""


def lateral_factor(
    code: CodeSet, tried: Candidates, held: Array, bending: Array, acting: Acting
) -> Array:
    """Share (0..1) of the bending strength left with nothing but the ends held, (studs, n).

    `held` (studs, 1) is the span between the ends, mm; `bending` (n,) the resistance factors.
    """
    if code.stability == "EN 1995-1-1":
        return _eurocode(tried, held)
    if code.stability == "AS 1720.1":
        return _australian(tried, held, acting)
    return _american(tried, held, bending, acting)


def too_slender(code: CodeSet, tried: Candidates, held: Array) -> tuple[bool, ...]:
    """Is each candidate so slender, on the fewest studs, that the code gives no rule for it?"""
    if code.stability != "NDS":
        return (False,) * len(tried.sections)
    slender = american_slenderness(tried, held).min(axis=0)
    return tuple(bool(one > MOST_SLENDER_NDS) for one in slender)


def _eurocode(tried: Candidates, held: Array) -> Array:
    """EN 1995-1-1 6.3.3, (6.32) and (6.34). Loaded on the pressed edge: 2h more; the share of the
    span that a uniform load would allow (0.9) is not taken."""
    length = held + 2.0 * tried.depth
    critical = 0.78 * tried.ply_breadth**2 * tried.modulus_low / (tried.depth * length)
    slender = np.sqrt(tried.bending / critical)
    factor: Array = np.where(
        slender <= 0.75, 1.0, np.where(slender <= 1.4, 1.56 - 0.75 * slender, 1.0 / slender**2)
    )
    return factor


def _australian(tried: Candidates, held: Array, acting: Acting) -> Array:
    """AS 1720.1 3.2.3.2(a), equation 3.2(4), and 3.2.4."""
    slender = 1.25 * tried.depth / tried.ply_breadth * np.sqrt(held / tried.depth)
    constant = australian_constant(AS_BEAM, tried.modulus / tried.bending, acting.temporary)
    return australian_stability(constant * slender)


def american_slenderness(tried: Candidates, held: Array) -> Array:
    """NDS 3.3.3.6: R_B, with the effective length of Table 3.3.3 for a single span under any
    loading."""
    ratio = held / tried.depth
    length = np.where(
        ratio < 7.0,
        2.06 * held,
        np.where(ratio <= 14.3, 1.63 * held + 3.0 * tried.depth, 1.84 * held),
    )
    slender: Array = np.sqrt(length * tried.depth) / tried.ply_breadth
    return slender


def _american(tried: Candidates, held: Array, bending: Array, acting: Acting) -> Array:
    """NDS 3.3.3.8, equation 3.3-6: C_L from F_bE and F_b*, both of this combination."""
    stiff = tried.modulus_low * acting.method.stiffness
    euler = EULER_NDS * stiff / american_slenderness(tried, held) ** 2
    return american_beam_stability(euler / (tried.bending * bending * acting.lasting))


def american_beam_stability(ratio: Array) -> Array:
    """NDS 3.3-6: C_L from F_bE/F_b*."""
    half = (1.0 + ratio) / 1.9
    factor: Array = half - np.sqrt(half**2 - ratio / 0.95)
    return factor
