"""Papers leave by the phone's own share sheet; the day on a form is the firm's."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, expect
from typer.testing import CliRunner

from truehang.cli import app
from truehang.job import load, starter
from truehang.store import Store
from truehang.web import making
from truehang.web.desk import Desk

SHEET = """
  window.given = [];
  navigator.canShare = (what) => what.files.every((file) => file.type === "application/pdf");
  navigator.share = async ({ files: [file] }) => window.given.push([file.name, await file.text()]);
"""


@pytest.mark.browser
@pytest.mark.parametrize("sheet", [True, False])
def test_a_paper_is_handed_to_the_share_sheet_where_there_is_one(
    serve: Callable[..., Any], chromium: Browser, monkeypatch: pytest.MonkeyPatch, sheet: bool
) -> None:
    from truehang.pack.files import MANIFEST, manifest, replace_all

    files = {"site.pdf": b"%PDF for the site", "drawings/a.svg": b"<svg/>"}
    files |= {MANIFEST: manifest(files, {})}
    monkeypatch.setattr(making, "write", lambda plan, folder, say: replace_all(files, folder))
    served = serve(pairing=False)
    job = served.store.create(load(starter()), "a").job
    page = chromium.new_page(viewport={"width": 390, "height": 844})
    if sheet:
        page.add_init_script(SHEET)
    page.goto(f"{served.url}/jobs/{job}/order")
    page.get_by_role("button", name="pack").click()
    expect(page.get_by_role("link", name="On site")).to_be_visible(timeout=60_000)
    shares = page.get_by_role("button", name="Share")
    if sheet:
        expect(shares).to_have_count(1)  # the paper, not the drawing
        shares.click()
        page.wait_for_function("window.given.length === 1")
        assert page.evaluate("window.given") == [["site.pdf", "%PDF for the site"]]
    else:
        expect(shares).to_have_count(0)
    page.close()


@pytest.mark.parametrize(
    "zone, day",
    [
        ("Australia/Sydney", "2026-03-03"),
        ("Europe/London", "2026-03-02"),
        ("America/New_York", "2026-03-02"),
        ("Pacific/Kiritimati", "2026-03-03"),
    ],
)
def test_today_is_the_firms_day(store: Store, zone: str, day: str) -> None:
    """Offsets: the IANA time zone database."""
    late = Store(store.engine, store.files, lambda: "2026-03-02T22:30:00.000+00:00")
    assert Desk(late, None, {}, zone).today == day  # type: ignore[arg-type]


def test_the_day_stands_on_the_form(serve: Callable[..., Any]) -> None:
    days = set[str]()
    for zone in ("Etc/GMT+12", "Etc/GMT-14"):  # a day apart, at any moment
        served = serve(pairing=False, zone=zone)
        job = served.store.create(load(starter()), "a").job
        with served.client() as client:
            page = client.get(f"/jobs/{job}/order").text
        days |= set(re.findall(r'name="date" type="date" value="([-0-9]+)"', page))
    assert len(days) == 2


def test_a_zone_that_there_is_not_is_said() -> None:
    said = CliRunner().invoke(app, ["serve", "--zone", "Atlantis/Main", "--no-pairing"])
    assert said.exit_code == 2
    assert "Europe/London" in said.output
