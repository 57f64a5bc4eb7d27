"""Does the chosen door meet the accessibility figures that the job asks for?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.fit import AccessCheck
    from truehang.plan import Plan

_ANSWER = {True: "met", False: "NOT MET", None: "prove it on site"}


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """Each figure against its limit; absent where the job asks for no rule set."""
    checks = plan.arrangement.access if plan.arrangement else ()
    if plan.access is None or not checks:
        return ()
    table = Table(
        columns=(
            Column("What", share=1),
            Column("This door", "right"),
            Column("Limit", "right"),
            Column("Answer", strong=True),
            Column("Rule", share=1),
        ),
        rows=tuple(_row(check) for check in checks),
        strong=tuple(i for i, check in enumerate(checks) if check.passed is False),
    )
    note = Text(
        f"{plan.access.title}. A check of figures, not a certificate: the "
        f"{printing.word('certifier')} decides.",
        "small",
    )
    asked = tuple(Text(f"To check: {line}.", "small") for line in plan.access.to_check)
    return (Section("Accessibility", (table, note, *asked)),)


def _row(check: AccessCheck) -> tuple[str, ...]:
    shown = str(check.shown) or DASH
    return (check.label, shown, str(check.limit), _ANSWER[check.passed], check.source)


PLACES = (Place("office", 50, section),)
