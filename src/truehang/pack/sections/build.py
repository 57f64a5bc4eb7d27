"""In what order is it built, and what is proved at each step? The build sheets."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from truehang.message import Message
from truehang.pack.content import Block, Section, Step, StepCheck
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing
from truehang.pack.sections import cutting, fixings, framing, lining, packers, turns

if TYPE_CHECKING:
    from truehang import steps
    from truehang.plan import Plan

    Maker = Callable[[Plan, Printing, Album], tuple[Block, ...]]

_LEAD = (
    "Tick the box of a step when every check of it is passed, and write what was read on its line. "
    "A hold point stands until the person named has recorded what it asks for. x is along the wall "
    "from the datum, as seen from side A."
)

Pieces = tuple[tuple[Block, ...], tuple[str, ...]]
"""What stands under a step, and which of its figures are told there (* for anything)."""


def _of(*makers: Maker, told: tuple[str, ...] = ()) -> Callable[[Plan, Printing, Album], Pieces]:
    def made(plan: Plan, printing: Printing, album: Album) -> Pieces:
        return tuple(block for maker in makers for block in maker(plan, printing, album)), told

    return made


def _fixed(*patterns: str, from_datum: bool = False) -> Maker:
    """The fixings whose row's key fits, each where it goes."""

    def made(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
        chosen = fixings.used(plan, *patterns)
        return fixings.rows(chosen, plan, printing, from_datum=from_datum)

    return made


def _zones(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    return fixings.zones(plan, printing)


_FRAME = ("head", "back-stud*", "closing-jamb", "base*")
_ASSEMBLY = ("frame-*", "head-strip")
_TRIM = ("trim-*", "skirting-*")
_IN_TABLES = (*_FRAME, *_TRIM, "lining-*", "framing*", *_ASSEMBLY)
"""The fixings that a step tells in its own table, each where it goes."""
_PIECES: dict[str, Callable[[Plan, Printing, Album], Pieces]] = {
    "studs-out": _of(framing.there, told=("framing.*",)),
    "frame-up": _of(framing.about, cutting.framing, _fixed("framing*")),
    "level-base": _of(packers.levels, told=("fit.pack.*", "fit.level_line", "site.pack*")),
    "assemble": _of(
        framing.frame,
        _fixed(*_ASSEMBLY),
        told=("takeoff.frame.*.length", "takeoff.head-strip.length"),
    ),
    "fix-frame": _of(_fixed(*_FRAME)),
    "hang": _of(packers.gaps, turns.table),
    "line": _of(
        _zones, lining.pieces, _fixed("lining-*", from_datum=True), told=("fixings.longest.*",)
    ),
    "trim": _of(cutting.finishing, _fixed(*_TRIM), told=("takeoff.*.length",)),
    "skirting": _of(cutting.finishing, _fixed(*_TRIM), told=("takeoff.*.length",)),
}
"""What each step is built from, under the step itself: nothing is looked up elsewhere."""

_ELSEWHERE: dict[str, tuple[str, ...]] = {"hand-over": ("fixings.longest.*",)}
"""Figures of steps without pieces that a sheet in hand has: the care sheet, which is shown."""

_SHEETS: dict[str, tuple[str, ...]] = {
    "protect": ("Drawings",),
    "services": ("Drawings",),
    "open-one": ("Rod", "Drawings"),
    "engineer": ("Structure",),
    "prop": ("Structure",),
    "studs-out": ("Rod", "Drawings"),
    "frame-up": ("Rod", "Drawings"),
    "level-base": ("Rod",),
    "assemble": ("Rod", "Drawings"),
    "fix-frame": ("Rod", "Drawings"),
    "furniture": ("Rod",),
    "hand-over": ("Care sheet",),
}
"""Which other sheets a step is built from, by how their headings begin."""


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Every step that applies to this job."""
    if not plan.steps:
        return ()
    blocks = tuple(_step(step, plan, printing, album) for step in plan.steps)
    return (Section("Build sheets", blocks, lead=_LEAD),)


def _step(step: steps.Step, plan: Plan, printing: Printing, album: Album) -> Step:
    maker = _PIECES.get(step.key)
    pieces, told = maker(plan, printing, album) if maker else ((), ())
    if pieces:
        used = (choice.row.key for choice in fixings.used(plan, *_IN_TABLES))
        told += tuple(f"fixings.{key}.use" for key in used)
    else:
        told = _ELSEWHERE.get(step.key, ())
    return Step(
        number=str(step.number),
        title=str(step.title),
        hold=str(step.hold),
        facts=tuple(
            (str(item.label), _value(item, printing))
            for item in step.numbers
            if not any(fnmatchcase(item.key, one) for one in told)
        ),
        pouch=tuple(map(str, step.pouch)),
        doing=tuple(map(str, step.do)),
        cautions=(str(step.caution),) if step.caution else (),
        checks=tuple(_check(check, printing) for check in step.checks),
        people=step.people,
        picture=album.picture(step.key),
        sheets=_SHEETS.get(step.key, ()),
        pieces=pieces,
    )


def numbered(
    sections: Sequence[Section], elsewhere: Mapping[str, str] | None = None
) -> tuple[Section, ...]:
    """The sections, with those that a step is built from named by number and heading. `elsewhere`
    says how the sheets of the pack's other papers are named; one that is nowhere is not named."""
    here = {one.heading: f"{at} {one.heading}" for at, one in enumerate(sections, start=1)}

    def found(start: str, among: Mapping[str, str]) -> tuple[str, ...]:
        return tuple(told for heading, told in among.items() if heading.startswith(start))

    def named(starts: tuple[str, ...]) -> tuple[str, ...]:
        """Here, or else in another paper."""
        return tuple(
            told for start in starts for told in found(start, here) or found(start, elsewhere or {})
        )

    return tuple(
        replace(
            one,
            blocks=tuple(
                replace(block, sheets=named(block.sheets)) if isinstance(block, Step) else block
                for block in one.blocks
            ),
        )
        for one in sections
    )


def _value(item: steps.Number, printing: Printing) -> str:
    if isinstance(item.value, Message):
        return str(item.value)
    return printing.figure(item.key, item.value, item.unit, item.ends)


def _check(check: steps.Check, printing: Printing) -> StepCheck:
    if check.low is None or check.high is None:
        return StepCheck(str(check.label))
    if check.unit == "mm":
        low, high = printing.fine(check.low), printing.fine(check.high)
    else:
        low, high = (printing.bare(end, check.unit) for end in (check.low, check.high))
    unit = printing.unit_of(check.unit)
    if check.unit == "mm" and printing.style != "mm":
        unit = ""
    told = f" {unit}" if unit else ""
    if check.low == -check.high:
        return StepCheck(str(check.label), f"within ±{high}{told}", unit)
    if check.low == 0:
        return StepCheck(str(check.label), f"at most {high}{told}", unit)
    return StepCheck(str(check.label), f"{low} to {high}{told}", unit)


PLACES = (Place("site", 30, section),)
