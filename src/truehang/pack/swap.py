"""How does a folder's content change so that whoever is killed leaves no half of it?

Where the file system can, the new content is made in a folder beside the old one, and the two
exchange their names: one step, done or not done (renameat2(2)). Where it can't, or where the folder
is the one that somebody stands in, files take their places one by one, and what is needed for the
way back lies beside them until the last of them is in its place; the next one who writes there goes
that way back first. What is left of a maker that died is known by its lock, which died with it.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import json
import os
import shutil
import sys
import uuid
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

MOST_FOREIGN = 1000
"""Files that are not ours in the folder; where there are more, they are not all taken along."""
_UNDO, _NEW, _OLD = "undo.json", "new", "old"
_AT_CWD, _EXCHANGE = -100, 2  # linux/fcntl.h, linux/fs.h
_NOT_HERE = frozenset(
    {errno.ENOSYS, errno.EINVAL, errno.EXDEV, errno.EBUSY, errno.EPERM, errno.EACCES, errno.EROFS,
     errno.ENOTSUP, errno.EMLINK}
)  # fmt: skip


class CannotExchange(Exception):
    """This folder can't be exchanged as a whole."""


# ---------------------------------------------------------------- room to work in


@contextmanager
def room(parent: Path, prefix: str) -> Iterator[Path]:
    """A folder of one's own in `parent`, taken away at the end, or, where its maker dies, by the
    next one who clears."""
    place = parent / f"{prefix}{uuid.uuid4().hex[:12]}"
    handle = hold(_lock_of(place))
    try:
        place.mkdir(mode=0o700)
        try:
            yield place
        finally:
            shutil.rmtree(place, ignore_errors=True)
    finally:
        with contextlib.suppress(OSError):
            _lock_of(place).unlink()
        os.close(handle)


def clear(parent: Path, prefix: str, undo: Callable[[Path], None]) -> None:
    """Undo, then take away, what makers that died have left in `parent`."""
    for found in sorted(parent.glob(f"{_plain(prefix)}*")):
        place = found.with_name(found.name.removesuffix(".lock"))
        handle = _dead(place)
        if handle is None:
            continue
        try:
            if place.is_dir():
                undo(place)
                shutil.rmtree(place, ignore_errors=True)
            _lock_of(place).unlink(missing_ok=True)
        finally:
            os.close(handle)


def _plain(prefix: str) -> str:
    """A prefix whose letters mean themselves in a pattern."""
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in prefix)


def _lock_of(place: Path) -> Path:
    return place.with_name(f"{place.name}.lock")


def hold(path: Path, *, wait: bool = True) -> int:
    """Hold a lock file, which is there as long as somebody does; let go by closing it, or by dying.

    Raises BlockingIOError where another holds it and this one does not `wait`.
    """
    while True:
        handle = os.open(path, os.O_CREAT | os.O_RDWR, 0o600)
        try:
            _lock(handle, wait)
            if os.fstat(handle).st_ino == path.stat().st_ino:
                return handle
        except FileNotFoundError:
            pass  # whoever cleared took it for a dead one's; once more
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _lock(handle: int, wait: bool) -> None:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        except OSError:
            raise BlockingIOError(errno.EAGAIN, "somebody holds it") from None
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))


def _dead(place: Path) -> int | None:
    """A hold on what a dead maker left; None where its maker lives."""
    try:
        return hold(_lock_of(place), wait=False)
    except OSError:  # or where it is somebody else's
        return None


# ---------------------------------------------------------------- all in one step


def exchange(
    files: Mapping[str, bytes], where: Path, listed: Collection[str], stage: Callable[..., None]
) -> None:
    """Put `files` into `where` in one step; `listed` are those of an older pack there, all others
    are kept. Raises CannotExchange where that isn't possible here, and OSError."""
    if not _possible(where):
        raise CannotExchange
    with _or_not(), _room_beside(where) as place:
        (place / "planned").write_text(json.dumps([*files, *listed]), encoding="utf-8")
        new = place / _NEW
        new.mkdir()
        if where.exists():
            _take_along(where, new, {*files, *listed})
        for name, data in files.items():
            stage(new / name, data)
        _flush(new)
        if where.exists():
            _like(where, new)
            _exchange_names(new, where)
        else:
            new.rename(where)
        with contextlib.suppress(OSError):  # it is done, whatever becomes of the rest
            _flush(where.parent, deep=False)
            leave(place, where)


def beside(where: Path) -> str:
    """How rooms for this folder begin, in the folder above it."""
    return f".{where.name}.pack-"


