"""What must a person know of a price before it is told? What is invented, old, missing or another
currency's, and what the price is without."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from truehang.catalogue.rates import Place
from truehang.findings import Change, Finding, Severity
from truehang.plan.model import Plan
from truehang.plan.price_book import PriceBook
from truehang.pricing import Cost

PRACTICE = "common practice, no source"
MOST_NAMED = 12


def price_findings(plan: Plan, place: Place, book: PriceBook, cost: Cost) -> Iterator[Finding]:
    """Everything that stands beside a price, but rates that are missing, which the cost names."""
    yield from _invented(plan, cost)
    yield from _old(plan, place, book)
    yield from _foreign(plan, book)
    yield from _without(plan)


def stages_wrong(deposit: Fraction, stages: Sequence[Fraction]) -> tuple[Finding, ...]:
    """Payments that come to more than the whole."""
    asked = deposit + sum(stages, Fraction(0))
    if asked <= 1:
        return ()
    return (
        Finding(
            Severity.STOP,
            "prices.stages",
            f"the deposit and the stages come to {float(asked):.1%} of the price",
            "make them 100 % or less; what is left over is due at the end",
            "arithmetic",
        ),
    )


def _invented(plan: Plan, cost: Cost) -> Iterator[Finding]:
    names = list(cost.invented)
    if plan.job.prices.labour_hour is None:
        names.insert(0, "what an hour costs")
    if not names:
        return
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    told = ", ".join(names[:MOST_NAMED]) + more
    real = not plan.job.job.invented
    yield Finding(
        Severity.HOLD if real else Severity.NOTE,
        "price.invented",
        f"{len(names)} of the prices and hours are invented starting values: {told}",
        "put your own in their place before anything is quoted or ordered: prices.labour_hour, "
        "prices.items, or your own rates and price list",
        PRACTICE,
        before="order" if real else "",
    )


def _old(plan: Plan, place: Place, book: PriceBook) -> Iterator[Finding]:
    """Prices of the list that are older than they may be, on the day that the job is issued."""
    today: date = plan.job.job.issued
    old = [
        one for one in book.used.values() if (today - one.date).days > place.old_days
    ]  # fmt: skip
    if old:
        first = min(old, key=lambda one: one.date)
        yield Finding(
            Severity.WARN,
            "price.dates",
            f"{len(old)} price{'s are' if len(old) > 1 else ' is'} older than {place.old_days} "
            f"days: {', '.join(one.id for one in old[:MOST_NAMED])}; the oldest of {first.date}",
            "ask the supplier again and import the new list",
            PRACTICE,
        )


def _foreign(plan: Plan, book: PriceBook) -> Iterator[Finding]:
    """Prices in another region's currency are never turned into ours."""
    here, given = plan.region.currency, plan.job.prices.currency
    if given is not None and given != here:
        yield Finding(
            Severity.STOP,
            "prices.currency",
            f"your prices are in {given}, and region {plan.region.id} reckons in {here}",
            f"give them in {here}, or set job.region to where {given} is paid",
            PRACTICE,
            (Change("prices.currency", None),),
        )
    foreign = sorted(set(book.foreign) - set(book.used))
    if foreign:
        kinds = sorted({book.foreign[id].currency for id in foreign})
        yield Finding(
            Severity.WARN,
            "price.currency",
            f"{len(foreign)} prices of your list are in {', '.join(kinds)} and were left out",
            f"import a list in {here}",
            PRACTICE,
        )


def _without(plan: Plan) -> Iterator[Finding]:
    """What the price is without because nobody has said."""
    if plan.job.site.travel is None:
        yield Finding(
            Severity.WARN,
            "site.travel",
            "how far the job is was not said, so the price is without travel",
            "give site.travel, the minutes one way; 0 where it is next door",
            PRACTICE,
        )
    tax = plan.region.tax
    if plan.job.prices.tax_percent is None and not tax.rate:
        yield Finding(
            Severity.HOLD,
            "prices.tax_percent",
            f"no {tax.name} is on the price: {tax.note}",
            "give prices.tax_percent, 0 where none is due",
            PRACTICE,
            before="order",
        )
    if plan.job.prices.margin_percent is not None and plan.job.prices.markup_percent is not None:
        yield Finding(
            Severity.WARN,
            "prices.markup_percent",
            "a margin and a markup are both given; the margin was taken",
            "leave one of them out",
            PRACTICE,
            (Change("prices.markup_percent", None),),
        )
