"""A catalogue of one's own: is it laid over the shipped one by id, is everything wrong named with
line, field, value and mend, and is a price list read whole or not at all? Data are invented."""

from __future__ import annotations

import datetime
import time
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from truehang import catalogue
from truehang.catalogue import CatalogueError
from truehang.catalogue.pricelist import Remembered, as_file, read_list
from truehang.cli import app
from truehang.cli.catalogue import names

SHIPPED = catalogue.load()
MINE = """
never = ["leaf hollow-35"]

[[kit]]
id = "mine-90"
like = "timber-90"
name = "mine"
price_single_minor = 39900

[[leaf]]
id = "solid-35"
price_minor_per_m2 = 15000

[[task]]
id = "hang"
hours = [0.5, 0.6, 1.0]

[[place]]
region = "au"
hour = { carpenter = 9000, painter = 7500 }

[[price]]
id = "MGP10 45x90"
price = "6.10"
currency = "AUD"
date = 2026-10-01
supplier = "yard"
"""


def own(folder: Path, text: str = MINE, name: str = "own.toml") -> catalogue.Catalogue:
    (folder / name).write_text(text, encoding="utf-8")
    return catalogue.load(folder / name)


def test_it_is_laid_over_what_ships_by_id(tmp_path: Path) -> None:
    made = own(tmp_path)
    kit, base = made.kits[-1], SHIPPED.kits[0]
    assert (kit.id, kit.name, kit.price_single_minor) == ("mine-90", "mine", 39900)
    assert (kit.tail, kit.price_pair_minor) == (base.tail, base.price_pair_minor)
    leaf = next(one for one in made.leaves if one.id == "solid-35")
    before = next(one for one in SHIPPED.leaves if one.id == "solid-35")
    assert leaf.price_minor_per_m2 == 15000
    assert leaf.width == before.width
    assert [one.id for one in made.leaves] == [
        one.id for one in SHIPPED.leaves if one.id != "hollow-35"
    ]
    assert next(t for t in made.rates.task if t.id == "hang").hours == (0.5, 0.6, 1.0)
    place = made.rates.at("au")
    assert place is not None
    assert place.hour["carpenter"] == 9000
    assert place.deposit == Decimal("0.10")
    assert made.prices[0].minor == 610
    assert made.own == {
        "kit mine-90", "leaf solid-35", "task hang", "place au", "price MGP10 45x90",
    }  # fmt: skip


def test_what_is_another_in_a_region_stays_so_but_for_what_is_given(tmp_path: Path) -> None:
    made = own(tmp_path)
    us = made.region("us")
    here, before = made.leaf_in(us, "solid-35"), SHIPPED.leaf_in(us, "solid-35")
    assert here.price_minor_per_m2 == 15000
    assert (here.thickness, here.stock) == (before.thickness, before.stock)


def test_only_what_gives_money_stops_being_invented(tmp_path: Path) -> None:
    made = own(tmp_path, '[[leaf]]\nid = "solid-35"\nlead_time_days = 3\n')
    assert made.own == frozenset()


def test_a_folder_is_read_whole(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('[[task]]\nid = "hang"\nhours = [1, 2, 3]\n')
    (tmp_path / "b.yaml").write_text("task:\n  - {id: line, hours: [0.3, 0.4, 0.5]}\n")
    made = catalogue.load(tmp_path)
    assert {"task hang", "task line"} == made.own
    (tmp_path / "b.yaml").write_text("task:\n  - {id: hang, hours: [0.3, 0.4, 0.5]}\n")
    with pytest.raises(CatalogueError, match=r"b\.yaml: line 2: .*twice, first in a\.toml: line 2"):
        catalogue.load(tmp_path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[task]]\nid = "hang"\n\nhours = [3, 2, 1]\n', "line 4: task hang: hours: .*rise"),
        ('[[task]]\nid = "hang"\nhours = [-1, 2, 3]\n', "line 3: task hang: hours: .*below zero"),
        ('[[good]]\nid = "tape"\nprice = { au = -1 }\n', "line 3: good tape: price.au: -1 must"),
        ('[[price]]\nid = "x"\nprice = "-1"\n', "line 3: price x: price: '-1' must"),
        ('[[leaf]]\nid = "a"\nlike = "solid-3"\n', "line 3: leaf a: like: .*did you mean 'solid"),
        ('[[task]]\nid = "hang"\nhous = [1, 2, 3]\n', "hous: unknown key; did you mean 'hours'"),
        ('never = ["kit slim-71"]\n', "never: 'kit slim-71' is not there; did you mean 'kit slim"),
        ('never = ["slim-70"]\n', "write what it is and its id"),
        ('never = ["moulding rib 16x42"]\n', "site-built: no batten 16 x 42 is sold in AUD"),
    ],
)
def test_what_is_wrong_names_line_field_value_and_mend(
    tmp_path: Path, text: str, said: str
) -> None:
    with pytest.raises(CatalogueError, match=said):
        own(tmp_path, text)


