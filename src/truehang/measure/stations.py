"""Is a station along the wall misread? Floor, ceiling, thickness and run by themselves.

No diagonal ties these down, but a floor does not jump: between its stations it wanders, and how
far it may is a prior. So every reading is foretold by its neighbours (generalised least squares:
a level to be found, a fall, a random walk, and the readings' own uncertainty), and what stands
off by more than the job's limit is a slip, or the floor has a step there. How rough the floor is
is found along the way, from the readings other than the one that is looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from truehang.findings import Finding
from truehang.lengths import said
from truehang.measure.blame import likeliest, log_weights
from truehang.measure.chance import POWER_SHIFT
from truehang.measure.results import (
    Advice,
    FaceBow,
    Profile,
    ReadingCheck,
    Slip,
    Thickness,
)
from truehang.measure.solver import Matrix, Vector
from truehang.message import message
from truehang.reading import Reading, label_of, sigma_of

ROUGH = 3.0
"""How far a floor's or a ceiling's middle is off a 2 m straightedge, mm: half of the 5 that a
floor of ordinary tolerance may show (common practice; BS 8204 SR2, 5 under 2 m, from memory: check
it with the standard), and a fifth more, so that sound floors are not blamed in a house twice as
crooked either (benchmarks/trust, alarms)."""
FALL = 6.0
"""How steeply a floor or a ceiling falls, mm per metre (common practice, no source)."""
UNEVEN = 1.0
"""How far a wall's thickness is off its mean at one place, mm (common practice, no source)."""
LOOSE = 12.0
"""A station where only a larger slip than this, mm, would show four times in five is said to be
unchecked (common practice, no source: it is more than a stack of packers forgives)."""
MOST = 3
"""More slips than this along one line can't be sorted out."""
_WALK = 4 * ROUGH**2 / 2000.0
"""Variance that a walk gathers on each mm, so that the middle of 2 m is off its ends by ROUGH."""
_FIRM = 4.0
"""How many readings the said roughness weighs against what is found (common practice)."""
_CHECKED = 1e-3
KINDS = ("floor", "ceiling", "thickness", "run")


@dataclass(frozen=True)
class Line:
    """Readings of one kind along the wall. `covariance` is of what they read about their level,
    mm2: what the floor does and what the instrument does."""

    kind: str
    readings: tuple[Reading, ...]
    covariance: Matrix

    @property
    def size(self) -> int:
        """How many readings there are to test."""
        return len(self.readings) if len(self.readings) > 1 else 0

    @cached_property
    def precision(self) -> Matrix:
        """n x n; what it makes of the readings does not depend on their level."""
        inverse = np.linalg.inv(self.covariance)
        along = inverse.sum(axis=0)
        taken: Matrix = inverse - np.outer(along, along) / along.sum()
        return taken

    @cached_property
    def sigmas(self) -> Vector:
        """The readings' own uncertainties, mm."""
        return np.array([sigma_of(reading) for reading in self.readings])

    @cached_property
    def values(self) -> Vector:
        """What was read, mm."""
        return np.array([reading.value for reading in self.readings])

    @cached_property
    def figures(self) -> Vector:
        """Each reading's test figure: its misfit over its uncertainty, or over what the others say
        that the uncertainty is, where that is more."""
        turned = self.precision @ self.values
        w = turned / np.sqrt(np.clip(np.diagonal(self.precision), 1e-12, None))
        spare = max(len(self.readings) - 2, 0)
        others = np.clip(float(turned @ self.values) - w**2, 0.0, None)
        rougher = (_FIRM + others) / (_FIRM + spare)
        found: Vector = w / np.sqrt(np.maximum(rougher, 1.0))
        return found

    @cached_property
    def redundancy(self) -> Vector:
        """The share of a slip that would show, for each reading."""
        own = np.diagonal(self.precision) * self.sigmas**2
        return np.clip(own, 0.0, 1.0) if self.size else np.zeros(len(self.readings))

    @property
    def tests(self) -> Matrix:
        """Correlation of the test figures that there are, n x n."""
        if not self.size:
            return np.empty((0, 0))
        root = 1 / np.sqrt(np.clip(np.diagonal(self.precision), 1e-12, None))
        return self.precision * np.outer(root, root)

    def without(self, index: int) -> Line:
        """The line less one reading."""
        kept = [n for n in range(len(self.readings)) if n != index]
        rest = tuple(self.readings[n] for n in kept)
        return Line(self.kind, rest, self.covariance[np.ix_(kept, kept)])

    def label(self, reading: Reading) -> str:
        """ "floor at x 1200"."""
        return label_at(self.kind, reading)


