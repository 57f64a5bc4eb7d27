"""What parts does the build take? The takeoff, group by group, net of waste."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.plan import Plan
    from truehang.takeoff import Item

HEADS = ("Count", "Part", "Length", "In all", "Bought as", "Where it goes", "How it is made")
_UNITS = {"each": "", "tube": "× tube"}


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The takeoff of parts."""
    if plan.takeoff is None or not plan.takeoff.items:
        return ()
    tables = tuple(
        Table(
            columns=(
                Column(HEADS[0], "right", strong=True),
                Column(HEADS[1], share=1.5),
                Column(f"{HEADS[2]} {printing.unit}", "right"),
                Column(HEADS[3], "right"),
                Column(HEADS[4], share=0.8),
                Column(HEADS[5], share=1.0),
                Column(HEADS[6], share=1.0),
            ),
            rows=tuple(row(item, printing) for item in items),
            title=group.capitalize(),
        )
        for group, items in groupby(plan.takeoff.items, key=lambda item: item.group)
    )
    note = Text("Net: no waste, and not yet rounded up to what is sold, but for boxes.", "small")
    return (Section("Takeoff of parts", (*tables, note)),)


def row(item: Item, printing: Printing) -> tuple[str, ...]:
    """One line under HEADS. Metres of a piece cut to length are not told twice."""
    length = DASH if item.length is None else printing.length(item.length)
    digits = 0 if item.unit in ("each", "tube") else 1
    whole = printing.quantity(item.quantity, _UNITS.get(item.unit, item.unit), digits)
    return (
        str(item.count) if item.length is not None or item.unit == "each" else "",
        str(item.label),
        length,
        DASH if item.unit == "each" else whole,
        item.stock or DASH,
        str(item.where),
        "; ".join(str(text) for text in (item.making, item.note) if text),
    )


PLACES = (Place("office", 80, section),)
