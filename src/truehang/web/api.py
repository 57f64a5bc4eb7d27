"""What can another program ask? Jobs, revisions, plans and records as JSON, under /api.

Every write may carry an `op`, a name that the sender chose: sent again with the same op (after a
lost answer, or from a phone that was out of signal) it is done once.
"""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Annotated, Any, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from fastapi import Path as InPath
from fastapi.routing import APIRoute
from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from truehang.job import Problem, load
from truehang.plan import told
from truehang.plan.later import ORDER, asked_for
from truehang.store import (
    ABSENT,
    Conflict,
    Device,
    Entry,
    Issued,
    NotFound,
    Photo,
    Refused,
    Revision,
    Saved,
    Store,
    Summary,
    copy,
    devices,
    new_id,
    revoke,
    shelve,
)
from truehang.web.making import Making, Packs
from truehang.web.plans import Lately, Plans

if TYPE_CHECKING:
    from truehang.plan import Plan

MOST_DEPTH = 40
MOST_JSON = 2_000_000
MOST_LISTED = 50
MOST_TOLD = 128
"""Plans that are kept as packed JSON too, some 120 kB each."""
JSON = "application/json"
_NUL = re.compile(r"(?<!\\)(?:\\\\)*\\u0000")
"""A NUL as JSON writes it, and not a text that merely looks so."""


def _plain_json(value: Any) -> Any:
    """Refuses what a database can't keep as a JSON text: NaN, halves of characters, deep nests."""
    if _deeper(value, MOST_DEPTH):  # before anything else walks into it
        raise ValueError(f"must be no deeper than {MOST_DEPTH} levels")
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=False)
        size = len(text.encode())
    except ValueError:
        raise ValueError("must be plain JSON: finite numbers and whole characters") from None
    if size > MOST_JSON:
        raise ValueError(f"must be smaller than {MOST_JSON} bytes")
    if _NUL.search(text):
        raise ValueError("must have no NUL in its texts; no database keeps one")
    return value


def _deeper(value: Any, levels: int) -> bool:
    """Whether a value has lists or mappings in more levels than these, walked without recursion."""
    layer = [value]
    for _ in range(levels):
        layer = [
            inner
            for item in layer
            if isinstance(item, dict | list)
            for inner in (item.values() if isinstance(item, dict) else item)
        ]
        if not layer:
            return False
    return True


JsonValue = Annotated[Any, AfterValidator(_plain_json)]
JsonDocument = Annotated[dict[str, Any], AfterValidator(_plain_json)]
JobId = Annotated[str, InPath(pattern="^[0-9a-f]{32}$", description="The job's id.")]
Number = Annotated[int, InPath(ge=1, le=2**31 - 1, description="A revision's number.")]
AtRevision = Annotated[
    int | None, Query(ge=1, le=2**31 - 1, description="A revision's number; the newest if left.")
]
Search = Annotated[str, Query(max_length=200, description="Words of the name or title.")]
After = Annotated[str, Query(max_length=80, description="Where the list goes on.")]
Most = Annotated[int, Query(ge=1, le=200, description="How many at most.")]
Base = Annotated[int, Field(ge=1, le=2**31 - 1, description="The revision this was made from.")]
Op = Annotated[
    str,
    Field(
        default_factory=new_id,
        pattern="^[A-Za-z0-9._-]{1,64}$",
        description="A name of your own for this write, so that sent twice it is done once.",
    ),
]
Words = Annotated[str, Field(max_length=2000, pattern="^[^\\x00]*$")]
Step = Annotated[str, Field(max_length=200, pattern="^[^\\x00]*$")]
Key = Annotated[str, Field(min_length=1, max_length=128, pattern="^[^\\x00]+$")]


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")


class NewJob(_Body):
    """A job file, YAML or JSON, as text."""

    text: Annotated[str, Field(max_length=1_000_000)]
    op: Op


class Change(_Body):
    """A whole changed document, made from revision `base`."""

    base: Base
    document: JsonDocument
    what: Words = "changed"
    op: Op


class OneValue(_Body):
    """One changed value: its path in the document (ids for items of lists), null to take it out."""

    base: Base
    path: Annotated[list[Step], Field(min_length=1, max_length=12)]
    value: JsonValue = None
    what: Words = "changed"
    op: Op


class OnlyOp(_Body):
    """A write that needs nothing but its name."""

    op: Op


class OnShelf(_Body):
    """Where a job is put away; empty brings it back."""

    shelf: Literal["", "archived", "deleted"]


class Settlement(_Body):
    """Which value of a conflict is taken: the one that stands (theirs) or that waits (mine)."""

    take: Literal["theirs", "mine"]
    op: Op


class NewEntry(_Body):
    """Something recorded on site: a check's reading, a signature."""

    kind: Annotated[str, Field(pattern="^[a-z][a-z-]{0,31}$")]
    key: Key
    value: JsonValue = None
    passed: bool | None = None
    op: Op


