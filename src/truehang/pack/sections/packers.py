"""What goes under each support, and is the floor gap right along the whole travel?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Facts, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Arrangement, Pack
    from truehang.plan import Plan


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Level line, packer stacks, floor gaps."""
    made = plan.arrangement
    if made is None:
        return ()
    heights = made.heights
    blocks: list[Block] = [
        *album.printed("packers"),
        Facts(
            (
                (
                    "Level line (top of all packs)",
                    f"{printing.small(heights.level_line, plus=True)} {_mm(printing)}",
                    "z from the level datum",
                ),
                (
                    "Underside of leaf",
                    f"{printing.small(heights.leaf_bottom, plus=True)} {_mm(printing)}",
                    "z from the level datum",
                ),
                (
                    "Finished floor, low to high",
                    f"{printing.small(heights.floor_low, plus=True)} to "
                    f"{printing.small(heights.floor_high, plus=True)} {_mm(printing)}",
                    "under the frame",
                ),
            )
        ),
        _stacks(made, printing),
        _gaps(made, printing),
        Text(
            "Pack solid before any fixing is tightened, and check the base against the level line "
            "again after tightening.",
            tone="small",
        ),
    ]
    return (Section("Packers and floor gap", tuple(blocks)),)


def _mm(printing: Printing) -> str:
    return "mm" if printing.style == "mm" else ""


def _pieces(pack: Pack, printing: Printing) -> str:
    if pack.pieces is None:
        return "plane, or pack with a tapered plate"
    return " + ".join(printing.piece(piece) for piece in pack.pieces) or "none"


def _stacks(made: Arrangement, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Support", share=1),
            Column(f"x {printing.unit}", "right"),
            Column("Floor z", "right"),
            Column("Pack", "right", strong=True),
            Column("Pieces", strong=True, share=0.7),
        ),
        rows=tuple(
            (
                pack.label,
                printing.length(pack.x),
                printing.small(pack.floor, plus=True),
                printing.small(pack.height),
                _pieces(pack, printing),
            )
            for pack in made.packs
        ),
        title="Packers under each support",
        large=True,
    )


def _gaps(made: Arrangement, printing: Printing) -> Table:
    def at(gap: float, x: float) -> str:
        return f"{printing.small(gap)} at {printing.length(x)}"

    return Table(
        columns=(
            Column("Leaf", share=1),
            Column(f"Least gap, {printing.unit}", "right"),
            Column(f"Most gap, {printing.unit}", "right"),
            Column("Guide still engaged by", "right"),
        ),
        rows=tuple(
            (
                gap.leaf,
                at(gap.least, gap.least_at),
                at(gap.most, gap.most_at),
                printing.small(gap.guide_engagement),
            )
            for gap in made.floor_gaps
        ),
        title="Gap between leaf and finished floor along the travel",
    )
