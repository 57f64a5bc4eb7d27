"""How is everything saved to one file and brought back, from one kind of database to another?

A backup is a zip: every table as JSON lines, every kept file, and a manifest of hashes that is
checked when it is written and again before anything is restored. The manifest says of which shape
the tables were, so that a program that is older or newer knows what it may expect. However large
the store is, only some rows, and a piece of one file, are in memory at a time.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Float,
    Integer,
    Table,
    delete,
    func,
    insert,
    or_,
    select,
    text,
)
from sqlalchemy.exc import DataError, IntegrityError

from truehang.store import tables as t
from truehang.store.database import newest_shape, reading, shapes, writing
from truehang.store.files import FileDamaged
from truehang.store.migrations.versions.v0003_operations import NAMES_OF_WRITES
from truehang.store.seeking import sought
from truehang.store.store import Store
from truehang.store.troubles import Refused

FORMAT = "truehang backup 1"
_FIRST = (t.jobs, t.files, t.revisions, t.conflicts, t.photos, t.issues, t.entries)
_RACK = (t.rack, t.rack_pieces, t.rack_settled)
_SINCE = (*_RACK, t.operations)
"""Not in backups that were made before there was a rack, and names of writes."""
_KEPT = (*_FIRST, *_SINCE)
"""In the order in which they can be brought back. Codes and devices are not kept: pair again."""
_ROWS = 500
"""Rows in memory at a time, some 30 kB each."""
_MOST_ROW = 64 << 20
"""Bytes of one row. The largest hold a job file, of a megabyte at most."""
_MANIFEST = "manifest.json"
_CHUNK = 1 << 20
_FILE = re.compile("files/[0-9a-f]{64}")

Told = Callable[[str, int, int], None]
"""What hears of the progress: what is being done, how much of it is done, of how much."""

# A wrong byte may be taken for another way to compress, a locked part or a missing end.
_BROKEN = (
    zipfile.BadZipFile, zlib.error, KeyError, ValueError, OSError, EOFError, RuntimeError,
)  # fmt: skip


class BackupDamaged(RuntimeError):
    """The backup is not whole; the message names the part."""


def _silent(_what: str, _done: int, _all: int) -> None:
    pass


# ---------------------------------------------------------------- saving


def backup(store: Store, path: Path, told: Told = _silent) -> int:
    """Write a backup and check it. Returns the number of kept parts. The file appears whole or
    not at all; raises OSError where it can't be written and FileDamaged for a damaged store."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with (
            os.fdopen(handle, "wb") as stream,
            zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive,
        ):
            parts = _save(store, archive, told)
            manifest = {"format": FORMAT, "shape": newest_shape(), "parts": parts}
            archive.writestr(_MANIFEST, json.dumps(manifest, indent=1))
        check(Path(temporary), told)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return len(parts)


def _save(store: Store, archive: zipfile.ZipFile, told: Told) -> dict[str, str]:
    """Write every part; their hashes by their names."""
    parts = {}
    with reading(store.engine) as db:
        if store.engine.dialect.name == "postgresql":  # one moment of all tables
            db.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for table in _KEPT:
            name = f"tables/{table.name}.jsonl"
            parts[name] = _part(archive, name, _lines(db, table, told))
        names = list(db.scalars(select(t.files.c.sha256).order_by(t.files.c.sha256)))
    for number, sha256 in enumerate(names):
        told("files", number, len(names))
        name = f"files/{sha256}"
        parts[name] = _part(archive, name, store.files.chunks(sha256))
    return parts


def _lines(db: Connection, table: Table, told: Told) -> Iterator[bytes]:
    count = db.scalar(select(func.count()).select_from(table)) or 0
    query = select(table).order_by(*table.primary_key.columns)
    rows = db.execute(query, execution_options={"yield_per": _ROWS}).mappings()
    for number, row in enumerate(rows):
        if number % _ROWS == 0:
            told(table.name, number, count)
        yield json.dumps(dict(row), ensure_ascii=False, sort_keys=True).encode() + b"\n"


def _part(archive: zipfile.ZipFile, name: str, chunks: Iterable[bytes]) -> str:
    whole = hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as out:
        for chunk in chunks:
            whole.update(chunk)
            out.write(chunk)
    return whole.hexdigest()


# ---------------------------------------------------------------- bringing back


