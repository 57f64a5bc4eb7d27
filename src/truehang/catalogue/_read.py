"""Reads a catalogue data file. Every file is TOML beside this module and marked as invented."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from pydantic import BaseModel, ConfigDict


class CatalogueError(ValueError):
    """A catalogue that can't be used: a file that can't be read, or a part that leans on another
    that is not there. One line for each thing wrong."""


class Entry(BaseModel):
    """Base of everything that can be bought: frozen, no unknown keys, no NaN."""

    # What checks an entry is made when the first one is read, not when its module is loaded.
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


def at_home(entry: Any) -> Any:
    """An entry as it is read: under `here` each region's own values, set over all the others."""
    if not isinstance(entry, dict) or not isinstance(entry.get("here"), dict):
        return entry
    plain = {key: value for key, value in entry.items() if key != "here"}
    own = {
        id: {**plain, **values} if isinstance(values, dict) else values
        for id, values in entry["here"].items()
    }
    return {**plain, "here": own}


@cache
def text(name: str) -> str:
    """The data file `catalogue/data/<name>.toml` as text."""
    return (resources.files(__package__) / "data" / f"{name}.toml").read_text(encoding="utf-8")


def table(name: str) -> dict[str, Any]:
    """The data file `catalogue/data/<name>.toml` as plain values."""
    return tomllib.loads(text(name))
