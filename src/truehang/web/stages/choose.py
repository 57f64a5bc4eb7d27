"""Choose: what fits here, what does each way win and lose, and which one is built?"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from truehang.drawing import Scene, Sheet
from truehang.drawing.every import site
from truehang.drawing.views.picture import picture
from truehang.fit import Arrangement, Option
from truehang.job import models as m
from truehang.plan.frame import frame_of
from truehang.store import NotFound, Refused
from truehang.store.merge import ABSENT, put
from truehang.web import desk as d
from truehang.web.desk import Desk, Document, View, Wrong
from truehang.web.signing import signatures
from truehang.web.stages import Stage

if TYPE_CHECKING:
    from truehang.plan import Plan, WeighedOption
    from truehang.web.plans import Plans

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
ANY = {"arrangement": "any", "kit": "any"}
PARTS: dict[str, tuple[str, type[Any]]] = {
    "wishes": ("What is wanted", m.Wishes),
    "building": ("What building it stands in", m.Building),
    "sound": ("Who makes the noise and who hears it", m.Sound),
}
MOST_CARDS = 16
KINDS = {
    "pair": "Pair", "single-left": "Single, pocket left", "single-right": "Single, pocket right"
}  # fmt: skip
PICTURE = (110.0, 80.0)


def _look(request: Request, view: View, plan: Plan, one: WeighedOption) -> Markup:
    key = ("look", view.plan.digest, plan.digest, one.option.key)
    return d.drawn(request, key, lambda: _picture(view, one.arrangement))


def _show(desk: Desk, request: Request, job: str, status: int = 200, **more: Any) -> Response:
    view = desk.view(request, job)
    every = request.query_params.get("every") == "yes"
    plan = _every(request, view) if every else view.plan
    cards = [(one, _look(request, view, plan, one)) for one in plan.weighed[:MOST_CARDS]]
    values = more.pop("values", {})
    parts = [
        (name, title, view.form.fields(
            model, values.get(name) or view.document.get(name, {}), name,
            blank=name == "sound" and not view.document.get("sound"),
        ))
        for name, (title, model) in PARTS.items()
    ]  # fmt: skip
    wishes = view.job.wishes
    narrowed = (wishes.arrangement, wishes.kit, wishes.leaf.construction) != ("any",) * 3
    return d.page(
        request, "stages/choose.html", status, view=view, parts=parts, cards=cards,
        fitting=len(plan.weighed), found=plan.options, every=every, narrowed=narrowed,
        kinds=KINDS, given=signatures(desk, view),
        chosen=view.plan.arrangement.option.key if view.plan.arrangement else "",
        picked=wishes.kit != "any", **more,
    )  # fmt: skip


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("")
    def choose(request: Request, job: str) -> Response:
        return _show(desk, request, job)

    @routes.post("")
    def take(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        option = _option(request, view, sent.get("key", ""))

        def change(document: Document) -> Document:
            return _taken(request.app.state.plans, document, option)

        name = f"{KINDS[option.arrangement].lower()}, {option.kit_name}, {option.leaf_name} chosen"
        saved = desk.save(request, job, sent, change, name)
        return d.after(f"/jobs/{job}/choose", saved)

    @routes.post("/part/{part}")
    def save(request: Request, job: str, part: str, sent: Sent) -> Response:
        if part not in PARTS:
            raise NotFound(f"no part {part!r} of the choice")
        title, model = PARTS[part]
        view, seen = desk.view(request, job), {}

        def change(document: Document) -> Document:
            values = view.form.read(model, d.within(sent), document.get(part, {}), part)
            seen[part] = values
            return put(document, (part,), values or ABSENT)  # type: ignore[no-any-return]

        try:
            saved = desk.save(request, job, sent, change, title.lower())
        except Wrong as wrong:
            return _show(desk, request, job, 422, problems=wrong.problems, values=seen)
        return d.after(f"/jobs/{job}/choose", saved)

    return routes


def _every(request: Request, view: View) -> Plan:
    """The plan without the wishes that a choice sets, so that all that fits can be compared."""
    wishes = dict(view.document.get("wishes", {}))
    wishes |= ANY | {"leaf": {**wishes.get("leaf", {}), "construction": "any"}}
    loosened = replace(
        view.revision, document={**view.document, "wishes": wishes},
        digest=f"{view.revision.digest} without the choice",
    )  # fmt: skip
    plan: Plan = request.app.state.plans.of(loosened)
    return plan


def _option(request: Request, view: View, key: str) -> Option:
    """The option with this key, among all that fit. Raises NotFound."""
    for plan in (view.plan, _every(request, view)):
        for one in plan.weighed:
            if one.option.key == key:
                return one.option
    raise NotFound(f"{key or 'this option'} does not fit here, or no longer; look at the options")


def _taken(plans: Plans, document: Document, option: Option) -> Document:
    """The document with the wishes that make this option the plan's first."""
    wishes = dict(document.get("wishes", {}))
    leaf = {**wishes.get("leaf", {}), "construction": option.leaf_id}
    wishes |= {"arrangement": option.arrangement, "kit": option.kit_id, "leaf": leaf}
    tried = (wishes, {**wishes, "clear_width": option.passage})
    for candidate in ({**document, "wishes": one} for one in tried):
        found = plans.trial(candidate).weighed
        if found and found[0].option.key == option.key:
            return candidate
    raise Refused(
        f"{option.key}: the wishes can't be set so that this comes first; "
        "set the clear width wished for and choose again"
    )


def _picture(view: View, fit: Arrangement) -> Scene:
    sheet = Sheet(view.plan.style, view.plan.words, PICTURE, PICTURE)
    key = "look-" + re.sub("[^a-z0-9]+", "-", fit.option.key)
    return picture(
        fit, sheet, "elevation-a", ("pockets", "leaves"), key=key,
        title=f"{KINDS[fit.kind]}, {fit.option.kit_name}",
        site=replace(site(view.plan), members=frame_of(fit)),
    )  # fmt: skip


STAGE = Stage("choose", 20, "Choose", _routes)
