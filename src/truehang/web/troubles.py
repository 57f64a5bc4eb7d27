"""What is said when something asked for can't be done? One answer for each trouble: JSON for a
program; for a person a page, which needs neither the store nor a session."""

from __future__ import annotations

import errno
from functools import cache

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from starlette.datastructures import Headers
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.types import Scope

from truehang.job import JobError
from truehang.plain import to_plain
from truehang.store import Away, FileDamaged, FileRefused, NotFound, Refused

SECONDS_AWAY = 10
"""After how long it is worth asking again; said as Retry-After."""

NO_ROOM = (errno.ENOSPC, errno.EDQUOT)

_BARE = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'",
}
"""Said here, as what is broken may never come by the gate on its way out."""

_STATUS: dict[type[Exception], int] = {
    NotFound: 404,
    Refused: 409,
    FileRefused: 415,
    FileDamaged: 500,
}


def answer(app: FastAPI) -> None:
    """Teach the app to answer what the store and the job file refuse."""

    async def said(_request: Request, trouble: Exception) -> JSONResponse:
        status = next(code for kind, code in _STATUS.items() if isinstance(trouble, kind))
        text = trouble.args[0] if trouble.args else "not done"
        return JSONResponse({"detail": str(text), "problems": []}, status)

    async def wrong_job(_request: Request, trouble: Exception) -> JSONResponse:
        problems = trouble.problems if isinstance(trouble, JobError) else ()
        return JSONResponse(
            {"detail": "the job file can't be used", "problems": to_plain(problems)}, 422
        )

    async def wrong_field(_request: Request, trouble: Exception) -> JSONResponse:
        errors = trouble.errors() if isinstance(trouble, RequestValidationError) else ()
        # What was sent is not said back: it may be anything, and it may be large.
        lines = [f"{'.'.join(map(str, error['loc']))}: {error['msg']}" for error in errors]
        return JSONResponse({"detail": "; ".join(lines)[:2000], "problems": []}, 422)

    async def gone(request: Request, trouble: Exception) -> Response:
        return away(request.scope, trouble)

    async def broken(request: Request, _trouble: Exception) -> Response:
        return _told(
            request.scope, 500, "Something is wrong in Truehang",
            "This could not be done, and the server's log says why. Nothing else was changed.",
        )  # fmt: skip

    async def no_room(request: Request, trouble: Exception) -> Response:
        if getattr(trouble, "errno", None) not in NO_ROOM:
            raise trouble
        return away(request.scope, Away("the disk is full; nothing was changed"))

    for kind in _STATUS:
        app.add_exception_handler(kind, said)
    app.add_exception_handler(JobError, wrong_job)
    app.add_exception_handler(RequestValidationError, wrong_field)
    app.add_exception_handler(Away, gone)
    app.add_exception_handler(OSError, no_room)
    app.add_exception_handler(Exception, broken)


def away(scope: Scope, trouble: Exception) -> Response:
    """The store takes nothing now; the same can be asked again later."""
    answer = _told(scope, 503, "Not just now", f"{str(trouble)[:1].upper()}{str(trouble)[1:]}.")
    answer.headers["Retry-After"] = str(SECONDS_AWAY)
    return answer


def _told(scope: Scope, status: int, title: str, text: str) -> Response:
    if not _page(scope):
        return JSONResponse({"detail": text, "problems": []}, status)
    again = scope["method"] == "GET" and status == 503
    page = _template().render(title=title, text=text, again=again, seconds=SECONDS_AWAY)
    return HTMLResponse(page, status, _BARE)


def _page(scope: Scope) -> bool:
    """Whether a person looks at the answer."""
    headers = Headers(scope=scope)
    return "text/html" in headers.get("accept", "") and not scope["path"].startswith("/api")


@cache
def _template() -> Template:
    return Environment(
        loader=PackageLoader("truehang.web"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True,
    ).get_template("away.html")  # fmt: skip
