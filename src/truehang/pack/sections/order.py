"""What must be ordered to size, and who has checked the sizes?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Facts, Section, SignOff, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Arrangement
    from truehang.plan import Plan

_STATEMENT = (
    "I have checked these sizes against the opening on site and against the datasheet of the kit "
    "and leaf that will be bought, and release them for manufacture."
)


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Leaves and frames to order, with lines to sign."""
    made = plan.arrangement
    if made is None:
        return ()
    blocks: list[Block] = [
        _leaf_facts(made, printing),
        _leaves(made, printing),
        _frame(made, printing),
        Text(
            f"{_rounding(printing)} and leave the floor gap. "
            "Sizes are of the finished leaf, edges included. Handles, latches and seals are cut "
            "in after the sizes are signed."
        ),
        SignOff(_STATEMENT, ("Measured by", "Checked by", "Customer")),
    ]
    blocks += album.printed("leaf-")
    return (Section("Order sheet", tuple(blocks), fresh=True),)


def _rounding(printing: Printing) -> str:
    if printing.style == "mm":
        return "Leaf heights are already rounded down to the millimetre"
    return "Leaf sizes are worked out in whole millimetres, told to the nearest 1/32 inch,"


def _leaf_facts(made: Arrangement, printing: Printing) -> Facts:
    width, height, thickness = made.leaf_order_size
    return Facts(
        (
            ("Leaf width", printing.measure(width), f"{len(made.leaves)} off"),
            ("Leaf height", printing.measure(height), ""),
            ("Leaf thickness", printing.fine_measure(thickness), made.option.leaf_name),
        )
    )


def _leaves(made: Arrangement, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Leaf", share=1),
            Column(f"Width {printing.unit}", "right", strong=True),
            Column(f"Height {printing.unit}", "right", strong=True),
            Column(f"Thick {printing.unit}", "right", strong=True),
            Column(f"About {printing.unit_of('kg')}", "right"),
            Column("Slides into", "left"),
        ),
        rows=tuple(
            (
                leaf.name,
                printing.length(leaf.width),
                printing.length(leaf.height),
                printing.fine(leaf.thickness),
                printing.bare(leaf.mass, "kg"),
                f"{leaf.pocket} pocket",
            )
            for leaf in made.leaves
        ),
        title=f"Leaves: {made.option.leaf_name}",
        large=True,
    )


def frame_size(made: Arrangement, printing: Printing) -> str:
    """Width × height of the frame: its own width, and its height from mark to mark as printed."""
    up = made.heights
    return f"{printing.length(made.frame.length)} × {printing.between(up.level_line, up.head_top)}"


def rough_size(made: Arrangement, printing: Printing) -> str:
    """Width × height of the rough opening, its height from the lowest floor under a support."""
    head = made.heights.rough_head
    return (
        f"{printing.between(made.rough.low, made.rough.high)} × "
        f"{printing.between(head - made.option.rough_height, head)}"
    )


def _frame(made: Arrangement, printing: Printing) -> Table:
    option = made.option
    facts = (
        (
            "Frame",
            frame_size(made, printing),
        ),
        (
            "Goes into a rough opening of",
            rough_size(made, printing),
        ),
        ("Clear opening between jambs", printing.between(made.opening.low, made.opening.high)),
        (
            "Wall: lining A, stud, lining B",
            " + ".join(
                printing.fine(t) for t in (made.wall.lining_a, made.wall.stud, made.wall.lining_b)
            ),
        ),
        ("Lead time, days", str(option.lead_time_days)),
    )
    return Table(
        columns=(
            Column("Frame", share=1),
            Column(f"Width × height, {printing.unit}", "right", strong=True),
        ),
        rows=facts,
        title=f"Frame: {option.kit_name}",
        large=True,
    )


PLACES = (Place("office", 70, section),)
