"""A fixing that does not exist is an open question in the step that needs it, not a blank line."""

from __future__ import annotations

import pytest
from benchmarks.random_jobs import random_job

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()
FERNHOLLOW = dict(demo.files("fernhollow"))["fernhollow.yaml"]


def numbers(made: Plan) -> dict[str, str | float]:
    return {number.key: number.value for step in made.steps for number in step.numbers}


@pytest.mark.parametrize("seed", range(1, 25))
def test_each_row_of_fixings_has_its_length_or_its_question_in_a_step(seed: int) -> None:
    made = plan(random_job(seed), BOUGHT)
    told = numbers(made)
    for choice in made.fixings.choices if made.fixings else ():
        value = told[f"fixings.{choice.row.key}.length"]
        if choice.fastener is None:
            assert str(value).startswith("OPEN QUESTION: ")
            assert "⟨" not in str(value)
            for offer in choice.offers:
                assert offer in str(value)
        else:
            assert value == choice.fastener.length


def test_some_random_job_has_a_fixing_that_does_not_exist() -> None:
    made = [plan(random_job(seed), BOUGHT) for seed in range(1, 25)]
    assert any("OPEN QUESTION" in str(value) for one in made for value in numbers(one).values())


def test_nothing_is_driven_into_a_heated_floor_and_the_step_asks_how_the_base_is_held() -> None:
    heated = FERNHOLLOW.replace("  heated: false", "  heated: true")
    assert heated != FERNHOLLOW
    told = numbers(plan(load(heated), BOUGHT))
    base = {key: value for key, value in told.items() if key.startswith("fixings.base")}
    assert list(base) == ["fixings.base.length"]
    assert "OPEN QUESTION: the floor is heated" in str(base["fixings.base.length"])
