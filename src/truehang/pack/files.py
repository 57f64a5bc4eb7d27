"""How is a whole pack put on disk so that nobody ever finds half of one?

Everything is made in memory first, then written beside the old files, and only then takes its
place (`swap`). Whatever fails, and whoever is killed when, it is all old or all new.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path

from truehang.pack import swap

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
    where = Path(os.path.realpath(directory))
    try:
        clear_left(where)
        listed = _listed(where / MANIFEST)
        _not_in_the_way(files, where)
        try:
            swap.exchange(files, where, listed, _stage)
        except swap.CannotExchange:
            swap.one_by_one(files, where, listed, _stage, MANIFEST)
    except OSError as broken:
        raise _error(directory, broken) from broken
    return tuple(directory / name for name in files)


def clear_left(where: Path) -> None:
    """Take away what makers of packs for this folder that died have left, and go their way back."""
    swap.clear(where.parent, swap.beside(where), lambda place: swap.leave(place, where))
    swap.clear(where, ".pack-", swap.way_back)


def _not_in_the_way(files: Mapping[str, bytes], where: Path) -> None:
    if where.exists() and not where.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "there is a file of that name", str(where))
    for name in files:
        if (where / name).is_dir():
            raise IsADirectoryError(None, f"{name} is a folder", name)


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
