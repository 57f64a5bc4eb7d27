"""Cutting, boards and the rack in the app: forms in, pieces kept, and nothing counted twice."""

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser

from truehang import demo
from truehang.job import load
from truehang.store import Store, change_rack, rack

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
DEMO = demo.files("fernhollow")[0][1].replace("at: bottom, value: 3450", "at: bottom, value: 3460")
TWIN = DEMO.replace("name: fernhollow", "name: twin", 1)


class Order:
    """The order pages of one job, as a browser without script uses them."""

    def __init__(self, client: httpx.Client, store: Store, text: str) -> None:
        self.client, self.store = client, store
        self.id = store.create(load(text), "a test").job
        self.path = f"/jobs/{self.id}/order"

    def get(self, page: str, status: int = 200) -> str:
        answer = self.client.get(self.path + page)
        assert answer.status_code == status, answer.text[:800]
        return html.unescape(answer.text)

    def post(self, page: str, status: int = 200, seen: int | None = None, **fields: str) -> str:
        version = rack(self.store).version if seen is None else seen
        answer = self.client.post(
            self.path + page, data={"seen": str(version), **fields}, follow_redirects=True
        )
        assert answer.status_code == status, answer.text[:3000]
        return html.unescape(answer.text)


@pytest.fixture
def order(serve: Any) -> Any:
    """A job in a fresh store."""
    served = serve(pairing=False)
    with served.client() as client:
        yield Order(client, served.store, DEMO)


def held(order: Order) -> dict[str, str]:
    return {piece.id: piece.held_by for piece in rack(order.store).pieces}


def test_the_lists_are_there_with_their_counts(order: Order) -> None:
    page = order.get("")
    assert '<h2 id="tk">Lists</h2>' in page
    for name in ("Cutting", "Boards", "Rack"):
        assert f'/order/{name.lower()}">{name}</a>' in page


def test_cutting_says_what_to_buy_how_good_it_is_and_draws_each_length(order: Order) -> None:
    page = order.get("/cutting")
    assert "Proved: no cutting plan has less cost." in page
    assert "MGP12 45x90" in page
    assert "<svg" in page
    assert "Begin the rack" in page


def test_a_piece_is_kept_for_one_job_and_counted_once_when_it_is_sawn(order: Order) -> None:
    page = order.post("/rack/put", section="MGP12 45x90", length="3500", count="2")
    assert "What hangs there: 2" in page
    page = order.get("/cutting")
    assert "This plan uses R1, R2" in page
    page = order.post("/cutting/hold")
    assert "Kept for this job: R1, R2" in page
    assert held(order) == {"R1": order.id, "R2": order.id}
    other = Order(order.client, order.store, TWIN)
    assert "takes nothing from the rack" in other.get("/cutting")
    page = other.post("/rack/take", 409, piece="R1")
    assert "R1 is held by fernhollow" in page
    seen = rack(order.store).version
    page = order.post("/cutting/done", seen=seen)
    assert "Sawn and counted: fernhollow" in page
    after = rack(order.store)
    assert {gone.id for gone in after.gone} == {"R1", "R2"}
    order.post("/cutting/done", 409, seen=seen)
    page = order.post("/cutting/done", 409)
    assert "fernhollow has been settled already" in page
    assert rack(order.store) == after


def test_jobs_are_cut_together_and_hold_together(order: Order) -> None:
    other = Order(order.client, order.store, TWIN)
    order.post("/rack/put", section="MGP12 45x90", length="3500", count="4")
    both = f"?with.{other.id}=yes"
    page = order.get(f"/cutting{both}")
    assert "Cut together: 2 jobs" in page
    assert "This plan uses R1, R2, R3, R4" in page
    assert re.search(r"twin: \w", page)
    page = order.post("/cutting/hold", **{f"with.{other.id}": "yes"})
    assert "Kept for these jobs" in page
    assert set(held(order).values()) == {" + ".join(sorted([order.id, other.id]))}
    assert "takes nothing from the rack" in order.get("/cutting")
    page = order.post("/rack/release", who=" + ".join(sorted([order.id, other.id])))
    assert "Kept for" not in re.sub(r"<th.*?</th>", "", page)
    assert set(held(order).values()) == {""}


