"""What does a phone need to put the app among its own? A manifest, and icons of ours."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import Literal

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

SIZES = (180, 192, 512)
"""Pixels of an icon; 180 is what some phones ask for by itself."""
_GROUND, _MARK = (255, 255, 255), (11, 93, 78)
_BARS = ((2, 3, 20, 3), (4, 7, 7, 14), (13, 7, 7, 14))
"""The mark of the app in a square of 24: a head, and two leaves under it (x, y, width, height)."""
_DAY = {"Cache-Control": "private, max-age=86400"}


def router() -> APIRouter:
    """The manifest at /app.webmanifest, and /icons/{size}.png."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/app.webmanifest")
    def manifest() -> Response:
        return JSONResponse(_manifest(), 200, _DAY, "application/manifest+json")

    @routes.get("/icons/{size}.png")
    def picture(size: Literal["180", "192", "512"]) -> Response:
        return Response(icon(int(size)), 200, _DAY, "image/png")

    return routes


def _manifest() -> dict[str, object]:
    return {
        "id": "/",
        "name": "Truehang",
        "short_name": "Truehang",
        "description": "Pocket sliding doors, from readings to build",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#e9edea",
        "theme_color": "#12211c",
        "icons": [
            {"src": f"/icons/{size}.png", "sizes": f"{size}x{size}", "type": "image/png",
             "purpose": purpose}
            for size in (192, 512) for purpose in ("any", "maskable")
        ],
    }  # fmt: skip


@cache
def icon(size: int) -> bytes:
    """The mark within the middle four fifths, which no phone's mask cuts into."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (size, size), _GROUND)
    draw = ImageDraw.Draw(image)
    scale = 0.56 * size / 24
    edge = (size - 24 * scale) / 2
    for x, y, wide, high in _BARS:
        corners = (x, y, x + wide, y + high)
        draw.rectangle([edge + scale * each for each in corners], fill=_MARK)
    out = BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()
