"""One place says what stands in the way, and everything that is cut from repeats it."""

from __future__ import annotations

import io
import json
import zipfile

import pypdfium2
import pytest

from truehang import catalogue, demo
from truehang.drawing.every import rod_pages, scenes, step_pictures
from truehang.drawing.scene import Scene, Text
from truehang.findings import Finding, Severity
from truehang.job import load
from truehang.pack.make import build
from truehang.plan import Plan, complete, plan, pooled, standing_of

BOUGHT = catalogue.load()

FERNHOLLOW = dict(demo.files("fernhollow"))["fernhollow.yaml"]
MENDED = FERNHOLLOW.replace("at: bottom, value: 3450", "at: bottom, value: 3460")


def found(severity: Severity, where: str = "wall", before: str = "") -> Finding:
    return Finding(severity, where, "what", "mend", "source", before=before)


def test_a_stop_or_a_hold_before_the_order_makes_a_draft() -> None:
    assert standing_of([]).headline == "Nothing stands in the way"
    warned = standing_of([found(Severity.WARN)])
    assert (warned.draft, warned.findings) == (False, ())
    held = standing_of([found(Severity.HOLD), found(Severity.NOTE)])
    assert not held.draft
    assert held.headline.startswith("HOLD: 1 hold stands")
    assert held.stamp == ""
    for grave in (found(Severity.STOP), found(Severity.HOLD, before="order")):
        made = standing_of([found(Severity.WARN), grave])
        assert made.draft
        assert made.stamp == made.headline
        assert made.findings == (grave,)


def test_pooled_findings_say_whose_they_are() -> None:
    stop = found(Severity.STOP)
    one = pooled([("oak", [stop]), ("", [])])
    assert one.findings == (stop,)
    two = pooled([("oak", [stop]), ("elm", []), ("", [found(Severity.HOLD, "cutting")])])
    assert [each.where for each in two.findings] == ["oak: wall", "cutting"]


@pytest.fixture(scope="module")
def drafted() -> Plan:
    return complete(plan(load(FERNHOLLOW), BOUGHT), BOUGHT)


@pytest.fixture(scope="module")
def clean() -> Plan:
    return complete(plan(load(MENDED), BOUGHT), BOUGHT)


def words(scene: Scene) -> str:
    return " ".join(item.text for item in scene.items if isinstance(item, Text))


def test_every_drawing_of_a_draft_says_so(drafted: Plan, clean: Plan) -> None:
    for made, draft in ((drafted, True), (clean, False)):
        drawn = [*scenes(made).values(), *rod_pages(made)]
        assert len(drawn) > 20
        for scene in drawn:
            assert ("DRAFT: 1 stop" in words(scene)) == draft, scene.key


def test_every_file_of_a_pack_says_that_it_is_a_draft(drafted: Plan) -> None:
    files = build(drafted)
    told = json.loads(files["manifest.json"])
    assert told["draft"] is True
    with zipfile.ZipFile(io.BytesIO(files["takeoff-and-rod.xlsx"])) as book:
        assert b"DRAFT: 1 stop" in b"".join(book.read(name) for name in book.namelist())
    drawings = [name for name in files if name.startswith("drawings/")]
    assert len(drawings) > 20
    for name in drawings:
        assert b"DRAFT" in files[name], name
    assert b"DRAFT: 1 stop" in files["model.glb"]
    # The picture of a step is no drawing of its own: each page that may show one says it instead.
    shown = step_pictures(drafted)
    assert len(shown) > 5
    assert not [name for name in drawings for key in shown if f"step-{key}" in name]
    with pypdfium2.PdfDocument(files["site.pdf"]) as site:
        pages = [page.get_textpage().get_text_range() for page in site]
    assert len(pages) > 5
    assert all("DRAFT" in page for page in pages)
