"""Two people changed the same job: what can be joined, and what must a person decide?

A three-way merge of plain documents. Mappings are merged key by key and lists whose items all
have an "id" item by item; everything else is one value. What one person read or saw at one time is
one value too: an item with an "id" (a reading, a service, an obstacle, a load, an offcut), and the
records in WHOLE. Half of one and half of another would be something that nobody saw. Where both
sides changed one value differently, the value that was saved first stays and the other is handed
back as a conflict.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Path = tuple[str, ...]

WHOLE: frozenset[Path] = frozenset(
    {("wall", "over"), ("wall", "evidence", "opened_up"), ("wall", "evidence", "engineer")}
)
"""Records of one look or one document, which are no items of a list."""


class Absent:
    """Stands for a value that is not there."""

    def __repr__(self) -> str:
        return "absent"


ABSENT = Absent()


@dataclass(frozen=True, slots=True)
class Clash:
    """One value that both sides changed: where it is, what it was, and what each made of it."""

    path: Path
    base: Any
    theirs: Any
    mine: Any


def merge(base: Any, theirs: Any, mine: Any, path: Path = ()) -> tuple[Any, tuple[Clash, ...]]:
    """The joined value (`theirs` where both changed it) and the clashes, in document order."""
    if mine in (base, theirs) or theirs == base:
        return _either(base, theirs, mine, path)
    if isinstance(theirs, Mapping) and isinstance(mine, Mapping) and path not in WHOLE:
        return _merge_keys(base if isinstance(base, Mapping) else {}, theirs, mine, path, merge)
    if _keyed(theirs) and _keyed(mine) and (_keyed(base) or base is ABSENT):
        olds, theirs_by, mine_by = (_by_id(base or ()), _by_id(theirs), _by_id(mine))
        joined, clashes = _merge_keys(olds, theirs_by, mine_by, path, _either)
        return list(joined.values()), clashes
    return _either(base, theirs, mine, path)


def _either(base: Any, theirs: Any, mine: Any, path: Path) -> tuple[Any, tuple[Clash, ...]]:
    """One value: the side that changed it, or a clash where both did."""
    if mine in (base, theirs):
        return theirs, ()
    if theirs == base:
        return mine, ()
    return theirs, (Clash(path, base, theirs, mine),)


def _merge_keys(
    base: Mapping[str, Any], theirs: Mapping[str, Any], mine: Mapping[str, Any], path: Path,
    each: Callable[[Any, Any, Any, Path], tuple[Any, tuple[Clash, ...]]],
) -> tuple[dict[str, Any], tuple[Clash, ...]]:  # fmt: skip
    joined: dict[str, Any] = {}
    clashes: list[Clash] = []
    for key in (*theirs, *(key for key in mine if key not in theirs)):
        value, more = each(
            base.get(key, ABSENT), theirs.get(key, ABSENT), mine.get(key, ABSENT), (*path, key)
        )
        clashes.extend(more)
        if value is not ABSENT:
            joined[key] = value
    return joined, tuple(clashes)


def _keyed(value: Any) -> bool:
    if not isinstance(value, Sequence) or isinstance(value, str):
        return False
    names = [item.get("id") if isinstance(item, Mapping) else None for item in value]
    return all(isinstance(name, str) for name in names) and len(set(names)) == len(names)


def _by_id(items: Any) -> dict[str, Any]:
    return {item["id"]: item for item in items} if items is not ABSENT else {}


def put(document: Any, path: Path, value: Any) -> Any:
    """A copy of the document with the value at the path; ABSENT takes it out.

    Raises KeyError where the path leads through something that is not there.
    """
    if not path:
        return value
    head, rest = path[0], path[1:]
    if isinstance(document, Mapping):
        fresh = dict(document)
        inner = put(fresh.get(head, {} if rest else ABSENT), rest, value)
        if inner is ABSENT:
            fresh.pop(head, None)
        else:
            fresh[head] = inner
        return fresh
    if _keyed(document):
        by_id = put(_by_id(document), path, value)
        return list(by_id.values())
    raise KeyError(head)


def look(document: Any, path: Path) -> Any:
    """What stands at a path; ABSENT where nothing does."""
    value = document
    for name in path:
        if not isinstance(value, Mapping):
            value = _by_id(value) if _keyed(value) else {}
        if name not in value:
            return ABSENT
        value = value[name]
    return value
