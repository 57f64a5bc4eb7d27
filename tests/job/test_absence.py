"""Is it written down what the absence of each key means? The docs table is tied to the models."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from truehang.job import Job

DOCS = Path(__file__).resolve().parents[2] / "docs" / "job-file.md"


def optional_keys(model: type[BaseModel] = Job, path: str = "") -> Iterator[str]:
    """Paths like wall.services[].runs, in the order of the models."""
    for name, field in model.model_fields.items():
        here = f"{path}.{name}" if path else name
        if not field.is_required() and name != "note":
            yield here
        listed = "tuple" in str(field.annotation) or "dict" in str(field.annotation)
        for inner in dict.fromkeys(_models(field.annotation)):
            yield from optional_keys(inner, f"{here}[]" if listed else here)


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models(part)


def test_each_key_that_may_be_left_out_has_its_row() -> None:
    section = DOCS.read_text(encoding="utf-8").partition("## What absence means")[2]
    rows = re.findall(r"^\| `([^`]+)` \| (.+) \|$", section.partition("\n## ")[0], re.MULTILINE)
    assert all(meaning.strip() for _, meaning in rows)
    told = [key for key, _ in rows]
    assert len(told) == len(set(told))
    assert set(told) == set(optional_keys())
