"""Is one fact said in one sentence, byte for byte, wherever it is said? The prompt, the pages, the
verdict beside a reading, the pack and the API say what the plan's findings and steps say. One thing
is put in other words, in one place: a page names a field where the file has its key."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
import yaml
from benchmarks.random_jobs import random_job
from rich.console import Console
from starlette.testclient import TestClient

from truehang import catalogue, demo
from truehang.findings import Finding
from truehang.job import dump, load
from truehang.message import Message
from truehang.pack import assemble, drawings
from truehang.pack.content import Notice
from truehang.pack.content import Step as Sheet
from truehang.plan import Plan, plan
from truehang.steps import Step
from truehang.store import Store
from truehang.summary import print_plan
from truehang.web.app import create_app
from truehang.web.settings import Settings
from truehang.web.wording import finding_on_page

BOUGHT = catalogue.load()
SEEDS = (3, 11)


def _texts() -> dict[str, str]:
    made = {n: demo.files(n)[0][1] for n in demo.names()}
    job = load(made["fernhollow"])
    about = job.job.model_copy(update={"region": "us", "print": None})
    made["fernhollow in feet and inches"] = dump(job.model_copy(update={"job": about}))
    return made | {f"random {seed}": dump(random_job(seed)) for seed in SEEDS}


TEXTS = _texts()


class Asked:
    """One job, planned, and an app that has it."""

    def __init__(self, text: str, client: TestClient) -> None:
        self.job, self._client = load(text), client
        self.plan = plan(self.job, BOUGHT)
        answer = client.post("/api/jobs", json={"text": text})
        assert answer.status_code == 201, answer.text
        self.id = answer.json()["job"]

    def page(self, at: str = "") -> str:
        answer = self._client.get(f"/jobs/{self.id}{at}")
        assert answer.status_code == 200, at
        return answer.text

    def api(self) -> Any:
        return self._client.get(f"/api/jobs/{self.id}/plan").json()

    def live(self, reading: dict[str, Any]) -> str:
        fields = {name: str(value) for name, value in reading.items()}
        place = fields.pop("at", fields.pop("face", fields.pop("place", "")))
        sent = {**fields, "place": place, "was": fields["id"], "take": "correct",
                "csrf_token": self._client.headers["X-CSRF-Token"]}  # fmt: skip
        answer = self._client.post(f"/jobs/{self.id}/measure/live", data=sent)
        assert answer.status_code == 200
        return answer.text


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    here = tmp_path_factory.mktemp("said")
    store = Store.open(f"sqlite:///{here / 'jobs.db'}", here / "files")
    app = create_app(store, Settings(made=here / "made", pairing=False))
    with TestClient(app, base_url="http://127.0.0.1") as browser:
        browser.headers["X-CSRF-Token"] = browser.get("/api/session").json()["csrf"]
        yield browser


@pytest.fixture(scope="module", params=list(TEXTS))
def asked(request: pytest.FixtureRequest, client: TestClient) -> Asked:
    return Asked(TEXTS[request.param], client)


def told(one: Finding) -> tuple[str, str]:
    return str(one.what), str(one.mend)


def sentences(step: Step) -> dict[str, list[str]]:
    """All that a step says to whoever does it."""
    return {
        "title": [str(step.title)],
        "do": [str(line) for line in step.do],
        "caution": [str(step.caution)] if step.caution else [],
        "pouch": [str(item) for item in step.pouch],
        "checks": [str(check.label) for check in step.checks],
    }


# ---------------------------------------------------------------- the outlets


def at_the_prompt(made: Plan) -> list[tuple[str, str]]:
    out = io.StringIO()
    print_plan(made, Console(file=out, width=100_000))
    lines = out.getvalue().splitlines()
    start = next(at for at, line in enumerate(lines) if line.strip() == "Findings")
    rows = []
    for line in lines[start + 3 :]:
        cells = [cell.strip() for cell in line.split("│")]
        if len(cells) != 4:
            break
        rows.append((cells[2], cells[3]))
    return rows


class _Page(HTMLParser):
    """The texts of a page by the path of tags and classes that they stand in."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self._open: list[str] = []
        self.found: list[tuple[str, str]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("input", "meta", "link", "br", "img", "hr", "wbr"):
            self._open.append(f"{tag}.{dict(attrs).get('class') or ''}")
            self.found.append(("/".join(self._open), ""))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Nothing stands in it."""

    def handle_endtag(self, tag: str) -> None:
        if any(one.partition(".")[0] == tag for one in self._open):
            while self._open.pop().partition(".")[0] != tag:
                pass

    def handle_data(self, data: str) -> None:
        path = "/".join(self._open)
        if self.found and self.found[-1][0] == path:
            self.found[-1] = (path, self.found[-1][1] + data)
        elif data.strip():
            self.found.append((path, data))

    def texts(self, pattern: str) -> list[str]:
        return [text for path, text in self.found if re.search(pattern, path)]


def on_the_page(text: str) -> list[tuple[str, str]]:
    page = _Page(text)
    whats = page.texts(r"li\.finding [a-z]+/p\.$")
    mends = page.texts(r"li\.finding [a-z]+/p\.mend$")
    assert all(what.endswith(".") for what in whats)
    return [(what[:-1], mend) for what, mend in zip(whats, mends, strict=True)]


def step_page(text: str) -> dict[str, list[str]]:
    page = _Page(text)
    title = page.texts(r"div\.step-head/h1\.$")
    return {
        "title": [part for part in title if part],
        "do": page.texts(r"ol\.do/li\.$"),
        "caution": [part.strip() for part in page.texts(r"p\.caution$") if part.strip()],
        "pouch": page.texts(r"section\.panel/ul\./li\.$"),
        "checks": page.texts(r"div\.check/p\./strong\.$"),
    }


def in_the_pack(made: Plan) -> tuple[set[tuple[str, str]], list[dict[str, list[str]]]]:
    """Findings and steps of all papers, as they are given to the typesetter."""
    notices: set[tuple[str, str]] = set()
    sheets: list[dict[str, list[str]]] = []

    def look(thing: Any) -> None:
        if isinstance(thing, Notice):
            notices.add((thing.what, thing.mend))
        elif isinstance(thing, Sheet):
            sheets.append(
                {"title": [thing.title], "do": list(thing.doing), "caution": list(thing.cautions),
                 "pouch": list(thing.pouch), "checks": [one.label for one in thing.checks]}
            )  # fmt: skip
        elif isinstance(thing, tuple | list):
            for each in thing:
                look(each)
        elif hasattr(thing, "__dataclass_fields__"):
            for name in thing.__dataclass_fields__:
                look(getattr(thing, name))

    papers = assemble.documents(made, assemble.printing(made), drawings.Album({}, {}))
    look(list(papers.values()))
    return notices, sheets


# ---------------------------------------------------------------- the same everywhere


def test_a_finding_is_one_sentence_everywhere(asked: Asked) -> None:
    said = [told(one) for one in asked.plan.findings]
    assert said
    answer = asked.api()
    assert [(one["what"], one["mend"]) for one in answer["findings"]] == said
    assert at_the_prompt(asked.plan) == said
    fields = [(finding_on_page(what), finding_on_page(mend)) for what, mend in said]
    assert on_the_page(asked.page())[-len(said) :] == fields
    papers, _ = in_the_pack(asked.plan)
    assert papers == set(said)


def test_a_step_is_said_in_the_same_words_everywhere(asked: Asked) -> None:
    said = [sentences(step) for step in asked.plan.steps]
    answer = asked.api()["steps"]
    assert [
        {"title": [one["title"]], "do": one["do"], "pouch": one["pouch"],
         "caution": [one["caution"]] if one["caution"] else [],
         "checks": [check["label"] for check in one["checks"]]}
        for one in answer
    ] == said  # fmt: skip
    _, papers = in_the_pack(asked.plan)
    assert papers == said
    shown = asked.plan.steps if asked.job.job.name in ("fernhollow",) else ()
    for step, wanted in zip(shown, said, strict=False):
        assert step_page(asked.page(f"/build/{step.key}")) == wanted, step.key


def test_the_verdict_beside_a_reading_is_the_findings_own_sentence(asked: Asked) -> None:
    readings = yaml.safe_load(dump(asked.job)).get("measure", {}).get("readings", [])
    by_id = {one["id"]: one for one in readings}
    for slip in asked.plan.measured.slips:
        trouble = asked.plan.measured.trouble_with(slip.suspects[0])
        assert trouble is not None
        name = slip.suspects[0].partition("#")[0]
        *_, verdict = filter(str.strip, _Page(asked.live(by_id[name])).texts(r"^p\.stand stop$"))
        what, mend = told(trouble)
        assert verdict.strip() == finding_on_page(f"{what}; {mend}")


def test_what_is_typed_as_a_message_is_one() -> None:
    """And no text beside them holds a mark that nobody would print."""
    made = plan(load(TEXTS["fernhollow in feet and inches"]), BOUGHT)
    looked = 0

    def look(thing: Any, typed: str) -> None:
        nonlocal looked
        if isinstance(thing, Message):
            looked += 1
            assert "⟨" not in str(thing)
        elif isinstance(thing, str):
            assert "Message" not in typed or "str" in typed, (thing, typed)
            assert "⟨" not in thing
        elif isinstance(thing, tuple):
            for each in thing:
                look(each, typed)
        elif hasattr(thing, "__dataclass_fields__"):
            for field in thing.__dataclass_fields__.values():
                look(getattr(thing, field.name), str(field.type))

    for name in ("measured", "weighed", "arrangement", "bearing", "over", "hardware", "members",
                 "fixings", "takeoff", "lining", "sound", "steps", "findings"):  # fmt: skip
        look(getattr(made, name), "")
    look(tuple(made.figures.values()), "")
    assert looked > 1000
