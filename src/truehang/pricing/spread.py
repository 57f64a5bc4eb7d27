"""How sure is a sum? What half, four fifths and nineteen twentieths of all such jobs stay under.

Lines that have nothing to do with each other are summed by convolution of their exact
distributions: no draws. Tasks of one crew go well or badly together; their sum is drawn (with a
seed) through a Gaussian copula with one common factor and convolved with the rest. How much of the
variance each line brings is exact either way (Mehler's expansion of the copula).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from statistics import NormalDist

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from truehang.pricing import beta

Floats = NDArray[np.float64]
CELLS = 4096
REACH = 12.0
"""Standard deviations each side of the mean that are looked at: beyond is nothing to be seen."""
DRAWS = 100_000
_TABLE = 4096
_FURTHEST = 5.0
_ORDERS = 10


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One line: low, likely, high, and the crew whose tasks go together ("" for none)."""

    key: str
    low: float
    likely: float
    high: float
    crew: str = ""


@dataclass(frozen=True, slots=True)
class Share:
    """How much of the variance of the sum one line brings, 0 to 1."""

    key: str
    share: float


@dataclass(frozen=True, slots=True)
class Spread:
    """How a sum is spread, in the unit of its lines. `method` says how it was worked out, `low` and
    `high` are where every line is at its low or at its high."""

    mean: float
    sd: float
    p50: float
    p80: float
    p95: float
    low: float
    high: float
    method: str
    correlation: float
    seed: int
    draws: int
    shares: tuple[Share, ...]


def spread(
    lines: Sequence[Uncertain], correlation: float = 0.0, seed: int = 1, draws: int = DRAWS
) -> Spread:
    """How the sum of the lines is spread, where tasks of one crew are correlated so much."""
    return worked_out(tuple(lines), correlation, seed, draws)


@lru_cache(64)
def worked_out(
    lines: tuple[Uncertain, ...], correlation: float, seed: int, draws: int
) -> Spread:  # fmt: skip
    """The same, kept: a price that changes by its terms alone has the same cost."""
    if not 0 <= correlation < 1:
        raise ValueError(f"correlation {correlation:g}: give 0 (none) up to under 1")
    certain = math.fsum(line.low for line in lines if not line.high > line.low)
    free = [line for line in lines if line.high > line.low]
    crews = _crews(free, correlation)
    tied = {id(line) for crew in crews for line in crew}
    rest = [line for line in free if id(line) not in tied]
    mean = certain + math.fsum(beta.mean(n.low, n.likely, n.high) for n in free)
    shares = _shares(rest, crews, correlation)
    sd = math.sqrt(math.fsum(part for _, part in shares))
    low, high = (certain + math.fsum(getattr(n, end) for n in free) for end in ("low", "high"))
    points = (
        _points(rest, crews, correlation, seed, draws, (mean - certain, sd)) if free else (0.0,) * 3
    )
    p50, p80, p95 = (certain + point for point in points)
    method = f"simulation of {draws:,} draws, seed {seed}" if crews else "convolution, exact"
    order = {line.key: number for number, line in enumerate(lines)}
    told = [Share(key, part / sd**2 if sd else 0.0) for key, part in shares]
    told.sort(key=lambda one: (-one.share, order[one.key]))
    return Spread(
        mean, sd, p50, p80, p95, low, high, method, correlation, seed, draws if crews else 0,
        tuple(told),
    )  # fmt: skip


def _crews(lines: Sequence[Uncertain], correlation: float) -> list[list[Uncertain]]:
    """The lines that are tied to others, crew by crew."""
    if not correlation:
        return []
    by_crew: dict[str, list[Uncertain]] = {}
    for line in lines:
        if line.crew:
            by_crew.setdefault(line.crew, []).append(line)
    return [crew for crew in by_crew.values() if len(crew) > 1]


def _points(
    rest: Sequence[Uncertain], crews: Sequence[Sequence[Uncertain]], correlation: float, seed: int,
    draws: int, moments: tuple[float, float],
) -> tuple[float, ...]:  # fmt: skip
    """P50, P80 and P95 of the sum of lines that all have a spread; `moments` are its mean and
    standard deviation."""
    mean, sd = moments
    every = [*rest, *(line for crew in crews for line in crew)]
    width = math.fsum(line.high - line.low for line in every)
    origin = math.fsum(line.low for line in every)
    period = min(width * (1 + 4 / CELLS), 2 * REACH * sd)
    cell = period / CELLS
    masses = _masses(rest, cell)
    generator = np.random.default_rng(seed)
    drawn = [_drawn(crew, correlation, generator, draws, cell) for crew in crews]
    rows = [*masses, *drawn]
    whole = np.fft.irfft(_product(rows), CELLS)
    # The sum lies somewhere in the period; begin to add where nothing can be yet.
    start = max(0, math.floor((mean - REACH * sd - origin) / cell))
    chance = np.cumsum(np.maximum(np.roll(whole, -(start % CELLS)), 0.0))
    chance /= chance[-1]
    edges = origin + cell * (start + np.arange(CELLS) + 0.5)
    return tuple(float(np.interp(p, chance, edges)) for p in (0.5, 0.8, 0.95))


