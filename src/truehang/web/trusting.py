"""How does a phone come to trust this server? A page that hands out the authority's certificate.

It is served by plain HTTP, as a phone that does not trust the server yet can read nothing else from
it. So it shows nothing but the certificate and how it is taken in, spends no pairing code, and says
against which fingerprint a careful person holds what arrived.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import segno
import uvicorn
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from truehang.web.patience import Patient

MOST_CONNECTIONS = 100
SHOWN = ("pair.css", "trust.js")
CERTIFICATE = "application/x-x509-ca-cert"


@dataclass(frozen=True, slots=True)
class Ways:
    """Where a phone finds what: `page` is this page's own address, `apps` those of the app, the
    best first."""

    page: str
    apps: tuple[str, ...]


def qr(link: str) -> Markup:
    """A QR code as it stands in a page: presentation attributes only, as our pages' policy lets no
    inline style through."""
    code = segno.make(link, error="m").svg_inline(scale=6, border=4, light="#fff", dark="#000")
    return Markup(code)


def trusting(authority: bytes, fingerprint: str, ways: Ways) -> Starlette:
    """The app: the page, the certificate, and what the page is made of."""
    page = (
        Environment(
            loader=PackageLoader("truehang.web"), autoescape=True, undefined=StrictUndefined
        )
        .get_template("trust.html")
        .render(fingerprint=fingerprint, apps=ways.apps, page=ways.page, qr=qr(ways.page))
    )
    headers = {
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Content-Security-Policy": (
            "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; "
            f"connect-src {' '.join(ways.apps)}; base-uri 'none'; form-action 'none'; "
            "frame-ancestors 'none'"
        ),
    }

    async def shown(_request: Request) -> Response:
        return HTMLResponse(page, headers=headers)

    async def certificate(_request: Request) -> Response:
        name = {"Content-Disposition": 'attachment; filename="truehang-authority.crt"'}
        return Response(authority, 200, headers | name, CERTIFICATE)

    async def part(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in SHOWN:
            return Response(None, 404)
        static = Path(str(resources.files("truehang.web") / "static"))
        kind = "text/css" if name.endswith(".css") else "text/javascript"
        return Response((static / name).read_bytes(), 200, headers, kind)

    return Starlette(
        routes=[
            Route("/", shown),
            Route("/authority.crt", certificate),
            Route("/static/{name}", part),
        ]
    )


def beside(app: Starlette, host: str, port: int) -> uvicorn.Server:
    """Serve the page from a thread of its own, until this process ends."""
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            host=host,
            port=port,
            log_level="warning",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            limit_concurrency=MOST_CONNECTIONS,
            http=Patient,
            lifespan="off",
        )
    )
    threading.Thread(target=server.run, daemon=True, name="trust").start()
    return server
