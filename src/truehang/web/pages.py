"""Which pages has the app? The job list, a job's own pages, and the pages of every stage.

What these pages need of the app that mounts them:

- `request.state.who`: who is asking, as it is written into revisions ("Pixel of Sam", "this
  computer").
- `request.state.csrf`: the token that forms send back in the field `csrf` and htmx in the header
  `X-CSRF-Token`. Checking it is the app's business.
- `app.state.plans`: the plan of a revision, `plans.of(revision)`; `app.state.drawn`: drawings that
  are kept by what they are made of.
- /static serves `web/static` (with `vendor/htmx.min.js`); `offline.js` is loaded by every page.
- Files are served at /jobs/{job}/job.yaml, /jobs/{job}/issued/{revision}/{name},
  /jobs/{job}/issued/{revision}.zip and /jobs/{job}/photos/{op}; changes of a job by other
  devices are told at /jobs/{job}/live.
- A form with the attribute `data-queue` may be kept and sent again as it is when there is no
  signal: its hidden fields `base` (the revision it was made from) and `op` make that safe.
- The devices page is the template `devices.html`, drawn with `desk.page(request, "devices.html",
  devices=...)`; its forms post to /devices/{id}/revoke.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import PurePath
from typing import TYPE_CHECKING, Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from pydantic import BaseModel
from starlette.responses import Response

from truehang.catalogue import Catalogue
from truehang.figures import Figure
from truehang.job import Job, JobError, dump, load
from truehang.job.models import About, Prices, Site, Wall
from truehang.plan.later import asked_for
from truehang.store import (
    DAYS_KEPT,
    SHELVES,
    Conflict,
    NotFound,
    Past,
    Refused,
    Revision,
    Store,
    clear,
    copy,
    shelf_of,
    shelve,
)
from truehang.store.merge import put
from truehang.web import desk as d
from truehang.web import model
from truehang.web.desk import Desk, Document, View, Wrong, inside
from truehang.web.differences import Difference, differences, of_values
from truehang.web.files import attached
from truehang.web.forms import Field, Form
from truehang.web.stages import _opening, stages
from truehang.web.wording import told_on_page
from truehang.web.words import choices

if TYPE_CHECKING:
    from truehang.plan import Plan

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
Files = Annotated[dict[str, bytes], Depends(d.sent_files)]

Chain = tuple[tuple[int, Figure | str], ...]

MOST_LISTED = 50
"""Jobs, or revisions of one, on a page."""
ABOUT_NEW = ("title", "name", "region", "print")
WALL_NEW = ("situation", "run", "ceiling", "built", "datum", "make_up")


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part of the job file that belongs to no stage: it is edited on the job's own page."""

    title: str
    path: tuple[str, ...]
    model: type[BaseModel]
    only: tuple[str, ...] = ()
    skip: tuple[str, ...] = ()


PARTS = {
    "job": PartPage("About the job", ("job",), About, skip=("revision", "seed")),
    "site": PartPage("Crew and site", ("site",), Site),
    "prices": PartPage("Your prices", ("prices",), Prices),
    "materials": PartPage("Materials of your own", (), Job, only=("materials",)),
    "van": PartPage("On the van and the rack", (), Job, only=("packers", "offcuts")),
}


def desk_of(store: Store, catalogue: Catalogue, zone: str = "") -> Desk:
    """What all pages share."""
    return Desk(store, catalogue, choices(catalogue), zone)


def routes(desk: Desk) -> APIRouter:
    """All pages of a desk."""
    whole = d.routes()
    for part in (_jobs(desk), _new(desk), _job(desk), _history(desk), _conflicts(desk)):
        whole.include_router(part)
    whole.include_router(model.routes(desk))
    for stage in stages():
        whole.include_router(stage.routes(desk), prefix=f"/jobs/{{job}}/{stage.name}")
    return whole


# ---------------------------------------------------------------- the list of jobs


