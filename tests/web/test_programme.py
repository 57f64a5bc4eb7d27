"""The programme in the app: a day list, what-ifs, holds recorded, a calendar for a trade."""

from __future__ import annotations

import html
from typing import Any

import httpx
import pytest

from truehang import demo
from truehang.job import load

TEXT = demo.files("fernhollow")[0][1]


@pytest.fixture(scope="module")
def page(served: Any) -> Any:
    with served.client("programme") as client:
        made = served.store.create(load(TEXT), "a test").job
        yield client, f"/jobs/{made}/programme"


def read(answer: httpx.Response, status: int = 200) -> str:
    assert answer.status_code == status, answer.text[:800]
    return html.unescape(answer.text)


def test_days_are_listed_with_what_to_bring_and_who_comes(page: Any) -> None:
    client, path = page
    said = read(client.get(path))
    assert "Day by day" in said
    assert "Mon 13 Apr" in said
    assert "Bring: floor protection and tape" in said
    assert "What the finish hangs on" in said
    assert "<svg" in said


def test_what_is_waited_for_is_told_on_the_first_day_that_waits(page: Any) -> None:
    """A list for a phone does not repeat on each day what was told on an earlier one."""
    client, path = page
    days = read(client.get(path)).partition("Day by day")[2].partition("What if?")[0]
    holds = [line for line in days.split("<li>") if line.startswith("Only once it is recorded")]
    assert holds
    assert len(holds) == len(set(holds))


def test_a_what_if_is_answered_and_nonsense_is_refused_with_the_ways(page: Any) -> None:
    client, path = page
    said = read(client.get(path, params={"what": "electrician only fri"}))
    assert "later" in said
    assert "is not understood" in read(client.get(path, params={"what": "<b>rain</b>"}))
    assert "<b>rain</b>" not in client.get(path, params={"what": "<b>rain</b>"}).text


def test_a_hold_is_recorded_and_blocks_no_more(page: Any) -> None:
    client, path = page
    before = read(client.get(path))
    assert "Test results in hand" in before
    token = client.headers["X-CSRF-Token"]
    answer = client.post(
        f"{path}/recorded", data={"step": "hazards", "csrf": token}, follow_redirects=True
    )
    after = read(answer)
    assert 'value="hazards"' in before
    assert 'value="hazards"' not in after
    again = client.post(f"{path}/recorded", data={"step": "hazards", "csrf": token})
    assert again.status_code == 409


def test_each_trade_has_a_calendar(page: Any) -> None:
    client, path = page
    answer = client.get(f"{path}/electrician.ics")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/calendar")
    assert b"BEGIN:VEVENT" in answer.content
    assert client.get(f"{path}/glazier.ics").status_code == 404
