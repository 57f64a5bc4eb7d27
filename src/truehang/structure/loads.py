"""What load does the head see? Line loads and the code's combinations of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from truehang.catalogue.timber import CodeSet
from truehang.structure.inputs import AreaLoad

DURATIONS = ("permanent", "long", "medium", "short")
KPA_MM = 1e-3
"""1 kPa over 1 mm is 0.001 N per mm of length."""


@dataclass(frozen=True, slots=True)
class LineLoads:
    """Characteristic loads along the head, N/mm (= kN/m): dead, and live by kind."""

    dead: float
    live: dict[str, float]

    @property
    def all_live(self) -> float:
        """Every live load together, N/mm."""
        return sum(self.live.values())


@dataclass(frozen=True, slots=True)
class Combination:
    """Factors on dead load and on each kind of live load, and the duration of the shortest."""

    dead: float
    live: dict[str, float]
    duration: str


def line_loads(loads: Sequence[AreaLoad]) -> LineLoads:
    """Area loads times their tributary widths, added up."""
    live: dict[str, float] = {}
    for load in loads:
        if load.live > 0.0:
            live[load.kind] = live.get(load.kind, 0.0) + load.live * load.tributary * KPA_MM
    return LineLoads(sum(load.dead * load.tributary * KPA_MM for load in loads), live)


def load_combinations(code: CodeSet, kinds: Sequence[str]) -> tuple[Combination, ...]:
    """Dead load alone, then dead load with every group of live loads, each of them leading.

    The shortest load of a group sets its duration (EN 1995-1-1 3.1.3(2)), so groups without it
    are combinations of their own.
    """
    found = [Combination(code.dead_only, {}, "permanent")]
    for size in range(1, len(kinds) + 1):
        for group in combinations(kinds, size):
            shortest = max((code.load_duration[kind] for kind in group), key=DURATIONS.index)
            for leading in group:
                live = {
                    kind: code.live * (1.0 if kind == leading else code.companion[kind])
                    for kind in group
                }
                found.append(Combination(code.dead, live, shortest))
    return tuple(found)