def _product(rows: Sequence[Floats]) -> NDArray[np.complex128]:
    product = np.ones(CELLS // 2 + 1, dtype=complex)
    for row in rows:
        # A row longer than the period goes round: it is folded, and so is what comes of it.
        short = row if len(row) <= CELLS else _folded(row)
        product *= np.fft.rfft(short, CELLS)
    return product


def _folded(row: Floats) -> Floats:
    padded = np.zeros(-(-len(row) // CELLS) * CELLS)
    padded[: len(row)] = row
    folded: Floats = padded.reshape(-1, CELLS).sum(axis=0)
    return folded


def _masses(lines: Sequence[Uncertain], cell: float) -> list[Floats]:
    """Of each line the chance of each cell: cell k is within half a cell of its low and k cells."""
    if not lines:
        return []
    low, likely, high = (
        np.array([getattr(line, end) for line in lines]) for end in ("low", "likely", "high")
    )
    alpha, bet = beta.shape(low, likely, high)
    counts = np.ceil((high - low) / cell + 0.5).astype(int) + 1
    ends = np.cumsum(counts)
    starts = ends - counts
    which = np.repeat(np.arange(len(lines)), counts)
    k = np.arange(ends[-1]) - np.repeat(starts, counts)
    x = (k - 0.5) * cell / (high - low)[which]
    at = beta.below(x, alpha[which], bet[which])
    return [np.diff(at[a:b]) for a, b in zip(starts, ends, strict=True)]


def _drawn(
    crew: Sequence[Uncertain], correlation: float, generator: np.random.Generator, draws: int,
    cell: float,
) -> Floats:  # fmt: skip
    """The sum of one crew's tasks less their lows, drawn, as the share that fell in each cell."""
    sums = draw(crew, correlation, generator, draws)
    cells = np.rint(sums / cell).astype(np.int64)
    return np.bincount(np.maximum(cells, 0)).astype(float) / draws


def draw(
    crew: Sequence[Uncertain], correlation: float, generator: np.random.Generator, draws: int
) -> Floats:
    """Draws of the sum of one crew's tasks less their lows."""
    common = generator.standard_normal(draws, dtype=np.float32) * np.float32(
        math.sqrt(correlation) * _scale()
    )
    own = (_normals() * (math.sqrt(1 - correlation) * _scale())).astype(np.float32)
    table = _quantiles(crew)
    common += np.float32((_TABLE - 1) / 2 + 0.5)
    total = np.zeros(draws, dtype=np.float32)
    raw = generator.integers(0, 1 << 16, (len(crew), draws), dtype=np.uint16)
    z, part = np.empty(draws, dtype=np.float32), np.empty(draws, dtype=np.float32)
    at = np.empty(draws, dtype=np.int32)
    for row, steps in zip(raw, table, strict=True):
        np.take(own, row, out=z, mode="clip")
        z += common
        np.copyto(at, z, casting="unsafe")
        np.take(steps, at, out=part, mode="clip")
        total += part
    return total.astype(float)


def _scale() -> float:
    """Steps of the table in one standard deviation."""
    return (_TABLE - 1) / (2 * _FURTHEST)


@cache
def _normals() -> Floats:
    """Standard normal numbers, one for each of 65 536 equal chances."""
    from_chance = NormalDist().inv_cdf
    half = np.array([from_chance((i + 0.5) / 65536) for i in range(32768)])
    return np.concatenate([half, -half[::-1]])


@cache
def _nodes() -> tuple[Floats, Floats]:
    """Where a normal number's functions are looked at, and what each weighs."""
    z, weights = hermegauss(96)
    return z, weights / math.sqrt(2 * math.pi)


@cache
def _chances() -> Floats:
    """The chance of at most z, at each step of the table."""
    below = NormalDist().cdf
    return np.array([below(z) for z in np.linspace(-_FURTHEST, _FURTHEST, _TABLE)])


def _quantiles(crew: Sequence[Uncertain]) -> NDArray[np.float32]:
    """Of each task the hours or money over its low, by its standard normal number."""
    low, likely, high = (
        np.array([getattr(line, end) for line in crew]) for end in ("low", "likely", "high")
    )
    shapes = np.round(beta.shape(low, likely, high)[0], 9)
    kinds, which = np.unique(shapes, return_inverse=True)
    steps = 0.5 * (1 - np.cos(np.linspace(0, math.pi, 513)))  # closer where it begins and ends
    chance = beta.below(steps[None, :], kinds[:, None], 6 - kinds[:, None])
    unit = np.array([np.interp(_chances(), row, steps) for row in chance])
    made: NDArray[np.float32] = (unit[which] * (high - low)[:, None]).astype(np.float32)
    return made


def _shares(
    rest: Sequence[Uncertain], crews: Sequence[Sequence[Uncertain]], correlation: float
) -> list[tuple[str, float]]:
    """What each line brings to the variance of the sum: its covariance with the sum."""
    told = [(line.key, beta.variance(line.low, line.likely, line.high)) for line in rest]
    for crew in crews:
        terms = _hermite(crew)
        weights = correlation ** np.arange(1, _ORDERS + 1)
        together = terms.sum(axis=0)
        for line, term in zip(crew, terms, strict=True):
            own = beta.variance(line.low, line.likely, line.high)
            others = float(((together - term) * term * weights).sum())
            told.append((line.key, own + others))
    return told


def _hermite(crew: Sequence[Uncertain]) -> Floats:
    """The coefficients of each task in normalised Hermite polynomials of its normal number."""
    z, weights = _nodes()
    table = _quantiles(crew).astype(float)
    grid = np.linspace(-_FURTHEST, _FURTHEST, _TABLE)
    values = np.array([np.interp(z, grid, row) for row in table])
    before, now = np.ones_like(z), z.copy()
    columns = []
    for order in range(1, _ORDERS + 1):
        columns.append(values @ (weights * now) / math.sqrt(math.factorial(order)))
        before, now = now, z * now - order * before
    return np.array(columns).T
