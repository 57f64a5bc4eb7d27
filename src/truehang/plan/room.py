"""What is a room that is asked once a plan stands? A name, what it needs, and what it says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from truehang.catalogue import Catalogue
from truehang.figures import Figure
from truehang.findings import Finding
from truehang.plan.model import Plan


class Answer(Protocol):
    """What every room hands back beside its own result. It is a frozen dataclass; the
    messages in it are said in the job's voice, wherever they stand."""

    @property
    def findings(self) -> tuple[Finding, ...]: ...
    @property
    def figures(self) -> tuple[Figure, ...]: ...


Said = TypeVar("Said", bound=Answer)


@dataclass(frozen=True, slots=True)
class Room(Generic[Said]):
    """A room that is asked once a plan stands.

    `ask` gets the plan, with the answers of the rooms named in `needs`, and the catalogue with the
    job's own materials. It is pure: the same plan and catalogue, the same answer; None where the
    plan gives nothing to answer.
    """

    name: str
    ask: Callable[[Plan, Catalogue], Said | None]
    needs: tuple[str, ...] = ()

    def of(self, plan: Plan) -> Said | None:
        """Its answer in this plan; None where it was not asked, or had nothing to say."""
        said: Said | None = plan.answers.get(self.name)
        return said
