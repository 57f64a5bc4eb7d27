"""Which devices may come in? A page to pair one more and to take one's access away."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from truehang.store import Store, devices, new_code, revoke
from truehang.web.desk import page, routes
from truehang.web.settings import Settings
from truehang.web.trusting import qr


def router(store: Store, settings: Settings) -> APIRouter:
    """GET /devices; POST /devices/new shows a link that pairs one more; POST to revoke one."""
    made = routes()

    def shown(request: Request, link: str = "") -> Response:
        return page(
            request, "devices.html", devices=devices(store), here_id=request.state.device.id,
            link=link, trust=settings.trust, qr=qr,
        )  # fmt: skip

    @made.get("/devices")
    def listed(request: Request) -> Response:
        return shown(request)

    @made.post("/devices/new")
    def new(request: Request) -> Response:
        # Failing a set one, the address this device came in by; the gate knows it to be ours.
        base = settings.url or f"{request.url.scheme}://{request.headers['host']}"
        link = f"{base}/pair?code={new_code(store)}"
        answer = shown(request, link)
        answer.headers["Cache-Control"] = "no-store"
        return answer

    @made.post("/devices/{device}/revoke")
    def take_away(device: str) -> Response:
        revoke(store, device)
        return RedirectResponse("/devices", 303)

    return made
