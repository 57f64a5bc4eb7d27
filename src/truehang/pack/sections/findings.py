"""What must be known before anything is ordered or cut? The findings, worst first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, cast

from truehang.findings import Finding, Severity, worst_first
from truehang.pack.content import Block, Notice, Section, SeverityWord, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan

HEADING = "Findings"
_MEANING = (
    "STOP: nothing may be ordered or built until it is mended. HOLD: stands in the way of one "
    "step until a person records something. WARN: look before you go on. NOTE: worth knowing."
)


def notices(findings: Iterable[Finding], *, brief: bool = False) -> tuple[Notice, ...]:
    """Findings as printed, worst first, repeats dropped; `brief` for the site."""
    return tuple(
        Notice(
            severity=cast(SeverityWord, finding.severity.word),
            where=finding.where,
            what=str(finding.what),
            mend=str(finding.mend),
            source=finding.source,
            brief=brief,
        )
        for finding in worst_first(tuple(findings))
    )


def tally(findings: Iterable[Finding]) -> str:
    """How many of each, worst first: "1 stop, 2 hold, 3 warn"; "" for none."""
    given = worst_first(tuple(findings))
    counts = ((level, sum(f.severity == level for f in given)) for level in reversed(Severity))
    return ", ".join(f"{count} {level.word}" for level, count in counts if count)


def section(plan: Plan, _printing: Printing, _album: Album) -> tuple[Section, ...]:
    """All findings of the plan."""
    blocks: tuple[Block, ...] = notices(plan.findings)
    if not blocks:
        blocks = (Text("Nothing was found that stops, holds or warns."),)
    return (Section(HEADING, blocks, lead=_MEANING),)


def on_site(plan: Plan, _printing: Printing, _album: Album) -> tuple[Section, ...]:
    """What stops, holds or warns, close together. What is only worth knowing stays in the office,
    and how much of it there is is said."""
    carried = [finding for finding in plan.findings if finding.severity >= Severity.WARN]
    left = tally(finding for finding in plan.findings if finding.severity < Severity.WARN)
    blocks: tuple[Block, ...] = notices(carried, brief=True)
    if not blocks:
        blocks = (Text("Nothing was found that stops, holds or warns."),)
    more = f" {left} more in the office part." if left else ""
    return (Section(HEADING, blocks, lead=_MEANING + more),)


PLACES = (
    Place("site", 10, on_site),
    Place("office", 10, section),
)
