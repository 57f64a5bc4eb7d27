"""What has become of each job? Jobs, their revisions, and everything recorded beside them.

Every change is a new revision; none is ever altered. A change that was made on an older revision
is merged, and where both changed the same value both are kept: the first in the job, the second
as a conflict for a person to settle. Every write carries an `op`, a name the sender chose, so
that the same write sent twice (a phone that lost the signal) is done once: see `operations`.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Collection, Mapping, Sequence
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
    Select,
    Table,
    bindparam,
    func,
    insert,
    select,
    tuple_,
    update,
)
from sqlalchemy.exc import SQLAlchemyError

from truehang.job import Job
from truehang.store import private
from truehang.store import tables as t
from truehang.store.database import answers, migrate, open_engine, reading, writing
from truehang.store.exif import without_place
from truehang.store.files import Files, photo_type
from truehang.store.merge import ABSENT, Clash, look, merge, put
from truehang.store.operations import begun, ended, insert_new
from truehang.store.seeking import found, sought
from truehang.store.troubles import DatabaseError, NotFound, Refused

_ABSENT_TEXT = "absent"
_NEWEST = (
    select(t.revisions)
    .join(t.jobs, (t.jobs.c.id == t.revisions.c.job) & (t.jobs.c.head == t.revisions.c.number))
    .where(t.jobs.c.id == bindparam("wanted", type_=t.Asked()))
)  # made once: every page asks it


@dataclass(frozen=True, slots=True)
class Summary:
    """A job in the list: its id, name, title, newest revision and when it last changed."""

    id: str
    name: str
    title: str
    head: int
    changed: str

    @property
    def place(self) -> str:
        """Where it stands in the list, to go on from."""
        return f"{self.changed}~{self.id}"


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
class Past:
    """A revision as the history lists it."""

    number: int
    restores: int | None
    who: str
    at: str
    what: str


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
    """A photo of a job. `op` names it within the job; `pin` says what it shows:
    "reading.width-top", "step.look", "finding.wall.evidence", or "" where it is of all of it."""

    job: str
    op: str
    sha256: str
    media_type: str
    size: int
    caption: str
    who: str
    at: str
    pin: str = ""


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


def ready(store: Store) -> None:
    """Whether a store can be worked with now. Raises Away."""
    answers(store.engine)


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
            private.folder(folder)
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
        op, identity, now = op or new_id(), new_id(), self.now()
        with writing(self.engine) as db:
            if (done := begun(db, "", "create", op, now, job=identity)) is not None:
                return self._get(db, done.job, 1)
            db.execute(
                insert(t.jobs).values(
                    id=identity, name=job.job.name, title=job.job.title, head=1,
                    created=now, changed=now, sought=sought(job.job.name, job.job.title),
                )
            )  # fmt: skip
            return self._append(db, identity, 1, document_of(job), who, what, op, None)

    def jobs(
        self, search: str = "", after: str = "", most: int | None = None, shelf: str = ""
    ) -> tuple[Summary, ...]:
        """Jobs whose name and title have every word of `search`, the one that changed last first:
        at most `most` of them, those `after` the place of one that was listed before; those that
        are put away on a `shelf`, or on none."""
        jobs = t.jobs.c
        columns = (jobs.id, jobs.name, jobs.title, jobs.head, jobs.changed)
        query = select(*columns).order_by(jobs.changed.desc(), jobs.id.desc()).limit(most)
        query = query.where(jobs.shelf == shelf)
        if search:
            query = query.where(found(jobs.sought, search))
        if after:
            changed, _, id = after.partition("~")
            query = query.where(tuple_(jobs.changed, jobs.id) < tuple_(changed, id))
        with reading(self.engine) as db:
            return tuple(Summary(*row) for row in db.execute(query))

    def summaries(self, jobs: Collection[str]) -> tuple[Summary, ...]:
        """Those of these jobs that there are, by name."""
        job = t.jobs.c
        columns = (job.id, job.name, job.title, job.head, job.changed)
        with reading(self.engine) as db:
            rows = db.execute(select(*columns).where(job.id.in_(jobs)))
            return tuple(sorted((Summary(*row) for row in rows), key=lambda row: row.name))

    def names(self, jobs: Collection[str]) -> dict[str, str]:
        """The names of those of these jobs that there are, by their ids."""
        return {row.id: row.name for row in self.summaries(jobs)}

    def head(self, job: str) -> Revision:
        """The newest revision. Raises NotFound."""
        with reading(self.engine) as db:
            row = db.execute(_NEWEST, {"wanted": job}).mappings().first()
        if row is None:
            raise NotFound(f"no job {job!r}")
        return _revision(row)

    def revision(self, job: str, number: int) -> Revision:
        """One revision. Raises NotFound."""
        with reading(self.engine) as db:
            return self._get(db, job, number)

    def history(
        self, job: str, before: int | None = None, most: int | None = None
    ) -> tuple[Revision, ...]:
        """Revisions, the newest first: at most `most` of them, those `before` a number."""
        query = _passed(select(t.revisions), job, before, most)
        with reading(self.engine) as db:
            return tuple(_revision(row) for row in db.execute(query).mappings())

    def past(
        self, job: str, before: int | None = None, most: int | None = None
    ) -> tuple[Past, ...]:
        """The same without their documents, which are large."""
        revisions = t.revisions.c
        columns = (
            revisions.number,
            revisions.restores,
            revisions.who,
            revisions.at,
            revisions.what,
        )
        with reading(self.engine) as db:
            rows = db.execute(_passed(select(*columns), job, before, most))
            return tuple(Past(*row) for row in rows)

    def save(
        self, job: str, base: int, document: Mapping[str, Any], who: str, what: str, op: str = ""
    ) -> Saved:
        """Keep a changed document that was made from revision `base`.

        Merged with what was saved since. Raises NotFound, and Refused where the document, or
        what the merge makes of it, is not a valid job.
        """
        op, mine = op or new_id(), _valid(document, "the change")
        with writing(self.engine) as db:
            if (done := self._begun(db, job, op)) is not None:
                return Saved(done, self._conflicts(db, job, done.number))
            saved = self._join(db, job, base, mine, who, what, op)
            ended(db, job, "revision", op, saved.revision.number)
            return saved

    def put(
        self, job: str, base: int, path: tuple[str, ...], value: Any, who: str, what: str,
        op: str = "",
    ) -> Saved:  # fmt: skip
        """Change one value of a job (None takes it out), as `save` does."""
        if not path:
            raise Refused("path: empty; name the value to change")
        changed = self._put(self.revision(job, base), path, ABSENT if value is None else value)
        return self.save(job, base, changed, who, what, op)

    def undo(self, job: str, who: str, op: str = "") -> Revision:
        """Bring back what stood before the newest change, as a new revision.

        Undone again and again it goes further back. Raises Refused at the first revision.
        """
        op = op or new_id()
        with writing(self.engine) as db:
            if (done := self._begun(db, job, op)) is not None:
                return done
            head = self._head(db, job)
            undone, target = self._undoes(db, head)
            what = f"undo: {undone.what}"
            saved = self._take(db, head, target.document, who, what, op, target.number)
            ended(db, job, "revision", op, saved.number)
            return saved

    def undoes(self, job: str) -> tuple[Revision, Revision] | None:
        """The change that an undo would take back now, and the state it would lead to; None at
        the beginning."""
        head = self.head(job)
        with reading(self.engine) as db:
            try:
                return self._undoes(db, head)
            except Refused:
                return None

    def _undoes(self, db: Connection, head: Revision) -> tuple[Revision, Revision]:
        at = self._origin(db, head)
        if at.number == 1:
            raise Refused("nothing to undo: this is how the job began")
        return at, self._origin(db, self._get(db, head.job, at.number - 1))

    def _origin(self, db: Connection, at: Revision) -> Revision:
        """The revision whose state this is: of an undo, the one that it led back to."""
        while at.restores is not None:
            at = self._get(db, at.job, at.restores)
        return at

    def bring_back(self, job: str, number: int, who: str, op: str = "") -> Revision:
        """Make the state of an earlier revision the newest again, as a change like any other: undo
        takes it back. Refused where it stands already, or makes no valid job any more."""
        op = op or new_id()
        with writing(self.engine) as db:
            if (done := self._begun(db, job, op)) is not None:
                return done
            head, wanted = self._head(db, job), self._get(db, job, number)
            if wanted.document == head.document:
                raise Refused(f"revision {number} is what stands already")
            document = _valid(wanted.document, f"revision {number}")
            what = f"revision {number} brought back"
            saved = self._take(db, head, document, who, what, op, None)
            ended(db, job, "revision", op, saved.number)
            return saved

    def stands_since(self, job: str, path: tuple[str, ...], number: int) -> Revision:
        """The revision that gave what stands at a path in revision `number` its value, no further
        back than a hundred."""
        at = self.revision(job, number)
        value = look(at.document, path)
        for before in self.history(job, number, 100):
            if look(before.document, path) != value:
                break
            at = before
        return at

    def sign(
        self, base: Revision, document: Mapping[str, Any], key: str, signature: Any, who: str,
        what: str, op: str = "",
    ) -> Revision:  # fmt: skip
        """Keep a document that was made from `base` with the signature for it: both or neither.

        Refused where the job is no longer as in `base`, so that nobody signs what they have not
        seen.
        """
        op, signed = op or new_id(), _valid(document, "what is signed")
        with writing(self.engine) as db:
            if (done := self._begun(db, base.job, op)) is not None:
                return done
            head = self._head(db, base.job)
            if head.number != base.number:
                raise Refused(f"{key}: someone changed the job at this moment; look again and sign")
            saved = self._take(db, head, signed, who, what, op, None)
            self._record(db, saved, "sign", key, signature, True, who, op)
            ended(db, base.job, "revision", op, saved.number)
            return saved

    def revision_of(self, job: str, op: str) -> Revision:
        """The revision that this write became. Raises NotFound where it became none."""
        with reading(self.engine) as db:
            query = select(t.revisions).where(t.revisions.c.job == job, t.revisions.c.op == op)
            row = db.execute(query).mappings().first()
        if row is None:
            raise NotFound(f"no revision of job {job!r} was written as {op!r}")
        return _revision(row)

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
        with reading(self.engine) as db:
            return {row[0]: Pulse(row[1], row[2]) for row in db.execute(query)}

    # ------------------------------------------------------------ conflicts

    def conflicts(self, job: str) -> tuple[Conflict, ...]:
        """What still waits for a person, oldest first."""
        with reading(self.engine) as db:
            return tuple(c for c in self._conflicts(db, job) if c.settled is None)

    def settle(self, job: str, conflict: str, take: str, who: str, op: str = "") -> Revision:
        """Settle a conflict: `take` "theirs" (what stands) or "mine" (what waits)."""
        if take not in ("theirs", "mine"):
            raise Refused(f"take = {take!r}: write theirs or mine")
        op = op or new_id()
        with writing(self.engine) as db:
            if (done := self._begun(db, job, op)) is not None:
                return done
            head = self._head(db, job)
            waiting = {c.id: c for c in self._conflicts(db, job) if c.settled is None}
            if conflict not in waiting:
                raise NotFound(f"no conflict {conflict!r} waits in this job")
            chosen = waiting[conflict]
            if take == "mine":
                changed = _valid(self._put(head, chosen.path, chosen.mine), "what is settled")
                what = f"{'.'.join(chosen.path)}: settled"
                head = self._join(db, job, head.number, changed, who, what, op).revision
            db.execute(update(t.conflicts).where(t.conflicts.c.id == conflict).values(settled=take))
            ended(db, job, "revision", op, head.number)
            return head

    # ------------------------------------------------------------ what is recorded beside a job

    def record(
        self, job: str, kind: str, key: str, value: Any, passed: bool | None, who: str,
        op: str = "",
    ) -> Entry:  # fmt: skip
        """Record a check's reading or a signature on the newest revision."""
        op = op or new_id()
        with writing(self.engine) as db:
            if begun(db, job, "entry", op, self.now()) is not None:
                query = select(t.entries).where(t.entries.c.job == job, t.entries.c.op == op)
                return _entry(db.execute(query).mappings().one())
            return self._record(db, self._head(db, job), kind, key, value, passed, who, op)

    def entries(self, job: str, kind: str | None = None) -> tuple[Entry, ...]:
        """What was recorded, oldest first."""
        query = select(t.entries).where(t.entries.c.job == job).order_by(t.entries.c.order)
        if kind is not None:
            query = query.where(t.entries.c.kind == kind)
        with reading(self.engine) as db:
            return tuple(_entry(row) for row in db.execute(query).mappings())

    def add_photo(
        self, job: str, data: bytes, caption: str, who: str, op: str = "", pin: str = ""
    ) -> Photo:
        """Keep a photo, without the place where it was taken. Raises FileRefused for what is not a
        picture or too large."""
        op = op or new_id()
        media_type = photo_type(data)
        data = without_place(data)
        sha256 = self.files.keep(data)
        with writing(self.engine) as db:
            if begun(db, job, "photo", op, self.now()) is None:
                self._head(db, job)
                self._name_file(db, sha256, media_type, len(data))
                db.execute(
                    insert(t.photos).values(
                        job=job,
                        op=op,
                        sha256=sha256,
                        caption=caption,
                        who=who,
                        at=self.now(),
                        pin=pin,
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
        with reading(self.engine) as db:
            return tuple(Photo(**row) for row in db.execute(query).mappings())

    def issue(
        self, job: str, revision: int, documents: Mapping[str, bytes], who: str
    ) -> tuple[Issued, ...]:
        """Keep the documents of a revision as issued. Issuing the same bytes again changes
        nothing; other bytes under an issued name are Refused."""
        kept = {name: self.files.keep(data) for name, data in documents.items()}
        with writing(self.engine) as db:
            self._head(db, job)  # of two that issue at once the second waits, and finds it done
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
        )
        if revision is not None:
            query = query.where(t.issues.c.revision == revision)
        with reading(self.engine) as db:
            rows = [Issued(**row) for row in db.execute(query).mappings()]
        # Databases put names in different orders, so they are put in ours.
        return tuple(sorted(rows, key=lambda row: (row.revision, row.name)))

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

    def _begun(self, db: Connection, job: str, op: str) -> Revision | None:
        """Begin a write that makes a revision; what it became where it was done before."""
        done = begun(db, job, "revision", op, self.now())
        return None if done is None else self._get(db, job, done.revision or 1)

    def _put(self, revision: Revision, path: tuple[str, ...], value: Any) -> dict[str, Any]:
        try:
            changed: dict[str, Any] = put(revision.document, path, value)
        except KeyError as missing:
            raise Refused(f"path: {'.'.join(path)} leads nowhere at {missing}") from None
        return changed

    def _join(
        self, db: Connection, job: str, base: int, mine: dict[str, Any], who: str, what: str,
        op: str,
    ) -> Saved:  # fmt: skip
        """Append what was made from revision `base`, joined with what was saved since."""
        head = self._head(db, job)
        if base > head.number or base < 1:
            raise NotFound(f"no revision {base} of job {job!r}")
        joined, clashes = merge(self._get(db, job, base).document, head.document, mine)
        if joined == head.document and not clashes:
            return Saved(head, ())
        if joined != mine:
            joined = _valid(joined, "the change, joined with what others saved,")
        saved = self._take(db, head, joined, who, what, op, None)
        return Saved(saved, self._note(db, saved, clashes, who))

    def _take(
        self, db: Connection, head: Revision, document: dict[str, Any], who: str, what: str,
        op: str, restores: int | None,
    ) -> Revision:  # fmt: skip
        """Append a revision after `head`, which is locked."""
        job = document["job"]
        db.execute(
            update(t.jobs)
            .where(t.jobs.c.id == head.job)
            .values(
                head=head.number + 1,
                name=job["name"],
                title=job["title"],
                changed=self.now(),
                sought=sought(job["name"], job["title"]),
            )
        )
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

    def _record(
        self, db: Connection, at: Revision, kind: str, key: str, value: Any, passed: bool | None,
        who: str, op: str,
    ) -> Entry:  # fmt: skip
        last = select(func.max(t.entries.c.order)).where(t.entries.c.job == at.job)
        order = db.scalar(last)
        row = {
            "job": at.job, "op": op, "kind": kind, "key": key, "value": _text(value),
            "passed": passed, "who": who, "at": self.now(), "revision": at.number,
            "order": 0 if order is None else order + 1,
        }  # fmt: skip
        db.execute(insert(t.entries).values(**row))
        return _entry(row)

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
        insert_new(db, t.files, sha256=sha256, media_type=media_type, size=size)


def _passed(query: Select[Any], job: str, before: int | None, most: int | None) -> Select[Any]:
    number = t.revisions.c.number
    query = query.where(t.revisions.c.job == job).order_by(number.desc()).limit(most)
    return query if before is None else query.where(number < before)


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
