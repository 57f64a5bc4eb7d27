"""With many jobs and many revisions: are lists short, do they go on, and is everything found?"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest

from truehang.job import load, starter
from truehang.store import Store, document_of

JOBS = 120


@pytest.fixture
def many(serve: Callable[..., Any]) -> Iterator[tuple[httpx.Client, Store, list[str]]]:
    """A browser on a store with many jobs, and their ids."""
    served = serve(pairing=False)
    job = load(starter())
    ids = []
    for number in range(JOBS):
        about = job.job.model_copy(update={"title": f"Door Nº {number}"})
        ids.append(served.store.create(job.model_copy(update={"job": about}), "office").job)
    with served.client() as client:
        yield client, served.store, ids


def test_the_list_of_jobs_is_short_goes_on_and_finds(
    many: tuple[httpx.Client, Store, list[str]],
) -> None:
    client, _, ids = many
    listed, path = list[str](), "/"
    while path:
        page = client.get(path).text
        here = re.findall(r'<a href="/jobs/([0-9a-f]{32})">', page)
        assert 0 < len(here) <= 50
        listed += here
        more = re.search(r'href="(/\?[^"]*)" rel="next"', page)
        path = more[1].replace("&amp;", "&") if more else ""
    assert sorted(listed) == sorted(ids)
    assert len(set(listed)) == JOBS
    found = client.get("/", params={"search": "door n 117"}).text
    assert re.findall(r'<a href="/jobs/([0-9a-f]{32})">', found) == [ids[117]]
    assert "No job" in client.get("/", params={"search": "window"}).text
    assert client.get("/", params={"after": "nonsense"}).status_code == 200


def test_programs_are_led_from_page_to_page(many: tuple[httpx.Client, Store, list[str]]) -> None:
    client, store, ids = many
    listed, path = list[str](), "/api/jobs?search=door&most=50"
    while path:
        answer = client.get(path)
        listed += [row["id"] for row in answer.json()]
        path = answer.links.get("next", {}).get("url", "")
    assert sorted(listed) == sorted(ids)
    document = document_of(load(starter()))
    for number in range(1, 8):
        about = document["job"] | {"title": f"t{number}"}
        store.save(ids[0], number, document | {"job": about}, "office", f"change {number}")
    numbers, path = list[int](), f"/api/jobs/{ids[0]}/revisions?most=3"
    while path:
        answer = client.get(path)
        numbers += [row["number"] for row in answer.json()]
        path = answer.links.get("next", {}).get("url", "")
    assert numbers == list(range(8, 0, -1))


def test_a_long_history_is_shown_in_pages(many: tuple[httpx.Client, Store, list[str]]) -> None:
    client, store, ids = many
    document = document_of(load(starter()))
    for number in range(1, 70):
        about = document["job"] | {"title": f"t{number}"}
        store.save(ids[0], number, document | {"job": about}, "office", f"change {number}")
    seen, path = list[int](), f"/jobs/{ids[0]}/history"
    while path:
        page = client.get(path).text
        assert "Undo: change 69" in page
        here = [int(number) for number in re.findall(r"<strong>Revision (\d+)</strong>", page)]
        assert len(here) <= 50
        seen += here
        more = re.search(r'href="([^"]*)" rel="next"', page)
        path = more[1] if more else ""
    assert seen == list(range(70, 0, -1))


def test_jobs_to_cut_together_are_those_that_changed_lately_and_those_ticked(
    many: tuple[httpx.Client, Store, list[str]],
) -> None:
    client, _, ids = many
    page = client.get(f"/jobs/{ids[-1]}/order/cutting").text
    offered = set(re.findall(r'name="with\.([0-9a-f]{32})"', page))
    assert ids[0] not in offered
    assert len(offered) <= 101
