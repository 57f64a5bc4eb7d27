"""Is this server well, and what has it done? For programs that watch over it.

Told are counts and times by route, as it is written in the program (`/jobs/{job}`): no name of a
job, a person or a file. What is measured is told to this machine alone.
"""

from __future__ import annotations

import os
import time

from prometheus_client import CONTENT_TYPE_LATEST, REGISTRY, CollectorRegistry, Counter, Histogram
from prometheus_client import generate_latest as in_text
from prometheus_client.multiprocess import MultiProcessCollector
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from truehang.store import DatabaseError, Store, ready

SHARED = "PROMETHEUS_MULTIPROC_DIR"
"""The environment's name for the folder in which several workers count together."""
_FORWARDED = ("x-forwarded-for", "forwarded", "via")

_ANSWERED = Counter(
    "truehang_requests", "Requests by route and answer", ["route", "method", "status"]
)
_SECONDS = Histogram(
    "truehang_request_seconds", "Seconds to the first byte of an answer, by route", ["route"],
    buckets=(0.01, 0.03, 0.1, 0.3, 1, 3, 10),
)  # fmt: skip


class Watched:
    """ASGI middleware around everything: answers who watches, and counts the rest."""

    def __init__(self, app: ASGIApp, store: Store) -> None:
        self._app, self._store = app, store

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        answer = await self._watcher(scope)
        if answer is not None:
            await answer(scope, receive, send)
            return
        begun, status = time.perf_counter(), 500

        async def seen(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                _SECONDS.labels(_route(scope)).observe(time.perf_counter() - begun)
            await send(message)

        try:
            await self._app(scope, receive, seen)
        finally:
            method = scope["method"] if scope["method"] in _METHODS else "other"
            _ANSWERED.labels(_route(scope), method, str(status)).inc()

    async def _watcher(self, scope: Scope) -> Response | None:
        if scope["path"] == "/healthz":
            return _told("well\n")
        if scope["path"] == "/readyz":
            try:
                await run_in_threadpool(ready, self._store)
            except DatabaseError as trouble:
                return _told(f"{trouble}\n", 503)
            return _told("ready\n")
        if scope["path"] == "/metrics" and _from_here(scope):
            return Response(
                await run_in_threadpool(_measured), media_type=CONTENT_TYPE_LATEST,
                headers={"Cache-Control": "no-store"},
            )  # fmt: skip
        return None


_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def _told(text: str, status: int = 200) -> Response:
    return PlainTextResponse(text, status, {"Cache-Control": "no-store"})


def _route(scope: Scope) -> str:
    """The route as the program writes it; "none" where none was reached."""
    return str(getattr(scope.get("route"), "path", "") or "none")


def _from_here(scope: Scope) -> bool:
    """Whether this machine asks, and not somebody else by way of it."""
    headers = Headers(scope=scope)
    here = scope["client"] is not None and scope["client"][0] in ("127.0.0.1", "::1")
    return here and not any(name in headers for name in _FORWARDED)


def _measured() -> bytes:
    if SHARED not in os.environ:
        return in_text(REGISTRY)
    registry = CollectorRegistry()
    MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    return in_text(registry)
