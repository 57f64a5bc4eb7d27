"""How is one sheet sawn edge to edge, and what is the best way to fill it?

A layout is a tree: a rectangle is one panel, waste, or cut across its whole width or height into
two. All sizes are whole numbers with the saw's kerf added to each, so that a cut at `at` takes the
kerf just before it. The best filling for given worths (panels used as often as they pay) comes
from dynamic programming over the sums of panel sizes (Gilmore and Gomory, *Operations Research* 13,
1965; raster of sums after Herz, *IBM Journal* 16, 1972; all cited from memory).
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Shape:
    """A size of panel, kerf included; `turns` says it may be laid either way."""

    width: int
    height: int
    turns: bool

    def ways(self) -> tuple[tuple[int, int, bool], ...]:
        """The sizes it can take on the sheet, and whether it is turned."""
        plain = (self.width, self.height, False)
        if self.turns and self.width != self.height:
            return (plain, (self.height, self.width, True))
        return (plain,)


@dataclass(frozen=True, slots=True)
class Tree:
    """A rectangle of a sheet: waste, one panel of shape `item` in its corner, or a cut.

    A cut lies at `at` from the left (`across` False) or from the bottom (`across` True) and leaves
    `first` before it and `second` after it.
    """

    width: int
    height: int
    item: int | None = None
    turned: bool = False
    at: int = 0
    across: bool = False
    first: Tree | None = None
    second: Tree | None = None

    def items(self) -> Iterator[int]:
        """Every panel in it, by shape number."""
        if self.item is not None:
            yield self.item
        for part in (self.first, self.second):
            if part is not None:
                yield from part.items()


def sums(sizes: Sequence[tuple[int, int]], most: int) -> NDArray[np.int64]:
    """All sums up to `most` of sizes, each used up to its count, with 0 and `most` itself."""
    reach = 1
    mask = (1 << (most + 1)) - 1
    for size, count in sizes:
        for _ in range(min(count, most // size)):
            grown = reach | (reach << size) & mask
            if grown == reach:
                break
            reach = grown
    bits = np.frombuffer(reach.to_bytes(most // 8 + 1, "little"), dtype=np.uint8)
    found = np.flatnonzero(np.unpackbits(bits, bitorder="little"))
    return np.union1d(found, [0, most]).astype(np.int64)


class Filling:
    """The best filling of every rectangle up to a sheet's size, for worths given one by one."""

    def __init__(self, shapes: Sequence[Shape], counts: Sequence[int], width: int, height: int):
        across = [(w, n) for s, n in zip(shapes, counts, strict=True) for w, _, _ in s.ways()]
        up = [(h, n) for s, n in zip(shapes, counts, strict=True) for _, h, _ in s.ways()]
        self.shapes = shapes
        self.x = sums([pair for pair in across if pair[0] <= width], width)
        self.y = sums([pair for pair in up if pair[0] <= height], height)
        self._floor_x = [self._floors(self.x, i) for i in range(len(self.x))]
        self._floor_y = [self._floors(self.y, j) for j in range(len(self.y))]

    @property
    def cells(self) -> int:
        """How many rectangles are looked at."""
        return len(self.x) * len(self.y)

    @staticmethod
    def _floors(points: NDArray[np.int64], at: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Cut places up to half of points[at], and the place of what is left beyond each."""
        first = np.arange(1, int(np.searchsorted(points, points[at] // 2, side="right")))
        rest = np.searchsorted(points, points[at] - points[first], side="right") - 1
        return first, rest

    def run(self, worth: NDArray[np.generic]) -> NDArray[np.generic]:
        """Worth of the best filling of each rectangle (places along x by places along y)."""
        nx, ny = len(self.x), len(self.y)
        best = np.zeros((nx, ny), dtype=worth.dtype)
        item = np.full((nx, ny), -1, dtype=np.int32)
        cut = np.zeros((nx, ny), dtype=np.int32)  # > 0 at x place, < 0 at y place, 0 none
        for number, shape in enumerate(self.shapes):
            for w, h, turned in shape.ways():
                i, j = int(np.searchsorted(self.x, w)), int(np.searchsorted(self.y, h))
                part = best[i:, j:] < worth[number]
                best[i:, j:][part] = worth[number]
                item[i:, j:][part] = 2 * number + turned
        for i in range(nx):
            first, rest = self._floor_x[i]
            if len(first):
                tried = best[first] + best[rest]
                at = np.argmax(tried, axis=0)
                value = tried[at, np.arange(ny)]
                better = value > best[i]
                best[i][better] = value[better]
                cut[i][better] = first[at[better]]
            row = best[i]
            for j in range(1, ny):
                low, high = self._floor_y[j]
                if len(low):
                    both = row[low] + row[high]
                    place = int(np.argmax(both))
                    if both[place] > row[j]:
                        row[j] = both[place]
                        cut[i, j] = -int(low[place])
        self._item, self._cut = item, cut
        return best

    def tree(self, width: int, height: int) -> Tree:
        """The best filling of one rectangle, after `run`."""
        i = int(np.searchsorted(self.x, width, side="right")) - 1
        j = int(np.searchsorted(self.y, height, side="right")) - 1
        cut = int(self._cut[i, j])
        if cut > 0:
            at = int(self.x[cut])
            return Tree(width, height, at=at, first=self.tree(at, height),
                        second=self.tree(width - at, height))  # fmt: skip
        if cut < 0:
            at = int(self.y[-cut])
            return Tree(width, height, at=at, across=True, first=self.tree(width, at),
                        second=self.tree(width, height - at))  # fmt: skip
        held = int(self._item[i, j])
        if held < 0:
            return Tree(width, height)
        return Tree(width, height, item=held // 2, turned=bool(held % 2))


def coarser(shapes: Sequence[Shape], grid: int) -> list[Shape]:
    """The shapes in whole grid steps, rounded down. What fits a sheet fits it rounded down as
    well, so a bound for these is a bound for the true ones."""
    return [Shape(s.width // grid, s.height // grid, s.turns) for s in shapes]


def place(
    shapes: Sequence[Shape], left: list[int], width: int, height: int, draw: random.Random
) -> Tree:
    """Fill a rectangle with panels still wanted, taking them off `left`: a big one in the corner,
    then what is beside and above it, cut the way drawn. One as wide or high as the room comes
    before larger ones."""
    fits = [
        (w * h * (1 + (w == width) + (h == height)), number, w, h, turned)
        for number, shape in enumerate(shapes)
        if left[number]
        for w, h, turned in shape.ways()
        if w <= width and h <= height
    ]
    if not fits:
        return Tree(width, height)
    fits.sort(key=lambda fit: (-fit[0], fit[1], fit[4]))
    _, number, w, h, turned = fits[min(int(draw.expovariate(1.2)), len(fits) - 1)]
    left[number] -= 1
    panel = Tree(w, h, item=number, turned=turned)
    by_row = (width - w) * h < (height - h) * w if draw.random() < 0.7 else draw.random() < 0.5
    if by_row:  # cut right across above the panel first
        side = place(shapes, left, width - w, h, draw)
        rest = place(shapes, left, width, height - h, draw)
        return Tree(width, height, at=h, across=True, second=rest,
                    first=Tree(width, h, at=w, first=panel, second=side))  # fmt: skip
    side = place(shapes, left, w, height - h, draw)
    rest = place(shapes, left, width - w, height, draw)
    return Tree(width, height, at=w, second=rest,
                first=Tree(w, height, at=h, across=True, first=panel, second=side))  # fmt: skip
