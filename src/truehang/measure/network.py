"""What should each reading be, if the corners stood at given places? The observation equations.

The whole figure is thirteen numbers: x and z of the four corners, how far each side's middle
bows into the opening, and the far end of the run. A datum fixes what no reading ties down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from truehang.lengths import said
from truehang.measure.readings import INSTRUMENT_SIGMA, USUAL_INSTRUMENT, Reading
from truehang.measure.results import Profile
from truehang.measure.solver import Matrix, Vector

CORNERS = ("bottom-left", "bottom-right", "top-right", "top-left")
SIDES = ("base", "right", "head", "left")
NAMES = (
    *(f"{corner}.{axis}" for corner in CORNERS for axis in "xz"),
    *(f"{side}.bow" for side in SIDES),
    "run",
)
COLUMN = {name: column for column, name in enumerate(NAMES)}
RUN = COLUMN["run"]

BOW_PRIOR = 2.0
"""How straight a side is that nobody read: 0, give or take this, mm (common practice, no source;
the job may give its own)."""
SQUARE_SIGMA = 5.0
"""How plumb or level an unread side is taken to be, mm over itself (common practice, no source)."""
UNSURE = 2.0
"""What was not read is reckoned this many times less sure than its prior says: how crooked the
walls of one house are is not known either, and the stated bounds must hold in a house that is twice
as crooked (simulated in benchmarks/trust)."""
AT_CORNER = 60.0
"""A floor station this near a bottom corner (or 1/10 of the width from the middle) reads it."""


@dataclass(frozen=True, slots=True)
class Observation:
    """A reading as the adjustment takes it: `what` chooses the equation, `sigma` is in mm."""

    id: str
    label: str
    kind: str
    place: str
    what: str
    value: float
    sigma: float
    at: float = 0.0
    over: float | None = None
    assumed: bool = False


def _unit(name: str) -> Vector:
    row = np.zeros(len(NAMES))
    row[COLUMN[name]] = 1.0
    return row


Rows = dict[str, tuple[Vector, Vector]]


def _points() -> Rows:
    """Each named point as two rows of 13 that give its x and its z from the figure."""
    points: Rows = {c: (_unit(f"{c}.x"), _unit(f"{c}.z")) for c in CORNERS}
    inward = {"base": (0.0, 1.0), "right": (-1.0, 0.0), "head": (0.0, -1.0), "left": (1.0, 0.0)}
    for index, side in enumerate(SIDES):
        start, end = points[CORNERS[index]], points[CORNERS[(index + 1) % 4]]
        bow = _unit(f"{side}.bow")
        points[side] = (
            (start[0] + end[0]) / 2 + inward[side][0] * bow,
            (start[1] + end[1]) / 2 + inward[side][1] * bow,
        )
    return points


POINTS = _points()
_SPANS = {
    "width.bottom": ("bottom-left", "bottom-right"),
    "width.middle": ("left", "right"),
    "width.top": ("top-left", "top-right"),
    "height.left": ("bottom-left", "top-left"),
    "height.middle": ("base", "head"),
    "height.right": ("bottom-right", "top-right"),
    "diagonal.rising": ("bottom-left", "top-right"),
    "diagonal.falling": ("bottom-right", "top-left"),
}
_DIFFERENCE: dict[str, Matrix] = {
    key: np.array(POINTS[end]) - np.array(POINTS[start]) for key, (start, end) in _SPANS.items()
}
_JAMB = {"left": ("bottom-left", "top-left"), "right": ("bottom-right", "top-right")}
_JAMB_ROWS = {
    jamb: (
        POINTS[high][0] - POINTS[low][0],
        4 * (POINTS[jamb][0] - (POINTS[low][0] + POINTS[high][0]) / 2),
        POINTS[high][1] - POINTS[low][1],
    )
    for jamb, (low, high) in _JAMB.items()
}
"""The lean, four times the bow, and the height: x at a share t of the height is
foot + t lean + t (1 - t) 4 bow, a parabola through the corners and the middle."""
_LEVEL = {"base": ("bottom-left", "bottom-right"), "head": ("top-left", "top-right")}
_ENDS = {
    "base": "width.bottom",
    "right": "height.right",
    "head": "width.top",
    "left": "height.left",
}
_FLOOR_POINT = {"left": "bottom-left", "middle": "base", "right": "bottom-right"}

SHAPE_KINDS = frozenset({"width", "height", "diagonal", "plumb", "level", "bow"})
PLACE_KINDS = frozenset({"mark", "clear", "run"})


def equation(observation: Observation, figure: Vector) -> tuple[float, Vector]:
    """What the observation should read for this figure (13), and its gradient (13)."""
    what, place = observation.what, observation.place
    if what in _DIFFERENCE:
        return _distance(what, figure)
    if observation.kind == "plumb":
        return _plumb(place, observation.at, observation.over or 2000.0, figure)
    row = _straight_row(observation)
    if row is not None:
        return float(row @ figure), row
    if observation.kind == "level":
        return _sloping(place, observation.over or 0.0, figure)
    return _bow_over(place, observation.over or 0.0, figure)


def _straight_row(observation: Observation) -> Vector | None:
    """The gradient where the equation is linear in the figure, else None."""
    what, place = observation.what, observation.place
    if observation.kind == "mark":
        return POINTS[place][0]
    if observation.kind == "floor":
        return POINTS[_FLOOR_POINT[place]][1]
    if what == "clear.left":
        return POINTS["bottom-left"][0]
    if what == "clear.right":
        return _unit("run") - POINTS["bottom-right"][0]
    if what == "run":
        return _unit("run")
    if observation.over is None and observation.kind == "level":
        start, end = _LEVEL[place]
        return POINTS[end][1] - POINTS[start][1]
    if observation.over is None and observation.kind == "bow":
        return _unit(f"{place}.bow")
    return None


def _distance(span: str, figure: Vector) -> tuple[float, Vector]:
    difference = _DIFFERENCE[span]
    dx, dz = difference @ figure
    length = float(np.hypot(dx, dz)) or 1e-9
    return length, (dx * difference[0] + dz * difference[1]) / length


def _plumb(jamb: str, at: float, over: float, figure: Vector) -> tuple[float, Vector]:
    """x at the top of the level less x at its foot, along the jamb and its bow."""
    lean, bow, rise = _JAMB_ROWS[jamb]
    height = float(rise @ figure) or 1e-9
    low, high = at / height, (at + over) / height
    row = (high - low) * lean + (high * (1 - high) - low * (1 - low)) * bow
    lean_now, bow_now = float(lean @ figure), float(bow @ figure)
    # Every share t goes as 1/height, so d t/d height = -t/height.
    by_height = -((high - low) * lean_now + (high - low - 2 * (high**2 - low**2)) * bow_now)
    return float(row @ figure), row + by_height / height * rise


def _sloping(side: str, over: float, figure: Vector) -> tuple[float, Vector]:
    start, end = _LEVEL[side]
    along = POINTS[end][0] - POINTS[start][0]
    up = POINTS[end][1] - POINTS[start][1]
    slope = float(up @ figure) / (float(along @ figure) or 1e-9)
    return slope * over, over / (float(along @ figure) or 1e-9) * (up - slope * along)


def _bow_over(side: str, over: float, figure: Vector) -> tuple[float, Vector]:
    row = _unit(f"{side}.bow")
    bow = float(row @ figure)
    length, along = _distance(_ENDS[side], figure)
    share = (over / length) ** 2
    return bow * share, share * row - 2 * bow * share / length * along


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
        rows = [_straight_row(o) for o in self.observations]
        zero = np.zeros(len(NAMES))
        return np.array([zero if row is None else row for row in rows]).reshape(-1, len(NAMES))

    @cached_property
    def _distances(self) -> tuple[list[int], Matrix]:
        """Which observations are distances, and their differences, d x 2 x 13."""
        found = [i for i, o in enumerate(self.observations) if o.what in _DIFFERENCE]
        differences = [_DIFFERENCE[self.observations[i].what] for i in found]
        return found, np.array(differences).reshape(-1, 2, len(NAMES))

    @cached_property
    def _others(self) -> tuple[int, ...]:
        return tuple(
            index
            for index, o in enumerate(self.observations)
            if o.what not in _DIFFERENCE and _straight_row(o) is None
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
            computed[index], gradients[index] = equation(self.observations[index], figure)
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


def side_name(side: str) -> str:
    """ "left jamb", "right jamb", "head" or "base"."""
    return f"{side} jamb" if side in _JAMB else side


def label_of(kind: str, place: str) -> str:
    """What the carpenter calls a reading: "width at middle", "rising diagonal"."""
    if kind == "diagonal":
        return f"{place} diagonal"
    if kind == "plumb":
        return f"plumb of {place} jamb"
    if kind == "bow":
        return f"bow of {side_name(place)}"
    if kind == "level":
        return f"{place} level"
    if kind == "clear":
        return f"clear run {place}"
    if kind == "mark":
        return f"running mark {place.replace('-', ' ')}"
    return f"{kind} at {place}" if place else kind


def sigma_of(reading: Reading) -> float:
    """The reading's own standard uncertainty, or its instrument's usual one, mm."""
    if reading.sigma is not None:
        return reading.sigma
    instrument = reading.instrument or USUAL_INSTRUMENT.get(reading.kind, "tape")
    return INSTRUMENT_SIGMA.get(instrument, 1.5)


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
            reading.id,
            label_of(reading.kind, reading.place),
            reading.kind,
            reading.place,
            f"{reading.kind}.{reading.place}" if reading.place else reading.kind,
            reading.value,
            sigma_of(reading),
            reading.at or 0.0,
            reading.over,
        )
        for reading in readings
        if reading.kind in SHAPE_KINDS | PLACE_KINDS
    ]
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
                    f"floor.{place}",
                    reading.value,
                    sigma_of(reading),
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
    name, sigma = f"assumed.{kind}.{place}", prior * UNSURE
    return Observation(name, label, kind, place, f"{kind}.{place}", 0.0, sigma, 0.0, over, True)


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
