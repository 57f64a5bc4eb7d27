"""How is each length cut, and what is bought? The cutting plan."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.cutting.result import CutLine, SectionCuts
    from truehang.plan import Plan

_LEAD = (
    "Hook the tape on the squared end once per length; every mark is measured from there and has "
    "the saw cuts before it counted in."
)


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """One table per section of timber or trim, with what to buy and how good the plan is."""
    cuts = plan.cutting
    if cuts is None or not (cuts.sections or plan.unsized):
        return ()
    blocks: list[Block] = []
    if plan.unsized:
        blocks.append(Text(f"Not cut: head over the frame. Not sized: {plan.unsized}.", "strong"))
    for part in cuts.sections:
        blocks += _part(part, printing)
    if cuts.uncut:
        blocks.append(Text("Can't be cut from any stock: " + ", ".join(cuts.uncut), "strong"))
    blocks += album.printed("cut-bars")
    return (Section("Cutting plan", tuple(blocks), lead=_LEAD),)


_FINISHING = ("trim-", "skirting-")
"""What is cut at the end, by how its key begins; all else is framing."""


def framing(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The marks on each length of framing timber."""
    return _marks(plan, printing, finishing=False)


def finishing(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The marks on each length of trim."""
    return _marks(plan, printing, finishing=True)


def _marks(plan: Plan, printing: Printing, *, finishing: bool) -> tuple[Block, ...]:
    if plan.cutting is None:
        return ()
    tables = [
        replace(_table(part, printing), title=f"Marks on {part.section}", small=True)
        for part in plan.cutting.sections
        if _is_finishing(part) is finishing
    ]
    uncut = [Text(f"Not cut: head over the frame. Not sized: {plan.unsized}.", "strong")]
    first: list[Block] = [*uncut] if plan.unsized and not finishing else []
    return (*first, *tables, *([Text(_LEAD, "small")] if tables else []))


def _is_finishing(part: SectionCuts) -> bool:
    keys = [cut.part.removeprefix(f"{cut.job}:") for line in part.lines for cut in line.cuts]
    return all(key.startswith(_FINISHING) for key in keys)


def _part(part: SectionCuts, printing: Printing) -> list[Block]:
    buy = "; ".join(f"{p.count} × {printing.measure(p.length_mm)}" for p in part.purchases)
    return [
        _table(part, printing),
        Text(
            f"Buy: {buy or 'nothing'}. {part.proof.sentence()}",
            tone="small",
        ),
    ]


def _table(part: SectionCuts, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("No.", "right"),
            Column(f"Length {printing.unit}", "right"),
            Column("From"),
            Column("Mark at (how long: what, how made, where)", share=1, strong=True),
            Column("Left over", "right"),
        ),
        rows=tuple(_line(line, printing) for line in part.lines),
        title=part.section,
    )


def _line(line: CutLine, printing: Printing) -> tuple[str, ...]:
    marks = ";  ".join(
        f"{printing.length(cut.mark_mm)} ({printing.length(cut.length_mm)}: {cut.told})"
        for cut in line.cuts
    )
    left = printing.length(line.remainder_mm) + (", keep" if line.kept else "")
    source = "the rack" if line.source == "rack" else "bought"
    return (str(line.number), printing.length(line.length_mm), source, marks, left)


PLACES = (Place("office", 90, section),)
