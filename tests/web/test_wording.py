"""Pages never speak of the job file: no keys to add, no lines, no lists to write.

What a form looks like is this program's own; the checks that are put into its words are those of
the job file, broken here in every field that it has.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
import yaml
from pydantic import BaseModel

from truehang import catalogue, demo
from truehang.job import Problem, check, load, models, starter
from truehang.plan import plan
from truehang.web.wording import finding_on_page, on_page, told_on_page

RAW: dict[str, Any] = yaml.safe_load(demo.files("fernhollow")[0][1])
OF_THE_FILE = re.compile(
    r"`|\babsent\b|\bon line \d|\bits keys\b|unknown key|mapping|true|false|\w_\w"
    r"|\b(measure|wall|job|wishes|floor|sound|prices|site|building)\.[a-z]|docs/|(?<!')\[\]"
)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    inner = value.items() if isinstance(value, dict) else ()
    inner = enumerate(value) if isinstance(value, list) else inner
    for key, item in inner:
        yield from places(item, (*path, key))


def broken(path: tuple[Any, ...], how: str) -> dict[str, Any]:
    """The demo with one thing taken out, doubled, or replaced by nonsense."""
    document = copy.deepcopy(RAW)
    holder: Any = document
    for step in path[:-1]:
        holder = holder[step]
    if how == "out":
        del holder[path[-1]]
    elif how == "twice" and isinstance(holder, list):
        holder.append(copy.deepcopy(holder[path[-1]]))
    else:
        holder[path[-1]] = {"word": "nonsense", "under": -5, "empty": None}.get(how, [])
    return document


def found() -> set[Problem]:
    """The problems of many broken jobs, without those that no form can have."""
    made: set[Problem] = set()
    for number, path in enumerate(places(RAW)):  # broken in one way each, in turn
        how = ("out", "word", "under", "twice", "empty")[number % 5]
        made |= set(check(yaml.safe_dump(broken(path, how))))
    return {problem for problem in made if problem.field != "truehang"}


def test_no_hint_speaks_of_the_file() -> None:
    sections = [value for value in vars(models).values() if isinstance(value, type)]
    said = [
        on_page(info.description or "")
        for section in sections
        if issubclass(section, BaseModel)
        for info in section.model_fields.values()
    ]
    assert len(said) > 100
    assert [text for text in said if OF_THE_FILE.search(text)] == []


def test_no_message_speaks_of_the_file() -> None:
    problems = found()
    said = {f"{p.what}; {p.mend}" for p in map(told_on_page, problems)}
    assert len(said) > 25
    assert sum(bool(OF_THE_FILE.search(f"{p.what}; {p.mend}")) for p in problems) > 10
    assert [text for text in said if OF_THE_FILE.search(text)] == []


def test_what_is_wrong_stays_what_it_is() -> None:
    told = told_on_page(
        Problem(3, "wall.evidence.opened_up.photo", "", "missing",
                "add `photo:` with name of the photo that shows it")
    )  # fmt: skip
    assert (told.what, told.mend) == ("missing", "fill it in: name of the photo that shows it")
    assert on_page("did you mean `width`?") == "did you mean width?"
    assert on_page("give the run, mm: 6264") == "give the run, mm: 6264"


@pytest.mark.parametrize("new_url", ["sqlite"], indirect=True)
def test_a_form_that_is_refused_says_it_in_its_own_words(phone: httpx.Client, job: str) -> None:
    path = f"/jobs/{job}/measure/load"
    sent = {"f.opened_up.who": "builder", "f.opened_up.when": "2026-03-02", "base": "1",
            "op": "x", "csrf": phone.headers["X-CSRF-Token"]}  # fmt: skip
    answer = phone.post(path, data=sent)
    assert answer.status_code == 422
    assert "fill it in: name of the photo that shows it" in answer.text
    assert 'name="f.opened_up.who" value="builder"' in re.sub(r"\s+", " ", answer.text)
    alert = answer.text.split('role="alert"')[1].split("</section>")[0]
    assert not re.search(r"`|:</li>|on line", alert)


def test_no_finding_speaks_of_the_file() -> None:
    known = catalogue.load()
    texts = [starter()] + [
        demo.files(name)[0][1]
        for name in ("fernhollow", "quarry-house", "millrace-cottage", "granary-hall")
    ]
    raw = {
        str(text)
        for job in texts
        for finding in plan(load(job), known).findings
        for text in (finding.what, finding.mend, finding.source)
    }
    assert sum(bool(OF_THE_FILE.search(text)) for text in raw) > 8
    said = [finding_on_page(text) for text in raw]
    assert [text for text in said if OF_THE_FILE.search(text)] == []


def test_a_place_in_the_file_is_a_field_of_a_page() -> None:
    assert finding_on_page("write the seals into wishes.seals, so that") == (
        'choose the seals in "seals" under Choose, so that'
    )
    assert finding_on_page("as wall.over.capacity") == (
        'as "capacity" under Measure, Over the opening'
    )
    assert finding_on_page("set wishes.seals.floor to none") == (
        'set "floor" of "seals" under Choose to none'
    )
    assert finding_on_page("2.5 kg, e.g. wall. Next") == "2.5 kg, e.g. wall. Next"
