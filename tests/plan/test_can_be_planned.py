"""Is every job that the check lets through one that can be planned? A job file that is valid but
strange must end in findings, never in an error: the check may not say that nothing is wrong with a
job that stops the plan.

Nothing outside the project is compared; the jobs are the invented starter and demo, changed.
"""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from typer.testing import CliRunner

from truehang import catalogue, demo
from truehang.catalogue.kits import Range, SuitedWall
from truehang.cli import app
from truehang.job import Job, examine, load, starter
from truehang.job.file import plain
from truehang.plan import complete, plan

BOUGHT = catalogue.load()
JOBS = {
    "starter": plain(load(starter()).model_dump()),
    "quarry-house": plain(load(demo.files("quarry-house")[0][1]).model_dump()),
}
CHOICES = (
    "any", "none", "unknown", "fill-opening", "new-opening", "new-wall", "pair", "single-left",
    "across", "along", "steel", "timber", "nothing", "lintel", "beam", "concrete", "region",
)  # fmt: skip
TIMES = (0, 0.1, 0.5, 0.8, 1.2, 1.5, 2, 3, -1)


@pytest.mark.parametrize("region", ["au", "nz", "uk", "us"])
@pytest.mark.parametrize(
    "studs", [{"width": 120}, {"width": 60}, {"depth": 34}, {"depth": 140, "width": 90}]
)
def test_studs_of_any_size_can_be_planned(region: str, studs: dict[str, float]) -> None:
    """New ones are of a size that is sold in the region, whatever the old ones are."""
    made = complete(plan(_with_studs(region, studs), BOUGHT), BOUGHT)
    sold = {one.code: one for one in BOUGHT.timber_in(BOUGHT.region(region)).sections}
    new = [one for one in made.members if one.role in ("jamb stud", "infill stud")]
    assert bool(new) == (studs.get("depth") != 34)  # no kit goes into a wall of 34
    assert all(one.section[0] == pytest.approx(sold[one.stock].breadth, abs=1e-6) for one in new)


@pytest.mark.parametrize("region", ["au", "nz", "uk", "us"])
def test_studs_wider_than_the_infill_pack_it_solid(region: str) -> None:
    """Where 125 is sold it is wider than the infill that the starter leaves: that is packed solid
    with one ripped."""
    usual = BOUGHT.timber_in(BOUGHT.region(region)).sawn[0]
    wide = usual.model_copy(update={"code": "wide", "breadth": 125.0, "depth": 90.0})
    bought = replace(BOUGHT, timber_sections=(*BOUGHT.timber_sections, wide))
    made = complete(plan(_with_studs(region, {"width": 125}), bought), bought)
    assert made.takeoff is not None
    ripped = [one for one in made.takeoff.items if "packs a narrow infill" in one.label]
    assert sum(one.count for one in ripped) == 2
    assert all(one.rip and one.rip < 125 for one in ripped)


def _with_studs(region: str, studs: dict[str, float]) -> Job:
    """The starter in this region, with old studs of this size."""
    values = deepcopy(JOBS["starter"])
    values["job"]["region"] = region
    values["wall"]["make_up"]["studs"] |= studs
    read = values["measure"]["readings"]  # that the wall measures otherwise is told by itself
    values["measure"]["readings"] = [one for one in read if one["kind"] != "thickness"]
    job, problems = examine(json.dumps(values))
    assert job is not None, problems
    return job


@pytest.mark.parametrize("region", ["au", "nz", "uk", "us"])
def test_a_wall_thinner_than_any_timber_that_is_sold_can_be_planned(region: str) -> None:
    """An own kit for a glass leaf in studs of 30: no head goes in there, and that is said."""
    usual = next(kit for kit in BOUGHT.kits_in(BOUGHT.region(region)) if kit.id == "timber-90")
    thin = usual.model_copy(
        update={
            "id": "thin",
            "walls": (SuitedWall(stud=30, rib=6),),
            "leaf_thickness": Range(least=8, most=12),
            "air_least": 3.0,
        }
    )
    values = deepcopy(JOBS["starter"])
    values["job"]["region"] = region
    values["wall"]["make_up"]["studs"]["depth"] = 30
    values["wishes"] |= {"kit": "thin", "leaf": {"construction": "glass-10"}}
    values["wall"]["over"] = {"kind": "nothing"}
    read = values["measure"]["readings"]
    values["measure"]["readings"] = [one for one in read if one["kind"] != "thickness"]
    bought = replace(BOUGHT, kits=(*BOUGHT.kits, thin))
    job, problems = examine(json.dumps(values), bought)
    assert job is not None, problems
    made = complete(plan(job, bought), bought)
    assert made.arrangement is not None
    assert made.track_head is None
    assert any("no sawn" in finding.what for finding in made.findings)


def _values(node: Any, path: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    if isinstance(node, dict | list):
        items = node.items() if isinstance(node, dict) else enumerate(node)
        return [found for key, value in items for found in _values(value, (*path, key))]
    return [(path, node)]


def changed(chance: Random) -> dict[str, Any]:
    """One of the jobs with one to three of its values changed or left out."""
    values = deepcopy(chance.choice(list(JOBS.values())))
    for _ in range(chance.randint(1, 3)):
        path, old = chance.choice(_values(values))
        parent = values
        for key in path[:-1]:
            parent = parent[key]
        if isinstance(old, bool):
            parent[path[-1]] = not old
        elif isinstance(old, int | float):
            parent[path[-1]] = round(old * chance.choice(TIMES), 1)
        elif isinstance(old, str) and chance.random() < 0.8:
            parent[path[-1]] = chance.choice(CHOICES)
        else:
            del parent[path[-1]]
    return values


@pytest.mark.parametrize("seed", range(3))
def test_what_the_check_lets_through_can_be_planned(seed: int) -> None:
    chance, planned = Random(seed), 0
    while planned < 8:
        values = changed(chance)
        job, _ = examine(json.dumps(values))
        if job is not None:
            plan(job, BOUGHT)
            planned += 1


def test_the_check_says_what_a_plan_would_meet(tmp_path: Any) -> None:
    """A job in which nothing fits is valid by itself; the check says that it can't be planned."""
    values = deepcopy(JOBS["starter"])
    values["wishes"]["kit"] = "no-such-kit"
    (tmp_path / "job.yaml").write_text(json.dumps(values), encoding="utf-8")
    told = CliRunner().invoke(app, ["check", str(tmp_path / "job.yaml")])
    assert told.exit_code == 1
    assert "no-such-kit" in told.output
