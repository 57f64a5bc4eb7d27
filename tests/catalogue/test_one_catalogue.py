"""There is one catalogue, and it is handed in: does anything read data past it?"""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

import truehang
from truehang import catalogue, demo
from truehang.catalogue import Catalogue
from truehang.job import load
from truehang.plan import Plan, complete, plan

HOUSE = Path(truehang.__file__).parent
_read = importlib.import_module("truehang.catalogue._read")
READS_ITS_OWN = {"steps/order.py", "plan/programme_tasks.py"}
"""Data that is no part of the catalogue: the order of the steps, and of a programme's tasks."""


def outside() -> Iterator[tuple[str, ast.Module]]:
    """Every module of the house but the catalogue's own."""
    for path in sorted(HOUSE.rglob("*.py")):
        name = path.relative_to(HOUSE).as_posix()
        if not name.startswith("catalogue/"):
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def test_the_rooms_take_kinds_from_the_catalogue_never_what_reads_it() -> None:
    found = []
    for name, tree in outside():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(
                "truehang.catalogue"
            ):
                module = importlib.import_module(str(node.module))
                for alias in node.names:
                    thing = getattr(module, alias.name)
                    if hasattr(thing, "cache_clear") or node.module == _read.__name__:
                        found.append((name, node.module, alias.name))
    assert found == []


def test_no_other_room_reads_tables_of_its_own() -> None:
    found = {
        name
        for name, tree in outside()
        for node in ast.walk(tree)
        if isinstance(node, ast.Import) and any(alias.name == "tomllib" for alias in node.names)
    }
    assert found <= READS_ITS_OWN


@pytest.fixture
def closed(monkeypatch: pytest.MonkeyPatch) -> Catalogue:
    """The catalogue, after which no table can be read any more."""
    made = catalogue.load()

    def shut(name: str) -> str:
        raise AssertionError(f"{name} was read past the catalogue")

    readers = [
        thing
        for path in (HOUSE / "catalogue").glob("*.py")
        for module in [importlib.import_module(f"truehang.catalogue.{path.stem}")]
        for thing in vars(module).values()
        if hasattr(thing, "cache_clear") and thing is not _read.text
    ]
    assert len(readers) > 8
    for reader in readers:
        reader.cache_clear()
    monkeypatch.setattr(_read, "text", shut)
    monkeypatch.setattr(catalogue, "_shipped", lambda: shut("everything"))
    return made


def job() -> bytes:
    return dict(demo.files("quarry-house"))["quarry-house.yaml"].encode()


def whole(made: Catalogue) -> Plan:
    return complete(plan(load(job(), made), made), made)


def test_a_plan_with_its_boards_and_cuts_reads_nothing_but_the_catalogue(closed: Catalogue) -> None:
    assert whole(closed).cutting is not None
    assert whole(closed).lining


def test_what_is_in_the_catalogue_is_what_is_bought(closed: Catalogue) -> None:
    """Twice the price a metre and an m2 in the object that is handed in: twice the total."""
    dear = replace(
        closed,
        mouldings=tuple(
            m.model_copy(update={"price_per_metre": 2 * m.price_per_metre})
            for m in closed.mouldings
        ),
        timber_sections=tuple(
            s.model_copy(update={"price_per_metre": 2 * s.price_per_metre})
            for s in closed.timber_sections
        ),
        boards=tuple(
            b.model_copy(update={"price_minor": 2 * (b.price_minor or 0)}) for b in closed.boards
        ),
    )
    once, twice = whole(closed), whole(dear)
    assert once.cutting is not None
    assert twice.cutting is not None
    assert once.cutting.total is not None
    assert twice.cutting.total is not None
    # a length costs its metres rounded to the cent: half a cent off for each length at most
    lengths = len(once.cutting.lines)
    assert abs(twice.cutting.total.minor - 2 * once.cutting.total.minor) <= lengths
    # dearer boards are worth more joints, so other boards may be bought: each at its own price
    prices = {board.code: board.price_minor for board in dear.boards}
    for one in twice.lining:
        assert one.total is not None
        assert [row.price.minor for row in one.boards] == [prices[row.board] for row in one.boards]
        assert one.total.minor == sum(prices[row.board] * row.count for row in one.boards)