class PackOf(_Body):
    """Which revision's pack; the newest if left out."""

    revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = None


class Side(BaseModel):
    """One side of a conflict. `there` is false where the value was taken out."""

    there: bool
    value: Any


class ConflictRow(BaseModel):
    """One value that two devices changed: what it was, what stands, and what waits."""

    id: str
    path: list[str]
    base: Side
    theirs: Side
    mine: Side
    revision: int
    who: str
    at: str


class SavedRow(BaseModel):
    """What a write became: the newest revision, and the conflicts it met."""

    revision: Revision
    conflicts: list[ConflictRow]


class Session(BaseModel):
    """Who this device is, and the token that its changes carry as X-CSRF-Token."""

    who: str
    device: str
    csrf: str


class Trouble(BaseModel):
    """Why something was not done, and the mend; for a job file, all that is wrong with it."""

    detail: str
    problems: list[Problem] = []


def _troubles(**described: str) -> dict[int | str, dict[str, Any]]:
    return {
        int(code.removeprefix("s")): {"model": Trouble, "description": text}
        for code, text in described.items()
    }


_TROUBLES = _troubles(
    s400="What was sent can't be read",
    s401="This device is not paired",
    s403="X-CSRF-Token is missing or old",
    s404="There is no such thing",
    s409="Refused; the detail says why and what to do",
    s422="A field is wrong; the detail names it, and the mend",
)
_NO_PICTURE = _troubles(s415="Not a picture that is taken")


class _JsonRoute(APIRoute):
    """A route that says of a body too deep to be read what it says of one too deep to be kept."""

    def get_route_handler(self) -> Callable[[Request], Awaitable[Response]]:  # type: ignore[override]
        inner = super().get_route_handler()

        async def handle(request: Request) -> Response:
            try:
                return await inner(request)
            except HTTPException as trouble:
                if isinstance(trouble.__cause__, OSError):
                    raise trouble.__cause__ from None  # no room for what was being sent
                if not isinstance(trouble.__cause__, RecursionError):
                    raise
                told = f"body: must be no deeper than {MOST_DEPTH} levels"
                return JSONResponse({"detail": told, "problems": []}, 422)

        return handle


def router(store: Store, plans: Plans, packs: Packs) -> APIRouter:
    """Every route under /api."""
    routes = APIRouter(prefix="/api", responses=_TROUBLES, route_class=_JsonRoute)
    _session(routes, store)
    _read_jobs(routes, store)
    _write_jobs(routes, store, plans)
    _plans(routes, store, plans)
    _records(routes, store)
    _packs(routes, store, plans, packs)
    return routes


def _session(routes: APIRouter, store: Store) -> None:
    @routes.get("/session", tags=["session"])
    def session(request: Request, response: Response) -> Session:
        """Who this device is, with the token for its changes."""
        response.headers["Cache-Control"] = "no-store"
        state = request.state
        return Session(who=state.who, device=state.device.id, csrf=state.csrf)

    @routes.get("/devices", tags=["session"])
    def paired() -> list[Device]:
        """Every device ever paired, the newest first."""
        return list(devices(store))

    @routes.delete("/devices/{device}", status_code=204, tags=["session"])
    def take_away(device: JobId) -> None:
        """Take a device's access away at once."""
        revoke(store, device)


def _read_jobs(routes: APIRouter, store: Store) -> None:
    @routes.get("/jobs", tags=["jobs"])
    def jobs(
        response: Response, search: Search = "", after: After = "", most: Most = MOST_LISTED
    ) -> list[Summary]:
        """Jobs, the one that changed last first; the header Link leads to the next of them."""
        rows = store.jobs(search, after, most)
        if len(rows) == most:
            more = urlencode({"search": search, "after": rows[-1].place, "most": most})
            response.headers["Link"] = f'</api/jobs?{more}>; rel="next"'
        return list(rows)

    @routes.get("/jobs/{job}", tags=["jobs"])
    def head(job: JobId) -> Revision:
        """The newest revision of a job."""
        return store.head(job)

    @routes.get("/jobs/{job}/revisions", tags=["jobs"])
    def history(
        response: Response, job: JobId, before: AtRevision = None, most: Most = MOST_LISTED
    ) -> list[Revision]:
        """Revisions, the newest first; the header Link leads to the next of them."""
        rows = store.history(job, before, most)
        if rows and rows[-1].number > 1:
            more = urlencode({"before": rows[-1].number, "most": most})
            response.headers["Link"] = f'</api/jobs/{job}/revisions?{more}>; rel="next"'
        return list(rows)

    @routes.get("/jobs/{job}/revisions/{number}", tags=["jobs"])
    def revision(job: JobId, number: Number) -> Revision:
        """One revision."""
        return store.revision(job, number)

    @routes.get("/jobs/{job}/ops/{op}", tags=["jobs"])
    def written(job: JobId, op: Annotated[str, InPath(max_length=64)]) -> Revision:
        """The revision that a write became."""
        return store.revision_of(job, op.replace("\x00", ""))

    @routes.get("/jobs/{job}/conflicts", tags=["conflicts"])
    def conflicts(job: JobId) -> list[ConflictRow]:
        """What waits for a person to settle, oldest first."""
        store.head(job)
        return [_conflict(row) for row in store.conflicts(job)]


