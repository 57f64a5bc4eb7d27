"""How is money held and printed? As whole minor units (cents, pence), never as a float."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

_SIGNS = {"AUD": "$", "USD": "$", "GBP": "£", "EUR": "€", "NZD": "$", "CAD": "$"}


@dataclass(frozen=True, slots=True, order=True)
class Money:
    """An amount in integer minor units of an ISO 4217 currency with two decimals."""

    minor: int
    currency: str

    def __add__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.minor + other.minor, self.currency)

    def __sub__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.minor - other.minor, self.currency)

    def times(self, factor: Decimal | int | float) -> Money:
        """This amount times a factor, rounded half up to the minor unit."""
        exact = Decimal(self.minor) * Decimal(str(factor))
        return Money(int(exact.quantize(Decimal(1), ROUND_HALF_UP)), self.currency)

    def __str__(self) -> str:
        sign = "-" if self.minor < 0 else ""
        whole, cents = divmod(abs(self.minor), 100)
        return f"{sign}{_SIGNS.get(self.currency, self.currency + ' ')}{whole:,}.{cents:02d}"

    def _same(self, other: Money) -> None:
        if self.currency != other.currency:
            raise ValueError(f"can't join {self.currency} with {other.currency}")
