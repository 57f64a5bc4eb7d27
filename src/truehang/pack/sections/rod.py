"""Where does every mark go? Running marks from one datum, never a chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import RodMark
    from truehang.plan import Plan

_BOX = "☐"


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """Both tables of marks, with boxes to tick as they are struck."""
    if plan.arrangement is None:
        return ()
    rod = plan.arrangement.rod
    lead = (
        "Hook the tape on the datum once and strike every mark from it; never measure on from the "
        f"last mark. Along: x = 0 is {_plain(plan.job.wall.datum)}, to the right seen from side A. "
        "Up: z = 0 is the level datum line, not the floor; beside it, the same mark from the level "
        "line, which is the underside of the frame. The rod strip prints the marks along the wall "
        "at full size."
    )
    return (
        Section(
            "Rod: running marks",
            (
                _along(rod.along, printing),
                _up(rod.up, plan.arrangement.heights.level_line, printing),
            ),
            lead=lead,
        ),
    )


def _plain(text: str) -> str:
    return text.strip().rstrip(".")


def _along(marks: Sequence[RodMark], printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Struck"),
            Column(f"x from the datum, {printing.unit}", "right", strong=True),
            Column("Mark", share=1),
            Column("What it is", share=1.3),
        ),
        rows=tuple((_BOX, printing.length(m.at), m.label, m.what) for m in marks),
        title="Along the wall, x",
        large=True,
    )


def _up(marks: Sequence[RodMark], line: float, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Struck"),
            Column(f"z from the level datum, {printing.unit}", "right", strong=True),
            Column(f"from the level line, {printing.unit}", "right"),
            Column("Mark", share=1.2),
            Column("What it is", share=1.5),
        ),
        rows=tuple(
            (_BOX, printing.length(m.at), printing.between(line, m.at), m.label, m.what)
            for m in marks
        ),
        title="Up the wall, z",
        large=True,
    )


PLACES = (Place("site", 20, section),)
