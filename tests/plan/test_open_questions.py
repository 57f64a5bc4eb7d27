"""A fixing that does not exist is an open question in the step that needs it, not a blank line."""

from __future__ import annotations

import pytest
from benchmarks.random_jobs import random_job

from truehang import catalogue, demo
from truehang.findings import Severity
from truehang.job import load
from truehang.message import NOTHING
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
        value = told[f"fixings.{choice.row.key}.use"]
        if choice.fastener is None:
            assert str(value).startswith("OPEN QUESTION: ")
            assert "⟨" not in str(value)
            for offer in choice.offers:
                assert str(offer) in str(value)
        else:
            # which of two screws, how many and how long: as the box is named
            assert str(value).startswith(f"{choice.count} × {choice.fastener.name}")
            assert f"{choice.fastener.length:g}" in choice.fastener.name


def test_some_random_job_has_a_fixing_that_does_not_exist() -> None:
    made = [plan(random_job(seed), BOUGHT) for seed in range(1, 25)]
    assert any("OPEN QUESTION" in str(value) for one in made for value in numbers(one).values())


def test_nothing_is_driven_into_a_heated_floor_and_the_step_asks_how_the_base_is_held() -> None:
    heated = FERNHOLLOW.replace("  heated: false", "  heated: true")
    assert heated != FERNHOLLOW
    told = numbers(plan(load(heated), BOUGHT))
    base = {key: value for key, value in told.items() if key.startswith("fixings.base")}
    assert list(base) == ["fixings.base.use"]
    # bonded instead: no open question any more, and no screw
    assert "ADHESIVE, NO SCREW: the floor is heated" in str(base["fixings.base.use"])


# common practice, no source: a screw for timber is never driven into a floor nobody has looked at
@pytest.mark.parametrize(
    "key, before, after",
    [
        ("floor.base", "  base: concrete", "  base: unknown"),
        ("floor.base", "  base: concrete\n", ""),
        ("floor.base", "  base: concrete", "  base: tiles"),
        ("floor.heated", "  heated: false\n", ""),
    ],
)
def test_what_the_base_goes_into_is_asked_for_before_it_is_fixed(
    key: str, before: str, after: str
) -> None:
    text = FERNHOLLOW.replace(before, after)
    assert text != FERNHOLLOW
    made = plan(load(text), BOUGHT)
    (hold,) = [f for f in made.findings if f.where == key]
    assert hold.severity is Severity.HOLD
    step = next(step for step in made.steps if step.key == "fix-frame")
    assert "found out and recorded" in step.hold
    base = {n.key: n.value for n in step.numbers if n.key.startswith("fixings.base")}
    assert list(base) == ["fixings.base.use"]
    assert str(base["fixings.base.use"]).startswith("OPEN QUESTION: ")
    assert made.fixings is not None
    bought = {box.fastener.kind for box in made.fixings.boxes}
    assert not bought & {"base-screw", "masonry-screw"}


def test_a_known_cold_floor_holds_nothing() -> None:
    made = plan(load(FERNHOLLOW), BOUGHT)
    assert not [f for f in made.findings if f.where in ("floor.base", "floor.heated")]
    assert next(step for step in made.steps if step.key == "fix-frame").hold == NOTHING
