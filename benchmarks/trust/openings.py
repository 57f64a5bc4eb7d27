"""Openings as old houses have them, and what a carpenter reads in them: nothing here asks the
program. Each side leans and bows by itself; the truth is read off dense outlines.

The sizes, leans and falls are plausible and invented (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from truehang.measure import Reading

LEAN = 5.0
"""Standard deviation of a jamb's lean and of a base's or head's fall, mm over itself; where the
sides bow by more than 2, as much more."""
LEVEL = 1800.0
"""Length of the long level, mm."""
_T = np.linspace(0.0, 1.0, 401)
_SIGMA = {"plumb": 1.0, "level": 1.0, "bow": 0.5, "floor": 1.0, "ceiling": 1.5, "thickness": 0.5}
Array = np.ndarray


@dataclass(frozen=True, slots=True)
class Opening:
    """A true opening: each side as a dense line of (x, z), and its run along the wall."""

    left: Array
    right: Array
    base: Array
    head: Array
    run: float

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height of the largest plumb, level rectangle inside."""
        left, right = self.left[:, 0].min(), self.right[:, 0].max()
        base, head = self.base[:, 1].min(), self.head[:, 1].max()
        for _ in range(6):
            left = _within(self.left, 1, base, head)[:, 0].max()
            right = _within(self.right, 1, base, head)[:, 0].min()
            base = _within(self.base, 0, left, right)[:, 1].max()
            head = _within(self.head, 0, left, right)[:, 1].min()
        return float(right - left), float(head - base)


def _within(side: Array, axis: int, low: float, high: float) -> Array:
    """The points of a side between two heights (or two x), those at the ends put in."""
    inner = side[(side[:, axis] > low) & (side[:, axis] < high)]
    ends = [[np.interp(at, side[:, axis], side[:, n]) for n in (0, 1)] for at in (low, high)]
    return np.vstack([inner, ends])


def opening(rng: np.random.Generator, bow: float) -> Opening:
    """One old opening; `bow` is the standard deviation of each side's bow, mm."""
    width, height = rng.uniform(900.0, 3800.0), rng.uniform(2050.0, 2750.0)
    x, z = rng.uniform(500.0, 1600.0), rng.normal(0.0, 3.0)
    fall, rise, left, right = rng.normal(0.0, LEAN * max(bow / 2.0, 1.0), 4)
    bl, br = np.array([x, z]), np.array([x + width, z + fall])
    tl, tr = bl + np.array([left, height]), np.array([x + width + right, z + height + rise])
    wave = np.sin(np.pi * _T)[:, None] * rng.normal(0.0, bow, 4)

    def side(start: Array, end: Array, inward: tuple[float, float], n: int) -> Array:
        straight: Array = start + _T[:, None] * (end - start)
        return straight + wave[:, n : n + 1] * np.array(inward)

    return Opening(
        side(bl, tl, (1.0, 0.0), 0),
        side(br, tr, (-1.0, 0.0), 1),
        side(bl, br, (0.0, 1.0), 2),
        side(tl, tr, (0.0, -1.0), 3),
        x + width + rng.uniform(500.0, 1600.0),
    )


def _apart(one: Array, other: Array) -> float:
    return float(np.hypot(*(one - other)))


def _lean(side: Array, foot: float) -> float:
    """x at the level's top less x at its foot, along a jamb."""
    heights = side[:, 1] - side[0, 1]
    low, high = (np.interp(at, heights, side[:, 0]) for at in (foot, foot + LEVEL))
    return float(high - low)


def _bow(side: Array, axis: int, inward: float) -> float:
    middle = side[200, axis] - (side[0, axis] + side[-1, axis]) / 2
    return float(middle * inward)


