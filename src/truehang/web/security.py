"""Who may ask, and what may be sent? The one gate that every request passes.

Host name, size, rate, pairing and security headers are checked here, before anything else runs;
the token of a form is checked by `csrf_checked`, a dependency of every route.
"""

from __future__ import annotations

import hashlib
import hmac

from fastapi import HTTPException, Request
from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders, UploadFile
from starlette.requests import HTTPConnection
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from truehang.store import Away, Device, Store, device_seen
from truehang.store.files import MOST_PHOTO_BYTES
from truehang.web.settings import Settings
from truehang.web.troubles import away

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_BODY = MOST_PHOTO_BYTES + 64 * 1024
"""A photo with the form round it; nothing larger is ever sent."""

HTTPS_ONLY = 30 * 24 * 3600
"""s that a browser asks this name by HTTPS only, counted from its last visit."""

_PUBLIC = frozenset({"/pair", "/trusted", "/static/pair.css"})
_LOCAL = Device("", "this computer", "", None, None)

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
        "connect-src 'self'; worker-src 'self'; manifest-src 'self'; object-src 'none'; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    # Not no-referrer: with that, browsers send "Origin: null" and forms could not be told apart.
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}


class Guard:
    """ASGI middleware: lets through what is asked by a paired device, politely and at this host.

    Gives each request `request.state.device`, `.who` and `.csrf`.
    """

    def __init__(self, app: ASGIApp, store: Store, settings: Settings) -> None:
        self._app, self._store, self._settings = app, store, settings
        self._limiter = MovingWindowRateLimiter(MemoryStorage())
        self._device_rate = RateLimitItemPerMinute(settings.device_rate)
        self._stranger_rate = RateLimitItemPerMinute(settings.stranger_rate)
        self._pair_rate = RateLimitItemPerMinute(settings.pair_rate)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # no socket is served
            await send({"type": "websocket.close", "code": 1008})
            return
        send = _with_headers(send, self._settings.https)
        headers = Headers(scope=scope)
        refusal = self._misaddressed(headers) or _oversize(headers) or _impossible(scope)
        if refusal is None:
            secret = HTTPConnection(scope).cookies.get(self._settings.cookie, "")
            device = None
            try:
                device = await self._device(secret)
            except Away as trouble:
                refusal = away(scope, trouble)
            else:
                refusal = self._hurried(scope, device) or self._stranger(scope, headers, device)
                if refusal is not None and device is None and secret:
                    # It was paired once: what its browser kept of us goes. Not what it has not
                    # sent yet, which lies in its storage.
                    refusal.headers["Clear-Site-Data"] = '"cache"'
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        state = scope.setdefault("state", {})
        state["device"] = device
        state["who"] = device.name if device else ""
        state["csrf"] = _token(secret if self._settings.pairing else self._settings.secret)
        await _limited(self._app, scope, receive, send)

    async def _device(self, secret: str) -> Device | None:
        if not self._settings.pairing:
            return _LOCAL
        return await run_in_threadpool(device_seen, self._store, secret) if secret else None

    def _misaddressed(self, headers: Headers) -> Response | None:
        # A page elsewhere that points its own name at this machine must not be able to read jobs.
        host = headers.get("host", "").lower()
        name = host.rpartition(":")[0] if host.rpartition(":")[2].isdecimal() else host
        if name in self._settings.hosts:
            return None
        return PlainTextResponse(
            "This server does not answer to that name; use the address that it printed.", 421
        )

    def _hurried(self, scope: Scope, device: Device | None) -> Response | None:
        address = scope["client"][0] if scope.get("client") else "unknown"
        trying = scope["path"] == "/pair" and scope["method"] not in SAFE_METHODS
        if trying:
            well = self._limiter.hit(self._pair_rate, "pair", address)
        elif device is not None:
            well = self._limiter.hit(self._device_rate, "device", device.id)
        else:
            well = self._limiter.hit(self._stranger_rate, "stranger", address)
        if well:
            return None
        return PlainTextResponse("Too many requests; wait a minute.", 429, {"Retry-After": "60"})

    def _stranger(self, scope: Scope, headers: Headers, device: Device | None) -> Response | None:
        if device is not None or scope["path"] in _PUBLIC:
            return None
        page = scope["method"] == "GET" and "text/html" in headers.get("accept", "")
        if page and not scope["path"].startswith("/api") and "hx-request" not in headers:
            return RedirectResponse("/pair", 303)
        return JSONResponse({"detail": "this device is not paired; open /pair"}, 401)


def _token(secret: str) -> str:
    return hmac.new(secret.encode(), b"truehang form", hashlib.sha256).hexdigest()


def _oversize(headers: Headers) -> Response | None:
    said = headers.get("content-length", "0")
    if said.isdecimal() and int(said) <= MOST_BODY:
        return None
    return _too_large()


def _impossible(scope: Scope) -> Response | None:
    # Nothing here has a name with a NUL, and no database looks one up.
    return PlainTextResponse("There is no such page.", 404) if "\0" in scope["path"] else None


def _too_large() -> Response:
    most = MOST_PHOTO_BYTES / 1e6
    return PlainTextResponse(f"More than {most:.0f} MB was sent; send a smaller file.", 413)


async def _limited(app: ASGIApp, scope: Scope, receive: Receive, send: Send) -> None:
    """Run the app, but cut off a body that grows past what its sender announced."""
    seen, over, begun = 0, False, False

    async def counted() -> Message:
        nonlocal seen, over
        message = await receive()
        if message["type"] == "http.request":
            seen += len(message.get("body", b""))
            if seen > MOST_BODY:
                over = True
                return {"type": "http.disconnect"}
        return message

    async def watched(message: Message) -> None:
        nonlocal begun
        if over and not begun:
            return
        begun = True
        await send(message)

    try:
        await app(scope, counted, watched)
    finally:
        if over and not begun:
            await _too_large()(scope, receive, send)


def _with_headers(send: Send, https: bool) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "private, no-cache")
            if https:
                headers.setdefault("Strict-Transport-Security", f"max-age={HTTPS_ONLY}")
        await send(message)

    return sent


async def csrf_checked(request: Request) -> None:
    """Refuses a change that no page of ours asked for. A dependency of every route."""
    if request.method in SAFE_METHODS:
        return
    origin = request.headers.get("origin")
    host = request.headers.get("host", "")
    foreign = origin is not None and origin.partition("://")[2] != host
    site = request.headers.get("sec-fetch-site", "same-origin")
    if foreign or site not in ("same-origin", "none"):
        raise HTTPException(403, "this change was asked for by another site")
    if request.url.path == "/pair":  # no session yet: the one-time code is the proof
        return
    token = request.headers.get("x-csrf-token")
    if token is None and "form" in request.headers.get("content-type", ""):
        field = (await request.form()).get("csrf", "")
        token = "" if isinstance(field, UploadFile) else field
    if not hmac.compare_digest((token or "").encode(), request.state.csrf.encode()):
        raise HTTPException(403, "the form's token is missing or old; load the page again")
