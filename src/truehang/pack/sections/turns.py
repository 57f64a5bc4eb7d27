"""Which hanger bolts turn, and how far? A table to read it off, and lines to write the gaps on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan
    from truehang.plan.by_hand import TurnTable

_HOW = (
    "Close the leaf, read the gap under its leading and its trailing bottom corner, and take the "
    "wanted gap off each. The row of the leading corner and the column of the trailing one meet at "
    "the quarter turns: leading bolt / trailing bolt, plus raises and minus lowers the leaf. Turn "
    "the trailing bolt first, then read again."
)
_ROUNDS = ("first", "second", "third")


def table(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The turns table of each width of leaf, with its wanted gaps and lines to fill in."""
    return tuple(block for one in plan.turn_tables for block in _blocks(one, plan, printing))


def _blocks(one: TurnTable, plan: Plan, printing: Printing) -> tuple[Block, ...]:
    now = ", as the floor is now" if plan.arrangement and plan.arrangement.floor_to_come else ""
    filled = Table(
        columns=(
            Column("Leaf", strong=True),
            Column("Corner"),
            Column(f"Gap wanted{now}, {printing.unit}", "right", strong=True),
            *(Column(f"Read, {time} time", share=1) for time in _ROUNDS),
        ),
        rows=tuple(
            (want.leaf if corner == "leading" else "", corner, printing.length(gap), "", "", "")
            for want in one.wanted
            for corner, gap in (("leading", want.leading), ("trailing", want.trailing))
        ),
        title="Turns table: gaps of the closed leaf",
        large=True,
    )
    leaves = " and ".join(want.leaf for want in one.wanted)
    turns = Table(
        columns=(
            Column("Leading corner", "right", strong=True),
            *(Column(_off(gap, printing), "right") for gap in one.off),
        ),
        rows=tuple(
            (_off(gap, printing), *(_pair(pair) for pair in row))
            for gap, row in zip(one.off, one.quarters, strict=True)
        ),
        title=f"Quarter turns of the {leaves}: trailing corner across, {printing.unit} too large",
        small=True,
    )
    return (filled, Text(_HOW, tone="small"), turns)


def _off(gap: float, printing: Printing) -> str:
    return printing.length(gap, plus=True)


def _pair(quarters: tuple[int, int]) -> str:
    return " / ".join(f"{count:+d}".replace("-", "\u2212") if count else "0" for count in quarters)
