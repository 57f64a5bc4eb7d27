"""Which files can be fetched? The job file, photos, packs that were made, documents as issued."""

from __future__ import annotations

import mimetypes
import zipfile
from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi import Path as InPath
from starlette.responses import Response

from truehang.job import dump
from truehang.store import NotFound, Store
from truehang.web.making import Packs

Number = Annotated[int, InPath(ge=1, le=2**31 - 1)]
Digest = Annotated[str, InPath(pattern="^[0-9a-f]{64}$")]

_ASKED_AGAIN = "private, no-cache"
"""Kept by the browser, but never shown without asking: the device may be out by then."""


def router(store: Store, packs: Packs) -> APIRouter:
    """The routes of everything that is downloaded."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/jobs/{job}/job.yaml")
    def job_file(job: str) -> Response:
        model = store.head(job).model()
        return attached(f"{model.job.name}.yaml", dump(model).encode(), "application/yaml")

    @routes.get("/jobs/{job}/photos/{op}")
    def photo(request: Request, job: str, op: str) -> Response:
        for kept in store.photos(job):
            if kept.op == op:
                headers = {"Cache-Control": _ASKED_AGAIN}
                return tagged(
                    request, kept.sha256,
                    lambda: Response(
                        store.files.read(kept.sha256), 200, headers, kept.media_type  # noqa: B023
                    ),
                )  # fmt: skip
        raise NotFound("no such photo in this job")

    @routes.get("/jobs/{job}/photos/{op}/small")
    def thumbnail(request: Request, job: str, op: str) -> Response:
        found = [kept.sha256 for kept in store.photos(job) if kept.op == op]
        if found:
            return tagged(
                request, f"{found[0]}-small",
                lambda: Response(
                    small(found[0], store.files.read), 200, {"Cache-Control": _ASKED_AGAIN},
                    "image/jpeg",
                ),
            )  # fmt: skip
        raise NotFound("no such photo in this job")

    @routes.get("/jobs/{job}/packs/{digest}/{name:path}")
    def made(request: Request, job: str, digest: Digest, name: str) -> Response:
        store.head(job)
        data = packs.document(digest, name)
        if data is None:
            raise HTTPException(404, "no such document; make the pack again")
        tag = sha256(data).hexdigest()
        return tagged(request, tag, lambda: attached(name, data, cache=_ASKED_AGAIN))

    @routes.get("/jobs/{job}/issued/{revision}.zip")
    def all_issued(job: str, revision: Number) -> Response:
        kept = {row.name: store.files.read(row.sha256) for row in store.issued(job, revision)}
        if not kept:
            raise NotFound(f"nothing was issued with revision {revision}")
        name = f"{store.head(job).model().job.name}-revision-{revision}.zip"
        return attached(name, zipped(kept), "application/zip", "private, no-store")

    @routes.get("/jobs/{job}/issued/{revision}/{name:path}")
    def issued(request: Request, job: str, revision: Number, name: str) -> Response:
        for row in store.issued(job, revision):
            if row.name == name:
                return tagged(
                    request, row.sha256,
                    lambda: attached(name, store.files.read(row.sha256), cache=_ASKED_AGAIN),  # noqa: B023
                )  # fmt: skip
        raise NotFound("no such issued document")

    return routes


SMALL = (288, 224)
"""A photo in a list, at twice the pixels of its place."""


@lru_cache(256)
def small(sha256: str, read: Callable[[str], bytes]) -> bytes:
    """A photo small enough for a list of them, the right way up; some 10 kB."""
    from PIL import Image, ImageOps

    with Image.open(BytesIO(read(sha256))) as image:
        image.draft("RGB", (2 * SMALL[0], 2 * SMALL[1]))
        turned = ImageOps.exif_transpose(image).convert("RGB")
        turned.thumbnail(SMALL)
        out = BytesIO()
        turned.save(out, "JPEG", quality=78)
    return out.getvalue()


def zipped(documents: dict[str, bytes]) -> bytes:
    """The documents as one zip; the same documents give the same bytes."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(documents):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, documents[name])
    return out.getvalue()


def tagged(request: Request, tag: str, make: Callable[[], Response]) -> Response:
    """The answer with its tag; nothing but the tag where the browser has it already."""
    told = f'"{tag}"'
    if told in request.headers.get("if-none-match", ""):
        return Response(None, 304, {"ETag": told, "Cache-Control": _ASKED_AGAIN})
    answer = make()
    answer.headers["ETag"] = told
    return answer


def attached(name: str, data: bytes, media_type: str = "", cache: str = "") -> Response:
    """A file as it is downloaded; a PDF is looked at."""
    leaf = name.rpartition("/")[2]
    kind = media_type or mimetypes.guess_type(leaf)[0] or "application/octet-stream"
    # A PDF is looked at; everything else is kept. Nothing that is sent may run as a page of ours.
    shown = "inline" if kind == "application/pdf" else "attachment"
    headers = {"Content-Disposition": f"{shown}; filename*=UTF-8''{quote(leaf)}"}
    if kind != "application/pdf":
        headers["Content-Security-Policy"] = "sandbox; default-src 'none'"
    if cache:
        headers["Cache-Control"] = cache
    return Response(data, 200, headers, kind)
