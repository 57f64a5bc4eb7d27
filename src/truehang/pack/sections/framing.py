"""Where does each piece of framing stand, and how long is it? Every member, one to a row."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.members import standing
from truehang.pack.content import Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.members import Member
    from truehang.plan import Plan

_LEAD = (
    "x is from the datum, as seen from side A: the left and the right edge of each piece. Heights "
    "are up from the level line, with a minus under it."
)


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """All that goes in new, what is about the frame first."""
    pieces = [m for m in standing(plan.members) if m.origin == "new" and m.role != "packers"]
    if not pieces or plan.arrangement is None:
        return ()
    frame = [m for m in pieces if m.key.startswith("frame.")]
    about = [m for m in pieces if not m.key.startswith("frame.")]
    line, left = plan.arrangement.heights.level_line, plan.arrangement.frame.low
    tables = (
        _table("About the frame", about, line, None, printing),
        _table("The frame itself", frame, line, left, printing),
    )
    note = Text(
        "Lengths are as each piece stands. Of alike pieces the cutting plan saws the longest, to "
        "be trimmed where it goes. What comes with a kit is cut by its maker: hold its lengths "
        "against these.",
        tone="small",
    )
    blocks = [table for table in tables if table.rows]
    return (Section("Framing: where each piece stands", (*blocks, note), lead=_LEAD, fresh=True),)


def _table(
    title: str, pieces: list[Member], line: float, left: float | None, printing: Printing
) -> Table:
    """One row for each piece, from left to right; `left` adds the x from the frame's own end."""
    own = () if left is None else (Column("From the frame's left end", "right"),)
    return Table(
        columns=(
            Column("Piece", share=1.4),
            Column(f"x from – to, {printing.unit}", "right", strong=True),
            *own,
            Column("Up from – to", "right"),
            Column("Long", "right", strong=True),
            Column("Cut from", share=0.8),
        ),
        rows=tuple(
            (
                m.name,
                f"{printing.length(m.x.low)} – {printing.length(m.x.high)}",
                *(() if left is None else (printing.between(left, m.x.low),)),
                f"{printing.between(line, m.z.low)} – {printing.between(line, m.z.high)}",
                printing.length(m.length),
                m.stock or m.bought_in or DASH,
            )
            for m in sorted(pieces, key=lambda m: (m.x.low, m.z.low, m.name))
        ),
        title=title,
    )