def _write_jobs(routes: APIRouter, store: Store, plans: Plans) -> None:
    def soon(changed: Revision) -> Revision:
        """Whoever changes a job looks at it next."""
        plans.begin(changed)
        return changed

    @routes.post("/jobs", status_code=201, tags=["jobs"])
    def create(request: Request, body: NewJob) -> Revision:
        """Keep a new job."""
        return soon(store.create(load(body.text), request.state.who, body.op))

    @routes.put("/jobs/{job}", tags=["jobs"])
    def save(request: Request, job: JobId, body: Change) -> SavedRow:
        """Keep a changed document, merged with what was saved since its base."""
        saved = store.save(job, body.base, body.document, request.state.who, body.what, body.op)
        soon(saved.revision)
        return _saved(saved)

    @routes.patch("/jobs/{job}", tags=["jobs"])
    def put(request: Request, job: JobId, body: OneValue) -> SavedRow:
        """Change one value, merged with what was saved since its base."""
        saved = store.put(
            job, body.base, tuple(body.path), body.value, request.state.who, body.what, body.op
        )
        soon(saved.revision)
        return _saved(saved)

    @routes.post("/jobs/{job}/copy", status_code=201, tags=["jobs"])
    def copy_of(request: Request, job: JobId, body: OnlyOp) -> Revision:
        """A new job that begins as this one stands."""
        return soon(copy(store, job, request.state.who, body.op))

    @routes.put("/jobs/{job}/shelf", status_code=204, tags=["jobs"])
    def put_away(job: JobId, body: OnShelf) -> None:
        """Archive or delete a job, or bring it back; a deleted one goes after 30 days."""
        shelve(store, job, body.shelf)

    @routes.post("/jobs/{job}/undo", tags=["jobs"])
    def undo(request: Request, job: JobId, body: OnlyOp) -> Revision:
        """Bring back what stood before the newest change, as a new revision."""
        return soon(store.undo(job, request.state.who, body.op))

    @routes.post("/jobs/{job}/revisions/{number}/restore", tags=["jobs"])
    def bring_back(request: Request, job: JobId, number: Number, body: OnlyOp) -> Revision:
        """Make the state of an earlier revision the newest again, as a new revision."""
        return soon(store.bring_back(job, number, request.state.who, body.op))

    @routes.post("/jobs/{job}/conflicts/{conflict}", tags=["conflicts"])
    def settle(request: Request, job: JobId, conflict: JobId, body: Settlement) -> Revision:
        """Settle a conflict."""
        return soon(store.settle(job, conflict, body.take, request.state.who, body.op))


