"""What does each leaf weigh, and how hard is it to move and to stop?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import DASH, Printing, number

if TYPE_CHECKING:
    from truehang.plan import Plan

FORCE_LIMIT = "ADA 2010, s404.2.9, allows an accessible door 22.2 N; other rule sets differ."


def section(plan: Plan, _printing: Printing, _album: Album) -> tuple[Section, ...]:
    """Mass, hanger loads, forces and soft-close energy of each leaf."""
    if not plan.hardware:
        return ()

    def band(pair: tuple[float, float]) -> str:
        low, high = (number(value, 1) for value in pair)
        return low if low == high else f"{low} to {high}"

    table = Table(
        columns=(
            Column("Leaf", share=1),
            Column("Mass kg", "right", strong=True),
            Column("Hangers standing N", "right"),
            Column("Most on a hanger N", "right"),
            Column("To start N", "right"),
            Column("To close N", "right"),
            Column("Closing energy J", "right"),
            Column("Soft close takes J", "right"),
        ),
        rows=tuple(
            (
                leaf.name,
                number(leaf.mass, 1),
                " / ".join(number(value) for value in leaf.standing),
                " / ".join(number(value) for value in leaf.most),
                band(leaf.starting_force),
                band(leaf.closing_force),
                number(leaf.closing_energy, 1),
                DASH if leaf.energy_limit is None else number(leaf.energy_limit, 1),
            )
            for leaf in plan.hardware
        ),
    )
    note = Text(
        f"Hangers: leading / trailing. Forces span the rolling band. {FORCE_LIMIT}", "small"
    )
    return (Section("Leaf and hardware", (table, note)),)
