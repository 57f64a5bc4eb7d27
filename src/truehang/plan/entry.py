"""How are the rooms of a plan asked in turn? Each entry of the declared order says what it needs,
and sees no more than that; what it finds goes into the plan in the same order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.plan.given import Given

Said = TypeVar("Said")


def _nothing(_said: Any) -> tuple[()]:
    return ()


@dataclass(frozen=True, slots=True, eq=False)
class Entry(Generic[Said]):
    """One question of a plan: its name, what answers it, and the entries whose answers that needs.

    `fits`: it is asked only where something fits. `findings` and `figures` are what its answer has
    of them for the plan.
    """

    name: str
    ask: Callable[[Asked], Said]
    needs: tuple[Entry[Any], ...] = ()
    fits: bool = False
    findings: Callable[[Said], Iterable[Finding]] = _nothing
    figures: Callable[[Said], Iterable[Figure]] = _nothing


class NotAsked(LookupError):
    """An entry was looked up that was not asked, or that is not among those needed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known while a plan is made: what was given, and the answers so far."""

    given: Given
    answers: Mapping[Entry[Any], Any]

    def of(self, entry: Entry[Said]) -> Said:
        """An entry's answer. Raises NotAsked."""
        if entry not in self.answers:
            raise NotAsked(f"{entry.name} was not asked, or is not among what is needed")
        said: Said = self.answers[entry]
        return said

    def get(self, entry: Entry[Said]) -> Said | None:
        """An entry's answer; None where it was not asked since nothing fits."""
        return self.answers.get(entry)

    def findings(self) -> tuple[Finding, ...]:
        """What all answers found, in the order of asking."""
        return tuple(one for entry in self.answers for one in entry.findings(self.answers[entry]))

    def figures(self) -> tuple[Figure, ...]:
        """What all answers reckoned, in the order of asking."""
        return tuple(one for entry in self.answers for one in entry.figures(self.answers[entry]))


def walk(given: Given, order: Sequence[Entry[Any]], choice: Entry[Any]) -> Asked:
    """Asks the entries in their order. Once `choice` has said that nothing fits (None), what is
    asked only where something does is passed over."""
    answers: dict[Entry[Any], Any] = {}
    for entry in order:
        if entry.fits and answers[choice] is None:
            continue
        seen = {one: answers[one] for one in entry.needs if one in answers}
        answers[entry] = entry.ask(Asked(given, seen))
    return Asked(given, answers)


def needed(entry: Entry[Any], order: Sequence[Entry[Any]]) -> tuple[Entry[Any], ...]:
    """The entry with all that it leans on, in the declared order."""
    wanted = {entry}
    for one in reversed(order):
        if one in wanted:
            wanted |= set(one.needs)
    return tuple(one for one in order if one in wanted)
