"""Which parameters make the squared misfits least? Gauss-Newton steps by QR, halved when too long.

Source: Björck, "Numerical Methods for Least Squares Problems" (SIAM 1996), ch. 9 (from memory);
checked against the certified values of NIST StRD.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Model = Callable[[Vector], tuple[Vector, Matrix]]


class NotSolved(ArithmeticError):
    """The misfits could not be made least: the equations are short of rank or do not settle."""


@dataclass(frozen=True, slots=True)
class Solution:
    """Parameters (n), misfits (m), an orthonormal base of the fit's space `span` (m x n), and
    `root` (n x n) whose product with its own transpose is the cofactor matrix of the parameters.
    `steps` counts the Gauss-Newton steps taken."""

    parameters: Vector
    misfits: Vector
    span: Matrix
    root: Matrix
    steps: int

    @property
    def cofactors(self) -> Matrix:
        """(J'J)^-1: the covariance for misfits of unit variance, n x n."""
        cofactors: Matrix = self.root @ self.root.T
        return cofactors


def least_squares(
    model: Model,
    start: Vector,
    *,
    most_steps: int = 100,
    enough: float = 1e-13,
    near_enough: float = 0.0,
) -> Solution:
    """Minimise the sum of squared misfits.

    `model(parameters)` gives the misfits (observed - computed, each over its standard uncertainty;
    m) and the Jacobian of the computed values in the same unit (m x n). Settled when the part of
    the misfits that a step could still take away is under `enough` of them all, or under
    `near_enough` as it stands (Bates and Watts 1981, from memory). Raises NotSolved where m < n,
    where the Jacobian is short of rank, or where it does not settle.
    """
    parameters = np.array(start, dtype=float)
    misfits, jacobian = model(parameters)
    before = np.inf
    for steps in range(most_steps):
        span, root = _factors(jacobian)
        along = span.T @ misfits
        left, whole = float(np.linalg.norm(along)), float(np.linalg.norm(misfits))
        # So near, the sum no longer shows by rounding which step is better, but the gradient does.
        near = left <= 1e-5 * whole
        if left <= max(enough * whole, near_enough) or (near and left >= before):
            return Solution(parameters, misfits, span, root, steps)
        before = left
        step = root @ along
        if near:
            parameters = parameters + step
            misfits, jacobian = model(parameters)
        else:
            parameters, misfits, jacobian = _halved(model, parameters, step, whole)
    raise NotSolved(f"not settled after {most_steps} steps")


def _halved(
    model: Model, parameters: Vector, step: Vector, whole: float
) -> tuple[Vector, Vector, Matrix]:
    for halvings in range(30):
        trial = parameters + step * 0.5**halvings
        misfits, jacobian = model(trial)
        if np.isfinite(misfits).all() and float(np.linalg.norm(misfits)) < whole:
            return trial, misfits, jacobian
    raise NotSolved("the misfits can't be made less, though they should be")


def _factors(jacobian: Matrix) -> tuple[Matrix, Matrix]:
    """Q, and the inverse of R, of the Jacobian with its columns first scaled to unit length."""
    rows, columns = jacobian.shape
    if rows < columns:
        raise NotSolved(f"{rows} observations can't fix {columns} unknowns")
    lengths = np.sqrt(np.einsum("ij,ij->j", jacobian, jacobian))
    if not (np.isfinite(lengths).all() and lengths.all()):
        raise NotSolved("an unknown is in none of the observations")
    span, upper = np.linalg.qr(jacobian / lengths)
    diagonal = np.abs(np.diagonal(upper))
    if diagonal.min() < 1e-12 * diagonal.max():
        raise NotSolved("the observations leave an unknown free")
    root = np.linalg.inv(upper) / lengths[:, None]
    return span, root
