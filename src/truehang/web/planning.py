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
from multiprocessing.connection import Connection, wait
from threading import Lock, Thread
from typing import TYPE_CHECKING, Any

from truehang.job import Job, load, starter
from truehang.plan import Store, plan

if TYPE_CHECKING:
    from truehang.catalogue import Catalogue
    from truehang.plan import Plan


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
        self._lock, self._closed = Lock(), False
        self._begin()

    def __call__(self, document: Mapping[str, Any]) -> Plan:
        """The plan of a valid job file's plain values. Raises what planning it raises."""
        answer = self._answer(document)
        if answer is None:
            return plan_of(document, self._given)
        made = pickle.loads(answer)
        if isinstance(made, BaseException):
            raise made
        planned: Plan = made
        return planned

    def close(self) -> None:
        """End it once what it works on is done; what waits is not begun."""
        self._closed = True
        with self._lock:
            self._end.close()
            self._process.join()

    def _answer(self, document: Mapping[str, Any]) -> bytes | None:
        """What the process sends back; None where it is gone."""
        with self._lock:
            if self._closed:
                return None
            try:
                self._end.send(document)
                return self._end.recv_bytes()
            except (EOFError, OSError):
                self._end.close()
                self._begin()
                return None

    def _begin(self) -> None:
        """A new process; it is there when the first plan is asked for."""
        spawn = multiprocessing.get_context("spawn")
        self._end, other = spawn.Pipe()
        self._process = spawn.Process(target=_serve, args=(other, self._given), daemon=True)
        self._process.start()
        other.close()  # so that its end is seen here


def _serve(asked: Connection, catalogue: Catalogue) -> None:
    """Plans whatever is asked, with what it knows from the plans before, until nobody asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this one
    Thread(target=_end_with_parent, daemon=True).start()
    store = Store()
    plan(load(starter()), catalogue)  # what a first plan loads is there before anyone waits for it
    while True:
        try:
            document = asked.recv()
        except EOFError:
            return
        made: Plan | Exception
        try:
            made = plan_of(document, catalogue, store)
        except Exception as wrong:
            made = wrong
        asked.send_bytes(_packed(made))


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(0)


def _packed(made: Plan | Exception) -> bytes:
    packed = io.BytesIO()
    _Packer(packed).dump(made)
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
