"""Price: what the customer pays, live as choices change; what it costs, for the firm alone."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.job import Job
from truehang.job.models import Prices
from truehang.plan.alternatives import Alternative, alternatives
from truehang.plan.priced import Priced, priced
from truehang.store.merge import ABSENT, put
from truehang.tax import STATED, WAYS
from truehang.web import desk as d
from truehang.web.desk import Desk, Document, View, Wrong
from truehang.web.plans import Lately
from truehang.web.stages import Stage

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
TITLE = "your prices"
MOST_KEPT = 64
MOST_BARS = 10


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()
    kept: Lately[Priced | None] = Lately(MOST_KEPT)
    others: Lately[tuple[Alternative, ...]] = Lately(MOST_KEPT)

    def money_of(view: View) -> Priced | None:
        return kept.of(view.revision.digest, lambda: priced(view.plan, desk.catalogue))

    def show(request: Request, job: str, status: int = 200, **more: Any) -> Response:
        view = desk.view(request, job, "cutting")
        values = more.pop("values", None)
        given = view.document.get("prices", {}) if values is None else values
        return d.page(
            request, "stages/price.html", status, view=view, money=money_of(view),
            stated=STATED, ways=WAYS, **_spread(money_of(view)),
            fields=view.form.fields(Prices, given, "prices"), **more,
        )  # fmt: skip

    @routes.get("")
    def price(request: Request, job: str) -> Response:
        return show(request, job)

    @routes.get("/customer")
    def customer(request: Request, job: str) -> Response:
        view = desk.view(request, job, "cutting")
        money = money_of(view)
        return d.page(
            request, "stages/price_customer.html", view=view, stated=STATED, ways=WAYS,
            price=money.price if money else None, draft=money.standing.draft if money else True,
        )  # fmt: skip

    @routes.get("/options")
    def options(request: Request, job: str) -> Response:
        view = desk.view(request, job, "cutting")
        money = money_of(view)

        def made() -> tuple[Alternative, ...]:
            trial = request.app.state.plans.trial

            def plan(other: Job) -> Any:
                return trial(other.model_dump())

            return alternatives(view.plan, money, desk.catalogue, plan) if money else ()

        return d.page(
            request, "stages/price_options.html", view=view,
            others=others.of(view.revision.digest, made),
            alone="hx-request" not in request.headers,
        )  # fmt: skip

    @routes.post("")
    def save(request: Request, job: str, sent: Sent) -> Response:
        view, seen = desk.view(request, job), {}

        def change(document: Document) -> Document:
            values = view.form.read(Prices, d.within(sent), document.get("prices", {}), "prices")
            seen["prices"] = values
            return put(document, ("prices",), values or ABSENT)  # type: ignore[no-any-return]

        try:
            saved = desk.save(request, job, sent, change, TITLE)
        except Wrong as wrong:
            return show(request, job, 422, problems=wrong.problems, values=seen.get("prices", {}))
        return d.after(f"/jobs/{job}/price", saved)

    return routes


def _spread(money: Priced | None) -> dict[str, Any]:
    """How sure the cost is, in minor units, and what drives that."""
    if money is None:
        return {"sure": {}, "drives": []}
    spread = money.cost.spread
    labels = {line.key: line.label for line in money.cost.lines}
    return {
        "sure": {name: round(getattr(spread, name)) for name in ("p50", "p80", "p95")},
        "drives": [(labels[one.key], one.share) for one in spread.shares[:MOST_BARS]],
    }


STAGE = Stage("price", 30, "Price", _routes)
