"""How far does a simply supported beam go down, and where? Closed forms, over whole arrays.

Bending: 5wL^4/384EI and its curve w x (L^3 - 2 L x^2 + x^3)/24EI; a point load
P b x (L^2 - b^2 - x^2)/6EIL (any strength-of-materials text). Shear adds M(x)/(kappa G A), since
the slope from shear is V/(kappa G A) and dM/dx = V. Lengths mm, forces N, stiffness N mm2 and N.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SHEAR_FORM = 5.0 / 6.0
"""Shear area of a rectangle as a share of its area (Timoshenko)."""


@dataclass(frozen=True, slots=True)
class Beam:
    """Span mm, bending stiffness EI N mm2, shear stiffness kappa G A in N (inf: leave it out)."""

    span: float
    bending: float
    shear: float = math.inf


def rectangle(
    span: float, breadth: float, depth: float, modulus: float, shear_modulus: float
) -> Beam:
    """A rectangular beam from its section (mm) and moduli (MPa)."""
    return Beam(
        span,
        modulus * breadth * depth**3 / 12.0,
        SHEAR_FORM * shear_modulus * breadth * depth,
    )


def uniform_moment(beam: Beam, load: ArrayLike, x: ArrayLike) -> Array:
    """Bending moment at `x` from `load` N/mm over the whole span; broadcasts."""
    load, x = np.asarray(load, dtype=np.float64), np.asarray(x, dtype=np.float64)
    on_span = (x > 0.0) & (x < beam.span)
    return np.where(on_span, load * x * (beam.span - x) / 2.0, 0.0)


def point_deflection(beam: Beam, load: ArrayLike, at: ArrayLike, x: ArrayLike) -> Array:
    """Deflection (mm, down) at `x` from `load` at `at`; broadcasts. Zero when off the span."""
    load, at, x = (np.asarray(value, dtype=np.float64) for value in (load, at, x))
    near, beyond = np.minimum(at, x), beam.span - np.maximum(at, x)
    on_span = (near > 0.0) & (beyond > 0.0)
    bent = (beam.span**2 - beyond**2 - near**2) / (6.0 * beam.bending) + 1.0 / beam.shear
    return np.where(on_span, load * near * beyond * bent / beam.span, 0.0)


def uniform_deflection(beam: Beam, load: ArrayLike, x: ArrayLike) -> Array:
    """Deflection (mm, down) at `x` from `load` N/mm over the whole span; broadcasts."""
    load, x = np.asarray(load, dtype=np.float64), np.asarray(x, dtype=np.float64)
    span = beam.span
    bent = load * x * (span**3 - 2.0 * span * x**2 + x**3) / (24.0 * beam.bending)
    on_span = (x > 0.0) & (x < span)
    return np.where(on_span, bent, 0.0) + uniform_moment(beam, load, x) / beam.shear


def moving_deflection(beam: Beam, loads: Array, positions: Array, x: ArrayLike) -> Array:
    """Deflection at `x` for every position of a group of loads that travel together.

    `loads` (k,) N; `positions` (n, k) mm from the left support; `x` (m,) or (n, m). Gives (n, m).
    """
    x = np.atleast_2d(np.asarray(x, dtype=np.float64))
    each = point_deflection(beam, loads[None, None, :], positions[:, None, :], x[:, :, None])
    total: Array = each.sum(axis=-1)
    return total
