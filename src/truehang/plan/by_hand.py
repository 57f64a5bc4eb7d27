"""Which quarter turns does a hung leaf take, to be read off a sheet where no phone is at hand?

The same answers as `hang.turns` gives, worked out beforehand for every pair of gaps near those that
are wanted.
"""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue.kits import Kit
from truehang.figures import Figure
from truehang.findings import Finding
from truehang.fit import Arrangement
from truehang.hardware import EdgeGaps, HardwareError, LeafAsHung, hang_true
from truehang.lengths import LengthStyle
from truehang.measure import Profile
from truehang.plan.hang import hangers_of, wanted_gaps

STEPS: dict[LengthStyle, tuple[float, int]] = {"mm": (1.0, 3), "feet-inches": (25.4 / 16, 3)}
"""How far apart the gaps of the table lie (mm), and how many there are each way from the wanted."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """The gaps (mm) under the two bottom corners of a leaf that hangs true, closed, over the floor
    as it is now."""

    leaf: str
    leading: float
    trailing: float


@dataclass(frozen=True, slots=True)
class TurnTable:
    """Quarter turns for leaves of one width.

    `off` is the gap read less the gap wanted, mm; `quarters` has a row for each at the leading
    corner with (leading bolt, trailing bolt) for each at the trailing one, up counted plus.
    """

    wanted: tuple[Wanted, ...]
    off: tuple[float, ...]
    quarters: tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True, slots=True)
class TurnTables:
    """The tables of all leaves; `each` is empty for a kit whose bolts can't be reckoned with."""

    each: tuple[TurnTable, ...]
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()


def turn_tables(
    arrangement: Arrangement, kit: Kit, floor: Profile, style: LengthStyle
) -> tuple[TurnTable, ...]:
    """A table for each width of leaf; none for a kit whose bolts can't be reckoned with."""
    widths = dict.fromkeys(leaf.width for leaf in arrangement.leaves)
    step, count = STEPS[style]
    off = tuple(step * number for number in range(-count, count + 1))
    try:
        return tuple(
            TurnTable(
                tuple(
                    Wanted(leaf.name, *wanted_gaps(leaf, floor))
                    for leaf in arrangement.leaves
                    if leaf.width == width
                ),
                off,
                tuple(
                    tuple(
                        _quarters(arrangement, kit, width, (leading, trailing)) for trailing in off
                    )
                    for leading in off
                ),
            )
            for width in widths
        )
    except HardwareError:
        return ()


def _quarters(
    arrangement: Arrangement, kit: Kit, width: float, off: tuple[float, float]
) -> tuple[int, int]:
    leaf = next(leaf for leaf in arrangement.leaves if leaf.width == width)
    true = 100.0  # what it is does not matter, only how far off the gaps are
    gaps = EdgeGaps(true + off[0], true + off[1], true, true)
    hung = LeafAsHung(leaf.name, width, leaf.height, hangers_of(kit, width), gaps)
    turns = {turn.hanger: turn.quarters for turn in hang_true([hung]).turns}
    return turns["leading"], turns["trailing"]
