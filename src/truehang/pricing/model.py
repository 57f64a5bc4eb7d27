"""What does pricing take in and hand back? What is bought and done; what it costs, and its price.

`Cost` is private: what the carpenter pays. `Price` is what the customer sees, and holds nothing of
a cost. Money is whole minor units of one currency, before tax where it does not say.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from truehang.amounts import LengthStyle, told
from truehang.findings import Finding
from truehang.money import Money
from truehang.pricing.spread import Spread
from truehang.tax import TaxSum, Way

Kind = Literal["goods", "labour", "plant", "travel", "waste", "allowance"]
Basis = Literal["mean", "p50", "p80", "p95"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """Something to buy, in whole purchase units: `count` of them at `each` (minor units; None where
    nobody knows its price). `id` is its id in the catalogue, `group` that of the takeoff, `sold`
    what one is ("length of 2400", "box of 500"), `size` the size it is made to, if it is."""

    key: str
    id: str
    label: str
    section: str
    group: str
    sold: str
    count: int
    each: int | None
    supplier: str
    invented: bool
    spread: tuple[float, float, float] = (1.0, 1.0, 1.0)
    size: str = ""
    job: str = ""
    code: str = ""
    """What its supplier calls it, from his price list."""
    priced_on: str = ""
    """The day of its price, as year-month-day; empty where it has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A task: `quantity` of `unit`, each taking `hours` (low, likely, high; None where nobody has
    said) of a crew at `hour` (minor units)."""

    key: str
    label: str
    section: str
    quantity: float
    unit: str
    hours: tuple[float, float, float] | None
    crew: str
    hour: int | None
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A sum of money: plant, travel, waste, or an allowance with what it is tied to (`because`)."""

    key: str
    kind: Literal["plant", "travel", "waste", "allowance"]
    label: str
    section: str
    quantity: float
    unit: str
    each: tuple[int, int, int] | None
    invented: bool
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One line of the cost: `low`, `likely`, `high` and their mean, each rounded once."""

    key: str
    kind: Kind
    label: str
    section: str
    quantity: float
    unit: str
    low: int
    likely: int
    high: int
    mean: int
    crew: str = ""
    hours: tuple[float, float, float] | None = None
    supplier: str = ""
    id: str = ""
    because: str = ""
    invented: bool = False

    def how_much(self, style: LengthStyle) -> str:
        """So many of its unit, as a job of this style tells them: "7.43 m" is "24.4 ft"."""
        unit = self.unit.replace("²", "2")
        if unit in ("m", "m2", "kg"):
            return told(self.quantity, unit, style, 2)
        return f"{self.quantity:,.4g} × {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a job costs: PRIVATE. `total` is the sum of the lines' means, `spread` how sure that is,
    `hours` of all crews together, low, likely, high; `missing` names what no price was found for.
    """

    currency: str
    lines: tuple[CostLine, ...]
    total: Money
    spread: Spread
    hours: tuple[float, float, float]
    missing: tuple[str, ...]
    invented: tuple[str, ...]
    findings: tuple[Finding, ...]

    def of(self, kind: Kind) -> Money:
        """The cost of one kind of line."""
        return Money(sum(n.mean for n in self.lines if n.kind == kind), self.currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOf:
    """One payment: `part` of the whole, and when it falls due."""

    key: str
    name: str
    when: str
    part: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """How a price is made of a cost. One of `markup` (on cost) and `margin` (of the price) is
    given, as a fraction. `stages` are parts that make one; `retention` is held back of each."""

    markup: Decimal | None = None
    margin: Decimal | None = None
    basis: Basis = "p80"
    tax_name: str = "tax"
    tax_rate: Decimal = Decimal(0)
    tax_way: Way = "total"
    stages: tuple[StageOf, ...] = ()
    retention: Decimal = Decimal(0)
    valid_days: int = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line of a price, as the customer sees it. `tax` is the line's own, rounded; the tax of
    the whole is that of `Price.taxes`. An `allowance` is settled by what it really comes to."""

    key: str
    label: str
    kind: Literal["work", "allowance"]
    net: Money
    rate: Decimal
    tax: Money
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One payment, tax in it: `gross` = `net` + `tax`; `kept` is held back of it and `due` is
    asked. What is held back is the last stage, where anything is."""

    key: str
    name: str
    when: str
    net: Money
    tax: Money
    gross: Money
    kept: Money
    due: Money


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What the customer pays, and how. The nets of the lines add up to `net`, the taxes to `tax`,
    the two to `gross`, and so do the stages, to the cent."""

    currency: str
    lines: tuple[PriceLine, ...]
    net: Money
    taxes: tuple[TaxSum, ...]
    tax: Money
    gross: Money
    tax_name: str
    tax_way: Way
    stages: tuple[Stage, ...]
    retention: Money
    valid_days: int

    @property
    def allowances(self) -> tuple[PriceLine, ...]:
        """The lines that are settled by what they really come to."""
        return tuple(line for line in self.lines if line.kind == "allowance")

    @property
    def deposit(self) -> Money:
        """What is paid with the order; nothing where no stage is called so."""
        return next((s.due for s in self.stages if s.key == "deposit"), Money(0, self.currency))
