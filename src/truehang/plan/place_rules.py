"""Which rules of the place should the carpenter look at before this price is told? They warn."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from truehang.catalogue.law import CHECK, Cap, PlaceRule
from truehang.findings import Finding, Severity
from truehang.money import Money
from truehang.plan.model import Plan
from truehang.pricing import Price

SAID = {
    "cooling-off": "cooling-off",
    "tax-rounding": "how tax is rounded",
    "invoice": "what a bill must state",
    "claim": "what a payment claim must state",
    "tax": "tax",
}


def rules_here(plan: Plan, laws: tuple[PlaceRule, ...]) -> tuple[PlaceRule, ...]:
    """The rules of the job's region: of its state too where the job says which, and of all its
    states where it does not."""
    state = plan.job.prices.state
    return tuple(
        rule
        for rule in laws
        if rule.region == plan.region.id
        and (not rule.place or state is None or rule.place.lower() == state.lower())
    )


def place_findings(
    plan: Plan, laws: tuple[PlaceRule, ...], price: Price, made_off_site: bool
) -> Iterator[Finding]:
    """Deposits over a cap of the place, and what else it asks, each with its day."""
    for rule in rules_here(plan, laws):
        if rule.kind == "deposit":
            yield from _deposit(plan, rule, price, made_off_site)
        else:
            yield Finding(
                Severity.NOTE, f"place.{rule.id}",
                f"{_where(rule)}{SAID[rule.kind]}: {rule.what}", _check(rule), rule.source,
            )  # fmt: skip


def _deposit(
    plan: Plan, rule: PlaceRule, price: Price, made_off_site: bool
) -> Iterator[Finding]:  # fmt: skip
    cap = next((one for one in rule.caps if _covers(one, price.gross)), None)
    asked = price.deposit.minor
    if cap is None or not asked:
        return
    most = cap.off_site if made_off_site and cap.off_site is not None else cap.most
    if asked <= most * price.gross.minor + 1:  # a cent is rounding
        return
    allowed = Money(int(most * price.gross.minor), price.currency)
    why = ", more than half being made off site" if most != cap.most else ""
    higher = (
        f"; {cap.off_site:.0%} where more than half is made off site"
        if cap.off_site is not None and not made_off_site
        else ""
    )
    yield Finding(
        Severity.WARN,
        f"place.{rule.id}",
        f"{_where(rule)}the deposit of {price.deposit} is over the {Decimal(most) * 100:g} % "
        f"({allowed}) that could be read{why}{higher}: {rule.what}",
        f"ask for a smaller one (prices.deposit_percent), or say the state (prices.state) where it "
        f"is not there; {_check(rule)}",
        rule.source,
    )


def _covers(cap: Cap, gross: Money) -> bool:
    return cap.least * 100 <= gross.minor and (cap.below is None or gross.minor < cap.below * 100)


def _where(rule: PlaceRule) -> str:
    return f"{rule.place}: " if rule.place else ""


def _check(rule: PlaceRule) -> str:
    return f"captured {rule.captured}, {rule.worth}: {CHECK}"
