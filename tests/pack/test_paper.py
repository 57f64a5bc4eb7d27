"""Does the printed pack answer what a builder asks at each step? Which sheets to open, a board
behind every screw, and one count of them. Invented jobs; common practice, no source."""

from __future__ import annotations

import re

import pytest

from truehang import catalogue, demo
from truehang.job import load
from truehang.pack.content import Section, Step, Text
from truehang.pack.printing import Printing
from truehang.pack.sections import build, lining, makers
from truehang.plan import Plan, complete, plan


class NoDrawings:
    """An album without pictures: what is printed in words is looked at."""

    def printed(self, *_: object) -> tuple[()]:
        return ()

    def only(self, *_: object) -> tuple[()]:
        return ()

    def picture(self, *_: object) -> None:
        return None


@pytest.fixture(scope="module", params=["mm", "feet-inches"])
def made(request: pytest.FixtureRequest) -> tuple[Plan, Printing]:
    text = dict(demo.files("quarry-house"))["quarry-house.yaml"]
    if request.param != "mm":
        text = text.replace("  region: au\n", "  region: au\n  print: feet-inches\n")
    bought = catalogue.load()
    one = complete(plan(load(text), bought), bought)
    return one, Printing(one.style, one.words)


def sections(made: tuple[Plan, Printing]) -> tuple[Section, ...]:
    album = NoDrawings()
    site, office = (
        [s for section in makers(part) for s in section(*made, album)]  # type: ignore[arg-type]
        for part in ("site", "office")
    )
    there = {one.heading: f"{at} {one.heading} (office)" for at, one in enumerate(office, start=1)}
    return build.numbered(site, there)


def test_a_step_names_only_sheets_that_are_there(made: tuple[Plan, Printing]) -> None:
    every = sections(made)
    numbered = {f"{at} {one.heading}" for at, one in enumerate(every, start=1)}
    numbered |= {"4 Structure (office)", "3 Structure (office)"}
    steps = [block for one in every for block in one.blocks if isinstance(block, Step)]
    named = {sheet for step in steps for sheet in step.sheets}
    assert named
    assert named <= numbered
    for key in ("Assemble the frame", "Line with short screws", "Level the base"):
        assert next(step for step in steps if step.title.startswith(key)).pieces
    texts = [text for step in steps for text in (*step.doing, *step.cautions, *step.pouch)]
    for text in texts:
        assert not re.search(r"\bsheets? on\b", text), text


def test_every_screw_of_the_lining_goes_into_a_board(made: tuple[Plan, Printing]) -> None:
    """Its place is inside one of the boards laid on its face, by the lining's own layout."""
    one, _ = made
    assert one.fixings is not None
    for choice in one.fixings.choices:
        if not choice.row.key.startswith("lining-"):
            continue
        face = choice.row.key[-1].upper()
        pieces = [p for made_ in one.lining for f in made_.faces for p in f.pieces
                  if p.id.startswith(face)]  # fmt: skip
        assert pieces
        for x, z in choice.row.places:
            assert any(p.x0_mm <= x <= p.x1_mm and p.z0_mm <= z <= p.z1_mm for p in pieces), (x, z)


def test_the_screws_are_counted_on_one_page_only(made: tuple[Plan, Printing]) -> None:
    one, printing = made
    (section,) = lining.section(one, printing, NoDrawings())  # type: ignore[arg-type]
    texts = [block.text for block in section.blocks if isinstance(block, Text)]
    assert not any(re.search(r"\d+ screws", text) for text in texts)
    if printing.style != "mm":
        assert not any(re.search(r"\d m\b|m²", text) for text in texts), "metres among feet"
