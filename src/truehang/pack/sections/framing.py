"""Where does each piece of framing stand, and how long is it? Every member, one to a row."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.members import standing
from truehang.pack.content import Block, Column, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.members import Member
    from truehang.plan import Plan

_KEY = (
    "x is from the datum, as seen from side A: the left and the right edge of each piece. Heights "
    "are up from the level line, with a minus under it. Lengths are as each piece stands: of alike "
    "pieces the longest is sawn, to be trimmed where it goes."
)
_KIT = (
    "What comes with a kit is cut by its maker: hold its lengths against these. x is from the "
    "datum, heights are up from the level line."
)


_THERE = (
    "What was found in the wall, or an old opening always has, from left to right. What is not "
    "sure is looked at before it is counted on; if it is not where it is written, stop: the plan "
    "is made again."
)


def there(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """What stands in the wall already, and what becomes of each piece."""
    found = [m for m in plan.members if m.origin != "new" and m.key != "there.head"]
    if not any(m.role in ("wall stud", "jamb stud", "king stud") for m in found):
        return ()
    table = Table(
        columns=(
            Column("Piece", share=0.8),
            Column(f"x from – to, {printing.unit}", "right", strong=True),
            Column("What becomes of it", share=2.0),
        ),
        rows=tuple(
            (
                str(m.label),
                f"{printing.length(m.x.low)} – {printing.length(m.x.high)}",
                f"{'Stays' if m.stands else 'Comes out'}: {m.where}",
            )
            for m in sorted(found, key=lambda m: (m.x.low, m.z.low, m.name))
        ),
        title="Framing that is there",
    )
    return (table, Text(_THERE, "small"))


def about(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """What goes in new about the frame, a row for each piece."""
    return _pieces(plan, printing, frame=False)


def frame(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The pieces of the frame itself, with the x from its own left end too."""
    return _pieces(plan, printing, frame=True)


def _pieces(plan: Plan, printing: Printing, *, frame: bool) -> tuple[Block, ...]:
    new = [m for m in standing(plan.members) if m.origin == "new" and m.role != "packers"]
    # A head strip is no part of a kit, but goes onto the frame while it lies on the floor.
    own = [m for m in new if m.key.startswith("frame.") or m.role == "head strip"]
    pieces = own if frame else [m for m in new if m not in own]
    if not pieces or plan.arrangement is None:
        return ()
    line = plan.arrangement.heights.level_line
    left = plan.arrangement.frame.low if frame else None
    title = "Pieces of the frame" if frame else "Pieces about the frame"
    return (_table(title, pieces, line, left, printing), Text(_KIT if frame else _KEY, "small"))


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
        small=True,
    )
