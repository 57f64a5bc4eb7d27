"""How does a phone get in? The one page of the app that an unpaired device may see."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse, RedirectResponse, Response

from truehang.store import Refused, Store, pair
from truehang.web.settings import Settings

COOKIE_LIFE = 180 * 24 * 3600


def router(store: Store, settings: Settings) -> APIRouter:
    """GET and POST /pair. Looking at a link spends nothing; only the button does."""
    routes = APIRouter(include_in_schema=False)
    template = Environment(
        loader=PackageLoader("truehang.web"), autoescape=True, undefined=StrictUndefined
    ).get_template("pair.html")

    def page(request: Request, code: str, trouble: str, status: int) -> HTMLResponse:
        phone = "Mobile" in request.headers.get("user-agent", "")
        text = template.render(code=code, trouble=trouble, name="phone" if phone else "laptop")
        return HTMLResponse(text, status, {"Cache-Control": "no-store"})

    @routes.get("/trusted")
    def trusted() -> Response:
        """Tells the page that hands out the certificate that it worked; says nothing else."""
        let = {"Access-Control-Allow-Origin": "*", "Cross-Origin-Resource-Policy": "cross-origin"}
        return Response(None, 204, let | {"Cache-Control": "no-store"})

    @routes.get("/pair")
    def ask(request: Request, code: str = "") -> Response:
        return page(request, code, "", 200)

    @routes.post("/pair")
    def take(
        request: Request, code: Annotated[str, Form()] = "", name: Annotated[str, Form()] = ""
    ) -> Response:
        try:
            _, secret = pair(store, code.strip(), name)
        except Refused as wrong:
            return page(request, "", str(wrong), 400)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            settings.cookie, secret, max_age=COOKIE_LIFE, path="/", secure=settings.https,
            httponly=True, samesite="strict",
        )  # fmt: skip
        return answer

    return routes