def test_two_jobs_of_one_name_are_not_mixed_up(order: Order) -> None:
    other = Order(order.client, order.store, DEMO)
    page = order.get(f"/cutting?with.{other.id}=yes", 409)
    assert "two of those ticked are called fernhollow" in page


def test_the_rack_begins_with_the_offcuts_of_the_job_once(order: Order) -> None:
    listed = sum(one.count for one in load(DEMO).offcuts if one.width is None)
    assert listed
    assert f"What hangs there: {listed}" in order.post("/rack/begin")
    order.post("/rack/begin", 409)
    assert len(rack(order.store).pieces) == listed


def test_what_is_sent_twice_hangs_there_once(order: Order) -> None:
    order.post("/rack/put", seen=0, section="MGP12 45x90", length="1.2 m", **{"from": "a shed"})
    page = order.post("/rack/put", 409, seen=0, section="MGP12 45x90", length="1.2 m")
    assert "read it again" in page
    (piece,) = rack(order.store).pieces
    assert (piece.length_mm, piece.came_from) == (1200.0, "a shed")
    assert "What hangs there: 0" in order.post("/rack/take", piece="R1")
    assert "left the rack already" in order.post("/rack/take", 409, piece="R1")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"section": "gold"}, "section: 'gold' is not in the catalogue"),
        ({"length": "long"}, "length: "),
        ({"length": "0"}, "is not a length"),
        ({"count": "0"}, "give 1 to 50"),
        ({"count": "1e9"}, "give 1 to 50"),
        ({"seen": ""}, "load the page again"),
    ],
)
def test_what_is_wrong_is_said_and_changes_nothing(
    order: Order, fields: dict[str, str], said: str
) -> None:
    good = {"seen": "0", "section": "MGP12 45x90", "length": "1200", "count": "1"}
    answer = order.client.post(f"{order.path}/rack/put", data=good | fields)
    assert answer.status_code == 409
    assert said in html.unescape(answer.text)
    assert rack(order.store).pieces == ()


def test_boards_are_listed_piece_by_piece_and_drawn(order: Order) -> None:
    page = order.get("/boards")
    assert "Boards to buy" in page
    for side in ("Side A", "Side B"):
        assert side in page
    assert page.count("<svg") > 2
    assert "Behind the pocket no screw longer than" in page


@pytest.mark.browser
@pytest.mark.parametrize("size", [(390, 844), (1366, 900)])
def test_the_pages_read_well_on_phone_and_desk(
    order: Order, chromium: Browser, size: tuple[int, int]
) -> None:
    change_rack(order.store, lambda r: r.put([("MGP12 45x90", 3500.0), ("MGP12 45x90", 900.0)]))
    change_rack(order.store, lambda r: r.hold(["R1"], order.id))
    Order(order.client, order.store, TWIN)
    context = chromium.new_context(
        viewport={"width": size[0], "height": size[1]}, service_workers="block"
    )
    page = context.new_page()
    for name in ("/cutting", "/boards", "/rack"):
        page.goto(f"{order.client.base_url}{order.path}{name}".replace("//jobs", "/jobs"))
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, f"{name} is {wide} px too wide"
        small = page.evaluate(
            """[...document.querySelectorAll(`main button, main .tabs a, main summary, main select,
            main input:not([type=hidden]):not([type=checkbox])`)]
            .filter(e => e.offsetHeight && e.offsetHeight < 47.5)
            .map(e => e.outerHTML.slice(0, 80) + e.offsetHeight)"""
        )
        assert not small, name
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate(
            """() => axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa",
            "wcag22aa", "best-practice"], resultTypes: ["violations"]}).then(r =>
            r.violations.map(v => [v.id, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)
            + " | " + n.failureSummary.slice(0, 240))]))"""
        )
        assert not found, f"{name}: {found}"
    context.close()
