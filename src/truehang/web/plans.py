"""What does a revision come to? Plans and drawings that were made lately are kept, so that pages
are quick."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import ThreadPoolExecutor
from threading import Lock
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from truehang.store import Revision

if TYPE_CHECKING:
    from truehang.plan import Plan

MOST_PLANS = 256

Made = TypeVar("Made")


class Lately(Generic[Made]):
    """At most `most` things that were made, by key; the ones least lately asked for go first.
    Safe to ask from several threads: one thing is made once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Made] = OrderedDict()
        self._making: dict[Hashable, Lock] = {}
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._kept)

    def of(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """What is kept by this key; made by `make` where nothing is."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            making = self._making.setdefault(key, Lock())
        with making:
            with self._lock:
                if key in self._kept:
                    return self._kept[key]
            try:
                made = make()
            finally:
                with self._lock:
                    self._making.pop(key, None)
            with self._lock:
                self._kept[key] = made
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        return made


class Plans:
    """Plans by the digest of the job they were made from, each made by `make` from the job file's
    plain values. `answered` gives a plan the answers of rooms that are asked once it stands.
    `ahead` says whether a plan is worth making before it is asked for."""

    def __init__(
        self,
        make: Callable[[Mapping[str, Any]], Plan],
        answered: Callable[[Plan, tuple[str, ...]], Plan],
        *,
        ahead: bool = False,
        most: int = MOST_PLANS,
    ) -> None:
        self._make, self._answered = make, answered
        self._kept: Lately[Plan] = Lately(most)
        self._ahead = ThreadPoolExecutor(1, "plans ahead") if ahead else None

    def of(self, revision: Revision, *rooms: str) -> Plan:
        """The plan of a revision, with what these rooms say once it stands."""
        plan = self._kept.of(revision.digest, lambda: self._make(revision.document))
        if not rooms:
            return plan
        return self._kept.of((revision.digest, *rooms), lambda: self._answered(plan, rooms))

    def begin(self, revision: Revision) -> None:
        """Begin to make the plan of a revision that will be looked at soon."""
        if self._ahead is not None:
            self._ahead.submit(self.of, revision)

    def trial(self, document: Mapping[str, Any]) -> Plan:
        """The plan of what may become a revision; not kept."""
        return self._make(document)

    def close(self) -> None:
        """Make no more ahead."""
        if self._ahead is not None:
            self._ahead.shutdown(wait=True, cancel_futures=True)
