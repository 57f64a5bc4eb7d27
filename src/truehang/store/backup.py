"""How is everything saved to one file and brought back, from one kind of database to another?

A backup is a zip: every table as JSON lines, every kept file, and a manifest of hashes that is
checked when it is written and again before anything is restored.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import Any

from sqlalchemy import delete, func, insert, select

from truehang.store import tables as t
from truehang.store.database import writing
from truehang.store.files import FileDamaged
from truehang.store.store import Refused, Store

FORMAT = "truehang backup 1"
_FIRST = (t.jobs, t.files, t.revisions, t.conflicts, t.photos, t.issues, t.entries)
_RACK = (t.rack, t.rack_pieces, t.rack_settled)
"""Not in backups that were made before there was a rack."""
_KEPT = (*_FIRST, *_RACK)
"""In the order in which they can be brought back. Codes and devices are not kept: pair again."""

# A wrong byte may be taken for another way to compress, a locked part or a missing end.
_BROKEN = (
    zipfile.BadZipFile, zlib.error, KeyError, ValueError, OSError, EOFError, RuntimeError,
)  # fmt: skip


class BackupDamaged(RuntimeError):
    """The backup is not whole; the message names the part."""


def backup(store: Store, path: Path) -> int:
    """Write a backup and check it. Returns the number of kept parts. The file appears whole or
    not at all; raises OSError where it can't be written and FileDamaged for a damaged store."""
    parts: dict[str, bytes] = {}
    with store.engine.begin() as db:
        if store.engine.dialect.name == "postgresql":
            db.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for table in _KEPT:
            rows = db.execute(select(table).order_by(*table.primary_key.columns)).mappings()
            lines = [json.dumps(dict(row), ensure_ascii=False, sort_keys=True) for row in rows]
            parts[f"tables/{table.name}.jsonl"] = "".join(f"{x}\n" for x in lines).encode()
        names = list(db.scalars(select(t.files.c.sha256).order_by(t.files.c.sha256)))
    for name in names:
        parts[f"files/{name}"] = store.files.read(name)
    manifest = {
        "format": FORMAT,
        "parts": {name: hashlib.sha256(data).hexdigest() for name, data in parts.items()},
    }
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with (
            os.fdopen(handle, "wb") as stream,
            zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive,
        ):
            archive.writestr("manifest.json", json.dumps(manifest, indent=1))
            for name, data in parts.items():
                archive.writestr(name, data)
        read(Path(temporary))
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return len(parts)


def read(path: Path) -> dict[str, bytes]:
    """The parts of a backup, every one checked against the manifest. Raises BackupDamaged."""
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = json.loads(archive.read("manifest.json"))
            if manifest.get("format") != FORMAT:
                raise BackupDamaged(f"{path}: not a {FORMAT} file")
            parts = {name: archive.read(name) for name in manifest["parts"]}
    except _BROKEN as broken:
        raise BackupDamaged(f"{path}: can't be read as a backup ({broken})") from None
    for name, sha256 in manifest["parts"].items():
        if hashlib.sha256(parts[name]).hexdigest() != sha256:
            raise BackupDamaged(f"{path}: {name} is damaged")
    return parts


def restore(store: Store, path: Path) -> int:
    """Bring a backup back into an empty store. Returns the number of jobs.

    Raises Refused where the store holds jobs already, and BackupDamaged before anything changes.
    """
    parts = read(path)
    there = _KEPT if f"tables/{t.rack.name}.jsonl" in parts else _FIRST
    rows = {table.name: _rows(parts, table.name, path) for table in there}
    for name, data in parts.items():
        if name.startswith("files/") and store.files.keep(data) != name.removeprefix("files/"):
            raise BackupDamaged(f"{path}: {name} is not what its name says")
    with writing(store.engine).begin() as db:
        if db.scalar(select(func.count()).select_from(t.jobs)):
            raise Refused("restore: this store holds jobs already; restore into an empty one")
        if db.scalar(select(t.rack.c.version)):
            raise Refused("restore: this store has a rack already; restore into an empty one")
        db.execute(delete(t.rack))
        for table in there:
            if rows[table.name]:
                db.execute(insert(table), rows[table.name])
    return len(rows["jobs"])


def _rows(parts: dict[str, bytes], name: str, path: Path) -> list[dict[str, Any]]:
    try:
        return [json.loads(line) for line in parts[f"tables/{name}.jsonl"].splitlines()]
    except (KeyError, ValueError):
        raise BackupDamaged(f"{path}: table {name} is missing or damaged") from None


def verify(store: Store) -> tuple[str, ...]:
    """What is wrong with the kept files, as lines to read; empty when all is well."""
    with store.engine.begin() as db:
        names = list(db.scalars(select(t.files.c.sha256).order_by(t.files.c.sha256)))
    wrong = []
    for name in names:
        try:
            store.files.read(name)
        except FileDamaged as broken:
            wrong.append(str(broken))
    return tuple(wrong)
