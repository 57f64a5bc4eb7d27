"""How is everything saved to one file and brought back, from one kind of database to another?

A backup is a zip: every table as JSON lines, every kept file, and a manifest of hashes that is
checked when it is written and again before anything is restored. However large the store is, only
some rows and one file of it are in memory at a time.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, select, text

from truehang.store import tables as t
from truehang.store.database import reading, writing
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
_CHUNK = 1 << 20

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
            manifest = {"format": FORMAT, "parts": parts}
            archive.writestr("manifest.json", json.dumps(manifest, indent=1))
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
        parts[name] = _part(archive, name, [store.files.read(sha256)])
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


def check(path: Path, told: Told = _silent) -> dict[str, str]:
    """The hashes of a backup's parts by their names, each held against its bytes.

    Raises BackupDamaged.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = json.loads(archive.read("manifest.json"))
            if manifest.get("format") != FORMAT:
                raise BackupDamaged(f"{path}: not a {FORMAT} file")
            parts: dict[str, str] = manifest["parts"]
            for number, (name, sha256) in enumerate(parts.items()):
                told("check", number, len(parts))
                if _hash(archive, name) != sha256:
                    raise BackupDamaged(f"{path}: {name} is damaged")
    except BackupDamaged:
        raise
    except _BROKEN as broken:
        raise BackupDamaged(f"{path}: can't be read as a backup ({broken})") from None
    return parts


def _hash(archive: zipfile.ZipFile, name: str) -> str:
    whole = hashlib.sha256()
    with archive.open(name) as stream:
        while chunk := stream.read(_CHUNK):
            whole.update(chunk)
    return whole.hexdigest()


def restore(store: Store, path: Path, told: Told = _silent) -> int:
    """Bring a backup back into an empty store. Returns the number of jobs.

    Raises Refused where the store holds jobs already, and BackupDamaged before anything changes.
    """
    parts = check(path, told)
    for table in _FIRST:
        if f"tables/{table.name}.jsonl" not in parts:
            raise BackupDamaged(f"{path}: table {table.name} is missing")
    with zipfile.ZipFile(path) as archive:
        _bring_files(store, archive, path, [n for n in parts if n.startswith("files/")], told)
        with writing(store.engine) as db:
            if db.scalar(select(func.count()).select_from(t.jobs)):
                raise Refused("restore: this store holds jobs already; restore into an empty one")
            if db.scalar(select(t.rack.c.version)):
                raise Refused("restore: this store has a rack already; restore into an empty one")
            db.execute(delete(t.rack))
            db.execute(delete(t.operations))
            for table in _KEPT:
                if f"tables/{table.name}.jsonl" in parts:
                    _bring_rows(db, archive, path, table, told)
            if f"tables/{t.operations.name}.jsonl" not in parts:
                for statement in NAMES_OF_WRITES:
                    db.execute(text(statement))
            return db.scalar(select(func.count()).select_from(t.jobs)) or 0


def _bring_files(
    store: Store, archive: zipfile.ZipFile, path: Path, names: list[str], told: Told
) -> None:
    for number, name in enumerate(names):
        told("files", number, len(names))
        if store.files.keep(archive.read(name)) != name.removeprefix("files/"):
            raise BackupDamaged(f"{path}: {name} is not what its name says")


def _bring_rows(
    db: Connection, archive: zipfile.ZipFile, path: Path, table: Table, told: Told
) -> None:
    done = 0
    with archive.open(f"tables/{table.name}.jsonl") as stream:
        while rows := _rows(list(islice(stream, _ROWS)), table.name, path):
            if table is t.jobs:  # a backup may be older than what jobs are found by
                rows = [{**row, "sought": sought(row["name"], row["title"])} for row in rows]
            db.execute(insert(table), rows)
            done += len(rows)
            told(table.name, done, done)


def _rows(lines: list[bytes], name: str, path: Path) -> list[dict[str, Any]]:
    try:
        return [json.loads(line) for line in lines]
    except ValueError:
        raise BackupDamaged(f"{path}: table {name} is damaged") from None


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
