"""What does each leaf weigh, and how hard is it to move and to stop?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.amounts import told_given
from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.plan import Plan


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """Mass, hanger loads, forces and soft-close energy of each leaf."""
    if not plan.hardware:
        return ()

    def band(pair: tuple[float, float]) -> str:
        low, high = (printing.bare(value, "N") for value in pair)
        return low if low == high else f"{low} to {high}"

    kg, newton, joule = (printing.unit_of(unit) for unit in ("kg", "N", "J"))
    table = Table(
        columns=(
            Column("Leaf", share=1),
            Column(f"Mass {kg}", "right", strong=True),
            Column(f"Hangers standing {newton}", "right"),
            Column(f"Most on a hanger {newton}", "right"),
            Column(f"To start {newton}", "right"),
            Column(f"To slide {newton}", "right"),
            Column(f"To close {newton}", "right"),
            Column(f"Closing energy {joule}", "right"),
            Column(f"Soft close takes {joule}", "right"),
        ),
        rows=tuple(
            (
                leaf.name,
                printing.bare(leaf.mass, "kg"),
                " / ".join(printing.bare(value, "N", 0) for value in leaf.standing),
                " / ".join(printing.bare(value, "N", 0) for value in leaf.most),
                band(leaf.starting_force),
                band(leaf.sliding_force),
                band(leaf.closing_force),
                printing.bare(leaf.closing_energy, "J"),
                DASH if leaf.energy_limit is None else printing.bare(leaf.energy_limit, "J"),
            )
            for leaf in plan.hardware
        ),
    )
    note = Text(
        "Hangers: leading / trailing. Forces span the range of rolling and of the seals. "
        + _limit(plan, printing),
        "small",
    )
    return (Section("Leaf and hardware", (table, note, *_drags(plan, printing))),)


def _limit(plan: Plan, printing: Printing) -> str:
    """Which limit the force is held against: the one the job asks for, or none."""
    if plan.access is None:
        return "No accessibility rule is wished for, so no limit is held against the force."
    if plan.access.force_most is None:
        return f"{plan.access.title}: no limit of force for a sliding door was seen."
    return f"{plan.access.title} allows {told_given(plan.access.force_most, 'N', printing.style)}."


def _drags(plan: Plan, printing: Printing) -> tuple[Block, ...]:
    """What each seal adds to that force, leaf by leaf, and whose figure it is."""
    leaves: dict[tuple[str, str, str, str], list[str]] = {}
    for leaf in plan.hardware:
        for drag in leaf.drags:
            newtons = f"{printing.bare(drag.low, 'N')} to {printing.bare(drag.high, 'N')}"
            told = (drag.place, newtons, str(drag.rule), drag.source)
            leaves.setdefault(told, []).append(leaf.name)
    rows = tuple((", ".join(names), *row) for row, names in leaves.items())
    if not rows:
        return ()
    columns = (
        Column("Leaf"),
        Column("Seal", share=1),
        Column(f"Holds back {printing.unit_of('N')}", "right"),
        Column("From", share=1),
        Column("Whose figure", share=1),
    )
    return (Table(columns=columns, rows=rows),)


PLACES = (Place("office", 40, section),)
