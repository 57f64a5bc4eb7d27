"""What does each leaf weigh, and how hard is it to move and to stop?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing, number

if TYPE_CHECKING:
    from truehang.plan import Plan


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
            Column("To slide N", "right"),
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
                band(leaf.sliding_force),
                band(leaf.closing_force),
                number(leaf.closing_energy, 1),
                DASH if leaf.energy_limit is None else number(leaf.energy_limit, 1),
            )
            for leaf in plan.hardware
        ),
    )
    note = Text(
        "Hangers: leading / trailing. Forces span the range of rolling and of the seals. "
        + _limit(plan),
        "small",
    )
    return (Section("Leaf and hardware", (table, note, *_drags(plan))),)


def _limit(plan: Plan) -> str:
    """Which limit the force is held against: the one the job asks for, or none."""
    if plan.access is None:
        return "No accessibility rule is wished for, so no limit is held against the force."
    if plan.access.force_most is None:
        return f"{plan.access.title}: no limit of force for a sliding door was seen."
    return f"{plan.access.title} allows {plan.access.force_most:g} N."


def _drags(plan: Plan) -> tuple[Block, ...]:
    """What each seal adds to that force, leaf by leaf, and whose figure it is."""
    leaves: dict[tuple[str, str, str, str], list[str]] = {}
    for leaf in plan.hardware:
        for drag in leaf.drags:
            newtons = f"{number(drag.low, 1)} to {number(drag.high, 1)}"
            told = (drag.place, newtons, str(drag.rule), drag.source)
            leaves.setdefault(told, []).append(leaf.name)
    rows = tuple((", ".join(names), *row) for row, names in leaves.items())
    if not rows:
        return ()
    columns = (
        Column("Leaf"),
        Column("Seal", share=1),
        Column("Holds back N", "right"),
        Column("From", share=1),
        Column("Whose figure", share=1),
    )
    return (Table(columns=columns, rows=rows),)


PLACES = (Place("office", 40, section),)
