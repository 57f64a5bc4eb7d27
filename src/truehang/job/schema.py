"""What may a job file hold? Its JSON Schema, and what the schema says about one place in it."""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

from truehang.job.models import Job
from truehang.yamltree import Path

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file, as plain values that the caller may change."""
    return copy.deepcopy(_schema())


@cache
def _schema() -> dict[str, Any]:
    made = Job.model_json_schema()
    return {"$schema": DIALECT, **made, "title": "Truehang job file"}


def section_at(root: Any, path: Path) -> dict[str, Any]:
    """The schema of the value at `path`, choosing a reading's kind by the values in `root`.

    Empty where the schema knows nothing of that place.
    """
    here = _schema()
    value = root
    for step in path:
        here = _resolved(here, value)
        if isinstance(step, int):
            here = here.get("items", {})
        else:
            keys = here.get("properties", {})
            here = keys.get(step) or here.get("additionalProperties") or {}
        value = _child(value, step)
    return _resolved(here, value)


def _child(value: Any, step: str | int) -> Any:
    if isinstance(value, dict) and isinstance(step, str):
        return value.get(step)
    if isinstance(value, list) and isinstance(step, int) and step < len(value):
        return value[step]
    return None


def _resolved(here: Any, value: Any) -> dict[str, Any]:
    """Follow $ref, the kind of a reading, and `X or null`; keep the description on the way."""
    if not isinstance(here, dict):
        return {}
    said = here.get("description")
    while True:
        if "$ref" in here:
            here = _schema()["$defs"][here["$ref"].rpartition("/")[2]]
        elif "discriminator" in here:
            kind = value.get(here["discriminator"]["propertyName"]) if _is_map(value) else None
            mapping = here["discriminator"]["mapping"]
            if not isinstance(kind, str) or kind not in mapping:
                return {"kinds": list(mapping)}
            here = {"$ref": mapping[kind]}
        elif "anyOf" in here and "properties" not in here:
            choices = [choice for choice in here["anyOf"] if choice.get("type") != "null"]
            wanted = [choice for choice in choices if _suits(choice, value)] or choices
            if len(choices) > 1 and "x-unit" in here:
                break
            here = wanted[0]
        else:
            break
    return {**here, "description": said} if said else here


def _suits(choice: dict[str, Any], value: Any) -> bool:
    if isinstance(value, list):
        return choice.get("type") == "array"
    if isinstance(value, dict):
        return "$ref" in choice or choice.get("type") == "object"
    return choice.get("type") not in ("array", "object")


def _is_map(value: Any) -> bool:
    return isinstance(value, dict)
