"""Does the chosen door meet the accessibility figures that the job asks for?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import DASH, Printing, number

if TYPE_CHECKING:
    from truehang.fit import AccessCheck
    from truehang.plan import Plan

_ANSWER = {True: "met", False: "NOT MET", None: "prove it on site"}


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """Each figure against its limit; absent where the job asks for no rule set."""
    checks = plan.arrangement.access if plan.arrangement else ()
    if not checks:
        return ()
    table = Table(
        columns=(
            Column("What", share=1),
            Column("This door", "right"),
            Column("Limit", "right"),
            Column("Answer", strong=True),
            Column("Rule", share=1),
        ),
        rows=tuple(_row(check, printing) for check in checks),
        strong=tuple(i for i, check in enumerate(checks) if check.passed is False),
    )
    note = Text(
        f"A check of figures, not a certificate: the {printing.word('certifier')} decides.", "small"
    )
    return (Section("Accessibility", (table, note)),)


def _row(check: AccessCheck, printing: Printing) -> tuple[str, ...]:
    return (check.label, _value(check, printing), check.limit, _ANSWER[check.passed], check.source)


def _value(check: AccessCheck, printing: Printing) -> str:
    if check.value is None:
        return DASH
    return f"{number(check.value, 1)} N" if check.key == "force" else printing.measure(check.value)
