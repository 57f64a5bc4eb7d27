"""Can the wall be looked at and its leaves slid, by hand, by keys and by those who can't see it?"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, BrowserType, Page
from tests.conftest import Databases

from truehang import catalogue, demo
from truehang.job import dump, load
from truehang.pack.model import model as model_of
from truehang.plan import plan

AXE = Path(__file__).parents[2] / "node_modules" / "axe-core" / "axe.min.js"
TEXT = dict(demo.files("quarry-house"))["quarry-house.yaml"]


@pytest.fixture(scope="module")
def new_url(tmp_path_factory: pytest.TempPathFactory) -> Databases:
    """One kind of database is enough to look at a model: nothing is written here."""
    return Databases("sqlite", tmp_path_factory.mktemp("databases"))


@pytest.fixture(scope="module")
def cottage(served: Any) -> tuple[str, str]:
    """A server's address and the id of a job on it."""
    with served.client("desk") as client:
        return served.url, client.post("/api/jobs", json={"text": TEXT}).json()["job"]


# ---------------------------------------------------------------- files


@pytest.mark.parametrize("kind", ["glb", "ifc"])
def test_the_files_are_those_of_the_plan(
    phone: httpx.Client, cottage: tuple[str, str], kind: str
) -> None:
    answer = phone.get(f"/jobs/{cottage[1]}/model.{kind}")
    assert answer.status_code == 200
    assert answer.content == model_of(plan(load(TEXT), catalogue.load()), f"quarry-house.{kind}")
    assert f"quarry-house.{kind}" in answer.headers["content-disposition"]
    again = phone.get(
        f"/jobs/{cottage[1]}/model.{kind}", headers={"If-None-Match": answer.headers["etag"]}
    )
    assert again.status_code == 304
    assert again.content == b""


def test_other_kinds_and_other_jobs_are_not_found(
    phone: httpx.Client, cottage: tuple[str, str]
) -> None:
    assert phone.get(f"/jobs/{cottage[1]}/model.obj").status_code == 404
    for path in ("model", "model.glb", "model.ifc"):
        assert phone.get(f"/jobs/{'0' * 32}/{path}").status_code == 404


def test_strangers_get_no_model(served: Any, cottage: tuple[str, str]) -> None:
    assert httpx.get(f"{served.url}/jobs/{cottage[1]}/model.glb").status_code == 401


def test_where_nothing_fits_the_page_says_so_and_there_is_no_file(phone: httpx.Client) -> None:
    job = load(TEXT)
    wishes = job.wishes.model_copy(update={"clear_width": 3000.0})
    text = dump(job.model_copy(update={"wishes": wishes}))
    made = phone.post("/api/jobs", json={"text": text}).json()["job"]
    assert "Nothing to show yet" in phone.get(f"/jobs/{made}/model").text
    refused = phone.get(f"/jobs/{made}/model.glb")
    assert refused.status_code == 409
    assert "nothing fits yet" in refused.text


def test_every_part_is_told_in_words(phone: httpx.Client, cottage: tuple[str, str]) -> None:
    text = phone.get(f"/jobs/{cottage[1]}/model").text
    made = plan(load(TEXT), catalogue.load()).arrangement
    assert made is not None
    for name in ("closing jamb", "back stud, left", "lining A", "track", "hangers of the leaf"):
        assert f"<strong>{name}</strong>" in text
    assert "to the left to open" in text


# ---------------------------------------------------------------- in a browser


@pytest.fixture(scope="module")
def drawing_browser(browsers: BrowserType) -> Iterator[Browser]:
    """Debian's Chromium, drawing in 3D without a graphics card."""
    arguments = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
    browser = browsers.launch(executable_path="/usr/bin/chromium", args=arguments)
    yield browser
    browser.close()


@pytest.fixture
def opened(
    served: Any, cottage: tuple[str, str], drawing_browser: Browser
) -> Iterator[Callable[..., Page]]:
    """Opens the page of the model on a paired device; anything amiss fails the test."""
    amiss: list[str] = []
    contexts = []

    def start(width: int = 420, height: int = 480, before: str = "", **more: Any) -> Page:
        context = drawing_browser.new_context(
            viewport={"width": width, "height": height}, service_workers="block", **more
        )
        contexts.append(context)
        with served.client("desk") as client:
            context.add_cookies(
                [{"name": c.name, "value": c.value or "", "url": served.url}
                 for c in client.cookies.jar]
            )  # fmt: skip
        page = context.new_page()
        if before:
            page.add_init_script(before)
        else:
            page.on(
                "console", lambda said: amiss.append(said.text) if said.type == "error" else None
            )
        page.on("pageerror", lambda error: amiss.append(str(error)))
        page.on(
            "request",
            lambda asked: None if asked.url.startswith((served.url, "blob:", "data:"))
            else amiss.append(f"leaves the server: {asked.url}"),
        )  # fmt: skip
        page.goto(f"{cottage[0]}/jobs/{cottage[1]}/model")
        if not before:
            page.wait_for_selector("#model[data-ready]", timeout=60_000)
        return page

    yield start
    for context in contexts:
        context.close()
    assert amiss == []