def test_a_kit_is_tried_over_its_whole_range(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(
        '[[kit]]\nid = "mine"\nlike = "timber-90"\narrangements = ["single"]\n'
    )
    result = CliRunner().invoke(app, ["catalogue", "check", str(tmp_path / "own.toml")])
    assert result.exit_code == 0, result.output
    assert result.stdout.count("can be planned") == 4
    (tmp_path / "own.toml").write_text(
        '[[kit]]\nid = "mine"\nlike = "timber-90"\narrangements = ["single"]\n'
        "leaf_width = { least = 500.0, most = 4000.0 }\n"
    )
    result = CliRunner().invoke(app, ["catalogue", "check", str(tmp_path / "own.toml")])
    assert result.exit_code == 3
    assert "single with leaves 4000 x 1900: NOT planned: " in result.stdout


# ---------------------------------------------------------------- price lists

ALL = tuple(names(SHIPPED))


def listed(folder: Path, text: str, name: str = "list.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_list_is_matched_and_the_rest_is_named(tmp_path: Path) -> None:
    path = listed(tmp_path, 'Item;Each\nD-35;"1.204,50"\nsolid-40;$99\nZZ;1\n')
    said = Remembered(codes={"d-35": "solid-35"})
    made = read_list(path, ALL, said)
    assert {row.id: str(row.price) for row in made.rows} == {
        "solid-35": "1204.50", "solid-40": "99.00",
    }  # fmt: skip
    assert made.unmatched == ((4, "ZZ"),)
    assert made.columns == {"code": "Item", "price": "Each"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Item,Price,Price\nsolid-35,1,2\n", "two columns are called 'Price'"),
        ("Item,Cost\nsolid-35,1\n", "which column is the price.*Item, Cost.*--columns"),
        ("Item,Price\nsolid-35,-4\n", "line 2: Price: '-4' is below zero"),
        ("Item,Price\nsolid-35,call us\n", "line 2: Price: 'call us' is no price"),
        ("Item,Price\nsolid-35,4\nsolid-35,5\n", "line 3: solid-35 has two prices, 4.00 on line 2"),
        ('Item,Price\n"solid-35,4\n', "not CSV"),
        ("", "which column"),
    ],
)
def test_nothing_is_half_imported(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(CatalogueError, match=said):
        read_list(listed(tmp_path, text), ALL, Remembered())
    into = tmp_path / "own"
    result = CliRunner().invoke(app, [
        "catalogue", "import", str(tmp_path / "list.csv"), "--into", str(into),
        "--supplier", "yard", "--date", "2026-11-01", "--currency", "AUD",
    ])  # fmt: skip
    assert result.exit_code == 3
    assert not into.exists()


def test_columns_and_codes_are_said_once(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (("What", "Net ex works"), ("D 35", 212.5), ("unknown", 1)):
        sheet.append(row)
    book.save(tmp_path / "list.xlsx")
    into = tmp_path / "own"
    base = [
        "catalogue", "import", str(tmp_path / "list.xlsx"), "--into", str(into),
        "--supplier", "Doors & Co", "--date", "2026-11-01", "--currency", "AUD",
    ]  # fmt: skip
    asked = CliRunner().invoke(app, base)
    assert asked.exit_code == 3
    said = ["--columns", "code=What,price=Net ex works", "--match", "D 35=solid-35"]
    first = CliRunner().invoke(app, [*base, *said])
    assert first.exit_code == 0, first.output
    assert "not matched, line 3: unknown" in first.stdout
    again = CliRunner().invoke(app, base)
    assert again.exit_code == 0, again.output
    (price,) = catalogue.load(into).prices
    assert (price.id, price.minor, price.supplier) == ("solid-35", 21250, "Doors & Co")
    assert (price.date, price.code) == (datetime.date(2026, 11, 1), "D 35")


def test_a_list_of_twenty_thousand_lines_is_read_with_progress(tmp_path: Path) -> None:
    """The aim is 3 s on an idle machine (make bench); here only that it does not creep."""
    rows = [f"C{number},{number % 90}.50" for number in range(20_000)]
    path = listed(tmp_path, "\n".join(["code,price", *rows, "solid-35,200"]))
    seen: list[int] = []
    begun = time.process_time()
    made = read_list(path, ALL, Remembered(), seen.append)
    assert time.process_time() - begun < 3
    assert len(made.unmatched) == 20_000
    assert len(seen) == 10
    assert b"200.00" in as_file(made, "yard", "AUD", datetime.date(2026, 1, 1))
