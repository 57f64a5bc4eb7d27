"""Old materials are in the catalogue, and one that is not is added in the job file.

Mass: kg of a square metre as weighed (the job's own). What holds a screw is common practice, no
source.
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.swaps import planned, values

from truehang import catalogue
from truehang.job import Job, check, dump
from truehang.plan.own_materials import with_own

SHIPPED = catalogue.load()
CANE = {"id": "cane-board", "name": "cane fibre board", "thickness": 12.0, "mass": 4.5,
        "holds": "board"}  # fmt: skip


def job(material: str = "cane-board", thickness: float = 12.0, **own: Any) -> dict[str, Any]:
    made = values()
    made["materials"] = [{**CANE, **own}]
    made["wall"]["make_up"]["face_b"] = [{"material": material, "thickness": thickness}]
    made["wishes"]["lining"] = {}
    return made


@pytest.mark.parametrize(
    ("key", "fixing"),
    [
        ("lath-plaster", "plaster"), ("fibrous-plaster", "plaster"), ("brick-veneer", "masonry"),
        ("block-skin", "masonry"), ("tongue-and-groove", "wood"), ("ceramic-tile", "nothing"),
        ("plasterboard", "board"), ("pine", "wood"), ("glass", "nothing"),
    ],
)  # fmt: skip
def test_each_says_what_can_be_fixed_into_it(key: str, fixing: str) -> None:
    (one,) = [m for m in SHIPPED.materials if m.key == key]
    assert one.fixing == fixing


def test_one_of_ones_own_is_as_heavy_as_it_was_weighed() -> None:
    whole = with_own(SHIPPED, Job.model_validate(job()))
    (own,) = [m for m in whole.materials if m.key == "cane-board"]
    assert own.surface_density(12.0) == 4.5
    assert own.density == pytest.approx(375.0)  # 4.5 / 0.012
    assert with_own(SHIPPED, Job.model_validate(values())) is SHIPPED


def test_it_is_planned_heard_and_named_like_any_other() -> None:
    made = planned(job())
    assert made.sound is not None
    told = " ".join(str(line) for step in made.steps for line in step.do)
    assert "cane fibre board" in told
    heavy = planned(job(mass=20.0))
    assert heavy.sound is not None
    assert heavy.sound.after.rating.rw >= made.sound.after.rating.rw


def said(given: dict[str, Any]) -> list[str]:
    return [f"{p.field}: {p.what}" for p in check(dump(Job.model_validate(given)))]


def test_bad_ones_are_told_by_field() -> None:
    assert said(job()) == []
    assert any("make_up.face_b[0].thickness" in one and "weighed 12" in one
               for one in said(job(thickness=10.0)))  # fmt: skip
    twice = job()
    twice["materials"].append(dict(CANE))
    assert any("materials[1].id" in one and "used twice" in one for one in said(twice))
    taken = said(job(material="plasterboard", thickness=10.0, id="plasterboard"))
    assert any("materials[0].id" in one and "catalogue has" in one for one in taken)
    unknown = job(material="cane-bord")
    assert any("no such material" in one for one in said(unknown))
