"""What is ordered, from whom, and what is asked for it? Values that documents are drawn from.

Nothing here knows a page: orders and bills hold their lines, their sums and what they came from.
Money is whole minor units of one currency.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from truehang.findings import Finding
from truehang.tax import TaxSum, Way

DocumentKind = Literal[
    "quote", "order", "variation", "claim", "invoice", "credit-note", "receipt-of-goods"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Who sells or who buys. `ids` are numbers by their kind ("abn", "gb-vat", "ein")."""

    name: str
    lines: tuple[str, ...] = ()
    country: str = ""
    email: str = ""
    phone: str = ""
    ids: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What stands over every document: its number in its kind's row without a gap, its day, and
    the plan that it came from. `issued` is year-month-day."""

    kind: DocumentKind
    number: int
    issued: str
    job: str
    title: str
    revision: int
    digest: str
    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One thing to be delivered. `size` is given where it is made to size, `drawing` is then the
    key of the drawing that goes with it; `each` is None where no price is known."""

    key: str
    id: str
    code: str
    label: str
    count: int
    sold: str
    each: int | None
    size: str = ""
    drawing: str = ""
    jobs: tuple[str, ...] = ()

    @property
    def total(self) -> int | None:
        """What all of them come to."""
        return None if self.each is None else self.count * self.each


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierOrder:
    """What one supplier is asked for. `released` only where every size that is made to has been
    signed; `findings` say what still holds it, and what is left out of it because it is invented.
    """

    supplier: str
    name: str
    lead_time_days: int
    currency: str
    lines: tuple[OrderLine, ...]
    left_out: tuple[str, ...]
    released: bool
    findings: tuple[Finding, ...]

    @property
    def total(self) -> int:
        """The sum of what has a price."""
        return sum(line.total or 0 for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One line of an invoice or a credit note: `net` = count times each, rounded once."""

    key: str
    label: str
    count: Decimal
    unit: str
    each: Decimal
    net: int
    rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """An invoice or a credit note. `due` = net + tax - prepaid - kept, to the cent."""

    head: Head
    seller: Party
    buyer: Party
    lines: tuple[BillLine, ...]
    tax_name: str
    tax_way: Way
    taxes: tuple[TaxSum, ...]
    net: int
    tax: int
    gross: int
    prepaid: int
    kept: int
    due: int
    due_on: str = ""
    about: str = ""
    """The number of the document that this one is about: the invoice that is credited."""