def _jobs(desk: Desk) -> APIRouter:
    routes = d.routes()

    def listed(request: Request, status: int = 200, **more: Any) -> Response:
        given = request.query_params
        search, after = given.get("search", "")[:200].strip(), given.get("after", "")[:80]
        shelf = given.get("shelf", "") if given.get("shelf", "") in SHELVES else ""
        rows = desk.store.jobs(search, after, MOST_LISTED + 1, shelf)
        further = rows[MOST_LISTED - 1].place if len(rows) > MOST_LISTED else ""
        return d.page(
            request, "jobs.html", status, jobs=rows[:MOST_LISTED], search=search, after=after,
            more=urlencode({"search": search, "after": further, "shelf": shelf}) if further else "",
            shelf=shelf, days=DAYS_KEPT, **more,
        )  # fmt: skip

    @routes.get("/")
    def jobs(request: Request) -> Response:
        return listed(request)

    @routes.post("/jobs/import")
    def bring_in(request: Request, sent: Sent, files: Files) -> Response:
        given: str | bytes = files.get("file") or sent.get("text", "").encode()
        if not given:
            raise Refused("file: nothing was sent; choose a job file (job.yaml) or paste its text")
        try:
            job = load(given)
        except JobError as wrong:
            return listed(request, 422, problems=wrong.problems, text=sent.get("text", ""))
        made = desk.store.create(job, request.state.who, d.op_of(sent), "brought in from a file")
        return d.to(f"/jobs/{made.job}")

    return routes


# ---------------------------------------------------------------- a new job


def _new_fields(
    desk: Desk, document: Mapping[str, Any]
) -> tuple[tuple[str, tuple[Field, ...]], ...]:
    form = Form(choices=desk.choices)
    about = form.fields(About, document.get("job", {}), "job", only=ABOUT_NEW)
    about = tuple(
        replace(item, required=False, hint="for file names; made from the title where left empty")
        if item.name == "name"
        else item
        for item in about
    )
    return (
        ("The job", about),
        ("The wall", form.fields(Wall, document.get("wall", {}), "wall", only=WALL_NEW)),
    )


def _usual() -> Document:
    """What a new job begins with: a plain stud wall (common practice, no source). What is done
    to it is for the person to say."""
    board = [{"material": "plasterboard", "thickness": 10}]
    return {
        "truehang": 1,
        "job": {"region": "au"},
        "wall": {
            "datum": "left end of the run, seen from side A",
            "make_up": {
                "face_a": board,
                "studs": {"material": "pine", "width": 45, "depth": 90, "spacing": 450},
                "face_b": board,
            },
        },
    }


def _short_name(title: str) -> str:
    words = re.findall(r"[a-z0-9]+", title.lower())
    return "-".join(words)[:40].strip("-")


