"""What is the largest plumb, level rectangle inside the opening, and how sure is its size?

Each side of the rectangle moves out until it touches: a jamb at one of the rectangle's own
corners, or at its apex where it bows in (a bowed side is a parabola through its two corners and
its middle). Since sides lean by a little only, one round after
another settles at once, and what it settles at is the optimum of the linear programme "most
width plus most height" (checked against HiGHS in the tests). The bounds are quantiles of the
same rectangle over figures drawn from the adjustment's covariance with a fixed seed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from truehang.lengths import said
from truehang.measure.chance import SURE, normals
from truehang.measure.results import Adjustment, Usable
from truehang.measure.solver import Matrix, Vector
from truehang.message import messages
from truehang.reading.figure import COLUMN, NAMES

SAMPLES = 2048
Station = tuple[float, float, float]
_ROUNDS = 2
"""Each round lessens what is left by the product of two sides' slopes, 1e-4 where both are 1 %."""
_EDGES = ("left", "right", "base", "head")


def rectangle(figures: Matrix, humps: Matrix | None = None) -> Matrix:
    """Left, right, base and head (k x 4, mm) of the rectangle in each of k figures (k x 13).

    `humps` (k x h) are heights of the floor inside the opening that the base must clear too.
    """
    touching = _touching(figures, humps)
    return np.stack(
        [
            touching[0].max(axis=0),
            touching[1].min(axis=0),
            touching[2].max(axis=0),
            touching[3].min(axis=0),
        ],
        axis=1,
    )


def _touching(figures: Matrix, humps: Matrix | None) -> tuple[Matrix, Matrix, Matrix, Matrix]:
    """Where each edge touches: near its start, near its end, at its apex (and humps), 3+ x k."""
    x, z = figures[:, 0:8:2].T, figures[:, 1:8:2].T
    bow = figures[:, 8:12].T
    middle_x, middle_z = (x + np.roll(x, -1, axis=0)) / 2, (z + np.roll(z, -1, axis=0)) / 2
    base_z, right_x = middle_z[0] + bow[0], middle_x[1] - bow[1]
    head_z, left_x = middle_z[2] - bow[2], middle_x[3] + bow[3]
    left_apex = left_x + _past_middle(bow[3], x[3] - x[0])
    right_apex = right_x - _past_middle(bow[1], x[2] - x[1])
    base_apex = base_z + _past_middle(bow[0], z[1] - z[0])
    head_apex = head_z - _past_middle(bow[2], z[2] - z[3])
    left, right = np.maximum(x[0], x[3]), np.minimum(x[1], x[2])
    base, head = np.maximum(z[0], z[1]), np.minimum(z[2], z[3])
    floor = np.empty((0, len(figures))) if humps is None else humps.T
    for _ in range(_ROUNDS):
        lefts = np.stack(
            [
                _between(base, z[0], x[0], middle_z[3], left_x),
                _between(head, z[3], x[3], middle_z[3], left_x),
                left_apex,
            ]
        )
        rights = np.stack(
            [
                _between(base, z[1], x[1], middle_z[1], right_x),
                _between(head, z[2], x[2], middle_z[1], right_x),
                right_apex,
            ]
        )
        left, right = lefts.max(axis=0), rights.min(axis=0)
        bases = np.stack(
            [
                _between(left, x[0], z[0], middle_x[0], base_z),
                _between(right, x[1], z[1], middle_x[0], base_z),
                base_apex,
                *floor,
            ]
        )
        heads = np.stack(
            [
                _between(left, x[3], z[3], middle_x[2], head_z),
                _between(right, x[2], z[2], middle_x[2], head_z),
                head_apex,
            ]
        )
        base, head = bases.max(axis=0), heads.min(axis=0)
    return lefts, rights, bases, heads


def _between(at: Vector, start: Vector, value: Vector, end: Vector, final: Vector) -> Vector:
    """The straight line from a corner to the side's middle: a shade inside a side bowed out."""
    with np.errstate(divide="ignore", invalid="ignore"):  # readings may make no opening at all
        line: Vector = value + (at - start) / (end - start) * (final - value)
    return line


def _past_middle(bow: Vector, lean: Vector) -> Vector:
    """How far a leaning side's apex stands beyond its middle, mm: the side is a parabola, which
    has its apex lean^2 / (16 bow) further in, if that is between its ends at all."""
    inward = 4 * bow > np.abs(lean)
    apex: Vector = np.where(inward, lean**2 / (16 * np.where(inward, bow, 1.0)), 0.0)
    return apex


def root_of(covariance: Matrix) -> Matrix:
    """A matrix whose product with its own transpose is the covariance: Cholesky's, which moves
    smoothly with it, where axes of equal length turn at a whim."""
    scale = np.sqrt(np.clip(np.diagonal(covariance), 1e-12, None))
    tame = covariance / np.outer(scale, scale) + 1e-10 * np.eye(len(scale))
    root: Matrix = np.linalg.cholesky(tame) * scale[:, None]
    return root


