"""A plan made with what earlier plans worked out is the plan made from nothing, byte for byte; and
only the rooms that a change reaches work again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from benchmarks.random_jobs import CATALOGUE, random_job

from truehang import demo
from truehang.job import Job, load
from truehang.plain import to_json
from truehang.plan import Store, plan


def another(job: Job, chance: Random) -> Job:
    """The same job with one reading, size or wish changed a little, or back as it was."""
    values = job.model_dump()
    readings = [one for one in values["measure"]["readings"] if "value" in one]
    choice = chance.randrange(4)
    if readings and choice < 2:
        chance.choice(readings)["value"] += chance.choice((0.5, 1.0))
    elif choice == 2:
        values["wall"]["run"] += chance.choice((1.0, 10.0))
    else:
        values["wishes"]["quiet"] = chance.randint(20, 45)
    return Job.model_validate(values)


@pytest.mark.parametrize("seed", range(1, 7))
def test_a_plan_with_what_is_known_is_the_plan_from_nothing(seed: int) -> None:
    chance = Random(seed)
    most = chance.choice((7, 40, 600))
    store, job = Store(most), random_job(seed)
    for _ in range(3):
        assert to_json(plan(job, CATALOGUE, store)) == to_json(plan(job, CATALOGUE))
        assert len(store) <= most
        job = another(job, chance)


def with_value(job: Job, reading: str, more: float) -> Job:
    """The job with so much more (mm) in one of its readings."""
    values = job.model_dump()
    next(one for one in values["measure"]["readings"] if one["id"] == reading)["value"] += more
    return Job.model_validate(values)


def with_wishes(job: Job, wishes: Mapping[str, Any]) -> Job:
    """The job with other wishes."""
    values = job.model_dump()
    values["wishes"].update(wishes)
    return Job.model_validate(values)


SIZED = {"measure", "options", "arrange", "rating", "sound", "lining"}
FERNHOLLOW = load(demo.files("fernhollow")[0][1])


@pytest.mark.parametrize(
    ("job", "works"),
    [
        (FERNHOLLOW, set()),
        (with_wishes(FERNHOLLOW, {"quiet": 44}), set()),
        (with_value(FERNHOLLOW, "thickness-1", 0.5), {"measure"}),
        (with_value(FERNHOLLOW, "width-top", 1.0), SIZED),
    ],
    ids=["nothing", "a wish", "a reading that decides no size", "a width"],
)
def test_only_what_a_change_reaches_is_worked_out_again(job: Job, works: set[str]) -> None:
    store = Store()
    plan(FERNHOLLOW, CATALOGUE, store)
    store.made.clear()
    assert to_json(plan(job, CATALOGUE, store)) == to_json(plan(job, CATALOGUE))
    assert set(store.made) == works


def test_another_catalogue_is_answered_anew() -> None:
    store = Store()
    plan(FERNHOLLOW, CATALOGUE, store)
    store.made.clear()
    heavier = tuple(
        one.model_copy(update={"density": one.density and 2 * one.density})
        for one in CATALOGUE.materials
    )
    other = replace(CATALOGUE, materials=heavier)
    assert to_json(plan(FERNHOLLOW, other, store)) == to_json(plan(FERNHOLLOW, other))
    assert store.made["rating"]
    store.made.clear()
    plan(FERNHOLLOW, replace(other), store)  # an equal one, as a job with its own boards makes it
    assert not store.made