@dataclass(frozen=True, slots=True)
class Kept:
    """What a backup says of itself: its parts' hashes by their names, and the shape of its tables,
    "" where it was made before backups said so."""

    parts: dict[str, str]
    shape: str

    @property
    def older(self) -> bool:
        """Whether the tables have grown since."""
        return self.shape != newest_shape()


def check(path: Path, told: Told = _silent) -> Kept:
    """What a backup says of itself, each part held against its hash. Raises BackupDamaged."""
    try:
        with zipfile.ZipFile(path) as archive:
            kept = _said(archive, path)
            for number, (name, sha256) in enumerate(kept.parts.items()):
                told("check", number, len(kept.parts))
                if _hash(archive, name) != sha256:
                    raise BackupDamaged(f"{path}: {name} is damaged")
    except BackupDamaged:
        raise
    except _BROKEN as broken:
        raise BackupDamaged(f"{path}: can't be read as a backup ({broken})") from None
    return kept


def _said(archive: zipfile.ZipFile, path: Path) -> Kept:
    """What the manifest says, and that nothing else is in the archive."""
    manifest = json.loads(archive.read(_MANIFEST))
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise BackupDamaged(f"{path}: not a {FORMAT} file")
    kept = Kept(manifest["parts"], manifest.get("shape", ""))
    if kept.shape and kept.shape not in shapes():
        raise BackupDamaged(
            f"{path}: made by a newer version of Truehang (tables of shape {kept.shape[:20]}, here "
            f"{newest_shape()}); install that version to bring it back"
        )
    tables = {f"tables/{table.name}.jsonl" for table in _KEPT}
    for name in kept.parts:
        if name not in tables and not _FILE.fullmatch(name):
            raise BackupDamaged(f"{path}: {name[:80]} is no part of a backup")
    unnamed = sorted(set(archive.namelist()) - set(kept.parts) - {_MANIFEST})
    if unnamed or len(archive.namelist()) > len(kept.parts) + 1:
        raise BackupDamaged(
            f"{path}: {(unnamed or ['a part'])[0][:80]} is not in its list, or twice in the file"
        )
    needed = _FIRST if kept.older else _KEPT
    for table in needed:
        if f"tables/{table.name}.jsonl" not in kept.parts:
            raise BackupDamaged(f"{path}: table {table.name} is missing")
    return kept


def _hash(archive: zipfile.ZipFile, name: str) -> str:
    whole = hashlib.sha256()
    with archive.open(name) as stream:
        while chunk := stream.read(_CHUNK):
            whole.update(chunk)
    return whole.hexdigest()


def restore(store: Store, path: Path, told: Told = _silent) -> int:
    """Bring a backup back into an empty store. Returns the number of jobs.

    Raises Refused where the store holds jobs already, and BackupDamaged; nothing is changed then.
    """
    kept = check(path, told)
    fresh: list[str] = []
    try:
        with zipfile.ZipFile(path) as archive, writing(store.engine) as db:
            _empty(db)
            for table in _KEPT:
                if f"tables/{table.name}.jsonl" in kept.parts:
                    _bring_rows(db, archive, path, table, kept, told)
            if f"tables/{t.operations.name}.jsonl" not in kept.parts:
                for statement in NAMES_OF_WRITES:
                    db.execute(text(statement))
            _whole(db, path)
            _bring_files(store, db, archive, kept, fresh, told)
            return db.scalar(select(func.count()).select_from(t.jobs)) or 0
    except BaseException as broken:
        for sha256 in fresh:
            store.files.forget(sha256)
        if isinstance(broken, DataError | IntegrityError):
            what = str(broken.orig).strip().partition("\n")[0]
            raise BackupDamaged(f"{path}: its tables don't fit together ({what})") from None
        raise


def _empty(db: Connection) -> None:
    """Make sure that nothing is there yet. Raises Refused."""
    if db.scalar(select(func.count()).select_from(t.jobs)):
        raise Refused("restore: this store holds jobs already; restore into an empty one")
    if db.scalar(select(t.rack.c.version)):
        raise Refused("restore: this store has a rack already; restore into an empty one")
    db.execute(delete(t.rack))
    db.execute(delete(t.operations))