def leave(place: Path, where: Path) -> None:
    """Take away one's room after, or short of, the exchange. A file that somebody put into the old
    folder at the very last moment goes to where it was meant for."""
    try:
        ours = set(json.loads((place / "planned").read_text(encoding="utf-8")))
    except (OSError, ValueError):
        return
    new = place / _NEW
    for path in sorted(new.rglob("*")):
        if path.is_symlink() or not path.is_file() or path.stat().st_nlink > 1:
            continue
        name = path.relative_to(new).as_posix()
        if name not in ours:
            (where / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(path, where / name)


@contextmanager
def _or_not() -> Iterator[None]:
    try:
        yield
    except OSError as broken:
        if broken.errno in _NOT_HERE:
            raise CannotExchange from broken
        raise


@contextmanager
def _room_beside(where: Path) -> Iterator[Path]:
    where.parent.mkdir(parents=True, exist_ok=True)
    with room(where.parent, beside(where)) as place:
        yield place


def _possible(where: Path) -> bool:
    """Whether the folder may be put aside as a whole. Not one that this program was called in:
    whoever called it would stand in the one that went."""
    if not hasattr(_libc(), "renameat2") or not where.name:
        return False
    if not where.exists():
        return True
    return where.is_dir() and not where.is_mount() and not Path.cwd().is_relative_to(where)


def _libc() -> ctypes.CDLL | None:
    return ctypes.CDLL(None, use_errno=True) if os.name == "posix" else None


def _exchange_names(one: Path, other: Path) -> None:
    libc = _libc()
    assert libc is not None
    if libc.renameat2(_AT_CWD, os.fsencode(one), _AT_CWD, os.fsencode(other), _EXCHANGE) != 0:
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number), str(other))


def _take_along(where: Path, new: Path, ours: Collection[str]) -> None:
    """The files in the folder that are not ours, as second names of the same files."""
    seen = 0
    for folder, folders, names in os.walk(where):
        at = Path(folder).relative_to(where)
        for name in names + [name for name in folders if (Path(folder) / name).is_symlink()]:
            if (at / name).as_posix() in ours:
                continue
            seen += 1
            if seen > MOST_FOREIGN:
                raise CannotExchange
            (new / at).mkdir(parents=True, exist_ok=True)
            os.link(where / at / name, new / at / name, follow_symlinks=False)
        if not names and not folders:
            (new / at).mkdir(parents=True, exist_ok=True)
    for made in sorted(path for path in new.rglob("*") if path.is_dir()):
        _like(where / made.relative_to(new), made)


def _like(old: Path, new: Path) -> None:
    """Give a new folder the owner and rights of the old one."""
    shutil.copystat(old, new)
    told = old.stat()
    if os.geteuid() == 0:
        os.chown(new, told.st_uid, told.st_gid)


def _flush(folder: Path, *, deep: bool = True) -> None:
    """See to it that the names in a folder are on the disk, and in those under it."""
    if os.name != "posix":  # a folder can't be opened there
        return
    folders = [folder, *(path for path in folder.rglob("*") if path.is_dir())] if deep else [folder]
    for each in folders:
        handle = os.open(each, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# ---------------------------------------------------------------- one after another


def one_by_one(
    files: Mapping[str, bytes], where: Path, listed: Collection[str], stage: Callable[..., None],
    last: str,
) -> None:  # fmt: skip
    """Put `files` into `where`, `last` as the last of them, with a way back until all are there.

    Raises OSError; what was there is then there again.
    """
    where.mkdir(parents=True, exist_ok=True)
    order = sorted(files, key=lambda name: (name == last, name))
    stale = sorted(set(listed) - set(files))
    with room(where, ".pack-") as place:
        for name, data in files.items():
            stage(place / _NEW / name, data)
        fresh = [name for name in order if not (where / name).exists()]
        for name in (*order, *stale):
            if (where / name).is_dir():
                raise IsADirectoryError(None, f"{name} is a folder", name)
            if (where / name).exists():
                (place / _OLD / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(where / name, place / _OLD / name)
        stage(place / _UNDO, json.dumps(fresh).encode())
        try:
            for name in order:
                (where / name).parent.mkdir(parents=True, exist_ok=True)
                os.replace(place / _NEW / name, where / name)
            for name in stale:
                (where / name).unlink(missing_ok=True)
            _flush(where, deep=False)
            (place / _UNDO).unlink()
        except BaseException:
            way_back(place)
            raise


def way_back(place: Path) -> None:
    """Put everything back as it was, where the maker of this room got no further."""
    try:
        fresh = json.loads((place / _UNDO).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return
    where, old = place.parent, place / _OLD
    for path in sorted(old.rglob("*")):
        if path.is_file():
            os.replace(path, where / path.relative_to(old))
    for name in fresh:
        (where / name).unlink(missing_ok=True)
    (place / _UNDO).unlink()
