"""What can be planned and is yet hard to believe is asked about. Common practice, no source."""

from __future__ import annotations

import pytest

from truehang import catalogue
from truehang.job import check, dump, load, starter
from truehang.plan import plan

BOUGHT = catalogue.load()
LINE = "    - {id: outlet-1, kind: outlet, x: 310, z: 300, face: A, runs: up}"


def doubted(services: str) -> list[str]:
    text = starter().replace(LINE, services)
    assert text != starter() or services == LINE
    assert check(text) == []
    assert check(dump(load(text))) == []  # what is doubted is no dead end
    found = plan(load(text), BOUGHT).findings
    return [one.where.rpartition(".")[2] for one in found if "centimetres" in one.what]


@pytest.mark.parametrize(
    ("kind", "x", "z", "asked"),
    [
        ("outlet", 310, 300, False), ("outlet", 31, 30, True), ("outlet", 310, 90, False),
        ("switch", 310, 1100, False), ("switch", 31, 110, True), ("water", 1800, 40, False),
        ("light", 310, 205, True),
    ],
)  # fmt: skip
def test_a_place_in_centimetres_is_asked_about(kind: str, x: int, z: int, asked: bool) -> None:
    line = f"    - {{id: one, kind: {kind}, x: {x}, z: {z}, face: A, runs: none}}"
    assert doubted(line) == (["one"] if asked else [])


def test_services_all_near_the_datum_and_the_floor_look_like_centimetres() -> None:
    both = (
        "    - {id: tap, kind: water, x: 182, z: 43, face: inside, runs: up}\n"
        "    - {id: drain, kind: waste, x: 205, z: 38, face: inside, runs: down}"
    )
    assert doubted(both) == ["tap", "drain"]
    assert doubted(both.replace("x: 205", "x: 2050")) == []