def label_at(kind: str, reading: Reading) -> str:
    """What the carpenter calls a reading along the wall."""
    if kind == "run":
        return "wall run"
    return f"{label_of(kind, reading.place)} at x {said(reading.at or 0.0)}"


@dataclass(frozen=True, slots=True)
class Along:
    """What was read along the wall: the profiles, the lines they are tested by, what is odd."""

    floor: Profile | None
    ceiling: Profile | None
    thickness: Thickness | None
    faces: tuple[FaceBow, ...]
    lines: tuple[Line, ...]
    findings: tuple[Finding, ...]


def lines(readings: Sequence[Reading]) -> tuple[Line, ...]:
    """One line for each kind that was read."""
    found = []
    for kind in KINDS:
        own = tuple(r for r in readings if r.kind == kind)
        own = tuple(sorted(own, key=lambda reading: reading.at or 0.0))
        if own:
            found.append(Line(kind, own, _covariance(kind, own)))
    return tuple(found)


def _covariance(kind: str, readings: tuple[Reading, ...]) -> Matrix:
    own: Matrix = np.diag([sigma_of(reading) ** 2 for reading in readings])
    return own + _shape(kind, np.array([reading.at or 0.0 for reading in readings]))


def _shape(kind: str, x: Vector) -> Matrix:
    """How the line itself goes together at these x, about a level that is not known, mm2."""
    if kind in ("floor", "ceiling"):
        x = x - x.min()
        away = (x - x.mean()) / 1000.0
        shape: Matrix = _WALK * np.minimum.outer(x, x) + FALL**2 * np.outer(away, away)
        return shape
    if kind == "thickness":
        return UNEVEN**2 * np.equal.outer(x, x).astype(float)
    return np.zeros((len(x), len(x)))


def line_of(kind: str, profile: Profile) -> Line:
    """The line of a profile's stations."""
    readings = tuple(
        Reading(f"{kind}-{n}", kind, z, at=x, sigma=sigma)
        for n, (x, z, sigma) in enumerate(profile.stations)
    )
    return Line(kind, readings, _covariance(kind, readings))


def everywhere(line: Line, run: float) -> tuple[Vector, Matrix]:
    """What the line is at its stations, half way between them and at both ends of the run: the
    values, mm, and their covariance. What nobody read is as unsure as its prior (generalised least
    squares with a free level, known as universal kriging)."""
    x = np.array([reading.at or 0.0 for reading in line.readings])
    places = np.unique([*x, *(x[1:] + x[:-1]) / 2, min(x[0], 0.0), max(x[-1], run)])
    whole = _shape(line.kind, np.concatenate([x, places]))
    count = len(x)
    weights = np.linalg.inv(whole[:count, :count] + np.diag(line.sigmas**2))
    across = whole[:count, count:]
    along = weights.sum(axis=0)
    level = float(along @ line.values) / float(along.sum())
    values = level + across.T @ weights @ (line.values - level)
    lost = 1.0 - along @ across
    covariance = whole[count:, count:] - across.T @ weights @ across
    covariance += np.outer(lost, lost) / along.sum()
    return values, covariance


# ---------------------------------------------------------------- slips


@dataclass(frozen=True, slots=True)
class Found:
    """What stands off along one line: slips, and real steps (x before, x after, mm up)."""

    slips: tuple[Slip, ...]
    steps: tuple[tuple[float, float, float], ...]


def search(line: Line, limit: float) -> Found:
    """Every reading of a line that stands off by more than the limit, one after another."""
    slips: list[Slip] = []
    steps: list[tuple[float, float, float]] = []
    while line.size and len(slips) + len(steps) < MOST:
        worst = int(np.argmax(np.abs(line.figures)))
        if abs(line.figures[worst]) <= limit:
            break
        slip, step = _blamed(line)
        if slip is None and step is not None:
            steps.append(step)
            break  # a step leaves the readings as they are
        assert slip is not None
        slips.append(slip)
        gone = [r.id for r in line.readings].index(slip.suspects[0])
        line = line.without(gone)
    return Found(tuple(slips), tuple(steps))


