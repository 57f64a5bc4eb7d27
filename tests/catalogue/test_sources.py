"""Does what is from memory say what to check it against, wherever a person can read it?

The rule is the project's own; nothing outside it is claimed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import plan

SAYS = ("check", "confirm", "is named in docs/theory/")


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


def _bare(texts: Iterator[str]) -> set[str]:
    return {t for t in texts if "memory" in t and not any(word in t for word in SAYS)}


@pytest.mark.parametrize("name", ["fernhollow", "quarry-house"])
def test_figures_and_findings_of_a_plan(name: str) -> None:
    made = plan(load(demo.files(name)[0][1]), catalogue.load())
    sources = [figure.source for figure in made.figures.values()]
    sources += [finding.source for finding in made.findings]
    assert _bare(iter(sources)) == set()


def test_the_data() -> None:
    folder = Path(str(resources.files("truehang.catalogue") / "data"))
    files = sorted(folder.rglob("*.toml"))
    assert len(files) > 10
    for file in files:
        bare = _bare(_texts(tomllib.loads(file.read_text(encoding="utf-8"))))
        assert bare == set(), file.name
