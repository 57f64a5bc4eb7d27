"""In what order is it built, and what is proved at each step? The build sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from truehang.pack.content import Section, Step
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing, number

if TYPE_CHECKING:
    from truehang import steps
    from truehang.plan import Plan

_LEAD = (
    "Tick the box when every check of a step is passed. A hold point stands until the person "
    "named has recorded what it asks for."
)


_SHEETS: dict[str, tuple[str, ...]] = {
    "services": ("Elevations",),
    "open-one": ("Lining", "Elevations"),
    "engineer": ("Structure",),
    "prop": ("Structure",),
    "studs-out": ("Lining",),
    "frame-up": ("Framing", "Takeoff of parts", "Cutting plan", "Rod", "Packers and floor gap"),
    "level-base": ("Packers and floor gap",),
    "assemble": ("Frame set-out", "Framing", "Takeoff of parts"),
    "fix-frame": ("Rod", "Fixings", "Packers and floor gap"),
    "hang": ("Order sheet", "Packers and floor gap"),
    "stops": ("Leaf and hardware", "Plan section"),
    "line": ("Lining", "Fixings"),
    "trim": ("Takeoff of parts", "Cutting plan", "Fixings"),
    "skirting": ("Takeoff of parts", "Cutting plan", "Fixings"),
    "furniture": ("Order sheet", "Vertical section"),
    "hand-over": ("Fixings",),
}
"""Which sections a step is built from, by how their headings begin."""


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Every step that applies to this job."""
    if not plan.steps:
        return ()
    blocks = tuple(_step(step, printing, album) for step in plan.steps)
    return (Section("Build sheets", blocks, lead=_LEAD, fresh=True),)


def _step(step: steps.Step, printing: Printing, album: Album) -> Step:
    return Step(
        number=str(step.number),
        title=step.title,
        hold=step.hold,
        facts=tuple((item.label, _value(item, printing)) for item in step.numbers),
        pouch=step.pouch,
        doing=step.do,
        cautions=(step.caution,) if step.caution else (),
        checks=tuple(_check(check, printing) for check in step.checks),
        people=step.people,
        picture=album.picture(step.key),
        sheets=_SHEETS.get(step.key, ()),
    )


def numbered(sections: Sequence[Section]) -> tuple[Section, ...]:
    """The sections, with those that a step is built from named by number and heading; a sheet that
    this document has not got is not named."""

    def named(starts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(
            f"{at} {one.heading}"
            for start in starts
            for at, one in enumerate(sections, start=1)
            if one.heading.startswith(start)
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
    if isinstance(item.value, str):
        return item.value
    return printing.figure(item.key, item.value, item.unit, item.ends)


def _check(check: steps.Check, printing: Printing) -> str:
    if check.low is None or check.high is None:
        return check.label
    if check.unit == "mm":
        low, high = printing.fine(check.low), printing.fine(check.high)
    else:
        low, high = number(check.low, 1), number(check.high, 1)
    unit = "" if check.unit == "mm" and printing.style != "mm" else f" {check.unit}"
    if check.low == -check.high:
        return f"{check.label}: within ±{high}{unit}"
    if check.low == 0:
        return f"{check.label}: at most {high}{unit}"
    return f"{check.label}: {low} to {high}{unit}"
