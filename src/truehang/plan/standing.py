"""May it be cut, ordered and built from these plans? Which findings stand, in the words that every
command, page, drawing and document says first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from truehang.findings import Finding, Severity, worst_first
from truehang.plain import to_plain


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands in the way. `draft` is True while a stop stands, or a hold before the order: then
    whatever gives a mark, a size, an order or a price is a draft.

    `findings` are the stops and holds, the worst first.
    """

    draft: bool
    headline: str
    findings: tuple[Finding, ...]

    @property
    def stamp(self) -> str:
        """What is printed over a drawing or a page of a draft; empty where it is none."""
        return self.headline if self.draft else ""

    @property
    def counted(self) -> str:
        """How much stands, without what that means: for a page that says it elsewhere."""
        return self.headline.partition(". ")[0]


DRAFT = "Cut, order and build nothing from this until that is mended"


def standing_of(found: Iterable[Finding]) -> Standing:
    """What these findings leave standing."""
    findings = worst_first(tuple(found))
    grave = tuple(one for one in findings if one.severity >= Severity.HOLD)
    draft = any(one.severity is Severity.STOP or one.before == "order" for one in grave)
    stops, holds, warnings = (
        sum(one.severity is severity for one in findings)
        for severity in (Severity.STOP, Severity.HOLD, Severity.WARN)
    )
    told = " and ".join(
        _counted(count, word) for count, word in ((stops, "stop"), (holds, "hold")) if count
    )
    stand = "stands" if stops + holds == 1 else "stand"
    if draft:
        headline = f"DRAFT: {told} {stand}. {DRAFT}"
    elif holds:
        headline = f"HOLD: {told} {stand}. What is held is not done until it is recorded"
    elif warnings:
        headline = f"No stop and no hold stands; {_counted(warnings, 'warning')} to look at"
    else:
        headline = "Nothing stands in the way"
    return Standing(draft, headline, grave)


def pooled(named: Sequence[tuple[str, Iterable[Finding]]]) -> Standing:
    """What stands in the way of several jobs that are cut together, each finding with its job.

    A name may be empty: for what is found of them together.
    """
    several = len({name for name, _ in named if name}) > 1
    return standing_of(
        replace(one, where=f"{name}: {one.where}") if several and name else one
        for name, found in named
        for one in found
    )


def told(standing: Standing, answer: Any) -> dict[str, Any]:
    """An answer as plain JSON values, with what stands in the way before all else."""
    plain = to_plain(answer)
    return {"standing": to_plain(standing), **plain}


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
