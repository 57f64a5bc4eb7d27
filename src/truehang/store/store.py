"""What has become of each job? Jobs, their revisions, and everything recorded beside them.

Every change is a new revision; none is ever altered. A change that was made on an older revision
is merged, and where both changed the same value both are kept: the first in the job, the second
as a conflict for a person to settle. Every write carries an `op`, a name the sender chose, so
that the same write sent twice (a phone that lost the signal) is done once.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    RowMapping,
    ScalarSelect,
    Table,
    bindparam,
    func,
    insert,
    select,
    update,
)
from sqlalchemy.exc import IntegrityError, SQLAlchemyError

from truehang.job import Job
from truehang.store import tables as t
from truehang.store.database import DatabaseError, migrate, open_engine, writing
from truehang.store.files import Files, photo_type
from truehang.store.merge import ABSENT, Clash, merge, put

_ABSENT_TEXT = "absent"
TRIES = 50
_NEWEST = (
    select(t.revisions)
    .join(t.jobs, (t.jobs.c.id == t.revisions.c.job) & (t.jobs.c.head == t.revisions.c.number))
    .where(t.jobs.c.id == bindparam("wanted"))
)  # made once: every page asks it


class NotFound(LookupError):
    """There is no such job, revision, document or device."""


class Refused(ValueError):
    """A write that can't be done; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Summary:
    """A job in the list: its id, name, title, newest revision and when it last changed."""

    id: str
    name: str
    title: str
    head: int
    changed: str


@dataclass(frozen=True, slots=True)
class Revision:
    """One state of a job. `document` is the job file as plain values."""

    job: str
    number: int
    restores: int | None
    who: str
    at: str
    what: str
    digest: str
    document: dict[str, Any]

    def model(self) -> Job:
        """The job as its model."""
        return Job.model_validate(self.document)


@dataclass(frozen=True, slots=True)
class Conflict:
    """One value that two people changed; `theirs` stands in the job, `mine` waits."""

    id: str
    job: str
    path: tuple[str, ...]
    base: Any
    theirs: Any
    mine: Any
    revision: int
    who: str
    at: str
    settled: str | None


@dataclass(frozen=True, slots=True)
class Saved:
    """What a write became: the newest revision, and the conflicts it met."""

    revision: Revision
    conflicts: tuple[Conflict, ...]


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of a job. `op` names it within the job."""

    job: str
    op: str
    sha256: str
    media_type: str
    size: int
    caption: str
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class Issued:
    """A document as it was issued with a revision; its bytes never change."""

    job: str
    revision: int
    name: str
    sha256: str
    size: int
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class Entry:
    """Something recorded on site: a check's reading, a signature. Never altered, only added to."""

    job: str
    op: str
    kind: str
    key: str
    value: Any
    passed: bool | None
    who: str
    at: str
    revision: int


@dataclass(frozen=True, slots=True)
class Pulse:
    """What changes when a job does: its newest revision, and how much was recorded beside it
    (entries, photos, conflicts met and conflicts settled)."""

    revision: int
    records: int


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def new_id() -> str:
    """A fresh random name for a job, a write or a device."""
    return uuid.uuid4().hex


def _text(value: Any) -> str:
    if value is ABSENT:
        return _ABSENT_TEXT
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _value(text: str) -> Any:
    return ABSENT if text == _ABSENT_TEXT else json.loads(text)


def document_of(job: Job) -> dict[str, Any]:
    """A job as the plain values that the store keeps."""
    return job.model_dump(mode="json", exclude_defaults=True)


