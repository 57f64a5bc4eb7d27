"""How much gap is there under a leaf along its whole travel, and how high does it hang?

The leaf travels level, so gap(x) = leaf bottom - finished floor z(x). Target 8 to 12, never under
5 (common practice, no source). Where the floor falls too much for the target, the leaf is hung so
that least and most lie evenly about the design gap, but never under 5 at the least.
"""

from __future__ import annotations

from truehang.fit.model import Floor, FloorGap, Span
from truehang.fit.packers import floor_at
from truehang.lengths import said

GAP_TARGET = Span(8.0, 12.0)
GAP_NEVER_UNDER = 5.0
SEEN = 0.4
"""A gap that is off its target by less (mm) is on it: half of the coarser last step of a tape."""


def extremes(floor: Floor, travel: Span) -> tuple[float, float, float, float]:
    """(highest z, its x, lowest z, its x) of the finished floor along `travel`, all mm."""
    at = [travel.low, *(x for x in floor.x if travel.low < x < travel.high), travel.high]
    z = [floor_at(floor, x) + floor.build_up for x in at]
    high, low = z.index(max(z)), z.index(min(z))
    return z[high], at[high], z[low], at[low]


def leaf_bottom(
    line: float, design_gap: float, build_up: float, high: float, low: float, drop: float = 0.0
) -> float:
    """z (mm) of the leaf's bottom.

    `line` is the level line, `high`/`low` the extremes of the finished floor along the travel,
    `drop` what the head still comes down once the leaf hangs: the least gap is kept then too.
    Moved off the design gap by whole millimetres, so that frame heights stay whole.
    """
    bottom = line + design_gap + build_up
    never = GAP_NEVER_UNDER + drop
    if bottom - high >= max(GAP_TARGET.low, never) and bottom - low <= GAP_TARGET.high:
        return bottom
    least = max(never, design_gap - (high - low) / 2)
    moved = bottom + round(high + least - bottom)
    return moved if moved - high >= never - 1e-9 else moved + 1


def on_stacks(gap: FloorGap) -> str:
    """What the gap comes out at on the stacks as they are made, said once for every page; "" where
    they make the packs that are wanted, or as near as a tape shows."""
    if not gap.off:
        return ""
    least, most = gap.least_built, gap.most_built
    down = f"{said(least)} to {said(most)}"
    if gap.to_come:
        now = f"{said(least + gap.to_come)} to {said(most + gap.to_come)}"
        down = f"{now} now, {down} when the floor is down"
    return f"on the stacks as they are made {down}, until the hanger bolts are turned"
