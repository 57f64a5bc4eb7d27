"""The Price page: live as choices change, costs private, other ways priced. The demo job and every
price are invented."""

from __future__ import annotations

import html
import re
from typing import Any

import httpx
import pytest

from truehang import demo
from truehang.job import load

DEMO = demo.files("millrace-cottage")[0][1]
PRIVATE = ("private", "Private", "P80", "labour", "markup", "margin", "What drives", "invented, ")


class Page:
    """The price pages of one job."""

    def __init__(self, client: httpx.Client, served: Any) -> None:
        self.client = client
        self.path = f"/jobs/{served.store.create(load(DEMO), 'a test').job}/price"

    def get(self, page: str = "", **headers: str) -> str:
        answer = self.client.get(self.path + page, headers=headers)
        assert answer.status_code == 200, answer.text[:800]
        return html.unescape(answer.text)

    def post(self, status: int = 303, **fields: str) -> str:
        answer = self.client.post(self.path, data=fields)
        assert answer.status_code == status, answer.text[:2000]
        return html.unescape(answer.text)


@pytest.fixture(scope="module")
def page(served: Any) -> Any:
    with served.client() as client:
        yield Page(client, served)


def _price(text: str) -> str:
    found = re.search(r'<h2 id="pr">Price ([^<]+)</h2>', text)
    assert found
    return found[1]


def test_price_payments_and_cost_stand_there(page: Page) -> None:
    text = page.get()
    assert _price(text).startswith("$")
    for said in ("Payments", "What drives the spread", "P80", "licensed plumber moves a pipe",
                 "check current law", "Published figures"):  # fmt: skip
        assert said in text, said
    assert '/price" aria-current="page">Price</a>' in text


def test_the_customers_page_holds_no_cost(page: Page) -> None:
    text = page.get("/customer")
    whole = page.get()
    assert _price(text) == _price(whole)
    main = text.partition("<main")[2]
    for said in PRIVATE:
        assert said not in main, said
    cost = re.search(r"Cost, mean</dt><dd>([^<]+)<", whole)
    assert cost
    assert cost[1] not in text


def test_other_ways_are_priced(page: Page) -> None:
    text = page.get("/options", **{"hx-request": "true"})
    assert "<html" not in text
    assert "Soft close" in text
    assert re.search(r"Rw \d+ dB instead of \d+ \(predicted, not a field test\)", text)
    assert re.search(r"\$[\d,.]+ more than what is in the plan", text)


def test_a_change_changes_the_price(page: Page) -> None:
    before = _price(page.get())
    fields = {"f.markup_percent": "45", "f.labour_hour": "88", "f.deposit_percent": "5"}
    page.post(**fields)
    after = page.get()
    assert _price(after) != before
    assert 'value="45"' in after


@pytest.mark.parametrize(
    ("field", "value"), [("margin_percent", "100"), ("labour_hour", "-4"), ("currency", "dollars")]
)
def test_what_can_not_be_is_refused_with_its_field(page: Page, field: str, value: str) -> None:
    text = page.post(422, **{f"f.{field}": value})
    assert field.replace("_", " ") in text
