"""What a thumb taps on the number keys is what is entered, wherever the verdict stands by then.

Nothing here asks the page where a key is once a form is open: keys are tapped at the coordinates
that they had at the start, as a thumb does that knows its keys. Heights are those of common phones
with the browser's own bars on (common practice, no source); the least target is 44 px (WCAG 2.2,
success criterion 2.5.5, level AAA; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import httpx
import pytest
import yaml
from playwright.sync_api import Browser, Page, expect

from truehang import demo
from truehang.job import starter

SIZES = ((360, 640, "light"), (390, 664, "dark"), (412, 732, "light"), (390, 844, "dark"))
FORMS = {
    "size": ("new-width-middle", "width-bottom", "height-left", "new-diagonal-rising"),
    "shape": ("new-plumb-left", "new-level-head", "new-bow-base", "new-square-top-left"),
    "place": ("new-mark-top-left", "new-clear-left", "new-run"),
    "wall": ("new-thickness", "new-face-A"),
    "ceiling": ("new-ceiling",),
}
"""A form of each kind of reading, and of some that were read before."""

pytestmark = [
    pytest.mark.browser,
    # It is about how pages look and behave: one kind of database is enough.
    pytest.mark.parametrize("new_url", ["sqlite"], indirect=True),
]


@contextmanager
def phone(chromium: Browser, wide: int, high: int, scheme: Any = "light") -> Iterator[Page]:
    context = chromium.new_context(
        viewport={"width": wide, "height": high}, color_scheme=scheme, has_touch=True,
        is_mobile=True, service_workers="block",
    )  # fmt: skip
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()


@pytest.fixture
def measuring(serve: Callable[..., Any]) -> Callable[[str], str]:
    """Serves a job and says where its Measure page is."""
    served = serve(pairing=False)

    def start(text: str) -> str:
        with served.client() as client:
            made = client.post("/api/jobs", json={"text": text}).json()
        return f"{served.url}/jobs/{made['job']}/measure"

    return start


def keys(page: Page, form: str) -> dict[str, tuple[float, float]]:
    """Where the middle of each key is, and of Save; all whole in sight and large enough."""
    found: list[tuple[str, float, float, float, float]] = page.evaluate(
        """form => Array.from(document.querySelectorAll(`#${form} .keys button`), b => {
          const r = b.getBoundingClientRect();
          return [b.dataset.key || "save", r.x, r.y, r.width, r.height]; })""",
        form,
    )
    size = page.viewport_size
    assert size
    for name, x, y, wide, high in found:
        assert x >= 0, (form, name)
        assert y >= 0, (form, name)
        assert x + wide <= size["width"], (form, name)
        assert y + high <= size["height"], (form, name)
        assert min(wide, high) >= 44, (form, name, wide, high)
    return {name: (x + wide / 2, y + high / 2) for name, x, y, wide, high in found}


def tap(page: Page, where: dict[str, tuple[float, float]], text: str) -> None:
    for figure in text:
        page.touchscreen.tap(*where[figure])


def entered(page: Page, form: str) -> str:
    return page.locator(f"#{form} [data-entry]").input_value()


def empty(page: Page, form: str) -> None:
    """The other numbers of the form filled in, and the thumb back at the reading."""
    for field in page.locator(f"#{form} .mainfields input").all():
        field.fill("1200")
    page.locator(f"#{form} [data-entry]").focus()


def typed(page: Page, form: str, *, rest: bool) -> None:
    """2105 with a rest in the midst of it, so that a verdict on 21 comes between the figures."""
    page.evaluate("form => { location.hash = form }", form)
    expect(page.locator(f"#{form}")).to_be_visible()
    where = keys(page, form)
    for one in page.locator(f"#{form} [data-save]").all():
        nearest(page, form, f"[data-put='{one.get_attribute('data-put')}']")
    empty(page, form)
    tap(page, where, "21")
    said = page.locator(f"#{form} .live > *")
    assert said.count() == 0  # nothing yet: there may be more to come
    if rest:
        expect(said.first).to_be_visible()
    tap(page, where, "05")
    assert entered(page, form) == "2105", form
    page.touchscreen.tap(*where["back"])
    assert entered(page, form) == "210"
    if "sign" in where:
        page.touchscreen.tap(*where["sign"])
        assert entered(page, form) == "-210"
    assert keys(page, form) == where


@pytest.mark.parametrize(("wide", "high", "scheme"), SIZES)
def test_the_keys_stay_under_the_thumb(
    chromium: Browser, measuring: Callable[[str], str], wide: int, high: int, scheme: str
) -> None:
    address = measuring(demo.files("fernhollow")[0][1])  # it has a slip: verdicts are long
    with phone(chromium, wide, high, scheme) as page:
        for group, forms in FORMS.items():
            page.goto(f"{address}?group={group}")
            for number, form in enumerate(forms):
                typed(page, f"pad-{form}", rest=number == 0 and (high == 640 or group == "shape"))


def test_the_keys_stay_where_text_is_twice_as_large(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    address = measuring(demo.files("fernhollow")[0][1])
    with phone(chromium, 390, 844) as page:
        for group in ("size", "shape"):
            page.goto(f"{address}?group={group}")
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            typed(page, f"pad-{FORMS[group][1]}", rest=True)


def test_feet_and_inches_have_their_keys_in_sight_too(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    text = starter().replace("print: mm", "print: feet-inches")
    if "feet-inches" not in text:
        text = text.replace("job:\n", "job:\n  print: feet-inches\n", 1)
    with phone(chromium, 360, 640) as page:
        page.goto(measuring(text) + "?group=shape#pad-new-bow-left")
        expect(page.locator("#pad-new-bow-left")).to_be_visible()
        where = keys(page, "pad-new-bow-left")
        empty(page, "pad-new-bow-left")
        for key in ("3", "/", "8", '"', "sign"):
            page.touchscreen.tap(*where[key])
        assert entered(page, "pad-new-bow-left") == '-3/8"'


def test_an_empty_save_says_so_and_an_impossible_number_is_told_at_once(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    with phone(chromium, 360, 640) as page:
        page.goto(measuring(starter()) + "?group=size#pad-new-width-top")
        form = "pad-new-width-top"
        expect(page.locator(f"#{form}")).to_be_visible()
        where = keys(page, form)
        page.touchscreen.tap(*where["save"])
        expect(page.locator(f"#{form} .live")).to_contain_text("Nothing was entered")
        tap(page, where, "99999999")
        said = page.locator(f"#{form} .live").inner_text(timeout=100)
        assert "can't be: at most" in said
        assert keys(page, form) == where


def test_nothing_entered_is_refused_by_the_server_too(
    measuring: Callable[[str], str], chromium: Browser
) -> None:
    address = measuring(starter())
    sent = {"group": "size", "kind": "width", "place": "top", "was": "", "id": "width-top",
            "value": " ", "base": "1", "op": "empty"}  # fmt: skip
    with httpx.Client(timeout=30) as client:
        url = address.split("/jobs/")[0]
        token = client.get(f"{url}/api/session").json()["csrf"]
        answer = client.post(f"{address}/reading", data={**sent, "csrf": token})
    assert answer.status_code == 422
    assert "nothing was entered" in answer.text
    assert 'class="pad open"' in answer.text


READINGS: tuple[tuple[str, str], ...] = (
    ("pad-new-width-top", "3460"), ("pad-new-width-middle", "3458"),
    ("pad-new-width-bottom", "3463"), ("pad-new-height-left", "2105"),
    ("pad-new-height-middle", "2099"), ("pad-new-height-right", "2107"),
    ("pad-new-diagonal-falling", "4050"), ("pad-new-diagonal-rising", "4053"),
    ("pad-new-plumb-left", "3"), ("pad-new-plumb-right", "1"), ("pad-new-bow-left", "2"),
    ("pad-new-bow-right", "0"), ("pad-new-level-head", "4"), ("pad-new-bow-head", "2"),
    ("pad-new-bow-base", "5"), ("pad-new-level-base", "4"), ("pad-new-mark-top-left", "1008"),
    ("pad-new-mark-top-right", "4468"), ("pad-new-mark-bottom-left", "1011"),
)  # fmt: skip


def nearest(page: Page, form: str, selector: str) -> tuple[float, float]:
    """Where the middle of a button of a form is; whole in sight and large enough."""
    box = page.locator(f"#{form} {selector}").bounding_box()
    size = page.viewport_size
    assert box
    assert size
    assert box["x"] >= 0, (form, selector)
    assert box["y"] >= 0, (form, selector)
    assert box["x"] + box["width"] <= size["width"], (form, selector)
    assert box["y"] + box["height"] <= size["height"], (form, selector)
    assert min(box["width"], box["height"]) >= 44, (form, selector, box)
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def read(page: Page, form: str, value: str) -> int:
    """Enter a reading with as few taps as the form lets one, by coordinates; how many."""
    where, taps = keys(page, form), 0
    if page.evaluate("document.activeElement.name") == "over":
        page.touchscreen.tap(*nearest(page, form, "[data-put='2000']"))
        taps += 1
        assert page.locator(f"#{form} [name=over]").input_value() == "2000"
    begun = entered(page, form).rstrip("_")
    if page.locator(f"#{form} [data-save]").count():
        page.touchscreen.tap(*nearest(page, form, f"[data-put='{value}']"))
        return taps + 1
    figures = value.removeprefix(begun) if value.startswith(begun) else value
    tap(page, where, figures)
    assert entered(page, form) == value
    page.touchscreen.tap(*where["save"])
    return taps + len(figures) + 1


def test_nineteen_readings_in_fifty_five_taps(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    """Counted: every figure that is typed, every Save, the first tap and the level's length."""
    blank = yaml.safe_load(starter())
    blank["measure"] = {}
    with phone(chromium, 360, 640) as page:
        address = measuring(yaml.safe_dump(blank))
        page.goto(f"{address}?group=size")
        page.locator('.sketch a[href="#pad-new-width-top"]').click()
        taps, order = 1, list[str]()
        for _ in READINGS:
            expect(page.locator(".pad:target")).to_be_visible()
            form = page.evaluate("document.querySelector('.pad:target').id")
            order.append(form)
            with page.expect_navigation():
                taps += read(page, form, dict(READINGS)[form])
        print(f"{taps} taps for {len(order)} readings")
        assert order == [form for form, _ in READINGS]
        assert taps <= 55
        page.goto(f"{address}?group=size")
        table = page.locator("table.list").text_content() or ""
        for form, value in READINGS:
            assert f"{form.removeprefix('pad-new-')} " in table
            assert value in table


