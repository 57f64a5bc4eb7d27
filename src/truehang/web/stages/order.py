"""Order: which sizes are made to measure, who has signed for them, and where are the papers?"""

from __future__ import annotations

from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.fit import Arrangement
from truehang.store import Entry, Issued, NotFound, Refused
from truehang.takeoff import Item
from truehang.web import desk as d
from truehang.web.desk import Desk, View
from truehang.web.stages import Stage, _lists

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
STATEMENT = (
    "I have checked these sizes against the opening on site and against the datasheet of the kit "
    "and leaf that will be bought, and release them for manufacture."
)
MOST_NAME = 80


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
        signed = _signed(desk, view)
        return d.page(
            request, "stages/order.html", status, view=view, statement=STATEMENT,
            today=desk.today, lists=_groups(view),
            **_papers(desk, request, view, signed), **more,
        )  # fmt: skip

    @routes.get("")
    def order(request: Request, job: str) -> Response:
        return show(request, job)

    @routes.get("/papers")
    def progress(request: Request, job: str) -> Response:
        view = desk.view(request, job)
        return d.page(
            request, "stages/order_papers.html", view=view,
            **_papers(desk, request, view, _signed(desk, view)),
        )  # fmt: skip

    @routes.post("/papers")
    def make(request: Request, job: str) -> Response:
        view, state = desk.view(request, job), request.app.state
        signed = _signed(desk, view)
        asked = desk.store.revision(job, signed.revision) if signed else view.revision
        state.packs.start(state.plans.of(asked))
        return d.to(f"/jobs/{job}/order#papers")

    @routes.post("/sign")
    def sign(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        if view.revision.number != _number(sent) and _done(desk, job, sent):
            return d.to(f"/jobs/{job}/order")  # the same signature, sent again
        signature = _signature(view, sent)
        about = {**view.document["job"], "issued": sent["date"].strip()[:10],
                 "revision": view.revision.number + 1}  # fmt: skip
        document = d.checked(view.document, lambda before: {**before, "job": about})
        saved = desk.store.sign(
            view.revision, document, "sizes", signature, request.state.who,
            f"sizes signed by {signature['role']}, {signature['name']}", d.op_of(sent),
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


def _signature(view: View, sent: dict[str, str]) -> dict[str, Any]:
    """What is recorded. Raises Refused where it can't be signed."""
    fit = view.plan.arrangement
    if fit is None:
        raise Refused("sizes: nothing fits yet, so there are none to sign")
    if view.plan.standing.draft:
        raise Refused(
            f"sizes: {view.plan.standing.headline}; then look at the sizes again and sign"
        )
    if _number(sent) != view.revision.number:
        raise Refused(
            f"sizes: the job has changed since this page was opened (now revision "
            f"{view.revision.number}); look at the sizes again and sign"
        )
    for name, mend in (("role", "measured by, checked by or customer"), ("name", "who signs"),
                       ("date", "the day, as year-month-day")):  # fmt: skip
        if not sent.get(name, "").strip():
            raise Refused(f"{name}: empty; give {mend}")
    if sent.get("agreed") != "yes":
        raise Refused("the statement is not ticked; read it, and tick it to sign")
    return {
        "role": sent["role"].strip()[:MOST_NAME],
        "name": sent["name"].strip()[:MOST_NAME],
        "date": sent["date"].strip()[:10],
        "statement": STATEMENT,
        "sizes": sizes(fit),
    }


def sizes(fit: Arrangement) -> dict[str, Any]:
    """The sizes that are signed, mm."""
    return {
        "leaf": list(fit.leaf_order_size),
        "leaves": len(fit.leaves),
        "frame": [fit.option.frame_width, fit.option.frame_height],
        "kit": fit.kit_id,
        "leaf_kind": fit.leaf_id,
    }


def _signed(desk: Desk, view: View) -> Entry | None:
    """The newest signature, where it was given for the sizes that stand now."""
    entries = desk.store.entries(view.id, "sign")
    fit = view.plan.arrangement
    if not entries or fit is None or entries[-1].value["sizes"] != sizes(fit):
        return None
    return entries[-1]


STAGE = Stage("order", 40, "Order", _routes)