def _plans(routes: APIRouter, store: Store, plans: Plans) -> None:
    kept_told = Lately[bytes](MOST_TOLD)

    @routes.get("/jobs/{job}/plan", tags=["plan"], response_model=dict[str, Any])
    def plan(request: Request, job: JobId, revision: AtRevision = None) -> Response:
        """The whole plan of a revision."""
        made = plans.of(_at(store, job, revision))
        # Straight to bytes, and small ones: a plan is large, and its values are plain already.
        packed = kept_told.of(made.digest, lambda: gzip.compress(_plan_told(made), 4))
        headers = {"ETag": f'"{made.digest}"'}
        if "gzip" not in request.headers.get("accept-encoding", ""):
            return Response(gzip.decompress(packed), media_type=JSON, headers=headers)
        headers |= {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
        return Response(packed, media_type=JSON, headers=headers)

    @routes.get("/jobs/{job}/rooms/{room}", tags=["plan"], response_model=dict[str, Any])
    def room(job: JobId, room: str, revision: AtRevision = None) -> Response:
        """What one room says that is asked once a plan stands: its cutting, for one."""
        if room not in ORDER:
            raise NotFound(f"no such room is asked after a plan; there are {', '.join(ORDER)}")
        made = plans.of(_at(store, job, revision), room)
        return JSONResponse(told(made.standing, {"room": room, "answer": made.answers[room]}))

    @routes.get("/jobs/{job}/figures", tags=["plan"])
    def figures(job: JobId, revision: AtRevision = None) -> list[str]:
        """The keys of every figure of the plan."""
        return list(plans.of(_at(store, job, revision)).figures)

    @routes.get("/jobs/{job}/figures/{key}", tags=["plan"], response_model=dict[str, Any])
    def why(job: JobId, key: str, revision: AtRevision = None) -> Response:
        """Why a figure is what it is: a chain of [depth, figure or input], it and all behind it."""
        made = plans.of(_at(store, job, revision), *asked_for(key))
        if key not in made.figures:
            raise NotFound("no such figure; GET figures lists their keys")
        return JSONResponse(told(made.standing, {"chain": made.figures.chain(key)}))


def _plan_told(made: Plan) -> bytes:
    answer = told(made.standing, made)
    return json.dumps(answer, ensure_ascii=False, allow_nan=False).encode()


def _records(routes: APIRouter, store: Store) -> None:
    @routes.get("/jobs/{job}/entries", tags=["records"])
    def entries(
        job: JobId, kind: Annotated[str | None, Query(pattern="^[a-z][a-z-]{0,31}$")] = None
    ) -> list[Entry]:
        """What was recorded on site, oldest first."""
        store.head(job)
        return list(store.entries(job, kind))

    @routes.post("/jobs/{job}/entries", status_code=201, tags=["records"])
    def record(request: Request, job: JobId, body: NewEntry) -> Entry:
        """Record a check's reading or a signature on the newest revision."""
        return store.record(
            job, body.kind, body.key, body.value, body.passed, request.state.who, body.op
        )

    @routes.get("/jobs/{job}/photos", tags=["records"])
    def photos(job: JobId) -> list[Photo]:
        """The photos of a job, oldest first; each lies at /jobs/{job}/photos/{op}."""
        store.head(job)
        return list(store.photos(job))

    @routes.post("/jobs/{job}/photos", status_code=201, tags=["records"], responses=_NO_PICTURE)
    def add_photo(
        request: Request,
        job: JobId,
        photo: Annotated[UploadFile, File(description="A JPEG, PNG or WebP picture.")],
        caption: Annotated[str, Form(max_length=500, pattern="^[^\\x00]*$")] = "",
        op: Annotated[str, Form(pattern="^[A-Za-z0-9._-]{0,64}$")] = "",
        pin: Annotated[str, Form(max_length=200, pattern="^[^\\x00]*$")] = "",
    ) -> Photo:
        """Keep a photo, without the place where it was taken."""
        store.head(job)
        return store.add_photo(job, photo.file.read(), caption, request.state.who, op, pin)


def _packs(routes: APIRouter, store: Store, plans: Plans, packs: Packs) -> None:
    @routes.post("/jobs/{job}/pack", status_code=202, tags=["documents"])
    def make(job: JobId, body: PackOf) -> Making:
        """Begin to make the pack of a revision; ask again at packs/{digest} how far it is."""
        return packs.start(plans.of(_at(store, job, body.revision)))

    @routes.get("/jobs/{job}/packs/{digest}", tags=["documents"])
    def look(job: JobId, digest: Annotated[str, InPath(pattern="^[0-9a-f]{64}$")]) -> Making:
        """How far a pack is. A ready one's documents lie at /jobs/{job}/packs/{digest}/{name}."""
        made = plans.of(store.head(job))
        return packs.follow(made) if made.digest == digest else packs.look(digest)

    @routes.get("/jobs/{job}/issued", tags=["documents"])
    def issued(job: JobId) -> list[Issued]:
        """What was issued; each lies at /jobs/{job}/issued/{revision}/{name}."""
        store.head(job)
        return list(store.issued(job))

    @routes.post("/jobs/{job}/issued", status_code=201, tags=["documents"])
    def issue(request: Request, job: JobId, body: PackOf) -> list[Issued]:
        """Issue the pack of a revision as it is made now: those bytes never change again."""
        revision = _at(store, job, body.revision)
        made = plans.of(revision)
        if made.standing.draft:
            raise Refused(f"{made.standing.headline}; a draft is not issued")
        documents = packs.documents(made.digest)
        if not documents:
            raise Refused("the pack of this revision is not made yet; make it, then issue it")
        return list(store.issue(job, revision.number, documents, request.state.who))


def _at(store: Store, job: str, number: int | None) -> Revision:
    return store.head(job) if number is None else store.revision(job, number)


def _saved(saved: Saved) -> SavedRow:
    return SavedRow(revision=saved.revision, conflicts=[_conflict(row) for row in saved.conflicts])


def _conflict(row: Conflict) -> ConflictRow:
    base, theirs, mine = (
        Side(there=value is not ABSENT, value=None if value is ABSENT else value)
        for value in (row.base, row.theirs, row.mine)
    )
    return ConflictRow(
        id=row.id, path=list(row.path), base=base, theirs=theirs, mine=mine,
        revision=row.revision, who=row.who, at=row.at,
    )  # fmt: skip
