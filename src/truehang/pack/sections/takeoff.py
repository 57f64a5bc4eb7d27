"""What parts does the build take? Frame, running gear and leaves, counted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table
from truehang.pack.drawings import Album
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.fit import FramePart
    from truehang.plan import Plan

Row = tuple[str, str, str, str, str]


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The takeoff of parts."""
    parts = rows(plan, printing)
    if not parts:
        return ()
    table = Table(
        columns=(
            Column("Count", "right", strong=True),
            Column("Part", share=1),
            Column("What"),
            Column(f"Section {printing.unit}", "right"),
            Column(f"Length {printing.unit}", "right"),
        ),
        rows=parts,
    )
    return (Section("Takeoff of parts", (table,)),)


def rows(plan: Plan, printing: Printing) -> tuple[Row, ...]:
    """Count, part, material, section and length of every part, leaves last."""
    made = plan.arrangement
    if made is None:
        return ()
    width, height, thickness = made.leaf_order_size
    leaf = (
        str(len(made.leaves)),
        made.option.leaf_name,
        "leaf",
        printing.length(thickness),
        f"{printing.length(width)} × {printing.length(height)}",
    )
    return (*(_row(part, printing) for part in made.parts), leaf)


def _row(part: FramePart, printing: Printing) -> Row:
    thick, wide = part.section
    section = f"{printing.length(thick)} × {printing.length(wide)}" if thick and wide else DASH
    length = printing.length(part.length) if part.length else DASH
    return (str(part.count), part.label, part.material, section, length)
