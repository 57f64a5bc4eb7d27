"""Where is a plan made while pages wait? In a process of its own, so that making one does not hold
up everybody's pages."""

from __future__ import annotations

import dataclasses
import io
import multiprocessing
import os
import pickle
import signal
from collections.abc import Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait
from threading import Lock, Thread
from typing import TYPE_CHECKING, Any

from truehang.job import Job, load, starter
from truehang.plan import Store, plan

if TYPE_CHECKING:
    from truehang.catalogue import Catalogue
    from truehang.plan import Plan

_catalogue: Catalogue | None = None  # of the planning process itself, as is what it knows
_store = Store()


def plan_of(document: Mapping[str, Any], catalogue: Catalogue, store: Store | None = None) -> Plan:
    """The plan of a valid job file's plain values, made here."""
    return plan(Job.model_validate(document), catalogue, store)


class PlanningProcess:
    """Makes plans in one process beside this one. Safe to ask from several threads.

    It ends with this process, however that ends. Where it was killed the plan is made here, and
    the next one in a new process.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self._given = catalogue
        self._lock = Lock()
        self._pool = self._fresh()

    def __call__(self, document: Mapping[str, Any]) -> Plan:
        """The plan of a valid job file's plain values."""
        pool = self._pool
        try:
            made: Plan = pickle.loads(pool.submit(_planned, document).result())
            return made
        except BrokenProcessPool:
            with self._lock:
                if self._pool is pool:
                    self._pool = self._fresh()
            return plan_of(document, self._given)

    def close(self) -> None:
        """End it; what waits is not begun."""
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _fresh(self) -> Executor:
        pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _begin, (self._given,))
        pool.submit(os.getpid)  # so that it is there when the first plan is asked for
        return pool


def _begin(catalogue: Catalogue) -> None:
    global _catalogue
    _catalogue = catalogue
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this one
    Thread(target=_end_with_parent, daemon=True).start()
    plan(load(starter()), catalogue)  # what a first plan loads is there before anyone waits for it


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(0)


def _planned(document: Mapping[str, Any]) -> bytes:
    assert _catalogue is not None
    packed = io.BytesIO()
    _Packer(packed).dump(plan_of(document, _catalogue, _store))
    return packed.getvalue()


class _Packer(pickle.Pickler):
    """Packs a plan so that it is quick to unpack (8 ms for 20): each of its thousands of frozen
    dataclasses is made again by its own constructor."""

    def reducer_override(self, thing: Any) -> Any:
        kind = type(thing)
        if kind not in _positionals:
            _positionals[kind] = _positional(kind)
        names = _positionals[kind]
        if names is None:
            return NotImplemented
        return kind, tuple([getattr(thing, name) for name in names])


_positionals: dict[type, tuple[str, ...] | None] = {}


def _positional(kind: type) -> tuple[str, ...] | None:
    """The fields of a dataclass that its constructor takes in their order, None of another kind."""
    if not dataclasses.is_dataclass(kind):
        return None
    fields = dataclasses.fields(kind)
    plain = all(field.init and not field.kw_only for field in fields)
    return tuple(field.name for field in fields) if plain else None
