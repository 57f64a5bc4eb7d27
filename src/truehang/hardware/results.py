"""What does the room answer? Mass, loads and forces of each leaf, and the turns to hang it true."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.hardware.inputs import Drag
from truehang.message import Message


@dataclass(frozen=True, slots=True)
class LeafHardware:
    """One leaf on its hangers. kg, N, J and mm; pairs give the leading hanger first.

    `standing` are the hanger loads with no hand on the leaf, `most` and `least` the extremes over
    the travel, with the hand pushing either way; `centre` the centre of mass from the leading
    edge; forces as (low, high) of the rolling band and of what the seals hold back: to start it
    open from closed, to keep it sliding, and to close it with its seals pressed home. `drags` are
    what of them is not rolling or soft close.
    """

    name: str
    mass: float
    centre: float
    standing: tuple[float, float]
    most: tuple[float, float]
    least: tuple[float, float]
    drags: tuple[Drag, ...]
    starting_force: tuple[float, float]
    sliding_force: tuple[float, float]
    closing_force: tuple[float, float]
    closing_energy: float
    energy_limit: float | None
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def bare_force(self) -> float:
        """The most that it takes to start the leaf before its seals go in, N."""
        return self.starting_force[1] - sum(d.high for d in self.drags if d.when != "pressed")

    @property
    def force(self) -> tuple[float, float]:
        """The force that moving the leaf takes at its hardest, low and high, N."""
        each = (self.starting_force, self.sliding_force, self.closing_force)
        return max(low for low, _ in each), max(high for _, high in each)


@dataclass(frozen=True, slots=True)
class BoltTurn:
    """Turn this bolt: whole quarter turns, up or down, as the `order`-th thing done."""

    order: int
    leaf: str
    hanger: Literal["leading", "trailing"]
    quarters: int
    direction: Literal["up", "down", "leave"]
    movement: float
    """How far the leaf moves at this hanger, mm; positive is up."""
    words: Message


@dataclass(frozen=True, slots=True)
class HangingLeft:
    """What the hanger bolts can still do, mm: up and down (leading first), and the least of it
    (negative when they can't reach)."""

    up: tuple[float, float]
    down: tuple[float, float]
    least: float
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Residual:
    """A gap as read, as it should be, and as it is expected after the turns (mm).

    `finished`: what it is then once the floor still to come is down; None where none is to come.
    """

    name: Message
    read: float
    target: float
    after: float
    finished: float | None = None


@dataclass(frozen=True, slots=True)
class HangingAdjustment:
    """The turns in order, what the gaps will then be, and how much of the bolts is left (mm)."""

    turns: tuple[BoltTurn, ...]
    residuals: tuple[Residual, ...]
    within_range: bool
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
