"""Which packers go under each support so that the frame stands level?

Level line = highest support + least pack, and never under the floor that anything of the frame
stands over. Each pack is made from the packers on the van with the fewest pieces; where no stack
makes it exactly, the nearest within the tolerance does; where none is so near, the answer is to
plane the high spot or to pack with a tapered plate. Common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations_with_replacement

from truehang.fit.model import Floor, Pack, PackerSet, Span
from truehang.lengths import between, on_tape

RAISE_MOST = 3.0
"""How far (mm) the level line may go up so that every stack can be made exactly."""


@lru_cache(maxsize=64)
def _stacks(packers: PackerSet) -> dict[float, tuple[float, ...]]:
    """Best stack for each height (mm) that can be made, by that height.

    Best: fewest pieces, then the thickest first piece, second, third.
    """
    best: dict[float, tuple[float, ...]] = {0.0: ()}
    sizes = sorted(set(packers.sizes), reverse=True)
    for count in range(1, packers.pieces_most + 1):
        for stack in combinations_with_replacement(sizes, count):
            if sum(stack) <= packers.total_most + 1e-9:
                best.setdefault(_height(sum(stack)), stack)
    return best


def _height(mm: float) -> float:
    """A height that can be looked up, whichever way it was summed."""
    return round(mm, 6)


def _exact(height: float, packers: PackerSet) -> tuple[float, ...] | None:
    """The fewest packers that make `height` (mm) to the nearest step; None where none do."""
    steps = round(height / packers.step + 1e-9)
    return _stacks(packers).get(_height(steps * packers.step))


def stack(height: float, packers: PackerSet) -> tuple[float, ...] | None:
    """The fewest packers (mm, thickest first) that make `height` (mm) to the nearest step; where
    none do, those that come nearest, within the tolerance.

    () for a height that rounds to nothing, or is within the tolerance of nothing; None where no
    stack of at most `pieces_most` pieces and `total_most` mm is so near.
    """
    exact = _exact(height, packers)
    if exact is not None:
        return exact
    near = [
        (abs(each - height), len(pieces), pieces)
        for each, pieces in _stacks(packers).items()
        if abs(each - height) <= packers.tolerance + 1e-9
    ]
    return min(near, key=lambda one: (round(one[0], 6), one[1]))[2] if near else None


def _under(line: float, floor: float, packers: PackerSet) -> tuple[float, ...] | None:
    """The stack from the floor here up to the level line (z, mm) as it is snapped: first the one
    that makes the pack as it is printed, since a person reads that beside the pieces."""
    shown = _exact(between(floor, line, packers.style), packers)
    return stack(on_tape(line, packers.style) - floor, packers) if shown is None else shown


def level_line(
    floor_at_supports: Sequence[float], packers: PackerSet, highest: float | None = None
) -> float:
    """z (mm) of the level line: highest support plus the least pack, and never under `highest`,
    the highest floor (mm) under anything of the frame, between the supports too.

    It goes up by steps, at most RAISE_MOST, when that lets every stack be made exactly (a 0.5
    pack can't be made from packers of 1 and up; a 1.5 can), or else within the tolerance. Where
    neither comes of it, it stays.
    """
    start = max(floor_at_supports) + packers.least
    start = start if highest is None else max(start, highest)
    raised = [start + up * packers.step for up in range(int(RAISE_MOST / packers.step) + 1)]
    for line in raised:
        if all(_exact(line - z, packers) is not None for z in floor_at_supports):
            return line
    for line in raised:
        if all(stack(line - z, packers) is not None for z in floor_at_supports):
            return line
    return start


def floor_at(floor: Floor, x: float) -> float:
    """z (mm) of the floor as it is now at x (mm); level beyond the outer stations."""
    xs, zs = floor.x, floor.z
    after = bisect_right(xs, x)
    if after == 0:
        return zs[0]
    if after == len(xs):
        return zs[-1]
    x0, x1, z0, z1 = xs[after - 1], xs[after], zs[after - 1], zs[after]
    return z0 + (z1 - z0) * (x - x0) / (x1 - x0)


def lowest_support(floor: Floor, supports: Sequence[tuple[str, str, float]]) -> float:
    """The lowest floor (z, mm) under a support, given as (key, label, x in mm)."""
    return min(floor_at(floor, x) for _, _, x in supports)


def highest_under(floor: Floor, span: Span) -> tuple[float, float]:
    """The highest floor (z, mm) under a stretch of the wall, and its x (mm)."""
    at = [span.low, *(x for x in floor.x if span.low < x < span.high), span.high]
    x = max(at, key=lambda each: floor_at(floor, each))
    return floor_at(floor, x), x


def packs(
    supports: Sequence[tuple[str, str, float]], floor: Floor, line: float, packers: PackerSet
) -> tuple[Pack, ...]:
    """The pack under each support, given as (key, label, x in mm), for a level line z (mm)."""
    made = []
    for key, label, x in supports:
        z = floor_at(floor, x)
        pieces = _under(line, z, packers)
        error = 0.0 if pieces is None else on_tape(line, packers.style) - z - sum(pieces)
        made.append(Pack(key, label, x, z, line - z, pieces, error))
    return tuple(made)
