"""Who comes when? A list of days for the phone, what-ifs, messages and calendars for each trade."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from truehang.drawing import Scene, Sheet, programme_bars
from truehang.pack.calendar_file import calendar_of
from truehang.pack.programme_texts import day_lines, days, message
from truehang.plan.later.programme import ROOM
from truehang.plan.programme_ask import ask_all
from truehang.programme.answer import said_day, said_time
from truehang.programme.make import moved
from truehang.programme.model import Programme
from truehang.programme.what_if import WAYS, NotUnderstood, what_if
from truehang.store import NotFound, Refused
from truehang.web import desk as d
from truehang.web.desk import Desk, Document, View
from truehang.web.stages import Stage

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
MOST_SAID = 120


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("")
    def show(request: Request, job: str, what: str = "") -> Response:
        view = desk.view(request, job, ROOM.name)
        made = ROOM.of(view.plan)
        today = date.fromisoformat(desk.store.now()[:10])
        return d.page(
            request, "stages/programme.html", view=view, made=made, what=what[:MOST_SAID],
            lists=_days(made, today) if made else [], ways=WAYS,
            answer=_answer(desk, view, made, what[:MOST_SAID]) if made and what else None,
            messages=_messages(made) if made else [], chart=_chart(request, view, made),
            holds=_holds(view, made), said_day=said_day, said_time=said_time,
        )  # fmt: skip

    @routes.get("/{trade}.ics")
    def calendar(request: Request, job: str, trade: str) -> Response:
        view = desk.view(request, job, ROOM.name)
        made = ROOM.of(view.plan)
        if made is None or trade not in made.trades:
            raise NotFound(f"no trade {trade[:40]!r} comes at this job")
        data = calendar_of(made, trade, view.job.job.issued)
        name = f"{view.job.job.name}-{trade.replace(' ', '-')}.ics"
        return Response(
            data, media_type="text/calendar; charset=utf-8",
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )  # fmt: skip

    @routes.post("/recorded")
    def recorded(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job, ROOM.name)
        key = sent.get("step", "")
        if key not in {hold["step"] for hold in _holds(view, ROOM.of(view.plan))}:
            raise Refused("that hold is not there any more; load the page again")
        day = desk.store.now()[:10]

        def change(before: Document) -> Document:
            wish = dict(before.get("programme") or {})
            wish["recorded"] = {**(wish.get("recorded") or {}), key: day}
            return {**before, "programme": wish}

        saved = desk.save(request, job, sent, change, f"recorded: {key}")
        return d.after(f"/jobs/{job}/programme", saved)

    return routes


def _days(made: Programme, today: date) -> list[dict[str, Any]]:
    """The days from today on, or all where none is left; the next two by their names."""
    every = days(made)
    coming = [day for day in every if day >= today] or list(every)
    names = {today: "Today", today + timedelta(days=1): "Tomorrow"}
    return [
        {
            "name": f"{names[day]}, {said_day(day)}" if day in names else said_day(day),
            "lines": day_lines(made, day),
        }
        for day in coming
    ]


def _messages(made: Programme) -> list[dict[str, str]]:
    words = {row.trade: row.word for row in made.rows}
    return [
        {"trade": trade, "word": words[trade], "text": message(made, trade)}
        for trade in made.trades
    ]


def _holds(view: View, made: Programme | None) -> list[dict[str, str]]:
    """The holds that nobody has recorded, with the build sheet each is of."""
    if made is None:
        return []
    return [
        {"step": row.key.partition("/")[2].partition(".")[0], "title": row.title, "hold": row.hold}
        for row in made.rows
        if row.hold and not row.recorded and not row.done
    ]


def _answer(desk: Desk, view: View, made: Programme, what: str) -> dict[str, Any]:
    asked = ask_all([view.plan], desk.catalogue)
    try:
        after = what_if(asked.request, asked.made, what).made.programme
    except NotUnderstood as wrong:
        return {"wrong": str(wrong), "finish": None, "days": 0, "moved": []}
    if not after.rows:
        return {"wrong": after.findings[0].what, "finish": None, "days": 0, "moved": []}
    changed = [new for _, new, _ in moved(made, after) if new.kind == "work"]
    return {
        "wrong": "",
        "finish": after.finish,
        "days": (after.finish.date() - made.finish.date()).days,
        "moved": changed[:10],
    }


def _chart(request: Request, view: View, made: Programme | None) -> list[Any]:
    if made is None or not made.rows:
        return []
    sheet = Sheet(view.printing.style, view.printing.words)
    return [
        d.drawn(request, (view.plan.digest, scene.key), partial(_same, scene))
        for scene in programme_bars(made, sheet)
    ]


def _same(scene: Scene) -> Scene:
    return scene


STAGE = Stage("programme", 42, "Programme", _routes)