TRUE: dict[str, Callable[[Opening], float]] = {
    "width.bottom": lambda o: _apart(o.left[0], o.right[0]),
    "width.middle": lambda o: _apart(o.left[200], o.right[200]),
    "width.top": lambda o: _apart(o.left[-1], o.right[-1]),
    "height.left": lambda o: _apart(o.left[0], o.left[-1]),
    "height.middle": lambda o: _apart(o.base[200], o.head[200]),
    "height.right": lambda o: _apart(o.right[0], o.right[-1]),
    "diagonal.rising": lambda o: _apart(o.left[0], o.right[-1]),
    "diagonal.falling": lambda o: _apart(o.right[0], o.left[-1]),
    "plumb.left": lambda o: _lean(o.left, 0.0),
    "plumb.right": lambda o: _lean(o.right, 0.0),
    "level.base": lambda o: float(o.base[-1, 1] - o.base[0, 1]),
    "level.head": lambda o: float(o.head[-1, 1] - o.head[0, 1]),
    "bow.left": lambda o: _bow(o.left, 0, 1.0),
    "bow.right": lambda o: _bow(o.right, 0, -1.0),
    "bow.head": lambda o: _bow(o.head, 1, -1.0),
    "bow.base": lambda o: _bow(o.base, 1, 1.0),
    "mark.bottom-left": lambda o: float(o.left[0, 0]),
    "mark.bottom-right": lambda o: float(o.right[0, 0]),
    "mark.top-left": lambda o: float(o.left[-1, 0]),
    "mark.top-right": lambda o: float(o.right[-1, 0]),
    "clear.right": lambda o: o.run - float(o.right[0, 0]),
    "run": lambda o: o.run,
}
"""What each reading truly is."""

_SIZES = ("width.bottom", "width.top", "height.left", "height.right")
_MIDDLES = ("width.middle", "height.middle")
_DIAGONALS = ("diagonal.rising", "diagonal.falling")
_PLUMB = ("plumb.left", "plumb.right", "level.head")
_BOWS = ("bow.left", "bow.right", "bow.head", "bow.base")
_PLACE = tuple(name for name in TRUE if name.startswith(("mark", "clear", "run")))
SETS: dict[str, tuple[str, ...]] = {
    "every reading": (*_SIZES, *_MIDDLES, *_DIAGONALS, *_PLUMB, "level.base", *_BOWS, *_PLACE),
    "no bows": (*_SIZES, *_MIDDLES, *_DIAGONALS, *_PLUMB, "level.base", *_PLACE),
    "no bows, no middles": (*_SIZES, *_DIAGONALS, *_PLUMB, "level.base"),
    "sizes with middles, nothing else": (*_SIZES, *_MIDDLES),
    "two widths, two heights": _SIZES,
    "one width, one height": ("width.bottom", "height.left"),
}
"""Reading sets that the program accepts."""


def read(true: Opening, names: tuple[str, ...], rng: np.random.Generator) -> list[Reading]:
    """Each named reading once, with its instrument's noise."""
    found = []
    for name in names:
        kind, _, place = name.partition(".")
        sigma = _SIGMA.get(kind, 1.5)
        over = LEVEL if kind == "plumb" else None
        value = TRUE[name](true) + rng.normal(0.0, sigma)
        found.append(Reading(name, kind, value, place, over=over, sigma=sigma))
    return found


# ---------------------------------------------------------------- along the wall


def stations(rng: np.random.Generator, run: float, apart: float) -> tuple[Array, Array]:
    """Where a floor or a ceiling is read, and what it is there: a fall of 3 mm a metre, two long
    waves and what a trowel leaves (all standard deviations; common practice, no source)."""
    x = np.linspace(0.0, run, max(round(run / apart) + 1, 2))
    waves = sum(
        rng.normal(0.0, size) * np.sin(2 * np.pi * (x / length + rng.uniform()))
        for size, length in ((2.0, 4500.0), (1.0, 1700.0))
    )
    return x, rng.normal(0.0, 3.0) * x / 1000.0 + waves + rng.normal(0.0, 0.4, len(x))


def read_along(rng: np.random.Generator, kind: str, true: Opening, apart: float) -> list[Reading]:
    """Stations of one kind along the run of an opening, with their noise."""
    sigma = _SIGMA[kind]
    x, z = stations(rng, true.run, apart)
    if kind == "thickness":
        z = 110.0 + rng.normal(0.0, 0.7, len(x))
    elif kind == "ceiling":
        z = z + 2600.0
    else:
        z = _meeting(x, z, true.base)
    z = z + rng.normal(0.0, sigma, len(x))
    return [
        Reading(f"{kind}-{n}", kind, float(value), at=float(at), sigma=sigma)
        for n, (at, value) in enumerate(zip(x, z, strict=True), start=1)
    ]


def _meeting(x: Array, z: Array, base: Array) -> Array:
    """A floor that is the opening's base between the jambs and goes on from its ends."""
    (left, low), (right, high) = base[0], base[-1]
    before, after = np.interp((left, right), x, z)
    inside = np.interp(x, base[:, 0], base[:, 1])
    beside = np.where(x < left, z - before + low, z - after + high)
    return np.where((x >= left) & (x <= right), inside, beside)
