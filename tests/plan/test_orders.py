"""Is everything that is bought ordered once, from one supplier, and only when it may be? The demo
jobs are invented; counts are held against the takeoff's own goods."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any

import pytest
import yaml

from truehang import catalogue, demo
from truehang.job import examine
from truehang.ordering import SupplierOrder
from truehang.plan import Plan, plan
from truehang.plan.orders import orders
from truehang.plan.priced import Priced, priced

BOUGHT = catalogue.load()


@cache
def money(invented: bool = True, items: bool = False) -> tuple[Plan, Priced]:
    given: dict[str, Any] = yaml.safe_load(demo.files("millrace-cottage")[0][1])
    given["job"]["invented"] = invented
    if items:
        given["prices"]["items"] = {"solid-35": 215, "adhesive": 9}
    job, problems = examine(yaml.safe_dump(given))
    assert job is not None, problems
    made = plan(job, BOUGHT)
    answer = priced(made, BOUGHT)
    assert answer is not None
    return made, answer


def asked(signed: bool, **which: bool) -> dict[str, SupplierOrder]:
    made, answer = money(**which)
    return {one.supplier: one for one in orders(made, answer, BOUGHT, signed=signed)}


def test_everything_is_ordered_once() -> None:
    made = asked(True)
    ordered = Counter(line.key for order in made.values() for line in order.lines)
    _, answer = money()
    assert ordered == Counter(one.key for one in answer.goods)
    assert set(made) == {"frames", "timber", "boards", "fixings", "paint"}
    assert sum(order.total for order in made.values()) == sum(
        one.count * (one.each or 0) for one in answer.goods
    )
    assert all(order.released for order in made.values())


def test_what_is_made_to_size_waits_for_signed_sizes() -> None:
    made = asked(False)
    assert not made["frames"].released
    (held,) = made["frames"].findings
    assert "the sizes are not signed" in held.what
    assert "sign them" in held.mend
    assert made["timber"].released
    sized = [line for line in made["frames"].lines if line.size]
    assert {line.id for line in sized} == {"slim-70", "solid-35"}
    assert all(line.drawing for line in sized)


def test_nothing_invented_is_ordered_for_a_real_job() -> None:
    made = asked(True, invented=False, items=True)
    assert [line.id for line in made["frames"].lines] == ["solid-35"]
    assert "Slim kit" in "; ".join(made["frames"].left_out)
    assert not made["frames"].released
    assert "still invented" in made["frames"].findings[-1].what
    assert [line.id for line in made["boards"].lines] == ["adhesive"]
    assert made["timber"].lines == ()
    assert not made["timber"].released


@pytest.mark.parametrize("signed", [True, False])
def test_a_draft_releases_nothing(signed: bool) -> None:
    job, _ = examine(demo.files("fernhollow")[0][1])  # its slip is a stop
    assert job is not None
    made = plan(job, BOUGHT)
    answer = priced(made, BOUGHT)
    assert answer is not None
    for order in orders(made, answer, BOUGHT, signed=signed):
        assert not order.released
        assert str(order.findings[0].what).startswith("DRAFT")