@dataclass(frozen=True, slots=True)
class Store:
    """Jobs in one database, with their files in one folder."""

    engine: Engine
    files: Files
    now: Callable[[], str] = _now

    @classmethod
    def open(cls, url: str, folder: Path, now: Callable[[], str] = _now) -> Store:
        """Open the database and folder, making both where they are not there yet.

        Raises DatabaseError where that is not possible.
        """
        engine = open_engine(url)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            migrate(engine)
        except OSError as broken:
            raise DatabaseError(f"{folder}: can't be made ({broken.strerror})") from None
        except SQLAlchemyError as broken:
            reason = str(getattr(broken, "orig", broken)).splitlines()[0]
            raise DatabaseError(f"the database does not answer: {reason}") from None
        return cls(engine, Files(folder), now)

    # ------------------------------------------------------------ jobs and revisions

    def create(self, job: Job, who: str, op: str = "", what: str = "new job") -> Revision:
        """Keep a new job as its revision 1."""
        op = op or new_id()
        document = document_of(job)
        with writing(self.engine).begin() as db:
            row = (
                db.execute(
                    select(t.revisions)
                    .where(t.revisions.c.op == op, t.revisions.c.number == 1)
                    .limit(1)
                )
                .mappings()
                .first()
            )
            if row is not None:
                return _revision(row)
            identity, now = new_id(), self.now()
            db.execute(
                insert(t.jobs).values(
                    id=identity, name=job.job.name, title=job.job.title, head=1,
                    created=now, changed=now,
                )
            )  # fmt: skip
            return self._append(db, identity, 1, document, who, what, op, None)

    def jobs(self) -> tuple[Summary, ...]:
        """All jobs, the one that changed last first."""
        columns = (t.jobs.c.id, t.jobs.c.name, t.jobs.c.title, t.jobs.c.head, t.jobs.c.changed)
        with self.engine.begin() as db:
            rows = db.execute(select(*columns).order_by(t.jobs.c.changed.desc(), t.jobs.c.id))
            return tuple(Summary(*row) for row in rows)

    def head(self, job: str) -> Revision:
        """The newest revision. Raises NotFound."""
        with self.engine.begin() as db:
            row = db.execute(_NEWEST, {"wanted": job}).mappings().first()
        if row is None:
            raise NotFound(f"no job {job!r}")
        return _revision(row)

    def revision(self, job: str, number: int) -> Revision:
        """One revision. Raises NotFound."""
        with self.engine.begin() as db:
            return self._get(db, job, number)

    def history(self, job: str) -> tuple[Revision, ...]:
        """All revisions, the newest first."""
        query = (
            select(t.revisions)
            .where(t.revisions.c.job == job)
            .order_by(t.revisions.c.number.desc())
        )
        with self.engine.begin() as db:
            return tuple(_revision(row) for row in db.execute(query).mappings())

    def save(
        self, job: str, base: int, document: Mapping[str, Any], who: str, what: str, op: str = ""
    ) -> Saved:
        """Keep a changed document that was made from revision `base`.

        Merged with what was saved since. Raises NotFound, and Refused where the document, or
        what the merge makes of it, is not a valid job.
        """
        op = op or new_id()
        mine = _valid(document, "the change")
        for _ in range(TRIES):
            with writing(self.engine).begin() as db:
                if (done := self._done(db, job, op)) is not None:
                    return Saved(done, self._conflicts(db, job, done.number))
                head = self._head(db, job)
                if base > head.number or base < 1:
                    raise NotFound(f"no revision {base} of job {job!r}")
                joined, clashes = merge(self._get(db, job, base).document, head.document, mine)
                if joined == head.document and not clashes:
                    return Saved(head, ())
                if joined != mine:
                    joined = _valid(joined, "the change, joined with what others saved,")
                if (saved := self._take(db, head, joined, who, what, op, None)) is not None:
                    return Saved(saved, self._note(db, saved, clashes, who))
        raise Refused("others are saving this job without a pause; try again")

    def put(
        self, job: str, base: int, path: tuple[str, ...], value: Any, who: str, what: str,
        op: str = "",
    ) -> Saved:  # fmt: skip
        """Change one value of a job (None takes it out), as `save` does."""
        if not path:
            raise Refused("path: empty; name the value to change")
        document = self.revision(job, base).document
        try:
            changed = put(document, path, ABSENT if value is None else value)
        except KeyError as missing:
            raise Refused(f"path: {'.'.join(path)} leads nowhere at {missing}") from None
        return self.save(job, base, changed, who, what, op)

    def undo(self, job: str, who: str, op: str = "") -> Revision:
        """Bring back what stood before the newest change, as a new revision.

        Undone again and again it goes further back. Raises Refused at the first revision.
        """
        op = op or new_id()
        for _ in range(TRIES):
            with writing(self.engine).begin() as db:
                if (done := self._done(db, job, op)) is not None:
                    return done
                head = self._head(db, job)
                at = head
                while at.restores is not None:
                    at = self._get(db, job, at.restores)
                if at.number == 1:
                    raise Refused("nothing to undo: this is how the job began")
                before = self._get(db, job, at.number - 1)
                target = before.restores or before.number
                what = f"undo: {at.what}"
                saved = self._take(db, head, before.document, who, what, op, target)
                if saved is not None:
                    return saved
        raise Refused("others are saving this job without a pause; try again")

    def revision_of(self, job: str, op: str) -> Revision:
        """The revision that this write became. Raises NotFound where it became none."""
        with self.engine.begin() as db:
            done = self._done(db, job, op)
        if done is None:
            raise NotFound(f"no revision of job {job!r} was written as {op!r}")
        return done

    def pulse(self, jobs: Sequence[str]) -> dict[str, Pulse]:
        """The pulse of each of these jobs that there is."""

        def count(table: Table, *conditions: ColumnElement[bool]) -> ScalarSelect[int]:
            here = (table.c.job == t.jobs.c.id, *conditions)
            return select(func.count()).select_from(table).where(*here).scalar_subquery()

        records = (
            count(t.entries)
            + count(t.photos)
            + count(t.conflicts)
            + count(t.conflicts, t.conflicts.c.settled.is_not(None))
        )
        query = select(t.jobs.c.id, t.jobs.c.head, records).where(t.jobs.c.id.in_(jobs))
        with self.engine.begin() as db:
            return {row[0]: Pulse(row[1], row[2]) for row in db.execute(query)}

    # ------------------------------------------------------------ conflicts

    def conflicts(self, job: str) -> tuple[Conflict, ...]:
        """What still waits for a person, oldest first."""
        with self.engine.begin() as db:
            return tuple(c for c in self._conflicts(db, job) if c.settled is None)

    def settle(self, job: str, conflict: str, take: str, who: str, op: str = "") -> Revision:
        """Settle a conflict: `take` "theirs" (what stands) or "mine" (what waits)."""
        if take not in ("theirs", "mine"):
            raise Refused(f"take = {take!r}: write theirs or mine")
        waiting = {c.id: c for c in self.conflicts(job)}
        if conflict not in waiting:
            raise NotFound(f"no conflict {conflict!r} waits in this job")
        chosen = waiting[conflict]
        head = self.head(job)
        if take == "mine":
            changed = put(head.document, chosen.path, chosen.mine)
            what = f"{'.'.join(chosen.path)}: settled"
            head = self.save(job, head.number, changed, who, what, op).revision
        with writing(self.engine).begin() as db:
            db.execute(
                update(t.conflicts)
                .where(t.conflicts.c.id == conflict, t.conflicts.c.settled.is_(None))
                .values(settled=take)
            )
        return head

    # ------------------------------------------------------------ what is recorded beside a job

    def record(
        self, job: str, kind: str, key: str, value: Any, passed: bool | None, who: str,
        op: str = "",
    ) -> Entry:  # fmt: skip
        """Record a check's reading or a signature on the newest revision."""
        op = op or new_id()
        with writing(self.engine).begin() as db:
            head = self._head(db, job)
            query = select(t.entries).where(t.entries.c.job == job, t.entries.c.op == op)
            if (row := db.execute(query).mappings().first()) is not None:
                return _entry(row)
            count = db.scalar(
                select(func.count()).select_from(t.entries).where(t.entries.c.job == job)
            )
            row_values = {
                "job": job, "op": op, "kind": kind, "key": key, "value": _text(value),
                "passed": passed, "who": who, "at": self.now(), "revision": head.number,
                "order": count,
            }  # fmt: skip
            db.execute(insert(t.entries).values(**row_values))
            return _entry(row_values)

    def entries(self, job: str, kind: str | None = None) -> tuple[Entry, ...]:
        """What was recorded, oldest first."""
        query = select(t.entries).where(t.entries.c.job == job).order_by(t.entries.c.order)
        if kind is not None:
            query = query.where(t.entries.c.kind == kind)
        with self.engine.begin() as db:
            return tuple(_entry(row) for row in db.execute(query).mappings())

    def add_photo(self, job: str, data: bytes, caption: str, who: str, op: str = "") -> Photo:
        """Keep a photo. Raises FileRefused for what is not a picture or too large."""
        op = op or new_id()
        media_type = photo_type(data)
        sha256 = self.files.keep(data)
        with writing(self.engine).begin() as db:
            self._head(db, job)
            query = select(t.photos).where(t.photos.c.job == job, t.photos.c.op == op)
            if db.execute(query).first() is None:
                self._name_file(db, sha256, media_type, len(data))
                db.execute(
                    insert(t.photos).values(
                        job=job, op=op, sha256=sha256, caption=caption, who=who, at=self.now()
                    )
                )
        return next(photo for photo in self.photos(job) if photo.op == op)

    def photos(self, job: str) -> tuple[Photo, ...]:
        """The photos of a job, oldest first."""
        query = (
            select(t.photos, t.files.c.media_type, t.files.c.size)
            .join(t.files, t.files.c.sha256 == t.photos.c.sha256)
            .where(t.photos.c.job == job)
            .order_by(t.photos.c.at, t.photos.c.op)
        )
        with self.engine.begin() as db:
            return tuple(Photo(**row) for row in db.execute(query).mappings())

    def issue(
        self, job: str, revision: int, documents: Mapping[str, bytes], who: str
    ) -> tuple[Issued, ...]:
        """Keep the documents of a revision as issued. Issuing the same bytes again changes
        nothing; other bytes under an issued name are Refused."""
        kept = {name: self.files.keep(data) for name, data in documents.items()}
        with writing(self.engine).begin() as db:
            self._get(db, job, revision)
            query = select(t.issues.c.name, t.issues.c.sha256).where(
                t.issues.c.job == job, t.issues.c.revision == revision
            )
            there = {row.name: row.sha256 for row in db.execute(query)}
            for name, sha256 in kept.items():
                if name in there and there[name] != sha256:
                    raise Refused(
                        f"{name} of revision {revision} is issued and can't change; "
                        "make a new revision"
                    )
                if name not in there:
                    self._name_file(db, sha256, _media_type(name), len(documents[name]))
                    db.execute(
                        insert(t.issues).values(
                            job=job, revision=revision, name=name, sha256=sha256, who=who,
                            at=self.now(),
                        )
                    )  # fmt: skip
        return self.issued(job, revision)

    def issued(self, job: str, revision: int | None = None) -> tuple[Issued, ...]:
        """The issued documents of a job, by revision and name."""
        query = (
            select(t.issues, t.files.c.size)
            .join(t.files, t.files.c.sha256 == t.issues.c.sha256)
            .where(t.issues.c.job == job)
            .order_by(t.issues.c.revision, t.issues.c.name)
        )
        if revision is not None:
            query = query.where(t.issues.c.revision == revision)
        with self.engine.begin() as db:
            return tuple(Issued(**row) for row in db.execute(query).mappings())

    # ------------------------------------------------------------ inside a transaction

    def _get(self, db: Connection, job: str, number: int) -> Revision:
        query = select(t.revisions).where(t.revisions.c.job == job, t.revisions.c.number == number)
        row = db.execute(query).mappings().first()
        if row is None:
            raise NotFound(f"no revision {number} of job {job!r}")
        return _revision(row)

    def _head(self, db: Connection, job: str) -> Revision:
        # The row is locked where the database can, so that two writers wait instead of racing.
        query = select(t.jobs.c.head).where(t.jobs.c.id == job).with_for_update()
        number = db.scalar(query)
        if number is None:
            raise NotFound(f"no job {job!r}")
        return self._get(db, job, number)

    def _done(self, db: Connection, job: str, op: str) -> Revision | None:
        query = select(t.revisions).where(t.revisions.c.job == job, t.revisions.c.op == op)
        row = db.execute(query).mappings().first()
        return _revision(row) if row is not None else None

    def _take(
        self, db: Connection, head: Revision, document: dict[str, Any], who: str, what: str,
        op: str, restores: int | None,
    ) -> Revision | None:  # fmt: skip
        """Append a revision after `head`; None where another writer came first."""
        job = document["job"]
        moved = db.execute(
            update(t.jobs)
            .where(t.jobs.c.id == head.job, t.jobs.c.head == head.number)
            .values(head=head.number + 1, name=job["name"], title=job["title"], changed=self.now())
        )
        if moved.rowcount != 1:
            return None
        return self._append(db, head.job, head.number + 1, document, who, what, op, restores)

    def _append(
        self, db: Connection, job: str, number: int, document: dict[str, Any], who: str,
        what: str, op: str, restores: int | None,
    ) -> Revision:  # fmt: skip
        from hashlib import sha256

        text = _text(document)
        row = {
            "job": job, "number": number, "restores": restores, "who": who, "at": self.now(),
            "what": what, "op": op, "digest": sha256(text.encode()).hexdigest(),
            "document": text,
        }  # fmt: skip
        db.execute(insert(t.revisions).values(**row))
        return _revision(row)

    def _note(
        self, db: Connection, saved: Revision, clashes: tuple[Clash, ...], who: str
    ) -> tuple[Conflict, ...]:
        for clash in clashes:
            db.execute(
                insert(t.conflicts).values(
                    id=new_id(), job=saved.job, path=_text(clash.path), base=_text(clash.base),
                    theirs=_text(clash.theirs), mine=_text(clash.mine), revision=saved.number,
                    who=who, at=self.now(),
                )
            )  # fmt: skip
        return self._conflicts(db, saved.job, saved.number)

    def _conflicts(
        self, db: Connection, job: str, revision: int | None = None
    ) -> tuple[Conflict, ...]:
        query = (
            select(t.conflicts)
            .where(t.conflicts.c.job == job)
            .order_by(t.conflicts.c.at, t.conflicts.c.id)
        )
        if revision is not None:
            query = query.where(t.conflicts.c.revision == revision)
        return tuple(
            Conflict(
                row["id"], row["job"], tuple(json.loads(row["path"])), _value(row["base"]),
                _value(row["theirs"]), _value(row["mine"]), row["revision"], row["who"],
                row["at"], row["settled"],
            )
            for row in db.execute(query).mappings()
        )  # fmt: skip

    def _name_file(self, db: Connection, sha256: str, media_type: str, size: int) -> None:
        query = select(t.files.c.sha256).where(t.files.c.sha256 == sha256)
        if db.execute(query).first() is not None:
            return
        try:
            with db.begin_nested():
                db.execute(insert(t.files).values(sha256=sha256, media_type=media_type, size=size))
        except IntegrityError:
            pass  # another writer named the same bytes meanwhile


def _media_type(name: str) -> str:
    import mimetypes

    return mimetypes.guess_type(name)[0] or "application/octet-stream"


def _valid(document: Mapping[str, Any], what: str) -> dict[str, Any]:
    from pydantic import ValidationError

    try:
        return document_of(Job.model_validate(document))
    except ValidationError as wrong:
        first = wrong.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        mend = (first.get("ctx") or {}).get("mend", "give a value that fits")
        raise Refused(f"{what} is not a valid job: {where}: {first['msg']}; {mend}") from None


def _revision(row: RowMapping | Mapping[str, Any]) -> Revision:
    return Revision(
        row["job"], row["number"], row["restores"], row["who"], row["at"], row["what"],
        row["digest"], json.loads(row["document"]),
    )  # fmt: skip


def _entry(row: RowMapping | Mapping[str, Any]) -> Entry:
    return Entry(
        row["job"], row["op"], row["kind"], row["key"], json.loads(row["value"]), row["passed"],
        row["who"], row["at"], row["revision"],
    )  # fmt: skip