BEGUN = "pad-new-width-middle"


@pytest.fixture
def begun(chromium: Browser, measuring: Callable[[str], str]) -> Iterator[Page]:
    """A form that begins with 34, as the bottom width does."""
    with phone(chromium, 360, 640) as page:
        page.goto(measuring(starter_with_a_width()) + f"?group=size#{BEGUN}")
        expect(page.locator(f"#{BEGUN}")).to_be_visible()
        assert entered(page, BEGUN) == "34__"
        yield page


def starter_with_a_width() -> str:
    job = yaml.safe_load(starter())
    job["measure"] = {"readings": [
        {"id": "width-bottom", "kind": "width", "at": "bottom", "value": 3460}]}  # fmt: skip
    return str(yaml.safe_dump(job))


MEANT = {
    "6": "346_", "61": "3461", "61.5": "3461.5", "3398": "3398", "998": "998", "61<": "346_",
    "6<<": "", "<61": "61", "61<5": "3465",
}  # fmt: skip
"""What is tapped ("<" takes the last figure back) where 34 stands, and what is entered then."""


def test_a_number_that_was_begun_is_what_the_thumb_means(begun: Page) -> None:
    where = keys(begun, BEGUN)
    for taps, stands in MEANT.items():
        begun.evaluate("form => { location.hash = 'tap'; location.hash = form }", BEGUN)
        begun.evaluate("form => document.querySelector(`#${form} [data-entry]`).value = ''", BEGUN)
        begun.evaluate("dispatchEvent(new HashChangeEvent('hashchange'))")
        assert entered(begun, BEGUN) == "34__"
        for figure in taps:
            begun.touchscreen.tap(*where["back" if figure == "<" else figure])
        assert entered(begun, BEGUN) == stands, taps