def _new(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/jobs/new")
    def blank(request: Request) -> Response:
        return d.page(request, "new.html", parts=_new_fields(desk, _usual()))

    @routes.post("/jobs")
    def create(request: Request, sent: Sent) -> Response:
        form, document = Form(choices=desk.choices), _usual()
        about, wall = d.within(sent, "job."), d.within(sent, "wall.")
        document["job"] = form.read(About, about, document["job"], "job", only=ABOUT_NEW)
        document["wall"] = form.read(Wall, wall, document["wall"], "wall", only=WALL_NEW)
        document["job"].setdefault("name", _short_name(about.get("title", "")) or "job")
        document["job"]["issued"] = desk.today
        found = [told_on_page(problem) for problem in d.problems(document)]
        if found:
            return d.page(
                request, "new.html", 422, parts=_new_fields(desk, document), problems=found
            )
        made = desk.store.create(Job.model_validate(document), request.state.who, d.op_of(sent))
        return d.to(f"/jobs/{made.job}/{stages()[0].name}")

    return routes


# ---------------------------------------------------------------- one job


def _show(desk: Desk, request: Request, job: str, status: int = 200, **more: Any) -> Response:
    view, typed = desk.view(request, job), more.pop("typed", {})
    there = {name: inside(view.document, part.path) for name, part in PARTS.items()}
    parts = [
        (
            name, part.title,
            view.form.fields(
                part.model, typed.get(name) or there[name], ".".join(part.path),
                only=part.only, skip=part.skip,
            ),
        )
        for name, part in PARTS.items()
    ]  # fmt: skip
    return d.page(
        request, "job.html", status, view=view, parts=parts,
        issued=desk.store.issued(job), photos=desk.store.photos(job),
        shelf=shelf_of(desk.store, job), days=DAYS_KEPT, pins=pins(view), **more,
    )  # fmt: skip


def _job(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/jobs/{job}")
    def job(request: Request, job: str) -> Response:
        return _show(desk, request, job)

    @routes.post("/jobs/{job}/part/{part}")
    def save(request: Request, job: str, part: str, sent: Sent) -> Response:
        if part not in PARTS:
            raise NotFound(f"no part {part!r} of a job")
        this, form = PARTS[part], desk.view(request, job).form
        typed: dict[str, Any] = {}

        def change(document: Document) -> Document:
            values = form.read(
                this.model, d.within(sent), inside(document, this.path), ".".join(this.path),
                only=this.only, skip=this.skip,
            )  # fmt: skip
            typed[part] = values
            return put(document, this.path, values)  # type: ignore[no-any-return]

        try:
            saved = desk.save(request, job, sent, change, this.title.lower())
        except Wrong as wrong:
            return _show(desk, request, job, 422, problems=wrong.problems, typed=typed)
        return d.after(f"/jobs/{job}", saved)

    @routes.post("/jobs/{job}/shelf")
    def put_away(job: str, sent: Sent) -> Response:
        shelve(desk.store, job, sent.get("shelf", ""))
        clear(desk.store)
        return d.to("/" if sent.get("shelf") else f"/jobs/{job}")

    @routes.post("/jobs/{job}/copy")
    def copy_of(request: Request, job: str, sent: Sent) -> Response:
        return d.to(f"/jobs/{copy(desk.store, job, request.state.who, d.op_of(sent)).job}")

    @routes.get("/jobs/{job}/why/{key}")
    def why(request: Request, job: str, key: str) -> Response:
        view = desk.view(request, job, *asked_for(key))
        if key not in view.plan.figures:
            raise NotFound(f"no figure {key!r} in this job")
        return d.page(
            request, "why.html", view=view, chain=_gathered(view.plan.figures.chain(key)),
            alone="hx-request" not in request.headers, given=_given,
        )  # fmt: skip

    @routes.post("/jobs/{job}/photos")
    def photo(request: Request, job: str, sent: Sent, files: Files) -> Response:
        from truehang.store import FileRefused

        if "photo" not in files:
            raise Refused("photo: nothing was sent; take or choose a picture")
        try:
            desk.store.add_photo(
                job,
                files["photo"],
                sent.get("caption", "")[:200],
                request.state.who,
                d.op_of(sent),
                sent.get("pin", "")[:200],
            )
        except FileRefused as wrong:
            raise Refused(str(wrong)) from None
        return d.to(_inside(job, sent.get("back", "")))

    return routes


def pins(view: View) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """What a photo can be pinned to, in groups: the pin, and its words."""
    readings = [(f"reading.{r.id}", f"{_opening.label(r.kind, r.place)} ({r.id})")
                for r in view.job.measure.readings]  # fmt: skip
    steps = [(f"step.{s.key}", f"{s.number} {s.title}") for s in view.plan.steps]
    found = {f"finding.{f.where}"[:200]: f.where.replace(".", ", ") for f in view.plan.findings}
    return [("reading", "A reading", readings), ("step", "A step", steps),
            ("finding", "What to know", list(found.items()))]  # fmt: skip


def _inside(job: str, back: str) -> str:
    """A way back that stays in this job."""
    path = str(PurePath(back)) if back.startswith(f"/jobs/{job}") and ".." not in back else ""
    return path or f"/jobs/{job}"


def _given(document: Document, path: str) -> str:
    """What the job file says at "job:wall.run", as text; empty where it says nothing."""
    value: Any = document
    for name in path.removeprefix("job:").split("."):
        if isinstance(value, list):  # rows are named by their ids
            value = next((row for row in value if row.get("id") == name), None)
        else:
            value = value.get(name) if isinstance(value, Mapping) else None
    if isinstance(value, Mapping) and "value" in value:  # a reading
        value = value["value"]
    return "" if value is None or isinstance(value, Mapping | list) else str(value)


MOST_GIVEN = 4


def _gathered(chain: Chain) -> list[tuple[int, Any]]:
    """The chain behind a figure, with many values of the job one below the other as one tuple."""
    rows: list[tuple[int, Any]] = []
    for (depth, from_job), run in groupby(chain, lambda row: (row[0], _from_job(row[1]))):
        some = list(run)
        if from_job and len(some) > MOST_GIVEN:
            rows.append((depth, tuple(item for _, item in some)))
        else:
            rows += some
    return rows


def _from_job(item: Figure | str) -> bool:
    return isinstance(item, str) and item.startswith("job:")


# ---------------------------------------------------------------- history and conflicts


def _history(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/jobs/{job}/history")
    def history(request: Request, job: str) -> Response:
        given = request.query_params.get("before", "")
        before = int(given) if given.isdecimal() and len(given) < 8 else None
        view, undoes = desk.view(request, job), desk.store.undoes(job)
        stands, undone = _standing(desk.store.past(job))
        return d.page(
            request, "history.html", view=view, before=before, stands=stands, undone=undone,
            history=desk.store.past(job, before, MOST_LISTED), issued=desk.store.issued(job),
            undoes=undoes and undoes[0], latest=_changed_in(desk, view, view.revision.number),
            back=differences(view.form, view.document, undoes[1].document) if undoes else (),
        )  # fmt: skip

    @routes.get("/jobs/{job}/history/{number}")
    def one(request: Request, job: str, number: int) -> Response:
        view, then = desk.view(request, job), _revision(desk, job, number)
        plan: Plan = request.app.state.plans.of(then)
        return d.page(
            request, "revision.html", view=view, then=then, made=plan.arrangement, model=plan.job,
            changed=_changed_in(desk, view, number), sketch=_opening,
            since=differences(view.form, view.document, then.document),
        )  # fmt: skip

    @routes.get("/jobs/{job}/history/{number}/job.yaml")
    def file(job: str, number: int) -> Response:
        model = _revision(desk, job, number).model()
        return attached(f"{model.job.name}-{number}.yaml", dump(model).encode(), "application/yaml")

    @routes.post("/jobs/{job}/history/{number}")
    def bring_back(request: Request, job: str, number: int, sent: Sent) -> Response:
        _revision(desk, job, number)
        desk.store.bring_back(job, number, request.state.who, d.op_of(sent))
        return d.to(f"/jobs/{job}/history")

    @routes.post("/jobs/{job}/undo")
    def undo(request: Request, job: str, sent: Sent) -> Response:
        desk.store.undo(job, request.state.who, d.op_of(sent))
        return d.to(f"/jobs/{job}/history")

    return routes


def _revision(desk: Desk, job: str, number: int) -> Revision:
    if not 0 < number < 2**31:
        raise NotFound(f"no revision {number} of this job")
    return desk.store.revision(job, number)


def _changed_in(desk: Desk, view: View, number: int) -> tuple[Difference, ...]:
    """What a revision changed; nothing at the first."""
    if number < 2:
        return ()
    before, after = (desk.store.revision(view.id, at).document for at in (number - 1, number))
    return differences(view.form, before, after)


def _standing(past: Sequence[Past]) -> tuple[int, frozenset[int]]:
    """Of all revisions, the newest first: the one whose state stands, and those taken back."""
    at = past[0].number
    restores = {each.number: each.restores for each in past}
    undone: set[int] = set()
    standing = 0
    while at:
        to = restores[at]
        standing = standing or (at if to is None else 0)
        undone |= set(range(to + 1, at)) if to is not None else set()
        at = at - 1 if to is None else to
    return standing, frozenset(undone)


def _conflicts(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/jobs/{job}/conflicts")
    def conflicts(request: Request, job: str) -> Response:
        view = desk.view(request, job)
        return d.page(
            request, "conflicts.html", view=view,
            conflicts=[_told(desk, view, one) for one in desk.store.conflicts(job)],
        )  # fmt: skip

    @routes.post("/jobs/{job}/conflicts/{conflict}")
    def settle(request: Request, job: str, conflict: str, sent: Sent) -> Response:
        desk.store.settle(job, conflict, sent.get("take", ""), request.state.who, d.op_of(sent))
        return d.to(f"/jobs/{job}/conflicts")

    return routes


@dataclass(frozen=True, slots=True)
class Told:
    """A conflict as it is shown: what stands and what waits, by whom and since when; what differs
    between them, and from what it was before either."""

    id: str
    theirs: Revision
    who: str
    at: str
    differs: tuple[Difference, ...]
    was: tuple[Difference, ...]


def _told(desk: Desk, view: View, one: Conflict) -> Told:
    def between(before: Any, after: Any) -> tuple[Difference, ...]:
        return of_values(view.form, view.document, one.path, before, after)

    theirs = desk.store.stands_since(view.id, one.path, one.revision)
    return Told(
        one.id, theirs, one.who, one.at, between(one.theirs, one.mine),
        between(one.base, one.theirs),
    )  # fmt: skip
