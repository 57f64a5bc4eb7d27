"""Does each reading that can't be right say which one disagrees and what to read again?

At the prompt and in the app's own form, for what a carpenter gets wrong on a wall that stands:
common practice, no source.
"""

from __future__ import annotations

import contextlib
import html
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.conftest import Databases
from tests.swaps import values
from typer.testing import CliRunner

from truehang.cli import app
from truehang.job import Job, dump

STUDS = [{"id": "a", "x": 400.0, "sure": True}, {"id": "b", "x": 430.0, "sure": True}]
UNDERSIDE = [{"x": 2600.0, "z": 1950.0}]


@dataclass(frozen=True)
class Wrong:
    """What is wrong: in the job file, and typed into the form `part`; what must be said of it."""

    part: str
    path: tuple[str, ...]
    value: Any
    typed: dict[str, str]
    says: tuple[str, ...]
    refused: bool = False


CASES = {
    "a lintel under the head": Wrong(
        "over", ("wall", "over"),
        {"kind": "lintel", "depth": 140.0, "underside": UNDERSIDE},
        {"f.kind": "lintel", "f.depth": "140",
         "f.underside.0.x": "2600", "f.underside.0.z": "1950"},
        ("1950", "heights"),
    ),
    "a stud inside another": Wrong(
        "framing", ("wall", "framing"), {"studs": STUDS},
        {"f.studs.0.id": "a", "f.studs.0.x": "400", "f.studs.0.sure": "yes",
         "f.studs.1.id": "b", "f.studs.1.x": "430", "f.studs.1.sure": "yes"},
        ("stud a", "read"),
    ),
    "a face that stays on both sides": Wrong(
        "wall", ("wall", "stays"), "both", {"f.stays": "both"},
        ("both faces stay", "A or B"), refused=True,
    ),
    "a step higher than the gap can take": Wrong(
        "floor", ("floor", "side_b"), {"step": 30.0}, {"f.side_b.step": "30"},
        ("30 mm", "read the step again, finished floor to finished floor"),
    ),
}  # fmt: skip


def right() -> dict[str, Any]:
    job = values()
    job["job"]["issued"] = str(job["job"]["issued"])
    return job


def text_of(job: dict[str, Any]) -> str:
    return dump(Job.model_validate(job))


def plain(text: str) -> str:
    text = re.sub(r"[│┃]", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def new_url(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """One kind of database is enough to be told off."""
    return Databases("sqlite", tmp_path_factory.mktemp("databases"))


@pytest.mark.parametrize("name", CASES)
def test_the_prompt_says_which_reading_and_what_to_read_again(name: str, tmp_path: Path) -> None:
    wrong = CASES[name]
    job = right()
    inner: Any = job
    for key in wrong.path[:-1]:
        inner = inner.setdefault(key, {})
    inner[wrong.path[-1]] = wrong.value
    text = text_of(right() if wrong.refused else job)
    if wrong.refused:
        text = text.replace("wall:\n", f"wall:\n  {wrong.path[-1]}: {wrong.value}\n", 1)
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    with contextlib.chdir(tmp_path):
        told = CliRunner().invoke(app, ("check", "job.yaml"), catch_exceptions=False)
    said = plain(told.output)
    assert all(part in said for part in wrong.says), said
    assert told.exit_code != 0 or not wrong.refused


@pytest.mark.parametrize("name", CASES)
def test_the_form_says_which_reading_and_what_to_read_again(name: str, served: Any) -> None:
    wrong = CASES[name]
    with served.client("form") as client:
        job = client.post("/api/jobs", json={"text": text_of(right())}).json()["job"]
        page = f"/jobs/{job}/measure/{wrong.part}"
        there = filled(client.get(page))
        answer = client.post(page, data={**there, **wrong.typed}, follow_redirects=True)
        assert answer.status_code == (422 if wrong.refused else 200), plain(answer.text)[:1500]
        said = plain(answer.text)
        if not wrong.refused:  # what the plan says of it stands on the job's own page
            said += plain(client.get(f"/jobs/{job}").text)
            said += plain(client.get(f"/jobs/{job}/choose").text)
    assert all(part in said for part in wrong.says), said[-3000:]


def filled(page: httpx.Response) -> dict[str, str]:
    """What stands in the form as it is sent to a person."""
    form = page.text[page.text.index("<form") :] if "<form" in page.text else ""
    found = {}
    for tag in re.findall(r"<input[^>]*>", form):
        given = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if "name" in given and given.get("type") not in ("checkbox", "radio", "file", "submit"):
            found[given["name"]] = html.unescape(given.get("value", ""))
        elif given.get("type") in ("checkbox", "radio") and " checked" in tag:
            found[given["name"]] = html.unescape(given.get("value", "yes"))
    for name, inside in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'<option value="([^"]*)"[^>]*selected', inside)
        found[name] = html.unescape(chosen[1]) if chosen else ""
    for name, inside in re.findall(
        r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S
    ):
        found[name] = html.unescape(inside)
    return found
