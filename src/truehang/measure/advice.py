"""Which reading would make the measure checkable? Each one not yet taken is tried.

A further observation with gradient a and uncertainty s lowers the cofactors of the unknowns by
Q a a'Q / (s^2 + a'Qa), so each redundancy that it would bring can be had without adjusting again
(Sherman and Morrison 1950, from memory; redundancy after Baarda 1968).
"""

from __future__ import annotations

import numpy as np

from truehang.measure.adjustment import Solved, Terms
from truehang.measure.network import Observation
from truehang.measure.results import Advice, Usable
from truehang.measure.solver import Matrix, Vector
from truehang.measure.usable import draws, joint_bounds
from truehang.message import message
from truehang.reading import INSTRUMENT_SIGMA, KINDS, label_of
from truehang.reading.figure import COLUMN, NAMES

WEAK = 0.1
"""Redundancy under which a slip would hardly show (common practice, no source)."""
_TRIED = tuple(
    (kind, place.word, place.equation)
    for kind in sorted(KINDS.values(), key=lambda kind: kind.advised or 0)
    for place in kind.places
    if kind.advised is not None and place.equation is not None
)
"""Of readings that would help alike, the first here is named first."""
_MOST = 3
_WORTH_IT = 0.05


def advise(solved: Solved) -> tuple[Advice, ...]:
    """Up to three readings to take next, the most useful first; empty where all is checked."""
    if not _weak(solved, solved.redundancy):
        return ()
    candidates = _candidates(solved)
    jacobian, cofactors, shares = _as_if_read(solved)
    found: list[Advice] = []
    while candidates and len(found) < _MOST and (weak := _weak(solved, shares)):
        rows = np.array([row for _, row in candidates])
        turned = rows @ cofactors
        spread = 1.0 + np.einsum("ij,ij->i", turned, rows)
        gains = (turned @ jacobian.T) ** 2 / spread[:, None]
        totals = np.round(gains[:, weak].sum(axis=1), 9)
        best = int(np.argmax(totals))
        if totals[best] < _WORTH_IT:
            break
        found.append(_advice(solved, candidates[best][0], weak, shares, gains[best]))
        shares = shares + gains[best]
        cofactors = cofactors - np.outer(turned[best], turned[best]) / spread[best]
        del candidates[best]
    return tuple(found)


def unread(solved: Solved, usable: Usable, terms: Terms, bow_prior: float) -> tuple[Advice, ...]:
    """The bows that nobody read, and how much more of the opening would be sure if they all were:
    the figures are drawn again from what the cofactors would be then."""
    assumed = [o for o in solved.network.observations if o.assumed and o.kind == "bow"]
    if not assumed or bow_prior <= 0:
        return ()
    free, cofactors = list(solved.network.free), solved.solution.cofactors * terms.scatter**2
    for o in assumed:
        column = free.index(COLUMN[o.what.removeprefix("bow.") + ".bow"])
        turned = cofactors[:, column]
        spread = INSTRUMENT_SIGMA["straightedge"] ** 2 + cofactors[column, column]
        cofactors = cofactors - np.outer(turned, turned) / spread
    edges = draws(solved.figure, free, cofactors, terms.humps, terms.seed, each=4)
    width_low, height_low = joint_bounds(edges[:, 1] - edges[:, 0], edges[:, 3] - edges[:, 2])
    gain = max(width_low - usable.width_low, height_low - usable.height_low, 0.0)
    sides = [o.what.removeprefix("bow.") for o in assumed]
    return tuple(
        Advice("bow", side, message(label_of("bow", side)), (), 0.0, 0.0, surer=gain)
        for side in sides
    )


def _as_if_read(solved: Solved) -> tuple[Matrix, Matrix, Vector]:
    """Jacobian, cofactors and redundancies as they will be once every level and plumb that was
    taken on trust is read: that comes first, and is advised on its own."""
    observations = solved.network.observations
    trust = [i for i, o in enumerate(observations) if o.assumed and o.kind in ("plumb", "level")]
    jacobian = solved.network.model(solved.solution.parameters)[1]
    if not trust:
        root = solved.solution.root
        return jacobian, root @ root.T, solved.redundancy
    for index in trust:
        jacobian[index] *= observations[index].sigma / INSTRUMENT_SIGMA["level"]
    span, upper = np.linalg.qr(jacobian)
    root = np.linalg.inv(upper)
    return jacobian, root @ root.T, 1.0 - np.einsum("ij,ij->i", span, span)


def _weak(solved: Solved, shares: Vector) -> list[int]:
    observations = solved.network.observations
    return [i for i, o in enumerate(observations) if not o.assumed and shares[i] < WEAK]


def _candidates(solved: Solved) -> list[tuple[Observation, Vector]]:
    """Readings not yet taken that only meet unknowns the network has, with their gradients."""
    taken = {o.what for o in solved.network.observations if not o.assumed or o.kind != "bow"}
    free = list(solved.network.free)
    fixed = [column for column in range(len(NAMES)) if column not in free]
    held = {COLUMN["bottom-left.x"], COLUMN["bottom-left.z"]}
    figure = solved.figure
    found = []
    for kind, place, equation in _TRIED:
        sigma = INSTRUMENT_SIGMA[kind.instrument]
        over = kind.tool.usual if kind.tool is not None and kind.tool.needed else None
        candidate = Observation(
            "", kind.named(place), kind.name, place, 0.0, sigma, equation, over=over
        )
        if candidate.what in taken:
            continue
        gradient = candidate.model(figure)[1]
        if all(column in held or not gradient[column] for column in fixed):
            found.append((candidate, gradient[free] / sigma))
    return found


def _advice(
    solved: Solved,
    candidate: Observation,
    weak: list[int],
    shares: Vector,
    gain: Vector,
) -> Advice:
    observations = solved.network.observations
    helped = [index for index in weak if shares[index] + gain[index] >= WEAK]
    helped = helped or [max(weak, key=lambda index: float(gain[index]))]
    least = min(helped, key=lambda index: float(shares[index] + gain[index]))
    return Advice(
        candidate.kind,
        candidate.place,
        message(candidate.label),
        tuple(observations[index].id for index in helped),
        float(shares[least]),
        float(shares[least] + gain[least]),
    )
