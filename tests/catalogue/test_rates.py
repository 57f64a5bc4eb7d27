"""Are the shipped rates whole, said to be invented, and near the few published ones?

Sources: NAVEDTRA 14045 quoting NAVFAC P-405 (33 man-hours for 1 000 sq ft of 1/2 in board on
studs); Griffith 1916 (brush paint 0.072 and 0.120 h/m2); a 30 cubic yard load of board of
12 000 lb.
"""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from truehang import catalogue
from truehang.catalogue._read import table
from truehang.catalogue.rates import Rates, rates

SQUARE_FEET = 1000 * 0.3048**2
LOAD_KG, LOAD_M3 = 12_000 * 0.45359237, 30 * 0.9144**3


def test_every_region_has_every_rate() -> None:
    regions = {region.id for region in catalogue.load().regions}
    made = rates()
    assert {place.region for place in made.place} == regions
    for place in made.place:
        assert {task.crew for task in made.task} <= set(place.hour)
    for one in (*made.good, *made.allowance, *made.plant):
        assert set(one.price) == regions, one.id


def test_what_is_not_published_is_said_to_be_invented() -> None:
    made = rates()
    for one in (*made.task, *made.good, *made.allowance, *made.plant, *made.place, *made.supplier):
        assert one.source == "invented"
    assert all("invented" not in one.source for one in (*made.published, *made.waste))


def test_hours_of_lining_hold_the_published_one() -> None:
    low, _, high = next(task.hours for task in rates().task if task.id == "line")
    assert low < 33 / SQUARE_FEET < high
    told = next(one for one in rates().published if one.task == "line")
    assert told.low == pytest.approx(33 / SQUARE_FEET, abs=0.0005)


def test_hours_of_painting_hold_the_published_ones() -> None:
    low, _, high = next(task.hours for task in rates().task if task.id == "paint-walls")
    assert low < 0.072 + 0.120 < high


def test_a_load_of_board_weighs_what_one_weighed() -> None:
    board = next(one for one in rates().waste if one.id == "board")
    assert pytest.approx(board.loose[0], abs=1) == LOAD_KG / LOAD_M3


@pytest.mark.parametrize(
    ("kind", "field", "value", "said"),
    [
        ("task", "hours", [-1, 0, 1], "not below zero"),
        ("task", "hours", [1, 3, 2], "rise"),
        ("allowance", "price", {"au": [300, 200, 100]}, "rise"),
        ("good", "price", {"au": -5}, "greater than or equal to 0"),
        ("good", "holds", 0, "greater than 0"),
        ("task", "measure", "moons", "Input should be"),
        ("place", "markup", "-0.1", "greater than or equal to 0"),
    ],
)
def test_a_rate_that_can_not_be_right_is_refused(
    kind: str, field: str, value: Any, said: str
) -> None:
    data = table("rates")
    data[kind][0][field] = value
    with pytest.raises(ValidationError, match=said):
        Rates.model_validate(data)


def test_two_tasks_of_one_id_are_refused() -> None:
    data = table("rates")
    data["task"].append(data["task"][0])
    with pytest.raises(ValidationError, match="there are two of that id"):
        Rates.model_validate(data)
