"""Which answers of the rooms are known already? What depends on a changed reading is worked out
again, the rest is not.

A store belongs to whoever makes many plans (the planning process, the trials of a mend) and is
handed to `plan`. It is never shared by the program as a whole. A room's answer is kept under the
values it was worked out from, all of them, so that a plan is the same with a full store, an empty
one or none: every room that asks it is a pure function of what it is given.
"""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from truehang.catalogue import Catalogue

T = TypeVar("T")

MOST_KEPT = 600
"""A plan asks for some fifty answers, so these are those of the last ten or so."""


class Store:
    """The answers of rooms by their name and the values they got, the longest unused dropped first.
    `made` counts how often each room worked. For one thread at a time."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._known: OrderedDict[Hashable, Any] = OrderedDict()
        self._catalogue: Catalogue | None = None
        self.made: Counter[str] = Counter()

    def __len__(self) -> int:
        return len(self._known)

    def over(self, catalogue: Catalogue) -> Store:
        """The same for plans over this catalogue: what is known over another is forgotten."""
        if self._catalogue != catalogue:
            self._known.clear()
        self._catalogue = catalogue
        return self

    def answer(self, room: str, given: Hashable, work: Callable[[], T]) -> T:
        """What the room's work says of these values, all that it hangs on but the catalogue. What
        it raises is not kept."""
        key = (room, given)
        if key in self._known:
            self._known.move_to_end(key)
            return self._known[key]  # type: ignore[no-any-return]
        self.made[room] += 1
        said = work()
        self._known[key] = said
        if len(self._known) > self._most:
            self._known.popitem(last=False)
        return said
