"""The database goes away in the midst of work: nothing is lost, and every page says what is so.

The server of the database is stopped at once, as when its machine is switched off, and started
again; that pages, entries and streams come back is seen in a real browser.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest
from faults.postgres import Postgres, own_postgres
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import event
from tests.conftest import Databases
from tests.web.conftest import run

from truehang.job import load, starter
from truehang.store import Away, Store
from truehang.web.app import create_app

PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="module")
def server() -> Iterator[Postgres]:
    """A database server that may be stopped: no other test uses it."""
    with own_postgres() as running:
        yield running


@pytest.fixture(scope="module")
def new_url(server: Postgres, tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """Databases on it."""
    return Databases("postgresql", tmp_path_factory.mktemp("databases"), server.url)


@pytest.fixture
def at(serve: Callable[..., Any], server: Postgres) -> tuple[Any, str]:
    """An app on that server, and a job in it."""
    served = serve(pairing=False)
    return served, served.store.create(load(starter()), "office").job


@pytest.mark.postgres
def test_every_answer_says_that_the_database_is_away_and_when_to_ask_again(
    at: tuple[Any, str], server: Postgres, caplog: pytest.LogCaptureFixture
) -> None:
    served, job = at
    page = {"Accept": "text/html"}
    with served.client() as client:
        server.stop()
        try:
            for path in ("/", f"/jobs/{job}", f"/jobs/{job}/order", f"/jobs/{job}/history"):
                answer = client.get(path, headers=page)
                assert answer.status_code == 503
                assert int(answer.headers["retry-after"]) > 0
                assert "database does not answer" in answer.text
                assert 'http-equiv="refresh"' in answer.text
            told = client.post(f"/api/jobs/{job}/undo", json={})
            assert told.status_code == 503
            assert "database does not answer" in told.json()["detail"]
            form = {"op": "x", "base": "1", "csrf": str(client.headers["X-CSRF-Token"])}
            sent = client.post(f"/jobs/{job}/undo", data=form, headers=page)
            assert (sent.status_code, "refresh" in sent.text) == (503, False)
            assert client.get(f"/jobs/{job}/live").status_code == 503
        finally:
            server.start()
        assert client.get(f"/jobs/{job}", headers=page).status_code == 200
    said = [row.getMessage() for row in caplog.records if row.name.startswith("truehang")]
    assert len(said) == 2  # one line when it went, and one when it came back
    assert "answers again" in said[1]


@pytest.mark.postgres
def test_a_paired_device_is_told_so_too(serve: Callable[..., Any], server: Postgres) -> None:
    served = serve()
    with served.client() as client:
        server.stop()
        try:
            answer = client.get("/", headers={"Accept": "text/html"})
        finally:
            server.start()
        assert answer.status_code == 503
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert client.get("/", headers={"Accept": "text/html"}).status_code == 200


@pytest.mark.postgres
def test_a_stream_tells_when_it_is_out_of_date_and_goes_on_by_itself(
    at: tuple[Any, str], server: Postgres
) -> None:
    served, job = at
    with served.client() as client, client.stream("GET", f"/jobs/{job}/live") as stream:
        events = (line[7:] for line in stream.iter_lines() if line.startswith("event: "))
        assert next(events) == "state"
        server.stop()
        try:
            assert next(events) == "away"
        finally:
            server.start()
        assert next(events) == "state"


def _opened(browser: Browser, served: Any, job: str) -> Page:
    """The page of the opening's size, in the worker's hands and kept."""
    page = browser.new_context(viewport=PHONE, base_url=served.url).new_page()
    page.goto(f"/jobs/{job}/measure?group=size")
    page.evaluate(
        """() => navigator.serviceWorker.controller || new Promise((done) =>
           navigator.serviceWorker.addEventListener("controllerchange", () => done(null)))"""
    )
    page.reload()
    return page


def _read(page: Page, place: str, value: str) -> None:
    pad = page.locator(f"#pad-{place}")
    pad.locator("[data-entry]").fill(value)
    pad.get_by_role("button", name="Save reading").click()


@pytest.mark.browser
@pytest.mark.postgres
def test_a_reading_saved_while_the_database_is_away_is_sent_when_it_is_back(
    at: tuple[Any, str], server: Postgres, chromium: Browser
) -> None:
    served, job = at
    page, other = _opened(chromium, served, job), _opened(chromium, served, job)
    other.goto(f"/jobs/{job}/choose")
    server.stop()
    try:
        expect(other.locator("#link-state")).to_contain_text("may be out of date", timeout=20_000)
        page.goto(f"/jobs/{job}/measure?group=size#pad-width-top")  # the one that was kept
        _read(page, "width-top", "3210")
        expect(page.locator("#link-state")).to_contain_text("1 entry waits")
        expect(page.locator("#link-state")).to_contain_text("does not answer")
        expect(page.locator("#pad-width-top [data-entry]")).to_have_value("3210")
    finally:
        server.start()
    expect(page.locator("#link-state")).to_be_empty(timeout=40_000)
    values = {row.id: row.value for row in served.store.head(job).model().measure.readings}
    assert values["width-top"] == 3210
    # The other device is told by itself.
    expect(other.locator(".jobname")).to_contain_text("revision 2", timeout=40_000)
    expect(other.locator("#link-state")).to_be_empty()
    page.context.close()
    other.context.close()


@pytest.mark.browser
@pytest.mark.postgres
@pytest.mark.parametrize("status", [500, 502, 503, 504])
def test_any_answer_of_500_or_more_keeps_what_was_entered(
    at: tuple[Any, str], chromium: Browser, status: int
) -> None:
    served, job = at
    app, failing = create_app(served.store, served.settings), [True]

    async def between(scope: Any, receive: Any, send: Any) -> None:
        if failing[0] and scope["type"] == "http" and scope["method"] == "POST":
            await send({"type": "http.response.start", "status": status, "headers": []})
            await send({"type": "http.response.body", "body": b"broken"})
        else:
            await app(scope, receive, send)

    url, running, thread = run(between)
    served = replace(served, url=url, server=running, thread=thread)
    page = _opened(chromium, served, job)
    page.goto(f"/jobs/{job}/measure?group=size#pad-width-top")
    _read(page, "width-top", "3210")
    expect(page.locator("#link-state")).to_contain_text("1 entry waits")
    page.wait_for_timeout(500)
    assert served.store.head(job).number == 1
    failing[0] = False
    expect(page.locator("#link-state")).not_to_contain_text("waits", timeout=40_000)
    values = {row.id: row.value for row in served.store.head(job).model().measure.readings}
    assert values["width-top"] == 3210
    page.context.close()
    served.stop()


def test_a_full_disk_under_sqlite_is_said_and_nothing_is_half_written(tmp_path: Path) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'jobs.db'}", tmp_path / "files")
    base = store.create(load(starter()), "office")
    store.engine.dispose()

    @event.listens_for(store.engine, "connect")
    def full(connection: Any, _record: Any) -> None:
        size = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {size}")

    def fill() -> None:
        for number in range(1, 100):
            document = json.loads(re.sub("Pair", f"Pair {number}", json.dumps(base.document)))
            store.save(base.job, number, document, "office", "title", f"op{number}")

    with pytest.raises(Away, match=r"disk .* full"):
        fill()
    numbers = [row.number for row in store.history(base.job)]
    assert numbers == list(range(len(numbers), 0, -1))
    assert store.head(base.job).number == numbers[0]
    store.engine.dispose()


def test_files_that_can_not_be_written_are_as_good_as_no_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'jobs.db'}", tmp_path / "files")
    base = store.create(load(starter()), "office")

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        with pytest.raises(Away, match="No space left"):
            store.issue(base.job, 1, {"pack.pdf": b"one"}, "office")
    assert store.issued(base.job) == ()
    assert list(store.files.names()) == []
    assert len(store.issue(base.job, 1, {"pack.pdf": b"one"}, "office")) == 1
    store.engine.dispose()


def test_a_page_that_breaks_is_a_page_of_ours(
    serve: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    served = serve(pairing=False)

    def broken(*_: Any) -> Any:
        raise ZeroDivisionError

    monkeypatch.setattr(Store, "jobs", broken)
    page = httpx.get(served.url, headers={"Accept": "text/html"})
    assert page.status_code == 500
    assert "<h1>" in page.text
    assert "default-src" in page.headers["content-security-policy"]
    assert "the server's log" in httpx.get(f"{served.url}/api/jobs").json()["detail"]