def test_a_number_that_was_begun_is_never_saved_by_itself(begun: Page) -> None:
    where = keys(begun, BEGUN)
    begun.touchscreen.tap(*where["save"])
    said = begun.locator(f"#{BEGUN} .live")
    expect(said).to_contain_text("Nothing was entered")
    begun.touchscreen.tap(*where["6"])
    begun.touchscreen.tap(*where["save"])
    expect(said).to_contain_text("346_ is not finished")
    begun.wait_for_timeout(900)  # the time after which a verdict is asked for
    expect(said).to_contain_text("346_ is not finished")
    assert begun.url.endswith(f"#{BEGUN}")
    # An instrument types as a keyboard does, over what was begun, and ends with Enter.
    begun.locator(f"#{BEGUN} [data-entry]").select_text()
    with begun.expect_navigation():
        begun.keyboard.type("3458")
        begun.keyboard.press("Enter")
    assert begun.url.partition("#")[2].startswith("pad-new-")
    begun.keyboard.type("3463")
    assert begun.evaluate("document.activeElement.value") == "3463"
    begun.goto(begun.url.partition("#")[0])
    assert "3458" in (begun.locator("table.list").text_content() or "")


def test_every_other_number_has_its_keys_and_enter_goes_on(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    with phone(chromium, 360, 640) as page:
        page.goto(measuring(demo.files("fernhollow")[0][1]) + "/floor")
        fields = page.locator(".field.length input")
        fields.nth(3).tap()
        assert page.evaluate("document.activeElement.inputMode") == "none"
        where = {}
        for key in page.locator(".pagekeys button").all():
            box = key.bounding_box()
            assert box
            assert box["y"] + box["height"] <= 640
            assert min(box["width"], box["height"]) >= 44
            name = key.get_attribute("data-key") or ""
            where[name] = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        name = page.evaluate("document.activeElement.name")
        for key in ("7", ".", "5", "sign", "next"):
            page.touchscreen.tap(*where[key])
        assert page.locator(f"[name='{name}']").input_value() == "-7.5"
        after = page.evaluate("document.activeElement.name")
        assert after != name
        assert page.locator(":focus").bounding_box()["y"] < where["7"][1]  # type: ignore[index]
        page.keyboard.type("12")  # an instrument
        page.keyboard.press("Enter")
        assert page.locator(f"[name='{after}']").input_value() == "12"
        assert page.evaluate("document.activeElement.name") not in (name, after)
        page.touchscreen.tap(*where["done"])
        assert not page.locator(".pagekeys").is_visible()


def test_no_page_is_wider_than_a_narrow_screen(
    chromium: Browser, measuring: Callable[[str], str]
) -> None:
    """195 CSS px: a phone of 390 with all twice as large (WCAG 2.2, 1.4.10 asks for 320)."""
    job = measuring(demo.files("fernhollow")[0][1]).removesuffix("/measure")
    pages = ("", "/measure", "/measure/floor", "/measure/list", "/choose", "/order", "/order/rack",
             "/build/look", "/history")  # fmt: skip
    with phone(chromium, 195, 422) as page:
        for path in pages:
            page.goto(job + path)
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= 195, (path, wide)
