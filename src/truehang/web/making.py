"""How does a pack get made while someone waits? In the background, with its progress on disk.

A pack lies in a folder named by its plan's digest, so that every worker process sees the same
progress and a pack is made once. Whoever makes it holds a lock for so long: where the lock is free
and the pack is not whole, its maker died, and the next one who asks makes it again. The folder
keeps the newest packs; issued ones are the store's.
"""

from __future__ import annotations

import contextlib
import errno
import json
import logging
import os
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from truehang.pack import MANIFEST, PackError, write
from truehang.pack.swap import hold
from truehang.store import Away, private

if TYPE_CHECKING:
    from truehang.plan import Plan

MOST_KEPT = 40
State = Literal["missing", "making", "ready", "failed"]
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Making:
    """How far a pack is: `said` in plain words, `documents` their names once it is ready."""

    digest: str
    state: State
    said: str
    documents: tuple[str, ...] = ()


class Packs:
    """The packs in one folder, each of a plan that `complete` has completed. Safe to use from
    several threads and processes."""

    def __init__(self, folder: Path, complete: Callable[[Plan], Plan]) -> None:
        self._folder, self._complete = folder, complete
        self._work = ThreadPoolExecutor(1, "pack")  # one at a time: pages come first
        self._failed: dict[str, str] = {}
        """What could not even be noted on the disk."""

    def start(self, plan: Plan) -> Making:
        """Begin to make the plan's pack, unless it is there or on its way. Raises Away."""
        there = self.look(plan.digest)
        if there.state == "ready":
            return there
        with _room():
            private.folder(self._folder)
            held = self._claim(plan.digest)
            if held is None:  # somebody is at it, or looks at this moment whether anybody is
                return Making(plan.digest, "making", "waiting for its turn")
            self._failed.pop(plan.digest, None)
            try:
                self._say(plan.digest, "making", "waiting for its turn")
                self._work.submit(self._make, plan, held)
            except BaseException:
                self._release(plan.digest, held)
                raise
        return self.look(plan.digest)

    def follow(self, plan: Plan) -> Making:
        """How far the plan's pack is; begun again where it had been begun and its maker died."""
        told = self._told(plan.digest)
        there = self.look(plan.digest)
        if told is not None and there.state == "missing":
            with contextlib.suppress(Away):
                return self.start(plan)
        return there

    def look(self, digest: str) -> Making:
        """How far a pack is. One whose maker died is missing."""
        if digest in self._failed:
            return Making(digest, "failed", self._failed[digest])
        told = self._told(digest)
        if told is None:
            return Making(digest, "missing", "not made yet")
        if told.state == "making" and not self._claimed(digest):
            # Between the two questions it may have become ready.
            told = self._told(digest) or told
        lost = (told.state == "making" and not self._claimed(digest)) or (
            told.state == "ready" and not self._whole(told)
        )
        return Making(digest, "missing", "it was not made to its end") if lost else told

    def documents(self, digest: str) -> dict[str, bytes]:
        """The documents of a pack that is ready, each as the pack's own list says; empty where it
        is not, or not any more."""
        folder = self._folder / digest
        try:
            found = {name: (folder / name).read_bytes() for name in self.look(digest).documents}
            listed = json.loads(found[MANIFEST])["files"] if found else []
            whole = all(
                sha256(found[each["file"]]).hexdigest() == each["sha256"] for each in listed
            )
        except (OSError, ValueError, KeyError, TypeError):
            whole = False
        if whole:
            return found
        shutil.rmtree(folder, ignore_errors=True)  # it is made again by who asks next
        return {}

    def document(self, digest: str, name: str) -> bytes | None:
        """One document, None where the pack has none of this name."""
        # Only names that the pack itself listed lead to a file, so no path leads out of it.
        if name not in self.look(digest).documents:
            return None
        try:
            return (self._folder / digest / name).read_bytes()
        except OSError:
            return None

    def close(self) -> None:
        """Stop making; what waits is not begun."""
        self._work.shutdown(wait=True, cancel_futures=True)

    def _make(self, plan: Plan, held: int) -> None:
        fresh = self._folder / f".{plan.digest}.new"
        try:
            for left in self._folder.glob(f".{plan.digest}.*"):  # of a maker that died
                shutil.rmtree(left, ignore_errors=True)
            self._say(plan.digest, "making", "working out the cuts")
            whole = self._complete(plan)
            paths = write(whole, fresh, lambda text: self._say(plan.digest, "making", text))
            names = sorted(path.relative_to(fresh).as_posix() for path in paths)
            shutil.rmtree(self._folder / plan.digest, ignore_errors=True)
            fresh.rename(self._folder / plan.digest)
            self._say(plan.digest, "ready", "ready", names)
            self._prune()
        except (PackError, OSError) as broken:
            self._fail(plan.digest, f"the pack can't be written: {broken}")
        except Exception:
            self._fail(plan.digest, "the pack can't be made; the server's log says why")
            _log.exception("a pack can't be made")
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
            self._release(plan.digest, held)

    def _fail(self, digest: str, said: str) -> None:
        try:
            self._say(digest, "failed", said)
        except OSError:
            self._failed[digest] = said

    def _claim(self, digest: str) -> int | None:
        """A hold on the making of a pack; None where somebody is at it."""
        try:
            return hold(self._claim_of(digest), wait=False)
        except BlockingIOError:
            return None

    def _release(self, digest: str, held: int) -> None:
        with contextlib.suppress(OSError):
            self._claim_of(digest).unlink(missing_ok=True)
        os.close(held)

    def _claimed(self, digest: str) -> bool:
        """Whether somebody is making this pack now."""
        if not self._claim_of(digest).exists():
            return False
        try:
            held = self._claim(digest)
        except OSError:
            return True  # not known now; asked again soon
        if held is None:
            return True
        self._release(digest, held)
        return False

    def _claim_of(self, digest: str) -> Path:
        return self._folder / f"{digest}.claim"

    def _note(self, digest: str) -> Path:
        return self._folder / f"{digest}.json"

    def _told(self, digest: str) -> Making | None:
        """What was noted last; None where nothing was, or nothing that can be read."""
        try:
            told: dict[str, Any] = json.loads(self._note(digest).read_text(encoding="utf-8"))
            documents = tuple(told["documents"]) if told["state"] == "ready" else ()
            return Making(digest, told["state"], told["said"], documents)
        except FileNotFoundError:
            return None
        except (OSError, ValueError, KeyError, TypeError):
            return Making(digest, "making", "it can't be seen how far it is")

    def _whole(self, told: Making) -> bool:
        """Whether every document is there, as large as the pack's own list says."""
        folder = self._folder / told.digest
        try:
            sizes = {name: (folder / name).stat().st_size for name in told.documents}
            listed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
            return all(sizes[each["file"]] == each["bytes"] for each in listed)
        except (OSError, ValueError, KeyError, TypeError):
            return False

    def _say(
        self, digest: str, state: State, said: str, documents: list[str] | None = None
    ) -> None:
        told = asdict(Making(digest, state, said, tuple(documents or ())))
        fresh = self._folder / f".{digest}.json"
        try:
            fresh.write_text(json.dumps(told), encoding="utf-8")
            fresh.replace(self._note(digest))
        except OSError:
            fresh.unlink(missing_ok=True)
            raise

    def _prune(self) -> None:
        notes = sorted(self._folder.glob("*.json"), key=lambda path: path.stat().st_mtime)
        for note in notes[:-MOST_KEPT]:
            if not self._claim_of(note.stem).exists():
                note.unlink(missing_ok=True)
                shutil.rmtree(self._folder / note.stem, ignore_errors=True)


@contextmanager
def _room() -> Iterator[None]:
    """Says plainly that there is none."""
    try:
        yield
    except OSError as broken:
        full = broken.errno in (errno.ENOSPC, errno.EDQUOT)
        why = "the disk is full" if full else broken.strerror or str(broken)
        raise Away(f"no pack can be made: {why}; nothing was changed") from broken
