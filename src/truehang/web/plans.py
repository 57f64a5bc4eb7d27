"""What does a revision come to? Plans that were made lately are kept, so that pages are quick."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import TYPE_CHECKING

from truehang.catalogue import Catalogue
from truehang.plan import plan
from truehang.store import Revision

if TYPE_CHECKING:
    from truehang.plan import Plan

MOST_PLANS = 256


class Plans:
    """Plans by the digest of the job they were made from; the ones least lately asked for go
    first. Safe to ask from several threads: one plan is made once."""

    def __init__(self, catalogue: Catalogue, most: int = MOST_PLANS) -> None:
        self._catalogue, self._most = catalogue, most
        self._kept: OrderedDict[str, Plan] = OrderedDict()
        self._making: dict[str, Lock] = {}
        self._lock = Lock()

    def of(self, revision: Revision) -> Plan:
        """The plan of a revision."""
        key = revision.digest
        with self._lock:
            if (kept := self._kept.get(key)) is not None:
                self._kept.move_to_end(key)
                return kept
            making = self._making.setdefault(key, Lock())
        with making:
            with self._lock:
                if (kept := self._kept.get(key)) is not None:
                    return kept
            try:
                made = plan(revision.model(), self._catalogue)
            finally:
                with self._lock:
                    self._making.pop(key, None)
            with self._lock:
                self._kept[key] = made
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        return made