def draws_of(adjustment: Adjustment, seed: int) -> Matrix:
    """Left, right, base, head of the rectangle in SAMPLES draws of an adjustment, k x 4, mm."""
    figure = np.zeros(len(NAMES))
    for corner in adjustment.corners:
        figure[COLUMN[f"{corner.name}.x"]] = corner.x
        figure[COLUMN[f"{corner.name}.z"]] = corner.z
    for side in adjustment.sides:
        figure[COLUMN[f"{side.name}.bow"]] = side.bow
    free = [COLUMN[name] for name in adjustment.unknowns]
    return draws(figure, free, np.array(adjustment.covariance), adjustment.humps, seed)


def draws(
    figure: Vector,
    free: Sequence[int],
    covariance: Matrix,
    humps: Sequence[Station],
    seed: int,
    each: int = 1,
) -> Matrix:
    """Left, right, base, head of the rectangle in SAMPLES draws, or in each so-manieth of them,
    k x 4, mm."""
    size = len(free)
    noise = normals(SAMPLES, size + len(humps), seed)[::each]
    root = root_of(covariance)
    figures = np.tile(figure, (len(noise), 1))
    figures[:, list(free)] += noise[:, :size] @ root.T
    heights = np.array([hump[1] for hump in humps])
    sigmas = np.array([hump[2] for hump in humps])
    return rectangle(figures, heights + noise[:, size:] * sigmas if humps else None)


def usable_opening(
    figure: Vector,
    free: Sequence[int],
    covariance: Matrix,
    *,
    humps: Sequence[Station] = (),
    seed: int = 0,
) -> Usable:
    """The largest plumb, level rectangle inside a figure (13), mm.

    `free` are the columns that `covariance` (mm2) is of; the others are exact. `humps` are floor
    stations (x, z, sigma) inside the opening.
    """
    heights = np.array([[hump[1] for hump in humps]]) if humps else None
    touching = _touching(figure[None, :], heights)
    left, right, base, head = rectangle(figure[None, :], heights)[0]
    drawn = draws(figure, free, covariance, humps, seed)
    widths, tall = drawn[:, 1] - drawn[:, 0], drawn[:, 3] - drawn[:, 2]
    return Usable(
        float(left),
        float(right),
        float(base),
        float(head),
        float(right - left),
        float(head - base),
        *joint_bounds(widths, tall),
        float(widths.std()),
        float(tall.std()),
        messages(_held_by(touching, humps)),
    )


def joint_bounds(widths: Vector, heights: Vector) -> tuple[float, float]:
    """Lower bounds of width and height that hold together in SURE of the drawn openings (k): both
    at the same quantile, the highest that leaves so many."""
    across, up = np.sort(widths), np.sort(heights)
    ranks = (
        np.searchsorted(across, widths, side="right"),
        np.searchsorted(up, heights, side="right"),
    )
    rank = int(np.sort(np.minimum(*ranks))[int((1 - SURE) * len(widths))]) - 1
    return float(across[rank]), float(up[rank])


def _held_by(
    touching: tuple[Matrix, Matrix, Matrix, Matrix], humps: Sequence[Station]
) -> tuple[str, ...]:
    upright, across = ("bottom", "top", "bow"), ("left end", "right end", "bow")
    names = []
    for edge, points in zip(_EDGES, touching, strict=True):
        column = points[:, 0]
        most = int(np.argmax(column) if edge in ("left", "base") else np.argmin(column))
        if most > 2:
            names.append(f"floor at {said(humps[most - 3][0])}")
        elif edge in ("left", "right"):
            names.append(f"{edge} jamb, {upright[most]}")
        else:
            names.append(f"{edge}, {across[most]}")
    return tuple(names)


def most_cautious(usables: Sequence[Usable]) -> Usable:
    """The rectangle that is inside all of them, with the lowest of their bounds."""
    picks = [
        max(usables, key=lambda usable: usable.left),
        min(usables, key=lambda usable: usable.right),
        max(usables, key=lambda usable: usable.base),
        min(usables, key=lambda usable: usable.head),
    ]
    left, right = picks[0].left, picks[1].right
    base, head = picks[2].base, picks[3].head
    width_low = min(usables, key=lambda usable: usable.width_low)
    height_low = min(usables, key=lambda usable: usable.height_low)
    return replace(
        width_low,
        left=left,
        right=right,
        base=base,
        head=head,
        width=right - left,
        height=head - base,
        width_low=min(width_low.width_low, right - left),
        height_low=min(height_low.height_low, head - base),
        sigma_height=height_low.sigma_height,
        held_by=tuple(pick.held_by[index] for index, pick in enumerate(picks)),
    )
