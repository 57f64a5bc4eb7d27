"""Build: what is done now, with which numbers, and is it right before the next step?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from truehang.amounts import read_here, unit_here
from truehang.drawing import Scene, Sheet
from truehang.drawing.every import site
from truehang.drawing.stamp import stamped
from truehang.drawing.views.picture import PARTS, picture
from truehang.fit import Arrangement
from truehang.lengths import LengthError, LengthStyle, parse_length
from truehang.steps import Check, Picture, Step
from truehang.store import Entry, NotFound, Refused
from truehang.web import desk as d
from truehang.web.desk import Desk, View
from truehang.web.papers import on_site
from truehang.web.stages import Stage

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
PICTURE = (130.0, 95.0)
EVIDENCE_STEP = "look"
"""The step whose hold is lifted by the record of what the wall carries, not by a word here."""


@dataclass(frozen=True, slots=True)
class Proof:
    """A check with the last reading entered for it, and the one before that was not right."""

    check: Check
    entry: Entry | None
    tries: int


@dataclass(frozen=True, slots=True)
class Now:
    """A step with what was recorded at it. `held` says that its hold point stands."""

    step: Step
    proofs: tuple[Proof, ...]
    hold: Entry | None

    @property
    def held(self) -> bool:
        """True while its hold point is not recorded."""
        return bool(self.step.hold) and self.hold is None

    @property
    def done(self) -> bool:
        """True when everything at it is recorded and right."""
        return not self.held and all(p.entry is not None and p.entry.passed for p in self.proofs)


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()

    @routes.get("")
    def build(request: Request, job: str) -> Response:
        view = desk.view(request, job)
        todo = _work(view.plan.steps, desk.store.entries(view.id))
        if not todo:
            return d.page(request, "stages/build_none.html", view=view)
        at = next((now for now in todo if not now.done), todo[-1])
        return d.to(f"/jobs/{job}/build/{at.step.key}")

    @routes.get("/{key}")
    def step(request: Request, job: str, key: str) -> Response:
        view = desk.view(request, job)
        todo = _work(view.plan.steps, desk.store.entries(view.id))
        at = _find(todo, key)
        blocked = next((now for now in todo[:at] if now.held), None)
        return d.page(
            request, "stages/build.html", view=view, todo=todo, now=todo[at], at=at,
            blocked=blocked, picture=_drawn(request, view, todo[at].step),
            photos=[p for p in desk.store.photos(job) if p.pin == f"step.{key}"],
            evidence=todo[at].step.key == EVIDENCE_STEP, today=desk.today,
            paper=on_site(
                job, request.app.state.packs.look(view.plan.digest),
                desk.store.issued(job, view.revision.number),
            ),
        )  # fmt: skip

    @routes.post("/{key}/check")
    def check(request: Request, job: str, key: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        todo = _work(view.plan.steps, desk.store.entries(view.id))
        now = todo[_find(todo, key)]
        name = sent.get("check", "")
        proof = next((p for p in now.proofs if p.check.key == name), None)
        if proof is None:
            raise NotFound(f"no check {name!r} at this step")
        reading = _reading(proof.check, sent.get("reading", "").strip(), view.plan.style)
        desk.store.record(
            job, "check", f"{key}.{name}", reading, proof.check.passes(reading),
            request.state.who, d.op_of(sent),
        )  # fmt: skip
        return d.to(f"/jobs/{job}/build/{key}#check-{name}")

    @routes.post("/{key}/hold")
    def hold(request: Request, job: str, key: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        todo = _work(view.plan.steps, desk.store.entries(view.id))
        now = todo[_find(todo, key)]
        if not now.step.hold:
            raise Refused("this step has no hold point to record")
        if key == EVIDENCE_STEP:
            raise Refused("record what the wall carries with who, when and a photo: see Measure")
        desk.store.record(job, "hold", key, _told(sent), True, request.state.who, d.op_of(sent))
        return d.to(f"/jobs/{job}/build/{key}")

    return routes


def _told(sent: dict[str, str]) -> dict[str, str]:
    """Who lifted a hold, when, and what they noted."""
    told = {name: sent.get(name, "").strip()[:200] for name in ("name", "date", "note")}
    for name, mend in (("name", "who recorded it, and their trade"), ("date", "the day")):
        if not told[name]:
            raise Refused(f"{name}: empty; give {mend}")
    return told


def _work(steps: tuple[Step, ...], entries: tuple[Entry, ...]) -> tuple[Now, ...]:
    newest: dict[tuple[str, str], Entry] = {(e.kind, e.key): e for e in entries}
    tries = [e.key for e in entries if e.kind == "check"]
    return tuple(
        Now(
            step,
            tuple(
                Proof(check, newest.get(("check", name)), tries.count(name))
                for check in step.checks
                for name in (f"{step.key}.{check.key}",)
            ),
            newest.get(("hold", step.key)),
        )
        for step in steps
    )


def _find(todo: tuple[Now, ...], key: str) -> int:
    at = next((n for n, now in enumerate(todo) if now.step.key == key), None)
    if at is None:
        raise NotFound(f"this job has no step {key!r}, or has it no longer")
    return at


def _reading(check: Check, text: str, style: LengthStyle) -> float | bool:
    """What was entered, in the check's unit of ours, or done. Raises Refused."""
    if not check.measured:
        return text == "done"
    try:
        if check.unit == "mm":
            return parse_length(text)
        number = read_here(text, check.unit, style)
        if number is not None and abs(number) < 1e6:
            return number
    except LengthError:
        pass
    wanted = unit_here(check.unit, style)
    if check.unit == "mm" and style != "mm":
        wanted = "feet and inches"
    raise Refused(f"{check.label}: {text[:20]!r} can't be read; write it in {wanted}")


def _drawn(request: Request, view: View, step: Step) -> Markup | None:
    made, asked = view.plan.arrangement, step.picture
    if made is None or asked is None:
        return None
    return d.drawn(
        request, ("step", view.plan.digest, step.key), lambda: _picture(view, made, step, asked)
    )


def _picture(view: View, made: Arrangement, step: Step, asked: Picture) -> Scene:
    sheet = Sheet(view.plan.style, view.plan.words, PICTURE, PICTURE)
    parts = [part for part in asked.highlight if part in PARTS]
    scene = picture(
        made, sheet, asked.view, parts, key=f"step-{step.key}", title=str(step.title),
        site=site(view.plan),
    )  # fmt: skip
    return stamped(scene, view.plan.standing.stamp)


STAGE = Stage("build", 60, "Build", _routes)
