"""Given readings with their uncertainties, where are the corners, and what checks each reading?

Weighted least squares with known standard uncertainties; redundancy numbers, standardised
residuals and least slips found after Baarda (1968); also Ghilani, "Adjustment Computations"
(Wiley), chapters 16, 19-21.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from truehang.measure.blame import log_weights
from truehang.measure.chance import (
    ELLIPSE_SCALE,
    POWER_SHIFT,
    TIED,
    chi_square_limit,
    chi_square_tail,
)
from truehang.measure.network import Network
from truehang.measure.results import Adjustment, Corner, Ellipse, GlobalTest, ReadingCheck, Side
from truehang.measure.solver import Matrix, Solution, Vector, least_squares
from truehang.measure.usable import Station, usable_opening
from truehang.message import message
from truehang.reading.figure import COLUMN, CORNERS, NAMES, POINTS, SIDES

NEAR_ENOUGH = 1e-6
"""Settled when no step betters the misfits by this share of their standard uncertainties."""
CHECKED = 1e-3
"""Redundancy under which nothing at all checks a reading."""


@dataclass(frozen=True, slots=True)
class Solved:
    """A solved network with what the tests need: redundancy and standardised residual of each
    observation (m) and the correlations of those residuals (m x m)."""

    network: Network
    solution: Solution
    redundancy: Vector
    standardised: Vector
    correlation: Matrix

    @property
    def figure(self) -> Vector:
        """The adjusted figure, all 13 numbers."""
        return self.network.figure(self.solution.parameters)

    @property
    def redundant(self) -> int:
        """Observations less unknowns."""
        return len(self.network.observations) - len(self.network.free)

    @property
    def total(self) -> float:
        """Sum of squared misfits over sigma: chi-square where all is sound."""
        return float(self.solution.misfits @ self.solution.misfits)

    @property
    def checked(self) -> list[int]:
        """Observations that others check at all."""
        return [int(index) for index in np.flatnonzero(self.redundancy > CHECKED)]

    @property
    def spread(self) -> Vector:
        """How surely a slip in each checked observation would be known, mm."""
        sigmas = np.array([self.network.observations[index].sigma for index in self.checked])
        found: Vector = sigmas / np.sqrt(self.redundancy[self.checked])
        return found

    @property
    def tests(self) -> Matrix:
        """Correlation of the test figures that there are, n x n."""
        checked = self.checked if self.redundant > 0 else []
        return self.correlation[np.ix_(checked, checked)]

    def tied_to(self, index: int) -> tuple[int, ...]:
        """Observations that can't be told apart from this one."""
        tied = np.flatnonzero(np.abs(self.correlation[index]) > TIED)
        return tuple(int(other) for other in tied if other != index)


def solve(network: Network) -> Solved:
    """Adjust. Raises solver.NotSolved where the network can't be."""
    solution = least_squares(
        network.model, network.start[list(network.free)], near_enough=NEAR_ENOUGH, most_steps=25
    )
    span = solution.span
    residual_cofactors = np.eye(len(span)) - span @ span.T
    redundancy = np.clip(np.diagonal(residual_cofactors), 0.0, 1.0)
    checked = redundancy > CHECKED
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    standardised = np.where(checked, solution.misfits / root, 0.0)
    correlation = residual_cofactors / np.outer(root, root)
    correlation[~checked] = 0.0
    correlation[:, ~checked] = 0.0
    return Solved(network, solution, redundancy, standardised, correlation)


@dataclass(frozen=True, slots=True)
class Terms:
    """What holds for every adjustment of one job: the limit of its test figures, floor stations
    (x, z, sigma) inside the opening, how many times wider the readings scatter than was said, and
    the seed of the draws."""

    limit: float
    humps: tuple[Station, ...] = ()
    scatter: float = 1.0
    seed: int = 0


