"""Mends work: each value that a mend states, put in, makes its finding go (a small sample of
`python -m benchmarks.trust mends`)."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from benchmarks.random_jobs import random_job
from benchmarks.trust.mends import tried

from truehang import catalogue, demo
from truehang.findings import Change, Finding
from truehang.job import Job, NoSuchPlace, changed, load, starter
from truehang.job.file import plain
from truehang.plan import plan

BOUGHT = catalogue.load()


@pytest.mark.parametrize("seed", Random(14).sample(range(3001, 9000), 24))
def test_the_mends_of_a_random_job_work(seed: int) -> None:
    for one in tried(seed, random_job(seed)):
        assert not one.trouble, (one.finding.where, one.finding.mend, one.finding.changes)


def wished(**wishes: Any) -> Job:
    """The starter, a new opening, with other wishes."""
    values = dict(plain(load(starter()).model_dump()))
    values["wall"] |= {"situation": "new-opening", "services": [], "obstacles": []}
    values["measure"]["readings"] = []
    values["wishes"] |= {"arrangement": "any", "clear_width": None, "place": None} | wishes
    return Job.model_validate(values)


ASKS: dict[str, dict[str, Any]] = {
    "too wide": {"clear_width": 5000},
    "too high": {"clear_height": 4000},
    "too wide and too high": {"clear_width": 5000, "clear_height": 4000},
    "no such kit": {"kit": "none-such"},
    "no such leaf": {"leaf": {"construction": "none-such"}},
    "too thick for its kit": {"kit": "slim-70", "leaf": {"construction": "timber-40"}},
    "no leaf of it": {"leaf": {"thickness": 57}},
    "another leaf than its thickness": {"leaf": {"construction": "solid-40", "thickness": 35}},
    "handle over the leaf": {"handle_height": 2150},
}


@pytest.mark.parametrize("name", ASKS)
def test_what_can_not_be_had_has_a_mend_that_works(name: str) -> None:
    job = wished(**ASKS[name])
    found = list(tried(0, job))
    assert found, [(f.where, f.mend) for f in plan(job, BOUGHT).findings]
    for one in found:
        assert not one.trouble, (one.finding.where, one.finding.mend, one.finding.changes)


def test_no_leaf_outside_the_kits_own_range_is_told_of() -> None:
    """A 70 wall with a 40 leaf: the kit takes 33 to 36, so no other thickness may be named."""
    made = plan(wished(), BOUGHT)
    kits = {kit.id: kit for kit in BOUGHT.kits}
    thin = [one for one in made.options.refusals if one.binding == "wall thickness"]
    assert thin
    for one in thin:
        assert "or thinner" not in one.mend
        limits = kits[one.kit_id].leaf_thickness
        if "take a leaf of" in one.mend:
            assert f"{limits.least:g} mm" in one.mend


def test_a_change_is_put_where_it_says() -> None:
    job = load(dict(demo.files("fernhollow"))["fernhollow.yaml"])
    service = job.wall.services[0].id
    mended = changed(
        job, (Change("wishes.clear_width", 900.0), Change(f"wall.services.{service}.x", 12.0))
    )
    assert mended.wishes.clear_width == 900
    assert mended.wall.services[0].x == 12
    assert changed(job, ()) == job
    for path in ("wishes.clear_widht", "wall.services.nobody.x", "nothing"):
        with pytest.raises(NoSuchPlace, match="no place"):
            changed(job, (Change(path, 1.0),))


def test_every_change_of_the_demos_names_a_place() -> None:
    for name in demo.names():
        for _, text in demo.files(name)[:3]:
            job = load(text)
            stated: list[Finding] = [f for f in plan(job, BOUGHT).findings if f.changes]
            for finding in stated:
                changed(job, finding.changes)
