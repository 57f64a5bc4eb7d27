"""How does a result become plain JSON values, the same every time?"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from typing import Any


def to_plain(value: Any) -> Any:
    """Dataclasses, models, enums, arrays, mappings and sequences as JSON values.

    Floats are rounded to 1e-9 so that the last bits of a platform's arithmetic do not show;
    what is not finite becomes null.
    """
    if value is None or (isinstance(value, bool | int | str) and not isinstance(value, Enum)):
        return value
    if isinstance(value, float):
        return round(value, 9) + 0.0 if math.isfinite(value) else None
    if isinstance(value, Enum):
        return value.name.lower()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = (field.name for field in dataclasses.fields(value))
        return {name: to_plain(getattr(value, name)) for name in names}
    if hasattr(value, "model_dump"):
        return to_plain(value.model_dump())
    if hasattr(value, "tolist"):
        return to_plain(value.tolist())
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(to_plain(item) for item in value)
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    return str(value)


def to_json(value: Any, *, indent: int | None = None) -> str:
    """`to_plain` as JSON text in UTF-8 characters, keys in the order of the fields."""
    return json.dumps(to_plain(value), ensure_ascii=False, indent=indent, allow_nan=False)
