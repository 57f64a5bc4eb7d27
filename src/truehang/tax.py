"""How is money rounded, shared out and taxed? One rule, stated here and nowhere else.

`STATED` is that rule in words, for every document. Everything is exact: whole minor units and
decimals, never a float.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal

STATED = (
    "Each line is rounded to the cent, half a cent away from nothing; a total is the sum of its "
    "lines as they are printed."
)
"""The rounding rule."""
WAYS = {
    "total": "tax is worked out on the sum of the lines of one rate and rounded once",
    "line": "tax is worked out and rounded on each line, and the lines' taxes are added",
}
"""The two ways of rounding tax, in words. A New Tax System (Goods and Services Tax) Act 1999,
s 9-90, lets the supplier choose; VATREC12010 to 12030 rounds to the nearest penny."""
Way = Literal["total", "line"]


def whole(exact: Decimal | Fraction | int) -> int:
    """An exact amount of minor units as a whole number: half goes away from nothing, so that what
    is credited is what was charged."""
    if isinstance(exact, Fraction):
        size = abs(exact)
        up = (2 * size.numerator + size.denominator) // (2 * size.denominator)
        return -up if exact < 0 else up
    return int(Decimal(exact).quantize(Decimal(1), ROUND_HALF_UP))


@dataclass(frozen=True, slots=True)
class TaxSum:
    """The tax of one rate: `rate` is a fraction, `net` what it is on, both in minor units."""

    rate: Decimal
    net: int
    tax: int


def line_tax(net: int, rate: Decimal) -> int:
    """The tax of one amount by itself."""
    return whole(net * rate)


def tax_sums(lines: Iterable[tuple[int, Decimal]], way: Way) -> tuple[TaxSum, ...]:
    """The tax of lines (net in minor units, rate), a sum for each rate, the highest first."""
    nets: dict[Decimal, int] = {}
    taxes: dict[Decimal, int] = {}
    for net, rate in lines:
        nets[rate] = nets.get(rate, 0) + net
        taxes[rate] = taxes.get(rate, 0) + line_tax(net, rate)
    return tuple(
        TaxSum(rate, nets[rate], taxes[rate] if way == "line" else line_tax(nets[rate], rate))
        for rate in sorted(nets, reverse=True)
    )
