"""Which lengths can be bought, of what section, at what price? Timber and mouldings, cut to order
from stock lengths.

Timber sections come from the timber table; mouldings and battens from this module's own. A length
costs its metres times the price per metre, rounded half up to the minor unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import cache
from typing import Any, Literal

from pydantic import Field, NonNegativeInt, PositiveFloat, PositiveInt

from truehang.catalogue._read import Entry, table
from truehang.catalogue.timber import Section
from truehang.money import Money


class Moulding(Entry):
    """A moulding or batten sold by the metre: mm, stock lengths mm, minor units per metre. `code`
    is what it is asked for by."""

    code: str
    name: str
    kind: Literal["architrave", "skirting", "jamb", "stop", "rib", "plate"]
    thickness: PositiveFloat
    width: PositiveFloat
    stock_lengths: tuple[PositiveFloat, ...] = Field(min_length=1)
    price_per_metre: PositiveInt
    currency: str


class StockLength(Entry):
    """One length of one section. `on_hand` None: as many as wanted."""

    id: str
    section: str
    length: PositiveFloat
    price_minor: NonNegativeInt | None
    currency: str
    on_hand: NonNegativeInt | None = None

    @property
    def price(self) -> Money | None:
        """The price of one length; None where it isn't known."""
        return None if self.price_minor is None else Money(self.price_minor, self.currency)


@cache
def mouldings() -> tuple[Moulding, ...]:
    """Every moulding and batten, in the order of the data file."""
    return tuple(one for group in table("stock")["mouldings"] for one in _expand(group))


def _expand(group: dict[str, Any]) -> Iterator[Moulding]:
    """One group of the data file: rows of name, thickness, width and price."""
    shared = {key: value for key, value in group.items() if key != "rows"}
    for code, thickness, width, price in group["rows"]:
        yield Moulding(code=code, thickness=thickness, width=width, price_per_metre=price, **shared)


def lengths_of(section: str, sold: Iterable[Section | Moulding]) -> tuple[StockLength, ...]:
    """The stock lengths of one section, shortest first; empty where it isn't sold."""
    return tuple(
        StockLength(
            id=f"{one.code} @ {length:g}",
            section=one.code,
            length=length,
            price_minor=Money(one.price_per_metre, one.currency)
            .times(Decimal(str(length)) / 1000)
            .minor,
            currency=one.currency,
        )
        for one in sold
        if one.code == section
        for length in sorted(one.stock_lengths)
    )