def _bring_files(
    store: Store, db: Connection, archive: zipfile.ZipFile, kept: Kept, fresh: list[str], told: Told
) -> None:
    """Take the files in; those that were not there before are put on `fresh` one by one."""
    path = archive.filename
    wanted = set(db.scalars(select(t.files.c.sha256)))
    there = {name.removeprefix("files/") for name in kept.parts if name.startswith("files/")}
    for sha256 in sorted(wanted ^ there):
        what = "named by no table" if sha256 in there else "missing"
        raise BackupDamaged(f"{path}: files/{sha256[:80]} is {what}")
    for number, sha256 in enumerate(sorted(there)):
        told("files", number, len(there))
        with archive.open(f"files/{sha256}") as stream:
            try:
                new = store.files.take(sha256, iter(lambda: stream.read(_CHUNK), b""))
            except FileDamaged as broken:
                raise BackupDamaged(f"{path}: {broken}") from None
        fresh += [sha256] if new else []


def _bring_rows(
    db: Connection, archive: zipfile.ZipFile, path: Path, table: Table, kept: Kept, told: Told
) -> None:
    done = 0
    with archive.open(f"tables/{table.name}.jsonl") as stream:
        lines = iter(lambda: stream.readline(_MOST_ROW), b"")
        while rows := [_row(line, table, kept, path) for line in islice(lines, _ROWS)]:
            if table is t.jobs:  # a backup may be older than what jobs are found by
                rows = [{**row, "sought": sought(row["name"], row["title"])} for row in rows]
            db.execute(insert(table), rows)
            done += len(rows)
            told(table.name, done, done)


def _row(line: bytes, table: Table, kept: Kept, path: Path) -> dict[str, Any]:
    """One row, with every column that its table has. Raises BackupDamaged."""
    try:
        row = json.loads(line)
    except (ValueError, RecursionError):
        row = None
    if not isinstance(row, dict):
        raise BackupDamaged(f"{path}: table {table.name} is damaged")
    for name in sorted(row.keys() - table.columns.keys()):
        raise BackupDamaged(f"{path}: table {table.name} has no column {name[:80]!r}")
    for column in table.columns:
        if column.name not in row:
            grown = kept.older and (column.nullable or column.server_default is not None)
            if not grown:
                raise BackupDamaged(f"{path}: table {table.name} lacks {column.name}")
        elif not _fits(row[column.name], column):
            raise BackupDamaged(
                f"{path}: table {table.name}: {column.name} can't be {str(row[column.name])[:40]!r}"
            )
    return row


def _fits(value: Any, column: Column[Any]) -> bool:
    """Whether a value is of the column's kind; not every database would mind."""
    if value is None:
        return bool(column.nullable)
    if isinstance(column.type, Boolean):
        return isinstance(value, bool)
    if isinstance(column.type, Integer):
        return type(value) is int and abs(value) < 2**31
    if isinstance(column.type, Float):
        return type(value) in (int, float)
    return isinstance(value, str)


def _whole(db: Connection, path: Path) -> None:
    """Every job has its revisions, from the first to the newest. Raises BackupDamaged."""
    revisions = (
        select(
            t.revisions.c.job, func.max(t.revisions.c.number).label("last"),
            func.min(t.revisions.c.number).label("first"), func.count().label("count"),
        )
        .group_by(t.revisions.c.job)
        .subquery()
    )  # fmt: skip
    query = (
        select(t.jobs.c.name, t.jobs.c.head)
        .outerjoin(revisions, revisions.c.job == t.jobs.c.id)
        .where(
            or_(
                revisions.c.last.is_(None),
                revisions.c.last != t.jobs.c.head,
                revisions.c.first != 1,
                revisions.c.count != t.jobs.c.head,
            )
        )
        .order_by(t.jobs.c.name)
    )
    if (row := db.execute(query).first()) is not None:
        raise BackupDamaged(
            f"{path}: job {row.name} lacks some of its {row.head} revisions; "
            "take a backup that is whole"
        )


def verify(store: Store) -> tuple[str, ...]:
    """What is wrong with the kept files, as lines to read; empty when all is well."""
    with reading(store.engine) as db:
        names = list(db.scalars(select(t.files.c.sha256).order_by(t.files.c.sha256)))
    wrong = []
    for name in names:
        try:
            store.files.read(name)
        except FileDamaged as broken:
            wrong.append(str(broken))
    return tuple(wrong)