def adjustment(solved: Solved, set_aside: Sequence[str], terms: Terms) -> Adjustment:
    """The solved network in the carpenter's terms."""
    network = solved.network
    figure = solved.figure
    root = solved.solution.root * terms.scatter
    covariance: Matrix = root @ root.T
    whole = np.zeros((len(NAMES), len(NAMES)))
    whole[np.ix_(network.free, network.free)] = covariance
    return Adjustment(
        corners=tuple(_corner(name, figure, whole) for name in CORNERS),
        sides=tuple(_side(name, figure, whole, network) for name in SIDES),
        unknowns=tuple(NAMES[column] for column in network.free),
        values=tuple(float(value) for value in solved.solution.parameters),
        covariance=tuple(tuple(float(value) for value in row) for row in covariance),
        readings=checks(solved, terms.limit),
        global_test=global_test(solved),
        usable=usable_opening(figure, network.free, covariance, humps=terms.humps, seed=terms.seed),
        humps=terms.humps,
        set_aside=tuple(set_aside),
    )


def _corner(name: str, figure: Vector, covariance: Matrix) -> Corner:
    rows = np.array(POINTS[name])
    x, z = rows @ figure
    own = rows @ covariance @ rows.T
    sigma_x, sigma_z = np.sqrt(np.clip(np.diagonal(own), 0.0, None))
    return Corner(name, float(x), float(z), float(sigma_x), float(sigma_z), ellipse(own))


def ellipse(covariance: Matrix) -> Ellipse:
    """95 % confidence ellipse of a point's 2 x 2 covariance."""
    squares, axes = np.linalg.eigh(covariance)
    short, long = np.sqrt(np.clip(squares, 0.0, None)) * ELLIPSE_SCALE
    turn = float(np.degrees(np.arctan2(axes[1, 1], axes[0, 1]))) % 180.0
    return Ellipse(float(long), float(short), turn)


def _side(name: str, figure: Vector, covariance: Matrix, network: Network) -> Side:
    x, z = np.array(POINTS[name]) @ figure
    column = COLUMN[f"{name}.bow"]
    read = any(
        not o.assumed and (o.what == f"bow.{name}" or (name == "base" and o.what == "floor.middle"))
        for o in network.observations
    )
    sigma = float(covariance[column, column]) ** 0.5
    return Side(name, float(x), float(z), float(figure[column]), sigma, read)


def checks(solved: Solved, limit: float) -> tuple[ReadingCheck, ...]:
    """Every observation with what the adjustment made of it."""
    rows = []
    for index, o in enumerate(solved.network.observations):
        share = float(solved.redundancy[index])
        misfit = float(solved.solution.misfits[index]) * o.sigma
        checked = share > CHECKED
        tied = solved.tied_to(index)
        rows.append(
            ReadingCheck(
                id=o.id,
                label=message(o.label),
                kind=o.kind,
                place=o.place,
                value=o.value,
                sigma=o.sigma,
                adjusted=o.value - misfit,
                misfit=misfit,
                redundancy=share,
                w=float(solved.standardised[index]) if checked else None,
                least_slip=(limit + POWER_SHIFT) * o.sigma / share**0.5 if checked else None,
                slip=misfit / share if checked else None,
                tied=tuple(solved.network.observations[other].id for other in tied),
                assumed=o.assumed,
            )
        )
    return tuple(rows)


def global_test(solved: Solved) -> GlobalTest | None:
    """All misfits together against chi-square; None where nothing is redundant."""
    freedom = solved.redundant
    if freedom == 0:
        return None
    limit = chi_square_limit(freedom)
    tail = chi_square_tail(freedom, solved.total)
    return GlobalTest(
        freedom,
        solved.total,
        limit,
        tail,
        solved.total <= limit,
        scatter=(solved.total / freedom) ** 0.5,
    )


def weights(solved: Solved) -> Vector:
    """How likely each checked observation is to be off: logarithms of odds."""
    return log_weights(solved.standardised[solved.checked], solved.spread)
