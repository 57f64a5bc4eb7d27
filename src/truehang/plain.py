"""How does a result become plain JSON values, the same every time?"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Callable, Mapping
from enum import Enum
from types import NoneType
from typing import Any

from truehang.message import Message


def to_plain(value: Any) -> Any:
    """Messages, dataclasses, models, enums, arrays, mappings and sequences as JSON values.

    Floats are rounded to 1e-9 so that the last bits of a platform's arithmetic do not show;
    what is not finite becomes null.
    """
    kind = type(value)
    if kind not in _ways:
        _ways[kind] = _way(kind)
    return _ways[kind](value)


_ways: dict[type, Callable[[Any], Any]] = {}  # a plan has thousands of values of a hundred kinds


def _way(kind: type) -> Callable[[Any], Any]:
    """How a value of this kind becomes plain."""
    if issubclass(kind, Enum):
        return lambda value: value.name.lower()
    if issubclass(kind, NoneType | bool | int | str):
        return lambda value: value
    if issubclass(kind, float):
        return lambda value: round(value, 9) + 0.0 if math.isfinite(value) else None
    if kind is Message:
        return str
    if dataclasses.is_dataclass(kind):
        names = [field.name for field in dataclasses.fields(kind)]
        return lambda value: {name: to_plain(getattr(value, name)) for name in names}
    if hasattr(kind, "model_dump"):
        return lambda value: to_plain(value.model_dump())
    if hasattr(kind, "tolist"):
        return lambda value: to_plain(value.tolist())
    if issubclass(kind, Mapping):
        return lambda value: {str(key): to_plain(item) for key, item in value.items()}
    if issubclass(kind, set | frozenset):
        return lambda value: sorted(map(to_plain, value))
    if issubclass(kind, tuple | list):
        return lambda value: [to_plain(item) for item in value]
    return str


def to_json(value: Any, *, indent: int | None = None) -> str:
    """`to_plain` as JSON text in UTF-8 characters, keys in the order of the fields."""
    return json.dumps(to_plain(value), ensure_ascii=False, indent=indent, allow_nan=False)
