"""What does the customer pay? The cost with the risk that it carries, marked up, taxed, in stages.

margin = markup / (1 + markup): a markup is on the cost, a margin of the price. The risk that the
price carries (what P80 is over the mean, say) is put on the lines that it comes from, by their
share of the variance, so that a customer sees work and allowances and no line for risk.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from truehang.money import Money
from truehang.pricing.cost import PricingInputError
from truehang.pricing.model import Cost, CostLine, Price, PriceLine, Stage, StageOf, Terms
from truehang.tax import line_tax, tax_sums, whole


def factor(terms: Terms) -> Fraction:
    """What a cost is multiplied by. Raises PricingInputError for a margin that no price has."""
    if (terms.markup is None) == (terms.margin is None):
        raise PricingInputError("markup and margin: give one of them")
    if terms.markup is not None:
        if terms.markup < 0:
            raise PricingInputError(f"markup = {terms.markup}: below zero; give 0 or more")
        return 1 + Fraction(terms.markup)
    margin = terms.margin or Decimal(0)
    if not 0 <= margin < 1:
        raise PricingInputError(
            f"margin = {margin:%}: a margin is part of the price and under 100 %; for what is put "
            "on top of the cost give a markup"
        )
    return 1 / (1 - Fraction(margin))


def margin_of(markup: Fraction) -> Fraction:
    """The margin that a markup comes to: u / (1 + u)."""
    return markup / (1 + markup)


def markup_of(margin: Fraction) -> Fraction:
    """The markup that makes a margin: m / (1 - m)."""
    return margin / (1 - margin)


def price(cost: Cost, terms: Terms, titles: Mapping[str, str]) -> Price:
    """The price of a cost. `titles` are the sections' names, in the order that they are told in."""
    lines = tuple(_lines(cost, terms, titles))
    currency = cost.currency
    net = sum(line.net.minor for line in lines)
    taxes = tax_sums(((line.net.minor, line.rate) for line in lines), terms.tax_way)
    tax = sum(one.tax for one in taxes)
    stages = _stages(net, tax, terms, currency)
    return Price(
        currency=currency,
        lines=lines,
        net=Money(net, currency),
        taxes=taxes,
        tax=Money(tax, currency),
        gross=Money(net + tax, currency),
        tax_name=terms.tax_name,
        tax_way=terms.tax_way,
        stages=stages,
        retention=Money(sum(s.kept.minor for s in stages), currency),
        valid_days=terms.valid_days,
    )


def risk(cost: Cost, terms: Terms) -> int:
    """What is put on top of the mean cost so that the price carries the risk asked for."""
    if terms.basis == "mean":
        return 0
    safe: float = getattr(cost.spread, terms.basis)
    return max(0, math.ceil(safe - cost.total.minor))


def _lines(cost: Cost, terms: Terms, titles: Mapping[str, str]) -> Iterator[PriceLine]:
    times, more = factor(terms), risk(cost, terms)
    share = {one.key: Fraction(one.share) for one in cost.spread.shares}

    def priced(some: Sequence[CostLine]) -> int:
        exact = sum(
            (line.mean + more * share.get(line.key, Fraction(0)) for line in some), Fraction(0)
        )
        return whole(exact * times)

    def line(key: str, label: str, some: Sequence[CostLine], because: str = "") -> PriceLine:
        net = priced(some)
        return PriceLine(
            key=key, label=label, kind="allowance" if because else "work",
            net=Money(net, cost.currency), rate=terms.tax_rate,
            tax=Money(line_tax(net, terms.tax_rate), cost.currency), because=because,
        )  # fmt: skip

    for section, title in titles.items():
        some = [n for n in cost.lines if n.section == section and n.kind != "allowance"]
        if some:
            yield line(section, title, some)
    for one in cost.lines:
        if one.kind == "allowance":
            yield line(one.key, one.label, [one], one.because)


def _stages(net: int, tax: int, terms: Terms, currency: str) -> tuple[Stage, ...]:
    asked = terms.stages or (
        StageOf(key="whole", name="the whole", when="when it is done", part=Fraction(1)),
    )
    parts = [stage.part for stage in asked]
    if sum(parts) != 1 or min(parts) < 0:
        raise PricingInputError(
            f"stages: they come to {float(sum(parts)):.4%} of the price; make them 100 %"
        )
    if not 0 <= terms.retention < 1:
        raise PricingInputError(f"retention = {terms.retention:%}: give 0 to under 100 %")
    held = Fraction(terms.retention)
    made, kept_all = [], 0
    for stage, (own, own_tax) in zip(asked, _split(net, tax, terms.tax_rate, parts), strict=True):
        # A deposit is paid before there is work to hold anything back of.
        kept = 0 if stage.key == "deposit" else whole((own + own_tax) * held)
        kept_all += kept
        made.append(_stage(stage, own, own_tax, kept, currency))
    if kept_all:
        made.append(_stage(_RETENTION, 0, 0, -kept_all, currency))
    return tuple(made)


_RETENTION = StageOf(
    key="retention",
    name="what was held back",
    when="at the end of the time for defects",
    part=Fraction(0),
)


def _split(
    net: int, tax: int, rate: Decimal, parts: Sequence[Fraction]
) -> Iterator[tuple[int, int]]:
    """Net and tax of each stage. Nets go in steps that the rate makes whole cents of (ten cents at
    10 %), so that the tax on each bill is its own net's to the cent and all of them add up; a part
    is never more than was said, and the last that is anything takes what is left."""
    step = Fraction(rate).denominator
    nets = [step * math.floor(net * part / step) for part in parts]
    last = max(number for number, part in enumerate(parts) if part)
    nets[last] += net - sum(nets)
    taxes = [line_tax(own, rate) for own in nets]
    taxes[last] += tax - sum(taxes)
    yield from zip(nets, taxes, strict=True)


def _stage(stage: StageOf, net: int, tax: int, kept: int, currency: str) -> Stage:
    return Stage(
        key=stage.key,
        name=stage.name,
        when=stage.when,
        net=Money(net, currency),
        tax=Money(tax, currency),
        gross=Money(net + tax, currency),
        kept=Money(max(kept, 0), currency),
        due=Money(net + tax - kept, currency),
    )
