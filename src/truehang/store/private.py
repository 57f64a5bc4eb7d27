"""How is something written that only this user may read? Whole or not at all, 0600 in 0700."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

FOLDER, FILE = 0o700, 0o600


def folder(path: Path) -> Path:
    """The folder, there and shut to others; folders above it are made as they are needed."""
    path.mkdir(parents=True, exist_ok=True, mode=FOLDER)
    if path.stat().st_mode & 0o077:
        path.chmod(FOLDER)
    return path


def file(path: Path) -> None:
    """The file, there and shut to others; empty where it was not there. Raises OSError."""
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, FILE))
    if path.stat().st_mode & 0o077:
        path.chmod(FILE)


def write(path: Path, pieces: Iterable[bytes]) -> None:
    """Write the file, flushed to the disk before it takes its name. Raises OSError."""
    folder(path.parent)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")  # 0600, as mkstemp does
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.writelines(pieces)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    flush(path.parent)


def flush(path: Path) -> None:
    """See to it that the names in a folder are on the disk."""
    if os.name != "posix":  # a folder can't be opened there
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
