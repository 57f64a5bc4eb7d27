"""Choose: what fits here, what does each way win and lose, and which one is built?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.drawing import Scene, Sheet
from truehang.drawing.every import site
from truehang.drawing.views.picture import picture
from truehang.fit import Arrangement, Option, Options, arrange
from truehang.fit import options as fit_options
from truehang.job import Job
from truehang.job import models as m
from truehang.plan.hear import hear
from truehang.plan.space import Ask, ask
from truehang.sound import SoundResult
from truehang.store import NotFound, Refused
from truehang.store.merge import ABSENT, put
from truehang.web import desk as d
from truehang.web.desk import Desk, Document, View, Wrong
from truehang.web.stages import Stage

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
ANY = {"arrangement": "any", "kit": "any"}
PARTS: dict[str, tuple[str, type[Any]]] = {
    "wishes": ("What is wanted", m.Wishes),
    "sound": ("Who makes the noise and who hears it", m.Sound),
}
MOST_CARDS = 16
KINDS = {
    "pair": "Pair", "single-left": "Single, pocket left", "single-right": "Single, pocket right"
}  # fmt: skip
PICTURE = (110.0, 80.0)


@dataclass(frozen=True, slots=True)
class Field:
    """What can be chosen from: all that the job's wishes leave, or all that fits here."""

    asked: Ask | None
    found: Options


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()

    def show(request: Request, job: str, status: int = 200, **more: Any) -> Response:
        view = desk.view(request, job)
        every = request.query_params.get("every") == "yes"
        found = _field(desk, view, _loosened(view.job)).found if every else view.plan.options
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
            request, "stages/choose.html", status, view=view, parts=parts, found=found,
            options=found.options[:MOST_CARDS], every=every, narrowed=narrowed, kinds=KINDS,
            chosen=view.plan.arrangement.option.key if view.plan.arrangement else "", **more,
        )  # fmt: skip

    @routes.get("")
    def choose(request: Request, job: str) -> Response:
        return show(request, job)

    @routes.get("/look")
    def look(request: Request, job: str, key: str = "") -> Response:
        view = desk.view(request, job)
        option, asked = _option(desk, view, key)
        fit = arrange(asked.request, option, asked.kits, asked.leaves)
        return d.page(
            request, "stages/choose_look.html", view=view, option=option,
            picture=_picture(view, fit), sound=_sound(desk, view, fit),
        )  # fmt: skip

    @routes.post("")
    def take(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        option, _ = _option(desk, view, sent.get("key", ""))

        def change(document: Document) -> Document:
            return _taken(desk, view, document, option)

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
            values = view.form.read(model, sent, document.get(part, {}), part)
            seen[part] = values
            return put(document, (part,), values or ABSENT)  # type: ignore[no-any-return]

        try:
            saved = desk.save(request, job, sent, change, title.lower())
        except Wrong as wrong:
            return show(request, job, 422, problems=wrong.problems, values=seen)
        return d.after(f"/jobs/{job}/choose", saved)

    return routes


def _loosened(job: Job) -> Job:
    """The job without the wishes that a choice sets, so that all that fits can be compared."""
    leaf = job.wishes.leaf.model_copy(update={"construction": "any"})
    return job.model_copy(update={"wishes": job.wishes.model_copy(update={**ANY, "leaf": leaf})})


def _field(desk: Desk, view: View, job: Job) -> Field:
    asked = ask(job, desk.catalogue, view.plan.region, view.plan.measured)
    if asked is None:
        return Field(None, view.plan.options)
    return Field(asked, fit_options(asked.request, asked.kits, asked.leaves))


def _option(desk: Desk, view: View, key: str) -> tuple[Option, Ask]:
    """The option with this key, among all that fit. Raises NotFound."""
    for job in (view.job, _loosened(view.job)):
        field = _field(desk, view, job)
        option = next((o for o in field.found.options if o.key == key), None)
        if option is not None and field.asked is not None:
            return option, field.asked
    raise NotFound(f"{key or 'this option'} does not fit here, or no longer; look at the options")


def _taken(desk: Desk, view: View, document: Document, option: Option) -> Document:
    """The document with the wishes that make this option the plan's first."""
    wishes = dict(document.get("wishes", {}))
    leaf = {**wishes.get("leaf", {}), "construction": option.leaf_id}
    wishes |= {"arrangement": option.arrangement, "kit": option.kit_id, "leaf": leaf}
    tried = [
        {**document, "wishes": wishes},
        {**document, "wishes": {**wishes, "clear_width": option.passage}},
    ]
    for candidate in tried:
        found = _field(desk, view, Job.model_validate(candidate)).found.options
        if found and found[0].key == option.key:
            return candidate
    raise Refused(
        f"{option.key}: the wishes can't be set so that this comes first; "
        "set the clear width wished for and choose again"
    )


def _picture(view: View, fit: Arrangement) -> Scene:
    sheet = Sheet(view.plan.style, view.plan.words, PICTURE, PICTURE)
    return picture(
        fit, sheet, "elevation-a", ("pockets", "leaves"), key=f"look-{fit.option.rank}",
        title=f"{KINDS[fit.kind]}, {fit.option.kit_name}", site=site(view.plan),
    )  # fmt: skip


def _sound(desk: Desk, view: View, fit: Arrangement) -> SoundResult | None:
    kit = next(kit for kit in desk.catalogue.kits if kit.id == fit.kit_id)
    leaf = next(leaf for leaf in desk.catalogue.leaves if leaf.id == fit.leaf_id)
    return hear(view.job, fit, kit, leaf, desk.catalogue, view.plan.region).result


STAGE = Stage("choose", 20, "Choose", _routes)
