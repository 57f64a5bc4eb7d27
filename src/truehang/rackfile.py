"""Where does the offcut rack lie between two commands? In a file that one writer changes at a time.

A change is made on what was read. It is written whole or not at all, under a lock beside the file,
and refused where someone else wrote in between.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from truehang.cutting import Rack, RackError
from truehang.cutting.rack import MOST_BYTES, from_text, to_text, written


class RackUnreadable(RackError):
    """The rack file can't be read. The message names the file, the trouble and the mend."""


class RackUnwritten(RackError):
    """The rack file can't be written; what was there is still there."""


def read(path: Path) -> Rack:
    """The rack in a file. Raises RackUnreadable."""
    try:
        with path.open("rb") as stream:
            return from_text(stream.read(MOST_BYTES + 1).decode("utf-8-sig"))
    except FileNotFoundError:
        raise RackUnreadable(
            f"{path}: there is no such file; begin one with: "
            f"truehang rack put {path} SECTION LENGTH"
        ) from None
    except OSError as broken:
        raise RackUnreadable(
            f"{path}: can't be read ({broken.strerror}); name a rack file"
        ) from None
    except UnicodeDecodeError:
        raise RackUnreadable(f"{path}: this is no text; name a rack file") from None
    except RackError as wrong:
        raise RackUnreadable(f"{path}: {wrong}") from None


def change(
    path: Path, make: Callable[[Rack], Rack], *, begin: bool = False, seen: int | None = None
) -> Rack:
    """The rack after `make`, written to the file. `begin` makes a file where there is none yet.

    `seen` is the version that the change was planned on: RackConflict where the file holds another
    by now. Raises RackError as `make` does, RackUnreadable and RackUnwritten; the file then stays
    as it is.
    """
    with _locked(path):
        stored = Rack() if begin and not path.exists() else read(path)
        after = written(stored, make(stored), stored.version if seen is None else seen)
        _write(path, to_text(after))
    return after


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Hold the lock file beside `path`; others wait. It stays there: taking it away would race."""
    import fcntl

    try:
        stream = path.with_name(f".{path.name}.lock").open("a")
    except OSError as broken:
        raise RackUnwritten(
            f"{path}: can't be written ({broken.strerror}); choose another place"
        ) from None
    with stream:
        fcntl.flock(stream, fcntl.LOCK_EX)
        yield


def _write(path: Path, text: str) -> None:
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as broken:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        raise RackUnwritten(
            f"{path}: can't be written ({broken.strerror}); choose another place"
        ) from None
