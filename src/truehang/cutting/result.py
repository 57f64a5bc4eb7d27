"""What does a cutting plan say? Frozen results for lengths and for sheets, ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.money import Money

Source = Literal["buy", "rack"]
Objective = Literal["cost", "length"]


@dataclass(frozen=True, slots=True)
class Cut:
    """One part on a length: it lies from `start_mm` to `end_mm` of the uncut length.

    `mark_mm` is where the far end of the part is marked, measured from the squared end with the
    kerfs before it included, so that every mark is made with the tape hooked once. `rip_mm`,
    `making` and `where` are the part's own.
    """

    part: str
    job: str
    label: str
    length_mm: float
    start_mm: float
    end_mm: float
    mark_mm: float
    rip_mm: float | None = None
    making: str = ""
    where: str = ""

    @property
    def told(self) -> str:
        """What it is, what is done to it and where it goes, in one line."""
        parts = (self.label or self.part, self.making, self.where)
        return "; ".join(text for text in parts if text)


@dataclass(frozen=True, slots=True)
class CutLine:
    """One stock length and what is cut from it, in the order a person cuts: longest part first.

    `remainder_mm` is what is left after the last kerf; `kept` says it is long enough for the rack.
    """

    number: int
    stock: str
    source: Source
    section: str
    length_mm: float
    trim_mm: float
    kerf_mm: float
    cuts: tuple[Cut, ...]
    remainder_mm: float
    kept: bool


@dataclass(frozen=True, slots=True)
class Purchase:
    """How many of one stock length to buy."""

    stock: str
    section: str
    length_mm: float
    count: int
    price: Money | None
    total: Money | None


@dataclass(frozen=True, slots=True)
class Proof:
    """How good is the answer? `value` and `bound` are in the objective's unit.

    Unit: minor units of money for "cost", tenths of a millimetre for "length".
    `gap` = (value - bound) / value; 0.0 with `proved` True means that nothing better exists.
    """

    objective: Objective
    value: int
    bound: float
    gap: float
    proved: bool
    method: str

    def sentence(self) -> str:
        """The proof in words, for every place that shows the plan."""
        goal = "cost" if self.objective == "cost" else "length bought"
        if self.proved:
            return f"Proved: no cutting plan has less {goal}."
        return f"Not proved: the {goal} is at most {self.gap:.2%} above the least possible."


@dataclass(frozen=True, slots=True)
class SectionCuts:
    """The cutting plan of one section (one size and kind of timber or trim)."""

    section: str
    lines: tuple[CutLine, ...]
    purchases: tuple[Purchase, ...]
    proof: Proof
    used_mm: float
    kept_mm: float
    waste_mm: float


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """All sections of a cutting request. Parts that can't be cut are named in `uncut`."""

    sections: tuple[SectionCuts, ...]
    uncut: tuple[str, ...]
    total: Money | None
    proved: bool
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def lines(self) -> tuple[CutLine, ...]:
        """Every cut line of every section, in order."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """Everything to buy, section by section, longest first."""
        return tuple(item for section in self.sections for item in section.purchases)


@dataclass(frozen=True, slots=True)
class Placed:
    """A part on a sheet: lower left corner and size in mm, as it lies on the sheet."""

    part: str
    job: str
    label: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class SawCut:
    """One edge-to-edge cut, in the order of sawing: from (x0, y0) to (x1, y1) on the sheet, mm."""

    order: int
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """One sheet, what is cut from it and the saw cuts that free the parts."""

    number: int
    sheet: str
    source: Source
    width_mm: float
    height_mm: float
    placed: tuple[Placed, ...]
    cuts: tuple[SawCut, ...]


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """All sheets of one material."""

    material: str
    sheets: tuple[SheetLayout, ...]
    purchases: tuple[Purchase, ...]
    uncut: tuple[str, ...]
    total: Money | None
    proof: Proof | None
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
