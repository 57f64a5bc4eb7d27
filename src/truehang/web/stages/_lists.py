"""What is cut from what, for this job or for several, and what hangs on the rack?

Pages of Order: the cutting, the boards, and the rack, which is one for all jobs of this store. On
the rack a job is known by its id, so that a new name loses nothing; people are shown its name.
Every change of the rack says which version it was made on: sent twice, it is done once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.catalogue import Catalogue
from truehang.cutting import Cut, CuttingPlan, Rack, RackError, SectionCuts
from truehang.drawing import Scene, Sheet, cutting_pictures, lining_pictures
from truehang.drawing.stamp import stamped
from truehang.lengths import LengthError, parse_length
from truehang.message import voiced
from truehang.plan import Plan, Standing, cut, cut_and_hold, cut_done, holder, pooled
from truehang.store import Refused, Summary, change_rack, rack, rack_changed
from truehang.web import desk as d
from truehang.web.desk import Desk, View

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
WITH = "with."
"""Begins the fields that say which other jobs are cut together with this one."""
MOST_JOBS = 100
MOST_ALIKE = 50
MOST_FROM = 60


def routes(desk: Desk) -> APIRouter:
    """The pages, to be mounted under Order."""
    whole = d.routes()
    for part in (_cutting(desk), _boards(desk), _rack(desk)):
        whole.include_router(part)
    return whole


# ---------------------------------------------------------------- cutting


def _cutting(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/cutting")
    def cutting(request: Request, job: str) -> Response:
        view, ids = desk.view(request, job), _chosen(desk, job, request.query_params)
        plans, now = _plans(desk, request, ids), rack(desk.store)
        who = holder(ids)
        held = [piece for piece in now.pieces if piece.held_by == who]
        sawn = [id for id in ids if id in now.settled]
        if not now.version:
            raw = cut(plans, desk.catalogue)
        elif held or sawn:
            offered = [piece for piece in now.free_for(who) if piece.id in _ids(held)]
            raw = cut(plans, desk.catalogue, offered)
        else:
            raw, _ = cut_and_hold(plans, desk.catalogue, now, ids)
        made = _named(voiced(raw, view.plan.voice), plans)
        stands = _stands(plans, made)
        used = [line.stock for line in made.lines if line.source == "rack"]
        sheet = Sheet(view.plan.style, view.plan.words)
        return d.page(
            request, "stages/order_cutting.html", view=view, made=made, rack=now, held=held,
            stands=stands,
            used=used, ids=ids, jobs=_offered(desk, ids),
            sawn=list(desk.store.names(sawn).values()),
            pictures=[_pictures(section, sheet, stands.stamp) for section in made.sections],
            with_=WITH,
        )  # fmt: skip

    def turn(request: Request, job: str, sent: dict[str, str], after: _After) -> Response:
        """Change the rack by what is cut for the chosen jobs, and back to the page."""
        ids = _chosen(desk, job, sent)
        plans = _plans(desk, request, ids)
        stands = pooled([(plan.job.job.name, plan.findings) for plan in plans])
        if stands.draft:
            raise Refused(f"rack: {stands.headline}; the rack was not changed")

        with _said(desk, sent):
            # Planned before the store is locked; a change in between is refused by its version.
            made, changed = after(plans, desk.catalogue, rack(desk.store), ids)
            if made.uncut:
                raise RackError("not every part can be cut; look at what is said on the page")
            change_rack(desk.store, lambda _: changed, _seen(sent), d.op_of(sent))
        return d.to(f"/jobs/{job}/order/cutting?" + "&".join(f"{WITH}{i}=yes" for i in ids))

    @routes.post("/cutting/hold")
    def hold(request: Request, job: str, sent: Sent) -> Response:
        return turn(request, job, sent, cut_and_hold)

    @routes.post("/cutting/done")
    def done(request: Request, job: str, sent: Sent) -> Response:
        return turn(request, job, sent, cut_done)

    return routes


_After = Callable[[Sequence[Plan], Catalogue, Rack, Sequence[str]], tuple[CuttingPlan, Rack]]


def _ids(pieces: Sequence[Any]) -> set[str]:
    return {piece.id for piece in pieces}


def _chosen(desk: Desk, job: str, given: Any) -> list[str]:
    """The ids of the jobs that are cut together: this one, and those ticked."""
    ticked = {key.removeprefix(WITH) for key in given if key.startswith(WITH)}
    ids = sorted({job, *desk.store.names(ticked)})
    if len(ids) > MOST_JOBS:
        raise Refused(f"jobs: {len(ids)} are more than {MOST_JOBS} at once; tick fewer")
    return ids


def _plans(desk: Desk, request: Request, ids: Sequence[str]) -> list[Plan]:
    plans: list[Plan] = [request.app.state.plans.of(desk.store.head(id)) for id in ids]
    names = [plan.job.job.name for plan in plans]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise Refused(f"jobs: two of those ticked are called {twice[0]}; give one another name")
    return plans


def _stands(plans: Sequence[Plan], made: CuttingPlan) -> Standing:
    """What stands in the way of all of them."""
    found = [(plan.job.job.name, plan.findings) for plan in plans]
    return pooled([*found, ("", made.findings)])


def _pictures(section: SectionCuts, sheet: Sheet, stamp: str) -> list[Scene]:
    """The lengths of one section, drawn; apart from those of the others by their names."""
    name = re.sub(r"[^a-z0-9]+", "-", section.section.lower())
    return [
        replace(
            stamped(scene, stamp),
            key=f"{scene.key}-{name}",
            title=f"{section.section}, {scene.title.lower()}",
        )
        for scene in cutting_pictures(section, sheet)
    ]


def _named(made: CuttingPlan, plans: Sequence[Plan]) -> CuttingPlan:
    """The plan with each part named as it is marked on the piece: with its job, if there are
    several."""
    if len(plans) == 1:
        return made

    def label(one: Cut) -> Cut:
        return replace(one, label=f"{one.job}: {one.label or one.part}")

    return replace(
        made,
        sections=tuple(
            replace(
                section,
                lines=tuple(
                    replace(line, cuts=tuple(label(one) for one in line.cuts))
                    for line in section.lines
                ),
            )
            for section in made.sections
        ),
    )


# ---------------------------------------------------------------- boards


def _boards(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/boards")
    def boards(request: Request, job: str) -> Response:
        view = desk.view(request, job, "cutting")
        whole = view.plan
        sheet = Sheet(view.plan.style, view.plan.words)
        return d.page(
            request, "stages/order_boards.html", view=view, laid=whole.lining,
            stands=whole.standing,
            pictures=[stamped(one, whole.standing.stamp) for one in lining_pictures(whole, sheet)],
            said=[item for item in whole.findings if item.where.startswith("lining")],
        )  # fmt: skip

    return routes


# ---------------------------------------------------------------- the rack


def _rack(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("/rack")
    def hangs(request: Request, job: str) -> Response:
        view, now = desk.view(request, job), rack(desk.store)
        return d.page(
            request, "stages/order_rack.html", view=view, rack=now, spoken=_spoken(desk),
            holders=sorted({piece.held_by for piece in now.pieces if piece.held_by}),
            sections=_sections(desk, view), most=MOST_ALIKE,
        )  # fmt: skip

    def change(job: str, sent: dict[str, str], make: Callable[[Rack], Rack]) -> Response:
        with _said(desk, sent):
            change_rack(desk.store, make, _seen(sent), d.op_of(sent))
        return d.to(f"/jobs/{job}/order/rack")

    @routes.post("/rack/put")
    def put(request: Request, job: str, sent: Sent) -> Response:
        section = sent.get("section", "")
        if section not in _sections(desk, desk.view(request, job)):
            raise Refused(
                f"section: {section[:40]!r} is not in the catalogue; choose from the list"
            )
        try:
            length = parse_length(sent.get("length", "").strip())
        except LengthError as wrong:
            raise Refused(f"length: {wrong}") from None
        pieces = [(section, length)] * _count(sent.get("count", "1"))
        came_from = sent.get("from", "").strip()[:MOST_FROM]
        return change(job, sent, lambda now: now.put(pieces, came_from))

    @routes.post("/rack/take")
    def take(job: str, sent: Sent) -> Response:
        return change(job, sent, lambda now: now.take([sent.get("piece", "")[:40]]))

    @routes.post("/rack/release")
    def release(job: str, sent: Sent) -> Response:
        return change(job, sent, lambda now: now.release(sent.get("who", "")))

    @routes.post("/rack/begin")
    def begin(request: Request, job: str, sent: Sent) -> Response:
        """The offcuts of the job's file hang on the rack from now on; once, while it is new."""
        given = [
            (offcut.stock, offcut.length)
            for offcut in desk.view(request, job).job.offcuts
            if offcut.width is None
            for _ in range(offcut.count)
        ]
        return change(job, {**sent, "seen": "0"}, lambda now: now.put(given, job))

    return routes


