"""How does a pack get made while someone waits? In the background, with its progress on disk.

A pack lies in a folder named by its plan's digest, so that every worker process sees the same
progress and a pack is made once. The folder keeps the newest packs; issued ones are the store's.
"""

from __future__ import annotations

import json
import os
import shutil
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from truehang.pack import PackError, write

if TYPE_CHECKING:
    from truehang.plan import Plan

MOST_KEPT = 40
STALE_SECONDS = 120
"""Longer than any one part of a pack takes: whoever was making it is gone."""

State = Literal["missing", "making", "ready", "failed"]


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

    def start(self, plan: Plan) -> Making:
        """Begin to make the plan's pack, unless it is there or on its way."""
        there = self.look(plan.digest)
        if there.state == "ready" or not self._claim(plan.digest):
            return there
        self._say(plan.digest, "making", "waiting for its turn")
        self._work.submit(self._make, plan)
        return self.look(plan.digest)

    def look(self, digest: str) -> Making:
        """How far a pack is."""
        try:
            told = json.loads(self._note(digest).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return Making(digest, "missing", "not made yet")
        documents = tuple(told["documents"]) if told["state"] == "ready" else ()
        return Making(digest, told["state"], told["said"], documents)

    def documents(self, digest: str) -> dict[str, bytes]:
        """The documents of a pack that is ready; empty where it is not."""
        folder = self._folder / digest
        try:
            return {name: (folder / name).read_bytes() for name in self.look(digest).documents}
        except OSError:
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

    def _make(self, plan: Plan) -> None:
        fresh = self._folder / f".{plan.digest}.{os.getpid()}"
        try:
            self._say(plan.digest, "making", "working out the cuts")
            whole = self._complete(plan)
            paths = write(whole, fresh, lambda text: self._say(plan.digest, "making", text))
            names = sorted(path.relative_to(fresh).as_posix() for path in paths)
            shutil.rmtree(self._folder / plan.digest, ignore_errors=True)
            fresh.rename(self._folder / plan.digest)
            self._say(plan.digest, "ready", "ready", names)
            self._prune()
        except (PackError, OSError) as broken:
            self._say(plan.digest, "failed", f"the pack can't be written: {broken}")
        except Exception:
            self._say(plan.digest, "failed", "the pack can't be made; the server's log says why")
            raise
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
            self._claimed(plan.digest).unlink(missing_ok=True)

    def _claim(self, digest: str) -> bool:
        """Whether this process may make the pack now."""
        self._folder.mkdir(parents=True, exist_ok=True)
        claim, note = self._claimed(digest), self._note(digest)
        try:
            claim.touch(exist_ok=False)
            return True
        except FileExistsError:
            last = max((p.stat().st_mtime for p in (claim, note) if p.exists()), default=0.0)
            if time.time() - last < STALE_SECONDS:
                return False
            claim.touch()
            return True

    def _claimed(self, digest: str) -> Path:
        return self._folder / f"{digest}.claim"

    def _note(self, digest: str) -> Path:
        return self._folder / f"{digest}.json"

    def _say(
        self, digest: str, state: State, said: str, documents: list[str] | None = None
    ) -> None:
        told = asdict(Making(digest, state, said, tuple(documents or ())))
        fresh = self._folder / f".{digest}.{os.getpid()}.json"
        fresh.write_text(json.dumps(told), encoding="utf-8")
        fresh.replace(self._note(digest))

    def _prune(self) -> None:
        notes = sorted(self._folder.glob("*.json"), key=lambda path: path.stat().st_mtime)
        for note in notes[:-MOST_KEPT]:
            if not self._claimed(note.stem).exists():
                note.unlink(missing_ok=True)
                shutil.rmtree(self._folder / note.stem, ignore_errors=True)