def picture(page: Page) -> Image.Image:
    """What the canvas shows once it has been drawn."""
    page.evaluate(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )
    return Image.open(io.BytesIO(page.locator(".sight").screenshot())).convert("RGB")


def changed(one: Image.Image, two: Image.Image) -> float:
    """The share of the picture that differs."""
    grey = ImageChops.difference(one, two).convert("L").point(lambda v: 255 if v > 12 else 0)
    return grey.histogram()[255] / (grey.width * grey.height)


@pytest.mark.browser
def test_the_slider_moves_the_leaf_and_boxes_hide_what_is_before_it(
    opened: Callable[..., Page],
) -> None:
    page = opened()
    closed = picture(page)
    assert len(closed.getcolors(10**6) or ()) > 200, "nothing was drawn"
    page.locator("#opened").focus()
    page.keyboard.press("End")
    assert page.locator("#opened-said").inner_text() == "open"
    open_ = picture(page)
    assert changed(closed, open_) > 0.02
    page.keyboard.press("Home")
    assert page.locator("#opened-said").inner_text() == "closed"
    assert changed(closed, picture(page)) < 0.001
    for name in ("lining A", "lining B"):
        page.locator(f"[data-hides='{name}']").focus()
        page.keyboard.press("Space")
    bare = picture(page)
    assert changed(closed, bare) > 0.02
    for name in ("lining A", "lining B"):
        page.locator(f"[data-hides='{name}']").focus()
        page.keyboard.press("Space")
    assert changed(closed, picture(page)) < 0.001


@pytest.mark.browser
def test_it_turns_and_comes_nearer_by_keys_alone(opened: Callable[..., Page]) -> None:
    page = opened()
    seen = [picture(page)]
    buttons = page.locator(".handling button:not([data-do])")
    assert buttons.count() == 10
    for number in range(1, buttons.count()):
        buttons.nth(number).focus()
        page.keyboard.press("Enter")
        seen.append(picture(page))
        assert changed(seen[-2], seen[-1]) > 0.01, buttons.nth(number).inner_text()


@pytest.mark.browser
def test_those_who_want_no_motion_get_none(opened: Callable[..., Page]) -> None:
    page = opened(reduced_motion="reduce")
    page.locator("[data-do=slide]").press("Enter")
    assert page.locator("#opened-said").inner_text() == "open"
    page.locator("[data-do=slide]").press("Enter")
    assert page.locator("#opened-said").inner_text() == "closed"


@pytest.mark.browser
def test_open_and_close_comes_back_to_closed(opened: Callable[..., Page]) -> None:
    page = opened()
    # However few pictures a slow machine draws, the leaf must leave its place and come back to it.
    page.evaluate(
        """() => {
          const said = document.getElementById("opened-said");
          window.seen = [];
          new MutationObserver(() => window.seen.push(said.textContent))
            .observe(said, { childList: true });
        }"""
    )
    page.locator("[data-do=slide]").click()
    page.wait_for_function(
        "() => window.seen.at(-1) === 'closed' && window.seen.some((said) => said !== 'closed')"
    )
    assert page.locator("#opened-said").inner_text() == "closed"


@pytest.mark.browser
@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1280, "light")])
def test_the_page_is_accessible_and_fits(
    opened: Callable[..., Page], width: int, scheme: str
) -> None:
    page = opened(width=width, height=740, color_scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.locator("details.panel summary").last.click()
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("() => axe.run().then((done) => done.violations)")
    assert [(f["id"], [n["html"][:120] for n in f["nodes"]]) for f in found] == []
    small = page.evaluate(
        """() => Array.from(document.querySelectorAll(".handling button, .handling label, .ways a"))
          .filter((one) => one.closest(".takes, .doing, .ways"))
          .filter((one) => one.getBoundingClientRect().height < 47.5).length"""
    )
    assert small == 0


@pytest.mark.browser
def test_without_3d_the_page_says_so_and_keeps_the_words(opened: Callable[..., Page]) -> None:
    page = opened(before="HTMLCanvasElement.prototype.getContext = () => null;")
    page.get_by_text("Every part is listed in words below").wait_for()
    assert page.locator(".handling").is_hidden()
    page.locator("details.panel summary").last.click()
    assert page.get_by_text("closing jamb").first.is_visible()
