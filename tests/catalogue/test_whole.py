"""A region is whole, or there is no catalogue: is everything that is missing named?"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import truehang
from truehang import catalogue
from truehang.catalogue import CatalogueError
from truehang.catalogue.regions import WORDS, profile

SHIPPED = catalogue.load()
HOUSE = Path(truehang.__file__).parent
TEXT = (HOUSE / "catalogue/data/regions/nz.toml").read_text(encoding="utf-8")
NZ = SHIPPED.region("nz")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('currency = "NZD"\n', "", "region nz.toml: currency: missing; add it"),
        ('currency = "NZD"', 'currency = "dollar"', "region nz.toml: currency: "),
        ('noggin = "nog"\n', "", "region nz.toml: words: no word for noggin"),
        ('noggin = "nog"', 'noggin = " "', "region nz.toml: words: no word for noggin"),
        ('tap = "tap"', 'tap = "tap"\nspout = "tap"', "spout: nothing asks for that word"),
        ('rate = "0.15"\n', "", "region nz.toml: tax.rate: missing; add it"),
        ('rate = "0.15"', 'rate = "15"', "region nz.toml: tax.rate: "),
        ('id = "nz"', 'id = "nz', "region nz.toml: not TOML"),
        ('board_rule = "as-nzs-2589"\n', "", "region nz.toml: board_rule: missing; add it"),
    ],
)
def test_a_profile_that_is_not_whole_is_refused(old: str, new: str, said: str) -> None:
    assert TEXT.count(old) == 1
    with pytest.raises(CatalogueError) as wrong:
        profile("nz.toml", TEXT.replace(old, new))
    assert said in str(wrong.value)


def test_all_that_a_profile_lacks_is_told_at_once() -> None:
    with pytest.raises(CatalogueError) as wrong:
        profile("zz.toml", 'id = "zz"\nname = "Z"\n[words]\ntap = "tap"\n')
    told = str(wrong.value).splitlines()
    assert len(told) >= 8
    assert f"no word for {WORDS[0]}" in str(wrong.value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"access_rules": "nz-1"}, "region nz: there is no access rule set 'nz-1'; known: us-2010"),
        ({"timber_code": "NZS 1"}, "region nz: there is no timber code 'NZS 1'"),
        ({"board_rule": "nz"}, "region nz: there is no board rule 'nz'"),
        ({"nailing_rule": "nz"}, "region nz: there is no nailing rule 'nz'"),
        ({"id": "au"}, "region au: there are 2 of that name"),
        ({"currency": "SEK"}, "region nz: no sawn timber of NZS AS 1720.1 is sold in SEK"),
        ({"currency": "SEK"}, "region nz: no architrave is sold in SEK"),
        ({"currency": "SEK"}, "region nz: no lining board is sold in SEK"),
    ],
)
def test_a_region_that_leans_on_what_is_not_there_is_refused(
    change: dict[str, str], said: str
) -> None:
    wrong = tuple(r.model_copy(update=change) if r is NZ else r for r in SHIPPED.regions)
    with pytest.raises(CatalogueError) as refused:
        replace(SHIPPED, regions=wrong)
    assert said in str(refused.value)


@pytest.mark.parametrize("kind", sorted({one.kind for one in SHIPPED.mouldings}))
def test_every_kind_of_moulding_must_be_sold(kind: str) -> None:
    left = tuple(m for m in SHIPPED.mouldings if m.kind != kind or m.currency != "NZD")
    with pytest.raises(CatalogueError, match=f"region nz: no {kind} is sold in NZD"):
        replace(SHIPPED, mouldings=left)


def test_what_tables_lean_on_must_be_there() -> None:
    section = SHIPPED.timber_sections[0].model_copy(update={"code": "x", "grade": "oak"})
    with pytest.raises(CatalogueError, match="section x: there is no grade 'oak'"):
        replace(SHIPPED, timber_sections=(*SHIPPED.timber_sections, section))
    grade = SHIPPED.timber_grades[0].model_copy(update={"code": "x", "design_code": "mine"})
    with pytest.raises(CatalogueError, match="grade x: there is no timber code 'mine'"):
        replace(SHIPPED, timber_grades=(*SHIPPED.timber_grades, grade))
    board = SHIPPED.boards[0].model_copy(update={"code": "x", "material": "straw"})
    with pytest.raises(CatalogueError, match="board x: there is no material 'straw'"):
        replace(SHIPPED, boards=(*SHIPPED.boards, board))
    glazed = next(leaf for leaf in SHIPPED.leaves if leaf.glazing)
    pane = glazed.glazing.model_copy(update={"glass": "ice"})
    leaf = glazed.model_copy(update={"id": "x", "glazing": pane})
    with pytest.raises(CatalogueError, match="leaf x: there is no glass 'ice'; known: glass, "):
        replace(SHIPPED, leaves=(*SHIPPED.leaves, leaf))
    with pytest.raises(CatalogueError, match="seal brush: there are 2 of that name"):
        replace(SHIPPED, seals=(*SHIPPED.seals, SHIPPED.seals[0]))


def test_no_line_of_code_names_the_region_that_was_added_as_data() -> None:
    """The sign of a currency is the one thing that is known of money anywhere."""
    names = ("new zealand", '"nz"', "'nz'", "nzs ", "nz-4121", "sg8")
    found = [
        (path.relative_to(HOUSE).as_posix(), name)
        for path in HOUSE.rglob("*")
        if path.suffix in {".py", ".html", ".js", ".typ"} and "static/vendor" not in str(path)
        for name in names
        if name in path.read_text(encoding="utf-8").lower()
    ]
    assert found == []
