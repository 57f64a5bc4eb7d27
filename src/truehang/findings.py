"""How does any room report trouble? As a `Finding`: how bad, where, what, and the mend."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from truehang.message import Message, message


class Severity(IntEnum):
    """How much a finding stops. Ordered: the larger, the worse."""

    NOTE = 1
    """Worth knowing; nothing to do."""
    WARN = 2
    """Look at it before you go on."""
    HOLD = 3
    """Stands in the way of one step until a person records something."""
    STOP = 4
    """Nothing may be ordered or built on this plan until it is mended."""

    @property
    def word(self) -> str:
        """The lower-case word that people see: note, warn, hold or stop."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Change:
    """A value of the job file that a mend gives: where it stands and what it becomes.

    `path` is as people read it: "wishes.clear_width"; in a list of things with ids the id stands
    for the number: "wall.services.outlet-1.x". None takes the value out.
    """

    path: str
    value: float | str | bool | None


@dataclass(frozen=True, slots=True, init=False)
class Finding:
    """One thing a person must know.

    `where` names the place in the job ("measure.width-mid", "left pocket", "leaf 1");
    `what` says what is wrong with its number and unit; `mend` says what to do about it;
    `source` names the rule it comes from ("common practice, no source" where there is none).
    `changes` are the values that the mend states, where it states any: made together, the finding
    goes, and nothing worse comes in its place. `before` is "order" for a hold that stands before
    anything is ordered or cut; another hold stops the step that its place names.
    """

    severity: Severity
    where: str
    what: Message
    mend: Message
    source: str
    changes: tuple[Change, ...] = ()
    before: str = ""

    def __init__(
        self,
        severity: Severity,
        where: str,
        what: Message | str,
        mend: Message | str,
        source: str,
        changes: tuple[Change, ...] = (),
        before: str = "",
    ) -> None:
        """`what` and `mend` may be given as they are written, as f-strings."""
        put = object.__setattr__
        put(self, "severity", severity)
        put(self, "where", where)
        put(self, "what", message(what))
        put(self, "mend", message(mend))
        put(self, "source", source)
        put(self, "changes", changes)
        put(self, "before", before)


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with the worst first; ties keep their order. Repeats are dropped."""
    unique = dict.fromkeys(findings)
    return tuple(sorted(unique, key=lambda finding: -finding.severity))
