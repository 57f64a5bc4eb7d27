"""What is said when something asked for by a program can't be done? One answer for each trouble."""

from __future__ import annotations

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.responses import JSONResponse

from truehang.job import JobError
from truehang.plain import to_plain
from truehang.store import FileDamaged, FileRefused, NotFound, Refused

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

    for kind in _STATUS:
        app.add_exception_handler(kind, said)
    app.add_exception_handler(JobError, wrong_job)
    app.add_exception_handler(RequestValidationError, wrong_field)
