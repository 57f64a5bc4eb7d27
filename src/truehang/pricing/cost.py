"""What does a job cost the carpenter? Goods, hours, plant, travel, waste and allowances, summed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from truehang.findings import Finding, Severity
from truehang.money import Money
from truehang.pricing.model import Cost, CostLine, Goods, Sum, Work
from truehang.pricing.spread import Uncertain, spread
from truehang.tax import whole

PRACTICE = "common practice, no source"


class PricingInputError(ValueError):
    """A number that can't be priced from; the message names field, value and mend."""


def cost(
    items: Sequence[Goods | Work | Sum], currency: str, *, correlation: float = 0.0, seed: int = 1
) -> Cost:
    """The cost of everything in `items`, with how sure it is and what no price was found for."""
    lines, missing = [], []
    for item in items:
        line = _line(item)
        if line is None:
            missing.append(_named(item))
        else:
            lines.append(line)
    found = spread(
        [Uncertain(n.key, n.low, n.likely, n.high, n.crew) for n in lines],
        correlation, seed,
    )  # fmt: skip
    hours = [n.hours for n in lines if n.hours is not None]
    return Cost(
        currency=currency,
        lines=tuple(lines),
        total=Money(sum(line.mean for line in lines), currency),
        spread=found,
        hours=(
            math.fsum(h[0] for h in hours), math.fsum(h[1] for h in hours),
            math.fsum(h[2] for h in hours),
        ),
        missing=tuple(missing),
        invented=tuple(dict.fromkeys(_named(item) for item in items if item.invented)),
        findings=tuple(map(_unpriced, (item for item in items if _line(item) is None))),
    )  # fmt: skip


def merged(goods: Iterable[Goods]) -> tuple[Goods, ...]:
    """The same, with goods that are bought alike counted together."""
    alike: dict[tuple[str, str, str], Goods] = {}
    for one in goods:
        at = (one.id, one.sold, one.size)
        known = alike.get(at)
        alike[at] = replace(known, count=known.count + one.count) if known else one
    return tuple(alike.values())


def _line(item: Goods | Work | Sum) -> CostLine | None:
    if isinstance(item, Goods):
        return None if item.each is None else _bought(item, item.each)
    if isinstance(item, Work):
        known = item.hours is not None and item.hour is not None
        return _worked(item) if known else None
    return None if item.each is None else _lump(item, item.each)


def _bought(item: Goods, each: int) -> CostLine:
    _sound(item.key, item.count, each)
    amount = item.count * each
    low, likely, high = (whole(Decimal(str(part)) * amount) for part in item.spread)
    return CostLine(
        key=item.key, kind="goods", label=item.label, section=item.section,
        quantity=float(item.count), unit=item.sold, low=low, likely=likely, high=high,
        mean=_mean(low, likely, high), supplier=item.supplier, id=item.id, invented=item.invented,
    )  # fmt: skip


def _worked(item: Work) -> CostLine:
    assert item.hours is not None
    assert item.hour is not None
    _sound(item.key, item.quantity, item.hour, *item.hours)
    low, likely, high = item.hours
    hours = (low * item.quantity, likely * item.quantity, high * item.quantity)
    a, m, b = (whole(Decimal(str(round(h, 9))) * item.hour) for h in hours)
    return CostLine(
        key=item.key, kind="labour", label=item.label, section=item.section,
        quantity=item.quantity, unit=item.unit, low=a, likely=m, high=b, mean=_mean(a, m, b),
        crew=item.crew, hours=hours, invented=item.invented,
    )  # fmt: skip


def _lump(item: Sum, each: tuple[int, int, int]) -> CostLine:
    _sound(item.key, item.quantity, *each)
    a, m, b = (whole(Decimal(str(round(item.quantity, 9))) * one) for one in each)
    return CostLine(
        key=item.key, kind=item.kind, label=item.label, section=item.section,
        quantity=item.quantity, unit=item.unit, low=a, likely=m, high=b, mean=_mean(a, m, b),
        because=item.because, invented=item.invented,
    )  # fmt: skip


def _mean(low: int, likely: int, high: int) -> int:
    return whole(Fraction(low + 4 * likely + high, 6))


def _sound(key: str, *numbers: float) -> None:
    for number in numbers:
        if not (math.isfinite(number) and number >= 0):
            raise PricingInputError(f"{key} = {number!r}: must not be below zero; look at its rate")


def _named(item: Goods | Work | Sum) -> str:
    if isinstance(item, Work) and item.hour is None:
        return f"{item.label} (what an hour of {item.crew} costs)"
    return item.label


def _unpriced(item: Goods | Work | Sum) -> Finding:
    """A rate that is missing names the task; nothing is taken to cost nothing."""
    if isinstance(item, Work):
        want = (
            f"what an hour of {item.crew} costs" if item.hour is None
            else f"low, likely and high hours of task {item.key}"
        )  # fmt: skip
        mend = f"give {want} in your own rates"
    elif isinstance(item, Goods):
        mend = f"give prices.items for {item.id or item.key!r}, or a price in your own price list"
    else:
        mend = f"give {item.key} a price in your own rates"
    return Finding(
        Severity.HOLD,
        f"price.{item.key}",
        f"{_named(item)} has no price, so the price is without it",
        f"{mend}, before anything is quoted",
        PRACTICE,
        before="order",
    )
