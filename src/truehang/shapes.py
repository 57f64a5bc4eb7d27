"""How is a place in the wall written down? A stretch, a block, a line of heights; all in mm.

x runs along the wall from the job's datum, y through it from face A, z up from the level datum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch from `low` to `high` (mm) along one axis."""

    low: float
    high: float

    @property
    def length(self) -> float:
        """high - low, mm."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """The point half way, mm."""
        return (self.low + self.high) / 2

    def shared(self, other: Span) -> float:
        """How much two stretches have in common, mm; below 0 where they lie apart."""
        return min(self.high, other.high) - max(self.low, other.low)


@dataclass(frozen=True, slots=True)
class Block:
    """A block between two x, two y, and a bottom and a top that may slope along x, mm.

    `bottom` and `top` are each (z at x0, z at x1).
    """

    x0: float
    x1: float
    y0: float
    y1: float
    bottom: Point
    top: Point

    @property
    def level(self) -> bool:
        """True where bottom and top are level: the block is a box."""
        return self.bottom[0] == self.bottom[1] and self.top[0] == self.top[1]

    def shifted(self, x: float) -> Block:
        """The same block moved along the wall by `x` mm."""
        return Block(self.x0 + x, self.x1 + x, self.y0, self.y1, self.bottom, self.top)


def box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Block:
    """A block with level bottom and top, mm."""
    return Block(x0, x1, y0, y1, (z0, z0), (z1, z1))


def line_between(stations: Sequence[Point], low: float, high: float) -> list[Point]:
    """A line of heights given at stations (x, z), from low to high; level beyond the outer ones,
    at 0 where there are none."""
    known = sorted(stations) or [(0.0, 0.0)]

    def at(x: float) -> float:
        if x <= known[0][0]:
            return known[0][1]
        for (x0, z0), (x1, z1) in pairwise(known):
            if x <= x1:
                return z0 + (z1 - z0) * (x - x0) / (x1 - x0)
        return known[-1][1]

    return [(low, at(low)), *((x, z) for x, z in known if low < x < high), (high, at(high))]
