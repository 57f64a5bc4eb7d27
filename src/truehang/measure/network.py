"""Which numbers of the opening do the readings ask for? The network of their equations.

A datum fixes what no reading ties down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from truehang.lengths import said
from truehang.measure.results import Profile
from truehang.measure.solver import Matrix, Vector
from truehang.reading import KINDS, Reading, label_of, side_name, sigma_of
from truehang.reading.figure import (
    COLUMN,
    CORNERS,
    NAMES,
    POINTS,
    SIDES,
    Distance,
    Equation,
    Linear,
)

BOW_PRIOR = 2.0
"""How straight a side is that nobody read: 0, give or take this, mm (common practice, no source;
the job may give its own)."""
SQUARE_SIGMA = 5.0
"""How plumb or level an unread side is taken to be, mm over itself (common practice, no source)."""
UNSURE = 2.0
"""What was not read is reckoned this many times less sure than its prior says: how crooked the
walls of one house are is not known either, and the stated bounds must hold in a house that is twice
as crooked (simulated in benchmarks/trust)."""
_FLOOR_POINT = {"left": "bottom-left", "middle": "base", "right": "bottom-right"}
AT_CORNER = 60.0
"""A floor station this near a bottom corner (or 1/10 of the width from the middle) reads it."""
SHAPE_KINDS = frozenset(name for name, kind in KINDS.items() if kind.ties == "shape")
RUN = COLUMN["run"]


@dataclass(frozen=True, slots=True)
class Observation:
    """A reading as the adjustment takes it: `equation` says what it should read, `sigma` is in
    mm."""

    id: str
    label: str
    kind: str
    place: str
    value: float
    sigma: float
    equation: Equation
    at: float = 0.0
    over: float | None = None
    assumed: bool = False

    @property
    def what(self) -> str:
        """Kind and place in a word: "width.top", "run"."""
        return f"{self.kind}.{self.place}" if self.place else self.kind

    @property
    def straight(self) -> Vector | None:
        """The gradient where the equation is linear in the figure, else None."""
        return self.equation.straight(self.over)

    def model(self, figure: Vector) -> tuple[float, Vector]:
        """What it should read for this figure (13), and its gradient (13)."""
        return self.equation(figure, self.at, self.over)


@dataclass(frozen=True)
class Network:
    """The observations, which of the 13 numbers are unknown (`free`, columns), and the figure
    that the search starts from and that holds the fixed numbers."""

    observations: tuple[Observation, ...]
    free: tuple[int, ...]
    start: Vector

    @cached_property
    def _linear(self) -> Matrix:
        """Gradients of the linear observations, m x 13; zeros for the others."""
        rows = [o.straight for o in self.observations]
        zero = np.zeros(len(NAMES))
        return np.array([zero if row is None else row for row in rows]).reshape(-1, len(NAMES))

    @cached_property
    def _distances(self) -> tuple[list[int], Matrix]:
        """Which observations are distances, and their differences, d x 2 x 13."""
        found = [(i, o.equation.across) for i, o in enumerate(self.observations)
                 if isinstance(o.equation, Distance)]  # fmt: skip
        differences = np.array([across for _, across in found]).reshape(-1, 2, len(NAMES))
        return [i for i, _ in found], differences

    @cached_property
    def _others(self) -> tuple[int, ...]:
        return tuple(
            index
            for index, o in enumerate(self.observations)
            if not isinstance(o.equation, Distance) and o.straight is None
        )

    @cached_property
    def _weights(self) -> tuple[Vector, Vector]:
        """Values, and one over each sigma."""
        values = np.array([o.value for o in self.observations], dtype=float)
        return values, np.array([1.0 / o.sigma for o in self.observations])

    def model(self, unknowns: Vector) -> tuple[Vector, Matrix]:
        """Misfits and Jacobian over sigma, as `solver.least_squares` wants them."""
        figure = self.figure(unknowns)
        gradients = self._linear.copy()
        computed = gradients @ figure
        spans, differences = self._distances
        if spans:
            across = differences @ figure
            lengths = np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-9)
            computed[spans] = lengths
            gradients[spans] = np.einsum("ij,ijk->ik", across / lengths[:, None], differences)
        for index in self._others:
            computed[index], gradients[index] = self.observations[index].model(figure)
        values, weights = self._weights
        return (values - computed) * weights, gradients[:, list(self.free)] * weights[:, None]

    def figure(self, unknowns: Vector) -> Vector:
        """All 13 numbers, the unknowns filled in."""
        figure = self.start.copy()
        figure[list(self.free)] = unknowns
        return figure

    def without(self, ids: Iterable[str], near: Vector) -> Network:
        """The same network with these readings set aside, to be searched from a figure `near`."""
        left_out = set(ids)
        kept = tuple(o for o in self.observations if o.id not in left_out)
        return Network(kept, self.free, near)

    def rank(self) -> int:
        """How many of the unknowns the observations fix, near the start."""
        _, jacobian = self.model(self.start[list(self.free)])
        return int(np.linalg.matrix_rank(jacobian, tol=1e-7)) if len(jacobian) else 0


def build(
    readings: Sequence[Reading], floor: Profile | None, bow_prior: float = BOW_PRIOR
) -> Network:
    """The network of these (screened) readings, with a prior for every bow that was not read and
    assumptions where rank would be short. A `bow_prior` of 0 takes unread sides as straight.

    `rank()` of the result is less than its unknowns only where no assumption can help: no width,
    or no height.
    """
    observations = [
        Observation(
            reading.id, label_of(reading.kind, reading.place), reading.kind, reading.place,
            reading.value, sigma_of(reading), equation, reading.at or 0.0, reading.over,
        )
        for reading in readings
        if (equation := KINDS[reading.kind].equation(reading.place)) is not None
    ]  # fmt: skip
    start = _start(observations)
    observations += _floor_at_corners(readings, start)
    tied_down = any(o.kind == "floor" for o in observations)
    if floor is not None and not tied_down:
        start[[COLUMN[f"{corner}.z"] for corner in CORNERS]] += floor.z(float(start[0]))
    unread = _unread(observations) if bow_prior > 0 else []
    free = _free(observations, tied_down, unread)
    observations += [
        _assume("bow", side, f"{side_name(side)} taken as straight", bow_prior) for side in unread
    ]
    return _completed(Network(tuple(observations), free, start))


def _mean(observations: Sequence[Observation], kind: str, fallback: float) -> float:
    values = [o.value for o in observations if o.kind == kind]
    return sum(values) / len(values) if values else fallback


def _start(observations: Sequence[Observation]) -> Vector:
    diagonal = _mean(observations, "diagonal", 0.0)
    width = _mean(observations, "width", 0.0)
    height = _mean(observations, "height", 0.0)
    width = width or max(diagonal**2 - height**2, 0.0) ** 0.5 or 1000.0
    height = height or max(diagonal**2 - width**2, 0.0) ** 0.5 or 2000.0
    run = _mean(observations, "run", 0.0)
    given = {o.what: o.value for o in observations}
    left = given.get("clear.left", given.get("mark.bottom-left"))
    if left is None and "mark.bottom-right" in given:
        left = given["mark.bottom-right"] - width
    if left is None and run and "clear.right" in given:
        left = run - given["clear.right"] - width
    left = left or 0.0
    right = left + width
    run = run or right + given.get("clear.right", 0.0)
    corners = [left, 0.0, right, 0.0, right, height, left, height]
    return np.array([*corners, 0.0, 0.0, 0.0, 0.0, run])


def _floor_at_corners(readings: Sequence[Reading], start: Vector) -> list[Observation]:
    """Floor stations that stand at a bottom corner, or about mid-width, read the base there."""
    left, right = float(start[0]), float(start[2])
    places = (
        ("left", left, AT_CORNER),
        ("middle", (left + right) / 2, (right - left) / 10),
        ("right", right, AT_CORNER),
    )
    found = []
    for place, x, near in places:
        stations = [r for r in readings if r.kind == "floor" and r.at is not None]
        close = [r for r in stations if abs((r.at or 0.0) - x) <= near]
        for reading in sorted(close, key=lambda r: abs((r.at or 0.0) - x))[:1]:
            found.append(
                Observation(
                    reading.id,
                    f"floor at {said(reading.at or 0.0)}",
                    "floor",
                    place,
                    reading.value,
                    sigma_of(reading),
                    Linear(POINTS[_FLOOR_POINT[place]][1]),
                )
            )
    return found if any(o.place != "middle" for o in found) else []


def _unread(observations: Sequence[Observation]) -> list[str]:
    """Sides whose bow nobody read; a floor station at mid-width reads the base's."""
    read = {o.place for o in observations if o.kind == "bow"}
    read |= {"base"} if any(o.what == "floor.middle" for o in observations) else set()
    return [side for side in SIDES if side not in read]


