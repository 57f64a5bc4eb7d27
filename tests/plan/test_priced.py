"""What a planned job costs: does all that is in the takeoff get bought, and is what can't be known
said? Demo jobs are invented; sums of their lines are arithmetic."""

from __future__ import annotations

import copy
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
import yaml

from truehang import catalogue, demo
from truehang.catalogue import Catalogue
from truehang.catalogue.rates import PriceOf
from truehang.findings import Finding
from truehang.job import examine
from truehang.plan import plan
from truehang.plan.priced import Priced, priced

BOUGHT = catalogue.load()


@cache
def text(name: str) -> str:
    return demo.files(name)[0][1]


def values(name: str = "millrace-cottage") -> dict[str, Any]:
    made: dict[str, Any] = yaml.safe_load(text(name))
    return copy.deepcopy(made)


def made(given: dict[str, Any], bought: Catalogue = BOUGHT) -> Priced:
    job, problems = examine(yaml.safe_dump(given))
    assert job is not None, problems
    answer = priced(plan(job, bought), bought)
    assert answer is not None
    return answer


@pytest.fixture(scope="module")
def cottage() -> Priced:
    return made(values())


def at(answer: Priced, where: str) -> list[Finding]:
    return [one for one in answer.findings if one.where == where]


@pytest.mark.parametrize("name", ["granary-hall", "quarry-house"])
def test_every_demo_has_a_price(name: str) -> None:
    answer = made(values(name))
    assert answer.cost.total.minor == sum(line.mean for line in answer.cost.lines)
    assert answer.price.gross.minor == sum(stage.due.minor for stage in answer.price.stages)
    assert answer.cost.spread.p50 < answer.cost.spread.p80 < answer.cost.spread.p95
    assert not answer.cost.missing


def test_everything_taken_off_is_bought(cottage: Priced) -> None:
    job, _ = examine(text("millrace-cottage"))
    assert job is not None
    taken = plan(job, BOUGHT).takeoff
    assert taken is not None
    ids = {one.id for one in cottage.goods}
    sold = " ".join(one.id for one in cottage.goods)
    for item in taken.items:
        if item.stock and item.unit == "m" and item.group != "seals":
            assert f"{item.stock} @" in sold, item.key
        elif item.group == "seals":
            assert item.stock in ids
    assert {"adhesive", "tape", "compound", "bead", "paint-wall", "paint-leaf"} <= ids
    assert {"slim-70", "solid-35"} <= ids
    assert all(one.count == int(one.count) > 0 for one in cottage.goods)


def test_your_own_price_goes_before_all(cottage: Priced) -> None:
    given = values()
    given["prices"] |= {"items": {"solid-35": 212.5, "MGP10 35x70": 4.10}, "labour_hour": 70}
    answer = made(given)
    leaf = next(one for one in answer.goods if one.id == "solid-35")
    assert (leaf.each, leaf.invented, leaf.spread) == (21250, False, (1, 1, 1))
    stud = next(one for one in answer.goods if one.id == "MGP10 35x70 @ 3000")
    assert stud.each == 1230
    hang = next(line for line in answer.cost.lines if line.key == "task.hang")
    assert hang.likely == round(70_00 * 0.75)
    assert len(answer.cost.invented) < len(cottage.cost.invented)


def test_a_price_list_with_day_and_supplier() -> None:
    old = PriceOf.model_validate({
        "id": "solid-35", "price": "199.90", "currency": "AUD", "date": "2025-01-01",
        "supplier": "doors", "code": "D-35",
    })  # fmt: skip
    newer = old.model_copy(update={"price": Decimal("205.00"), "date": old.date.replace(month=2)})
    foreign = old.model_copy(update={"id": "slim-70", "currency": "GBP"})
    answer = made(values(), replace(BOUGHT, prices=(newer, old, foreign)))
    leaf = next(one for one in answer.goods if one.id == "solid-35")
    assert (leaf.each, leaf.supplier, leaf.priced_on) == (20500, "doors", "2025-02-01")
    (aged,) = at(answer, "price.dates")
    assert "solid-35" in aged.what
    (left,) = at(answer, "price.currency")
    assert "GBP" in left.what
    assert next(one for one in answer.goods if one.id == "slim-70").invented


def test_a_real_job_is_held_by_what_is_invented(cottage: Priced) -> None:
    (note,) = at(cottage, "price.invented")
    assert note.severity.word == "note"
    given = values()
    given["job"]["invented"] = False
    answer = made(given)
    (hold,) = at(answer, "price.invented")
    assert (hold.severity.word, hold.before) == ("hold", "order")
    assert "Slim kit for 70 studs" in hold.what or "and" in hold.what
    assert answer.standing.draft


def test_another_regions_currency_stops() -> None:
    given = values()
    given["prices"]["currency"] = "GBP"
    answer = made(given)
    (stop,) = at(answer, "prices.currency")
    assert stop.severity.word == "stop"
    assert "GBP" in stop.what
    assert "AUD" in stop.mend
    assert answer.standing.draft


def test_a_region_without_tax_asks_for_it() -> None:
    given = values("granary-hall")
    given["job"]["region"] = "us"
    given["wishes"] |= {"kit": "any", "leaf": {"construction": "any"}}
    given["prices"] = {}
    bare = at(made(given), "prices.tax_percent")
    assert bare
    assert bare[0].before == "order"
    given["prices"] = {"tax_percent": 8.25}
    taxed = made(given)
    assert at(taxed, "prices.tax_percent") == []
    assert taxed.price.taxes[0].rate == Decimal("0.0825")
    assert taxed.cost.currency == "USD"


