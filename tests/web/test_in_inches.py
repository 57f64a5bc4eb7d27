"""Does the app speak to a carpenter in the United States in the units that are used there?

Common practice, no source: pounds, square and cubic feet, degrees Fahrenheit.
"""

from __future__ import annotations

import html
import re
from typing import Any

import httpx
import pytest
from tests.conftest import Databases

from truehang import demo
from truehang.job.models import Load, Site
from truehang.web.forms import Form

TEXT = demo.files("juniper-court")[0][1]
OURS = re.compile(
    r"(?<![\w/.=-])(?:kg|kN|kPa|MPa|m2|m²|m3|m³|°C)(?![\w/.)])|\d (?:[NJ]|N/mm?)(?!\w)"
)
MOST_PAGES = 60


@pytest.fixture(scope="module")
def new_url(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """One kind of database is enough to read pages."""
    return Databases("sqlite", tmp_path_factory.mktemp("databases"))


def seen(page: str) -> str:
    """What a person reads of a page: no scripts, no tags, no figure as it was published."""
    page = re.sub(r"<details><summary>Published.*?</details>", " ", page, flags=re.DOTALL)
    page = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def pages(client: httpx.Client, home: str) -> dict[str, str]:
    """Every page of a job that its pages lead to, as text; not those behind single figures."""
    found: dict[str, str] = {}
    todo = [home]
    while todo and len(found) < MOST_PAGES:
        path = todo.pop(0)
        if path in found:
            continue
        answer = client.get(path, follow_redirects=True)
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        found[path] = seen(answer.text)
        todo += [
            link
            for link in re.findall(r'href="(/jobs/[^"#?]+)"', answer.text)
            if link.startswith(home) and "/why" not in link and "/pack" not in link
        ]
    return found


def test_no_page_of_a_job_in_inches_tells_a_unit_of_ours(served: Any) -> None:
    """Seen red with the leaf's mass in kg on the option's card, and with its hint at `lift`."""
    with served.client("us") as client:
        job = client.post("/api/jobs", json={"text": TEXT}).json()["job"]
        read = pages(client, f"/jobs/{job}")
    assert len(read) > 8
    left = {
        path.partition(job)[2]: [text[max(0, at.start() - 40) : at.end() + 10] for at in marks]
        for path, text in read.items()
        if (marks := list(OURS.finditer(text)))
    }
    assert left == {}
    whole = " ".join(read.values())
    assert len(re.findall(r"\d (?:lb|lbf|ft²|ft³)\b", whole)) > 4


def test_a_form_asks_for_pounds_and_keeps_ours() -> None:
    form = Form(style="feet-inches")
    there = {"lift": 25, "temperature": 20.0}
    fields = {one.name: one for one in form.fields(Site, there, "site")}
    assert fields["lift"].value == "55.1"  # by hand: 25/0.45359237 = 55.116
    assert fields["lift"].hint == "what one person lifts, lb"
    assert fields["temperature"].value == "68"
    assert "°F" in fields["temperature"].hint
    # what was not touched keeps its exact value; what was typed is read in pounds
    same = {name: one.value for name, one in fields.items() if one.kind == "number"}
    assert {key: form.read(Site, same, there, "site")[key] for key in there} == there
    typed = form.read(Site, {**same, "lift": "60", "temperature": "20 C"}, there, "site")
    assert typed["lift"] == pytest.approx(27.215542)
    assert typed["temperature"] == 20.0
    loads = {one.name: one for one in form.fields(Load, {}, "wall.evidence.loads")}
    assert loads["dead"].hint == "permanent load, psf: 10"  # by hand: 0.5 kPa = 10.4 psf
    assert "feet and inches: 5' 10 7/8\"" in loads["tributary"].hint