def _free(
    observations: Sequence[Observation], tied_down: bool, unread: Sequence[str]
) -> tuple[int, ...]:
    whats = {o.what for o in observations}
    kinds = {o.kind for o in observations}
    free = set(range(8))
    tied_along = "clear.left" in whats or "mark" in kinds or {"run", "clear.right"} <= whats
    if not tied_along:
        free.discard(COLUMN["bottom-left.x"])
    if not tied_down:
        free.discard(COLUMN["bottom-left.z"])
    bowed = set(SIDES) - set(_unread(observations)) | set(unread)
    free |= {COLUMN[f"{side}.bow"] for side in bowed}
    if "run" in whats or "clear.right" in whats:
        free.add(RUN)
    return tuple(sorted(free))


def _assume(kind: str, place: str, label: str, prior: float) -> Observation:
    over = 2000.0 if kind == "plumb" else None
    equation = KINDS[kind].equation(place)
    if equation is None:
        raise ValueError(f"{kind} says nothing of the opening")
    name = f"assumed.{kind}.{place}"
    return Observation(
        name, label, kind, place, 0.0, prior * UNSURE, equation, over=over, assumed=True
    )


def _completed(network: Network) -> Network:
    """Add the assumptions (level, plumb) that raise the rank, as few as will do."""
    rank, wanted = network.rank(), len(network.free)
    guesses = (
        _assume("level", "base", "base taken as level", SQUARE_SIGMA),
        _assume("plumb", "left", "left jamb taken as plumb", SQUARE_SIGMA),
        _assume("plumb", "right", "right jamb taken as plumb", SQUARE_SIGMA),
        _assume("level", "head", "head taken as level", SQUARE_SIGMA),
    )
    for guess in guesses:
        if rank == wanted:
            break
        trial = Network((*network.observations, guess), network.free, network.start)
        if (raised := trial.rank()) > rank:
            network, rank = trial, raised
    return network
