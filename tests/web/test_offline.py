"""A phone without signal, in a real browser: pages stay, entries wait, nothing is lost.

The network is cut twice over: the browser is told it is offline, and the server is stopped.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect

from truehang.job import load, starter
from truehang.store import new_code

pytestmark = pytest.mark.browser
PHONE = {"width": 360, "height": 740}


@pytest.fixture
def device(served: Any, chromium: Browser) -> Iterator[Callable[[str], BrowserContext]]:
    """Browsers of paired devices."""
    opened: list[BrowserContext] = []

    def pair(name: str) -> BrowserContext:
        context = chromium.new_context(viewport=PHONE, base_url=served.url)
        page = context.new_page()
        page.goto(f"/pair?code={new_code(served.store)}")
        page.get_by_label("What do you call this device?").fill(name)
        page.get_by_role("button", name="Pair this device").click()
        page.wait_for_url(served.url + "/")
        page.close()
        opened.append(context)
        return context

    yield pair
    for context in opened:
        context.close()


@pytest.fixture
def fresh(served: Any) -> str:
    """A fresh job."""
    job: str = served.store.create(load(starter()), "office").job
    return job


def _kept(context: BrowserContext, job: str) -> Page:
    """A page of the job, once the worker has kept all of it."""
    page = context.new_page()
    page.goto(f"/jobs/{job}")
    _controlled(page)
    page.locator("html[data-kept]").wait_for(state="attached", timeout=90_000)
    return page


def _controlled(page: Page) -> None:
    """Back when the worker has the page in its hands."""
    page.evaluate(
        """() => navigator.serviceWorker.controller || new Promise((done) =>
           navigator.serviceWorker.addEventListener("controllerchange", () => done(null)))"""
    )


def _picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (12, 8), "grey").save(out, "PNG")
    return out.getvalue()


def _read(page: Page, job: str, place: str, value: str) -> None:
    page.goto(f"/jobs/{job}/measure?group=size#pad-{place}")
    pad = page.locator(f"#pad-{place}")
    pad.locator("[data-entry]").fill(value)
    pad.get_by_role("button", name="Save reading").click()


def _title(served: Any, job: str) -> str:
    title: str = served.store.head(job).model().job.title
    return title


def _values(served: Any, job: str) -> dict[str, float]:
    return {row.id: row.value for row in served.store.head(job).model().measure.readings}


def test_a_job_is_read_and_built_without_signal(
    served: Any, device: Callable[[str], BrowserContext], fresh: str
) -> None:
    phone = device("phone")
    page = _kept(phone, fresh)
    phone.set_offline(True)
    for path in ("", "/measure", "/choose", "/order", "/history", "/build"):
        page.goto(f"/jobs/{fresh}{path}")
        expect(page.locator("h1")).not_to_contain_text("No signal")
    steps = page.locator(f"a[href^='/jobs/{fresh}/build/']")
    hrefs = sorted({steps.nth(n).get_attribute("href") or "" for n in range(steps.count())})
    assert len(hrefs) > 5
    for href in (hrefs[0], hrefs[-1]):
        page.goto(href)
        expect(page.locator("h1")).not_to_contain_text("No signal")
    page.locator(".top .home").click()
    expect(page.locator(f"main a[href='/jobs/{fresh}']").first).to_be_visible()
    page.goto("/jobs/new?never=opened")
    expect(page.locator("h1")).to_contain_text("No signal")
    page.locator("#jobs").get_by_role("link", name=_title(served, fresh)).click()
    expect(page.locator(".jobname")).to_contain_text(_title(served, fresh))

    # Readings, one of them twice, a check and a photo: all wait, in order.
    _read(page, fresh, "width-bottom", "3205")
    expect(page.locator("#link-state")).to_contain_text("1 entry waits")
    expect(page.locator("#pad-width-bottom [data-entry]")).to_have_value("3205")
    _read(page, fresh, "height-left", "2404")
    page.goto(f"/jobs/{fresh}/build/level-base")
    check = page.locator("form[data-queue][action$='/check']").first
    check.get_by_role("textbox").first.fill("1")
    check.get_by_role("button").first.click()
    page.goto(f"/jobs/{fresh}")
    form = page.locator("form[action$='/photos']")
    form.locator("input[type=file]").set_input_files(
        {"name": "wall.png", "mimeType": "image/png", "buffer": _picture()}
    )
    form.get_by_role("button", name="Keep photo").click()
    expect(page.locator("#link-state")).to_contain_text("4 entries wait")
    assert served.store.head(fresh).number == 1
    assert served.store.pulse([fresh])[fresh].records == 0

    phone.set_offline(False)
    expect(page.locator("#link-state")).to_be_empty(timeout=30_000)
    values = _values(served, fresh)
    assert (values["width-bottom"], values["height-left"]) == (3205, 2404)
    assert len(served.store.entries(fresh)) == 1
    assert [photo.size for photo in served.store.photos(fresh)] == [len(_picture())]
    assert served.store.conflicts(fresh) == ()  # one person's own entries do not clash
    assert {row.who for row in served.store.history(fresh)} == {"office", "phone"}


def test_the_page_for_no_signal_leads_in_no_circle(
    device: Callable[[str], BrowserContext], served: Any, fresh: str
) -> None:
    """The list of jobs is not kept: nothing leads to it; the job that is kept is there."""
    phone = device("phone")
    page = phone.new_page()
    page.goto(f"/jobs/{fresh}")
    _controlled(page)
    page.reload()  # by the worker's hands now
    page.goto("/devices")  # never kept, and from here nothing more is
    page.evaluate("caches.open('truehang-pages').then((kept) => kept.delete('/'))")
    phone.set_offline(True)
    page.goto("/")
    expect(page.locator("h1")).to_contain_text("No signal")
    link = page.locator("#jobs a")
    expect(link).to_have_text([_title(served, fresh)])
    assert page.locator("a[href='/']").count() == 0
    link.click()
    expect(page.locator("h1")).not_to_contain_text("No signal")


def test_a_value_that_two_devices_gave_is_kept_twice(
    served: Any, device: Callable[[str], BrowserContext], fresh: str
) -> None:
    phone, laptop = device("phone"), device("laptop")
    page, desk = phone.new_page(), laptop.new_page()
    page.goto(f"/jobs/{fresh}/measure?group=size")
    _controlled(page)
    page.reload()
    phone.set_offline(True)
    _read(page, fresh, "width-top", "3210")
    expect(page.locator("#link-state")).to_contain_text("1 entry waits")
    desk.goto(f"/jobs/{fresh}")
    _read(desk, fresh, "width-top", "3190")
    expect(desk.locator("#link-state")).not_to_contain_text("waits")
    assert _values(served, fresh)["width-top"] == 3190
    phone.set_offline(False)
    expect(page.locator("#link-state")).to_contain_text("different value", timeout=30_000)
    (conflict,) = served.store.conflicts(fresh)  # of the whole reading
    assert conflict.path == ("measure", "readings", "width-top")
    assert (conflict.theirs["value"], conflict.mine["value"]) == (3190, 3210)
    page.goto(f"/jobs/{fresh}/conflicts")
    for value in ("3190", "3210"):
        expect(page.locator("main")).to_contain_text(value)


def test_a_server_that_is_gone_is_as_good_as_no_signal(
    serve: Callable[..., Any], chromium: Browser
) -> None:
    served = serve(pairing=False)
    job = served.store.create(load(starter()), "office").job
    context = chromium.new_context(viewport=PHONE, base_url=served.url)
    page = context.new_page()
    page.goto(f"/jobs/{job}/measure?group=size")
    _controlled(page)
    page.reload()
    served.stop()
    _read(page, job, "width-top", "3210")
    expect(page.locator("#link-state")).to_contain_text("1 entry waits")
    served.again()
    expect(page.locator("#link-state")).not_to_contain_text("waits", timeout=40_000)
    assert _values(served, job)["width-top"] == 3210
    context.close()
