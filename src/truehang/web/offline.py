"""What does a phone keep for when there is no signal? The service worker and its list of parts."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from pathlib import Path

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

_NOT_KEPT = frozenset({"model.js", "model.css", "three", "worker.js", "pair.css", "trust.js"})
"""Large or of no use without signal; the 3D view is kept once it was looked at."""


def router(static: Path) -> APIRouter:
    """/sw.js, which is the worker with the list of parts it keeps, and /no-signal."""
    routes = APIRouter(include_in_schema=False)

    @cache
    def worker() -> str:
        parts, version = listed(static)
        told = {"version": version, "parts": [*parts, "/no-signal"]}
        source = (static / "worker.js").read_text(encoding="utf-8")
        return f"const KEPT = {json.dumps(told)};\n{source}"

    @routes.get("/sw.js")
    def script() -> Response:
        return Response(worker(), 200, {"Cache-Control": "no-cache"}, "text/javascript")

    @routes.get("/no-signal")
    def no_signal() -> HTMLResponse:
        return HTMLResponse((static / "no-signal.html").read_text(encoding="utf-8"))

    return routes


def listed(static: Path) -> tuple[list[str], str]:
    """The paths of the parts that every page needs, and a version that changes when they do."""
    files = sorted(
        path
        for path in static.rglob("*")
        if path.suffix in (".css", ".js", ".svg", ".woff2") and _NOT_KEPT.isdisjoint(path.parts)
    )
    whole = hashlib.sha256()
    for path in (*files, static / "worker.js", static / "no-signal.html"):
        whole.update(path.name.encode() + hashlib.sha256(path.read_bytes()).digest())
    return [f"/static/{path.relative_to(static).as_posix()}" for path in files], (
        whole.hexdigest()[:16]
    )