def test_money_tells_how_much_in_the_units_of_the_job() -> None:
    """By hand: 3.048 m are 10 ft, 9.290304 m2 are 100 ft2, 20 kg are 44 lb (international yard and
    pound, 1959)."""
    there = made(values("juniper-court")).cost.lines
    line = next(one for one in there if one.kind == "labour")
    assert replace(line, quantity=3.048, unit="m").how_much("feet-inches").startswith("10")
    assert replace(line, quantity=9.290304, unit="m²").how_much("feet-inches").startswith("100")
    assert replace(line, quantity=3.048, unit="m").how_much("mm") == "3.05 m"
    assert replace(line, quantity=2.0, unit="job").how_much("feet-inches") == "2 × job"
    sold = {one.unit for one in there if one.kind == "goods"}
    assert "bag of 44 lb" in sold
    assert not [unit for unit in sold if unit.endswith((" kg", " m²", " m2", " m"))]


def test_what_was_found_has_its_allowance(cottage: Priced) -> None:
    lines = {line.key: line for line in cottage.price.allowances}
    assert lines["allowance.electrician"].because
    assert "switch-hall" in lines["allowance.electrician"].because
    assert "sink-water" in lines["allowance.plumber"].because
    given = values()
    given["wall"]["services"] = []
    assert "allowance.plumber" not in {line.key for line in made(given).price.allowances}


def test_an_old_building_has_its_test_and_a_new_one_none() -> None:
    given = values("quarry-house")
    given["wall"]["built"] = 1950
    assert "allowance.hazard-test" in {line.key for line in made(given).price.allowances}
    given["wall"]["built"] = 2015
    assert "allowance.hazard-test" not in {line.key for line in made(given).price.allowances}


def test_travel_that_nobody_said_is_not_priced_in_silence(cottage: Priced) -> None:
    given = values()
    given["site"].pop("travel", None)
    bare = made(given)
    assert bare.cost.of("travel").minor == 0
    assert at(bare, "site.travel")
    given["site"]["travel"] = 40
    far = made(given)
    assert far.cost.of("travel").minor > 0
    assert at(far, "site.travel") == []


def test_painting_may_be_left_out(cottage: Priced) -> None:
    given = values()
    given["prices"]["paint"] = False
    answer = made(given)
    assert not [one for one in answer.goods if one.id.startswith("paint")]
    assert answer.price.net.minor < cottage.price.net.minor


def test_margin_goes_before_markup_and_both_are_told() -> None:
    given = values()
    given["prices"] |= {"margin_percent": 25, "risk": "mean"}
    answer = made(given)
    assert at(answer, "prices.markup_percent")
    assert answer.price.net.minor == pytest.approx(answer.cost.total.minor / 0.75, abs=20)


def test_a_margin_of_all_of_the_price_and_negative_rates_are_refused() -> None:
    for key, value in (("margin_percent", 100), ("labour_hour", -1), ("markup_percent", -5)):
        given = values()
        given["prices"][key] = value
        job, problems = examine(yaml.safe_dump(given))
        assert job is None
        assert any(problem.field == f"prices.{key}" and problem.mend for problem in problems), key


def test_payments_that_are_more_than_the_price_stop() -> None:
    given = values()
    given["prices"] |= {"deposit_percent": 30, "stages": [{"name": "lined", "percent": 80}]}
    answer = made(given)
    (stop,) = at(answer, "prices.stages")
    assert "110.0%" in stop.what
    given["prices"]["stages"] = [{"name": "lined", "percent": 50}]
    shares = [stage.gross.minor for stage in made(given).price.stages]
    assert len(shares) == 3
    assert shares[0] / sum(shares) == pytest.approx(0.3, abs=1e-3)


def test_a_task_without_hours_is_named() -> None:
    given = values()
    rates = BOUGHT.rates
    place = rates.place[0].model_copy(update={"hour": {"carpenter": 8500}})
    answer = made(
        given,
        replace(BOUGHT, rates=rates.model_copy(update={"place": (place, *rates.place[1:])})),
    )
    assert [one.where for one in answer.cost.findings] == [
        "price.task.paint-walls", "price.task.paint-leaves",
    ]  # fmt: skip
    assert "painter" in answer.cost.findings[0].mend
    assert answer.standing.draft


def test_rubbish_has_mass_and_volume() -> None:
    board = next(one for one in made(values("quarry-house")).thrown if one.kind == "timber")
    assert board.mass / board.most == pytest.approx(158)
    assert board.mass / board.least == pytest.approx(237)


@pytest.mark.parametrize(
    ("state", "percent", "warned"),
    [("NSW", 11, True), ("NSW", 10, False), ("WA", 7, True), ("Qld", 15, True), ("SA", 50, False)],
)
def test_deposits_of_the_place(state: str, percent: int, warned: bool) -> None:
    """As restated (check current law): NSW 10 %, WA 6.5 % from $7 500, Qld 10 % under $20 000."""
    given = values("quarry-house")
    given["prices"] = {"deposit_percent": percent, "state": state}
    answer = made(given)
    found = [one for one in answer.findings if one.where.startswith("place.au-deposit")]
    assert bool(found) == warned
    for one in found:
        assert one.severity.word == "warn"
        assert "check current law" in one.mend
        assert "captured 2026-11-26" in one.mend


def test_rules_of_the_place_are_told_with_their_day() -> None:
    found = [one for one in made(values("granary-hall")).findings if "place." in one.where]
    assert {one.where for one in found} >= {"place.uk-cooling", "place.uk-invoice"}
    assert all("check current law" in one.mend for one in found)
    assert not [one for one in found if one.where.startswith("place.au")]
