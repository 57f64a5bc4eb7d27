"""Which files can be fetched? The job file, photos, packs that were made, documents as issued."""

from __future__ import annotations

import mimetypes
import zipfile
from io import BytesIO
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, HTTPException
from fastapi import Path as InPath
from starlette.responses import Response

from truehang.job import dump
from truehang.store import NotFound, Store
from truehang.web.making import Packs

Number = Annotated[int, InPath(ge=1, le=2**31 - 1)]
Digest = Annotated[str, InPath(pattern="^[0-9a-f]{64}$")]

_FOREVER = "private, max-age=31536000, immutable"


def router(store: Store, packs: Packs) -> APIRouter:
    """The routes of everything that is downloaded."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/jobs/{job}/job.yaml")
    def jobattached(job: str) -> Response:
        model = store.head(job).model()
        return attached(f"{model.job.name}.yaml", dump(model).encode(), "application/yaml")

    @routes.get("/jobs/{job}/photos/{op}")
    def photo(job: str, op: str) -> Response:
        for kept in store.photos(job):
            if kept.op == op:
                data = store.files.read(kept.sha256)
                return Response(data, 200, {"Cache-Control": _FOREVER}, kept.media_type)
        raise NotFound("no such photo in this job")

    @routes.get("/jobs/{job}/packs/{digest}/{name:path}")
    def made(job: str, digest: Digest, name: str) -> Response:
        store.head(job)
        data = packs.document(digest, name)
        if data is None:
            raise HTTPException(404, "no such document; make the pack again")
        return attached(name, data, cache=_FOREVER)

    @routes.get("/jobs/{job}/issued/{revision}.zip")
    def all_issued(job: str, revision: Number) -> Response:
        kept = {row.name: store.files.read(row.sha256) for row in store.issued(job, revision)}
        if not kept:
            raise NotFound(f"nothing was issued with revision {revision}")
        name = f"{store.head(job).model().job.name}-revision-{revision}.zip"
        return attached(name, zipped(kept), "application/zip", _FOREVER)

    @routes.get("/jobs/{job}/issued/{revision}/{name:path}")
    def issued(job: str, revision: Number, name: str) -> Response:
        for row in store.issued(job, revision):
            if row.name == name:
                return attached(name, store.files.read(row.sha256), cache=_FOREVER)
        raise NotFound("no such issued document")

    return routes


def zipped(documents: dict[str, bytes]) -> bytes:
    """The documents as one zip; the same documents give the same bytes."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(documents):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, documents[name])
    return out.getvalue()


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
