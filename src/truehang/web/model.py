"""How is the wall looked at in space, and how does its model leave as a file?"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import Response

from truehang.drawing.gltf import OPENING_SECONDS
from truehang.drawing.solid import Solid, solids
from truehang.pack import ifc
from truehang.pack.model import model as model_of
from truehang.store import NotFound, Refused
from truehang.web import desk as d
from truehang.web.desk import Desk

_KINDS = {"glb": "model/gltf-binary", "ifc": "application/x-step"}


@dataclass(frozen=True, slots=True)
class Told:
    """A part in words: where it is along the wall and up it with the leaves closed, mm, and how
    far it moves to open (to the right where positive)."""

    name: str
    low: float
    high: float
    bottom: float
    top: float
    travel: float


def routes(desk: Desk) -> APIRouter:
    """The page of the model, and the model as files."""
    made = d.routes()

    @made.get("/jobs/{job}/model")
    def look(request: Request, job: str) -> Response:
        view = desk.view(request, job)
        return d.page(
            request, "model.html", view=view, told=in_words(solids(view.plan)),
            seconds=OPENING_SECONDS, ifc=ifc.available(),
        )  # fmt: skip

    @made.get("/jobs/{job}/model.{kind}")
    def file(request: Request, job: str, kind: str) -> Response:
        if kind not in _KINDS:
            raise NotFound(f"no model of the kind {kind[:20]!r}; there are {' and '.join(_KINDS)}")
        view = desk.view(request, job)
        tag = f'"{view.plan.digest}"'
        headers = {"ETag": tag, "Content-Security-Policy": "sandbox; default-src 'none'"}
        if request.headers.get("if-none-match") == tag:
            return Response(None, 304, headers)
        name = f"{view.job.job.name}.{kind}"
        try:
            data = model_of(view.plan, name)
        except (ifc.NothingToModel, ifc.IfcMissing) as none:
            raise Refused(str(none)) from None
        headers["Content-Disposition"] = f"attachment; filename*=UTF-8''{quote(name)}"
        return Response(data, 200, headers, _KINDS[kind])

    return made


def in_words(parts: tuple[Solid, ...]) -> tuple[tuple[str, tuple[Told, ...]], ...]:
    """Every part by its group: what those read who can't see the model."""
    return tuple(
        (group, tuple(_told(part) for part in members))
        for group, members in groupby(parts, key=lambda part: part.group)
    )


def _told(part: Solid) -> Told:
    blocks = part.blocks
    return Told(
        part.name,
        min(block.x0 for block in blocks),
        max(block.x1 for block in blocks),
        min(z for block in blocks for z in block.bottom),
        max(z for block in blocks for z in block.top),
        part.travel,
    )
