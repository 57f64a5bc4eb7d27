"""The store against a model of a few lines, driven by Hypothesis with whatever order of writes.

The model keeps every state of one job as a mapping and does undo and saving the plain way.
"""

from __future__ import annotations

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from truehang.job import load, starter
from truehang.store import NotFound, Refused, Saved, Store

TITLES = st.sampled_from(["Ward", "Ward door", "Tür", "門"])
READINGS = st.sampled_from(["width-bottom", "width-top", "height-left", "diagonal-rising"])
VALUES = st.integers(2300, 4200).map(float)
OPS = st.integers(0, 40).map("op-{}".format)
WHO = st.sampled_from(["ann", "bo"])


@cache
def _store() -> Store:
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder)
    return Store.open(f"sqlite:///{folder / 'jobs.db'}", folder / "files")


class OneJob(RuleBasedStateMachine):
    """Saves, undos, entries and conflicts of one job; the same op may come twice."""

    ops = Bundle("ops")

    @initialize()
    def begin(self) -> None:
        self.store = _store()
        first = self.store.create(load(starter()), "office")
        self.job = first.job
        self.states: list[dict[str, Any]] = [first.document]
        self.stack: list[int] = [0]
        self.written: dict[str, int] = {}
        self.spent: set[str] = set()  # names of writes that had nothing to do: done all the same
        self.entries: dict[str, tuple[str, int]] = {}
        self.mine: list[tuple[tuple[str, ...], Any]] = []

    @rule(value=VALUES, reading=READINGS, who=WHO, op=OPS, back=st.integers(0, 3))
    def put(self, value: int, reading: str, who: str, op: str, back: int) -> None:
        if op in self.spent:
            return
        base = max(1, len(self.states) - back)
        path = ("measure", "readings", reading, "value")
        saved = self.store.put(self.job, base, path, value, who, f"{reading} {value}", op)
        self._saved(saved, op, base, path, value)

    @rule(title=TITLES, who=WHO, op=OPS, back=st.integers(0, 3))
    def rename(self, title: str, who: str, op: str, back: int) -> None:
        if op in self.spent:
            return
        base = max(1, len(self.states) - back)
        path = ("job", "title")
        saved = self.store.put(self.job, base, path, title, who, "title", op)
        self._saved(saved, op, base, path, title)

    def _saved(self, saved: Saved, op: str, base: int, path: tuple[str, ...], value: Any) -> None:
        if op in self.written:  # the same write again
            assert saved.revision.number == self.written[op]
            return
        was, now = _at(self.states[base - 1], path), _at(self.states[-1], path)
        if value in (was, now):
            assert saved.revision.number == len(self.states)  # nothing to do
            self.spent.add(op)
            return
        clash = now != was
        if clash:  # over the whole reading: what one person read is one value
            whole = path[:-1] if path[0] == "measure" else path
            theirs, mine = _at(self.states[-1], whole), value
            if whole != path:
                mine = {**_at(self.states[base - 1], whole), path[-1]: value}
            assert [(c.path, c.theirs, c.mine) for c in saved.conflicts] == [(whole, theirs, mine)]
            self.mine.append((whole, mine))
            assert saved.revision.document == self.states[-1]
        else:
            assert saved.conflicts == ()
            assert _at(saved.revision.document, path) == value
        self._append(saved.revision.number, saved.revision.document, op)

    def _append(self, number: int, document: dict[str, Any], op: str) -> None:
        assert number == len(self.states) + 1
        self.states.append(document)
        self.stack.append(len(self.states) - 1)
        self.written[op] = number

    @rule(who=WHO, op=OPS)
    def undo(self, who: str, op: str) -> None:
        if op in self.spent:
            return
        if op in self.written:
            assert self.store.undo(self.job, who, op).number == self.written[op]
            return
        if len(self.stack) == 1:
            with pytest.raises(Refused, match="nothing to undo"):
                self.store.undo(self.job, who, op)
            return
        self.stack.pop()
        before = self.states[self.stack[-1]]
        back = self.store.undo(self.job, who, op)
        assert back.document == before
        assert back.number == len(self.states) + 1
        self.states.append(before)
        self.written[op] = back.number

    @rule(key=st.sampled_from(["head.level", "jamb.plumb"]), value=st.integers(), op=OPS)
    def record(self, key: str, value: int, op: str) -> None:
        entry = self.store.record(self.job, "check", key, value, None, "ann", op)
        self.entries.setdefault(op, (key, value))
        assert (entry.key, entry.value) == self.entries[op]

    @precondition(lambda self: self.mine)
    @rule(data=st.data(), take=st.sampled_from(["mine", "theirs"]))
    def settle(self, data: st.DataObject, take: str) -> None:
        waiting = data.draw(st.sampled_from(self.store.conflicts(self.job)))
        op = f"settle-{waiting.id}"
        self.mine.remove((waiting.path, waiting.mine))
        head = self.store.settle(self.job, waiting.id, take, "ann", op)
        if take == "mine" and _at(self.states[-1], waiting.path) != waiting.mine:
            assert _at(head.document, waiting.path) == waiting.mine
            self._append(head.number, head.document, op)
        with pytest.raises(NotFound):
            self.store.settle(self.job, waiting.id, take, "ann")

    @invariant()
    def nothing_is_lost(self) -> None:
        if not hasattr(self, "store"):
            return
        history = self.store.history(self.job)
        assert [row.document for row in reversed(history)] == self.states
        assert {
            row.op: (row.key, row.value) for row in self.store.entries(self.job)
        } == self.entries
        waiting = [(c.path, c.mine) for c in self.store.conflicts(self.job)]
        assert sorted(map(str, waiting)) == sorted(map(str, self.mine))
        pulse = self.store.pulse([self.job])[self.job]
        assert pulse.revision == len(self.states)


def _at(document: Any, path: tuple[str, ...]) -> Any:
    for part in path:
        if isinstance(document, list):
            document = next(item for item in document if item["id"] == part)
        else:
            document = document[part]
    return document


TestOneJob = OneJob.TestCase
TestOneJob.settings = settings(
    max_examples=10, stateful_step_count=12, deadline=None, phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
