"""Order: which sizes are made to measure, who has signed for them, and where are the papers?"""

from __future__ import annotations

from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.store import Entry, Issued, NotFound, Refused
from truehang.takeoff import Item
from truehang.web import desk as d
from truehang.web.desk import Desk, View
from truehang.web.signing import HIGH, STATEMENT, WIDE, digest_of, signature, signatures, sizes
from truehang.web.stages import Stage, _lists

Sent = Annotated[dict[str, str], Depends(d.sent_form)]


def _papers(desk: Desk, request: Request, view: View, signed: Entry | None) -> dict[str, Any]:
    """How far the papers are; issued with the signed revision as soon as they are made."""
    state, plan = request.app.state, view.plan
    issued: tuple[Issued, ...] = ()
    if signed is not None:
        issued = desk.store.issued(view.id, signed.revision)
        plan = state.plans.of(desk.store.revision(view.id, signed.revision))
    making = state.packs.follow(plan)
    if signed is not None and not issued and making.state == "ready":
        made = state.packs.documents(plan.digest)
        issued = desk.store.issue(view.id, signed.revision, made, signed.who) if made else ()
    return {"making": making, "issued": issued, "signed": signed, "digest": plan.digest}


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()

    def show(request: Request, job: str, status: int = 200, **more: Any) -> Response:
        view = desk.view(request, job)
        given, fit = signatures(desk, view), view.plan.arrangement
        return d.page(
            request, "stages/order.html", status, view=view, statement=STATEMENT, given=given,
            today=desk.today, lists=_groups(view), typed=more.pop("typed", {}),
            sizes_digest=digest_of(sizes(fit)) if fit else "", wide=WIDE, high=HIGH,
            refused=more.pop("refused", ""),
            **_papers(desk, request, view, given.first), **more,
        )  # fmt: skip

    @routes.get("")
    def order(request: Request, job: str) -> Response:
        return show(request, job)

    @routes.get("/papers")
    def progress(request: Request, job: str) -> Response:
        view = desk.view(request, job)
        return d.page(
            request, "stages/order_papers.html", view=view,
            **_papers(desk, request, view, signatures(desk, view).first),
        )  # fmt: skip

    @routes.post("/papers")
    def make(request: Request, job: str) -> Response:
        view, state = desk.view(request, job), request.app.state
        signed = signatures(desk, view).first
        asked = desk.store.revision(job, signed.revision) if signed else view.revision
        state.packs.start(state.plans.of(asked))
        return d.to(f"/jobs/{job}/order#papers")

    @routes.post("/sign")
    def sign(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        if view.revision.number != _number(sent) and _done(desk, job, sent):
            return d.to(f"/jobs/{job}/order")  # the same signature, sent again
        try:
            made = signature(view, sent)
        except Refused as why:
            return show(request, job, 409, typed=sent, refused=str(why))
        if signatures(desk, view).first is not None:  # the documents are issued: one more hand
            desk.store.record(job, "sign", "sizes", made, True, request.state.who, d.op_of(sent))
            return d.to(f"/jobs/{job}/order")
        about = {**view.document["job"], "issued": made["date"],
                 "revision": view.revision.number + 1}  # fmt: skip
        document = d.checked(view.document, lambda before: {**before, "job": about})
        saved = desk.store.sign(
            view.revision, document, "sizes", made, request.state.who,
            f"sizes signed by {made['role']}, {made['name']}", d.op_of(sent),
        )  # fmt: skip
        request.app.state.packs.start(request.app.state.plans.of(saved))
        return d.to(f"/jobs/{job}/order#papers")

    routes.include_router(_lists.routes(desk))
    return routes


def _groups(view: View) -> list[tuple[str, list[Item]]]:
    """What the build takes, group by group."""
    items = view.plan.takeoff.items if view.plan.takeoff else ()
    return [(group, list(some)) for group, some in groupby(items, key=lambda item: item.group)]


def _number(sent: dict[str, str]) -> int:
    given = sent.get("base", "")
    return int(given) if given.isdecimal() and len(given) < 8 else 0


def _done(desk: Desk, job: str, sent: dict[str, str]) -> bool:
    try:
        desk.store.revision_of(job, d.op_of(sent))
    except NotFound:
        return False
    return True


STAGE = Stage("order", 40, "Order", _routes)