def _blamed(line: Line) -> tuple[Slip | None, tuple[float, float, float] | None]:
    """The readings that may be wrong, and the step that it may be instead."""
    count = len(line.readings)
    columns, gaps = _explanations(line)
    turned = columns @ line.precision
    weight = np.clip(np.einsum("ij,ij->i", turned, columns), 1e-12, None)
    w, sizes = turned @ line.values / np.sqrt(weight), turned @ line.values / weight
    scale = _scale(line)
    named = likeliest(log_weights(w / scale, scale / np.sqrt(weight)))
    suspects = [index for index in named if index < count]
    step = next((gaps[index - count] for index in named if index >= count), None)
    size = next((float(sizes[index]) for index in named if index >= count), 0.0)
    stepped = None if step is None else (*step, size)
    if not suspects:
        return None, stepped
    first = suspects[0]
    ids = tuple(line.readings[index].id for index in suspects)
    instead = "" if stepped is None else _or_step(line.kind, stepped)
    sigma = float(scale / weight[first] ** 0.5)
    return Slip(ids, float(sizes[first]), sigma, float(w[first] / scale), message(instead)), stepped


def _explanations(line: Line) -> tuple[Matrix, list[tuple[float, float]]]:
    """Rows (readings first, then steps between neighbours), and between which x each step is."""
    x = [reading.at or 0.0 for reading in line.readings]
    rows, gaps = [*np.eye(len(x))], []
    for before, after in pairwise(x):
        if line.kind != "run" and after > before:
            rows.append(np.array([1.0 if each >= after else 0.0 for each in x]))
            gaps.append((before, after))
    return np.array(rows), gaps


def _scale(line: Line) -> float:
    """How many times rougher than said the line is, the worst reading left out."""
    precision = line.precision
    w = line.values @ precision / np.sqrt(np.clip(np.diagonal(precision), 1e-12, None))
    total = float(line.values @ precision @ line.values) - float(np.max(w**2))
    spare = max(len(line.readings) - 2, 0)
    return float(max((_FIRM + max(total, 0.0)) / (_FIRM + spare), 1.0) ** 0.5)


def _or_step(kind: str, step: tuple[float, float, float]) -> str:
    before, after, size = step
    if kind == "thickness":
        return f"the wall's thickness changes between x {said(before)} and {said(after)}"
    return f"the {kind} steps by {said(size, plus=True)} between x {said(before)} and {said(after)}"


# ---------------------------------------------------------------- what checks what


def checks(line: Line, limit: float) -> tuple[ReadingCheck, ...]:
    """Every reading of a line, and what the others make of it."""
    turned = line.precision @ line.values if line.size else np.zeros(len(line.readings))
    rows = []
    for index, reading in enumerate(line.readings):
        share, sigma = float(line.redundancy[index]), float(line.sigmas[index])
        checked = share > _CHECKED
        slip = float(turned[index]) * sigma**2 / share if checked else None
        misfit = (slip or 0.0) * share
        rows.append(
            ReadingCheck(
                id=reading.id,
                label=message(line.label(reading)),
                kind=line.kind,
                place=reading.place,
                value=reading.value,
                sigma=sigma,
                adjusted=reading.value - misfit,
                misfit=misfit,
                redundancy=share,
                w=float(line.figures[index]) if checked else None,
                least_slip=(limit + POWER_SHIFT) * sigma / share**0.5 if checked else None,
                slip=slip,
                tied=(),
                assumed=False,
            )
        )
    return tuple(rows)


def is_loose(check: ReadingCheck) -> bool:
    """Whether a slip of LOOSE would pass unseen in this station."""
    return check.least_slip is None or check.least_slip > LOOSE


def again(check: ReadingCheck) -> Advice:
    """The same station read a second time: the one further reading that would check it."""
    own = check.sigma**2
    foretold = own / check.redundancy - own if check.redundancy > _CHECKED else np.inf
    joined = own if np.isinf(foretold) else foretold * own / (foretold + own)
    return Advice(
        check.kind,
        check.place,
        message(f"{check.label}, a second time"),
        (check.id,),
        check.redundancy,
        float(own / (own + joined)),
    )
