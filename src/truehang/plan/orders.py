"""What is ordered from whom, and may it be? Goods of a priced job, supplier by supplier.

What is made to size is released only by signed sizes, and of a real job nothing that is still
invented is ordered: it is left out and named.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from truehang.catalogue import Catalogue
from truehang.findings import Finding, Severity
from truehang.ordering import OrderLine, SupplierOrder
from truehang.plan.model import Plan
from truehang.plan.priced import Priced
from truehang.pricing import Goods

PRACTICE = "common practice, no source"


def orders(
    plan: Plan, money: Priced, catalogue: Catalogue, *, signed: bool
) -> tuple[SupplierOrder, ...]:
    """An order for each supplier. `signed`: the sizes of this very plan have been signed."""
    by_supplier: dict[str, list[Goods]] = {}
    for one in money.goods:
        by_supplier.setdefault(one.supplier, []).append(one)
    known = {one.id: one for one in catalogue.rates.supplier}
    made = []
    for id, goods in by_supplier.items():
        supplier = known.get(id)
        made.append(
            _order(
                plan,
                (id, supplier.name if supplier else id, supplier.lead_time_days if supplier else 0),
                goods,
                signed,
            )
        )
    return tuple(made)


def _order(
    plan: Plan, supplier: tuple[str, str, int], goods: Sequence[Goods], signed: bool
) -> SupplierOrder:  # fmt: skip
    id, name, days = supplier
    real = not plan.job.job.invented
    kept = [one for one in goods if not (real and one.invented)]
    left = tuple(one.label for one in goods if real and one.invented)
    found = tuple(_held(plan, id, kept, left, signed))
    return SupplierOrder(
        supplier=id,
        name=name,
        lead_time_days=days,
        currency=plan.region.currency,
        lines=tuple(map(_line, kept)),
        left_out=left,
        released=bool(kept) and not found,
        findings=found,
    )


def _line(one: Goods) -> OrderLine:
    return OrderLine(
        key=one.key,
        id=one.id,
        code=one.code,
        label=one.label,
        count=one.count,
        sold=one.sold,
        each=one.each,
        size=one.size,
        drawing=one.key if one.size else "",
        jobs=(one.job,),
    )


def _held(
    plan: Plan, supplier: str, kept: Sequence[Goods], left: Sequence[str], signed: bool
) -> Iterator[Finding]:
    """What stands before this order goes out."""
    if plan.standing.draft:
        yield _hold(supplier, plan.standing.headline, "mend that first")
    sized = [one.label for one in kept if one.size]
    if sized and not signed:
        yield _hold(
            supplier,
            f"{'; '.join(sized)}: made to size, and the sizes are not signed",
            "look at the sizes on the Order page and sign them: measured by, checked by, customer",
        )
    if left:
        yield _hold(
            supplier,
            f"left out because its price or data is still invented: {'; '.join(left)}",
            "give your own kit, leaf or price for it (docs/price.md)",
        )


def _hold(supplier: str, what: str, mend: str) -> Finding:
    return Finding(Severity.HOLD, f"order.{supplier}", what, mend, PRACTICE, before="order")