def _sections(desk: Desk, view: View) -> tuple[str, ...]:
    """The sections that are sold in the job's region."""
    return desk.catalogue.cut_in(view.plan.region)


def _count(text: str) -> int:
    if not (text.isdecimal() and len(text) < 4 and 1 <= int(text) <= MOST_ALIKE):
        raise Refused(f"count: {text[:10]!r} is not a count; give 1 to {MOST_ALIKE}")
    return int(text)


# ---------------------------------------------------------------- both


def _seen(sent: dict[str, str]) -> int:
    given = sent.get("seen", "")
    if not (given.isdecimal() and len(given) < 10):
        raise Refused("the rack's version is missing; load the page again")
    return int(given)


def _offered(desk: Desk, ids: Sequence[str]) -> list[Summary]:
    """Jobs that may be cut together: those that changed lately, and those ticked."""
    lately = desk.store.jobs(most=MOST_JOBS)
    seen = {job.id for job in lately}
    return [*lately, *desk.store.summaries([id for id in ids if id not in seen])]


def _spoken(desk: Desk) -> Callable[[str], str]:
    """Says jobs by their names where a text has their ids."""

    def spoken(text: str) -> str:
        names = desk.store.names(set(re.findall("[0-9a-f]{32}", text)))
        for id, name in names.items():
            text = text.replace(id, name)
        return text

    return spoken


@contextmanager
def _said(desk: Desk, sent: dict[str, str]) -> Iterator[None]:
    """What the rack refuses is a page that says so, unless it was done when it came before."""
    try:
        yield
    except RackError as wrong:
        if rack_changed(desk.store, d.op_of(sent)):
            return
        raise Refused(f"rack: {_spoken(desk)(str(wrong))}") from None
