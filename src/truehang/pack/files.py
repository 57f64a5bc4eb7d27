"""How is a whole pack put on disk so that nobody ever finds half of one?

Everything is made in memory first, then written beside the old files, and only then does each
file take its place, in one step each. If any step fails, every old file is put back.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

MANIFEST = "manifest.json"


class PackError(Exception):
    """The pack could not be written. The message names the place, the trouble and the mend."""


def manifest(files: Mapping[str, bytes], about: Mapping[str, object]) -> bytes:
    """The list of files with their SHA-256, and what they were made from, as JSON."""
    listed = [
        {"file": name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in sorted(files.items())
    ]
    return (json.dumps({**about, "files": listed}, ensure_ascii=False, indent=1) + "\n").encode()


def replace_all(files: Mapping[str, bytes], directory: Path) -> tuple[Path, ...]:
    """Write `files` (name -> bytes) into `directory`, all or nothing; the paths, in order.

    Files that an older pack left there and that this one no longer has are taken away; files
    that are not the pack's are left alone. Raises PackError.
    """
    try:
        directory.mkdir(parents=True, exist_ok=True)
        staging = Path(tempfile.mkdtemp(prefix=".pack-", dir=directory))
    except OSError as broken:
        raise _error(directory, broken) from broken
    try:
        try:
            for name, data in files.items():
                _stage(staging / "new" / name, data)
            _swap(files, directory, staging)
        except OSError as broken:
            raise _error(directory, broken) from broken
    finally:
        shutil.rmtree(staging, ignore_errors=True)
    return tuple(directory / name for name in files)


def _error(directory: Path, broken: OSError) -> PackError:
    reason = broken.strerror or str(broken)
    return PackError(
        f"{directory}: the pack can't be written ({reason}); nothing there was changed. "
        "Choose a folder that you may write to and that has room."
    )


def _stage(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _swap(files: Mapping[str, bytes], directory: Path, staging: Path) -> None:
    """Move old files aside and new ones in; the manifest last, so that it never lies."""
    order = sorted(files, key=lambda name: (name == MANIFEST, name))
    stale = sorted(_listed(directory / MANIFEST) - set(files))
    aside: list[str] = []
    placed: list[str] = []
    try:
        for name in (*order, *stale):
            old = directory / name
            if old.is_dir():
                raise IsADirectoryError(None, f"{name} is a folder", name)
            if name in files:
                old.parent.mkdir(parents=True, exist_ok=True)
            if old.exists():
                keep = staging / "old" / name
                keep.parent.mkdir(parents=True, exist_ok=True)
                _copy_aside(old, keep, moved=name in stale)
                aside.append(name)
            if name in files:
                os.replace(staging / "new" / name, old)
                placed.append(name)
    except BaseException:
        for name in placed:
            if name not in aside:
                (directory / name).unlink(missing_ok=True)
        for name in aside:
            os.replace(staging / "old" / name, directory / name)
        raise


def _copy_aside(old: Path, keep: Path, *, moved: bool) -> None:
    """Keep the old file for the way back. What will be replaced stays in its place until then."""
    if moved:
        os.replace(old, keep)
    else:
        shutil.copy2(old, keep)


def _listed(path: Path) -> set[str]:
    """Files that the manifest on disk names; none when there is none that can be read."""
    try:
        names = [entry["file"] for entry in json.loads(path.read_text(encoding="utf-8"))["files"]]
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return {
        name
        for name in names
        if isinstance(name, str) and not Path(name).is_absolute() and ".." not in Path(name).parts
    }
