"""Is it written down what the absence of each key means? The docs table is tied to the models."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from truehang.job import Job, load, starter
from truehang.plan.unknown import NOT_RECKONED

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


def rows_of_docs() -> list[tuple[str, str]]:
    section = DOCS.read_text(encoding="utf-8").partition("## What absence means")[2]
    return re.findall(r"^\| `([^`]+)` \| (.+) \|$", section.partition("\n## ")[0], re.MULTILINE)


def test_each_key_that_may_be_left_out_has_its_row() -> None:
    rows = rows_of_docs()
    assert all(meaning.strip() for _, meaning in rows)
    told = [key for key, _ in rows]
    assert len(told) == len(set(told))
    assert set(told) == set(optional_keys())


def test_what_nothing_is_worked_out_from_says_so() -> None:
    """The other half is in tests/plan/test_unknown.py: writing these keys changes no figure."""
    told = {key for key, meaning in rows_of_docs() if "nothing is worked out from it" in meaning}
    noted = {key for key, meaning in rows_of_docs() if "NOTE where it is written" in meaning}
    assert noted == set(NOT_RECKONED)
    assert told - noted == {"job.project", "measure.taken"}


@pytest.mark.parametrize("section", ["site", "wall.obstacles"])
def test_no_kind_value_stands_where_nobody_said(section: str) -> None:
    """What the site is like, and whether the run is clear, has no default that reads as good."""
    job = load(starter())
    bare = Job.model_validate(
        job.model_dump(exclude={"site": True, "wall": {"obstacles"}}, exclude_defaults=True)
    )
    if section == "wall.obstacles":
        assert bare.wall.obstacles is None
        return
    # One person who lifts 25 kg and no helper count against the job; all else is not known.
    known = {key: value for key, value in bare.site.model_dump().items() if value not in (None, "")}
    assert known == {"crew": 1, "helper": False, "lift": 25.0}
