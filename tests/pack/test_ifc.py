"""Is the building model valid IFC 4 (ISO 16739-1), and does it say what the plan says?

Checked with ifcopenshell: the schema and its where rules by its validator, shapes by its geometry
kernel (Open CASCADE), which reads the file from scratch.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.guid
import ifcopenshell.util.element
import ifcopenshell.util.shape
import ifcopenshell.util.unit
import ifcopenshell.validate
import pytest

from truehang import catalogue, demo
from truehang.drawing.solid import solids
from truehang.job import Job, load
from truehang.pack import ifc as module
from truehang.pack.ifc import IfcMissing, NothingToModel, ifc
from truehang.plan import Plan, plan

DEMOS = {
    "fernhollow": ("fernhollow", "DOUBLE_DOOR_SLIDING"),
    "quarry-house": ("quarry-house", "SLIDING_TO_LEFT"),
    "granary-hall": ("granary-hall", "DOUBLE_DOOR_SLIDING"),
    "juniper-court": ("juniper-court", "SLIDING_TO_LEFT"),
    "millrace-cottage": ("millrace-cottage", "SLIDING_TO_LEFT"),
    "tannery-g06": ("tannery-lofts", "SLIDING_TO_RIGHT"),
}


def job_of(name: str) -> Job:
    return load(dict(demo.files(DEMOS[name][0]))[f"{name}.yaml"])


@cache
def planned(name: str) -> Plan:
    return plan(job_of(name), catalogue.load())


@cache
def model(name: str) -> Any:
    return ifcopenshell.file.from_string(ifc(planned(name)).decode("ascii"))


def faults(name: str, rules: bool) -> list[str]:
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(model(name), log, express_rules=rules)
    return [str(statement) for statement in log.statements]


@pytest.mark.parametrize("name", DEMOS)
def test_the_file_is_valid_by_the_schema(name: str) -> None:
    assert faults(name, rules=False) == []


def test_the_file_keeps_the_where_rules() -> None:
    assert faults("quarry-house", rules=True) == []


def test_the_validator_sees_a_broken_file() -> None:
    broken = ifcopenshell.file.from_string(ifc(planned("quarry-house")).decode("ascii"))
    broken.by_type("IfcDoor")[0].GlobalId = "not an id"
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(broken, log)
    assert log.statements


@pytest.mark.parametrize("name", DEMOS)
def test_the_door_fills_the_opening_of_the_wall_and_slides(name: str) -> None:
    made = planned(name).arrangement
    assert made is not None
    (wall,), (door,) = model(name).by_type("IfcWall"), model(name).by_type("IfcDoor")
    (opening,) = [rel.RelatedOpeningElement for rel in wall.HasOpenings]
    assert [rel.RelatedBuildingElement for rel in opening.HasFillings] == [door]
    assert door.OperationType == DEMOS[name][1]
    (kind,) = [rel.RelatingType for rel in door.IsTypedBy]
    assert kind.OperationType == door.OperationType
    assert [panel.PanelOperation for panel in kind.HasPropertySets] == ["SLIDING"] * len(
        made.leaves
    )
    assert door.OverallWidth == pytest.approx(made.opening.length)
    assert door.OverallHeight == pytest.approx(made.heights.clear_head - made.heights.floor_high)
    assert ifcopenshell.util.unit.calculate_unit_scale(model(name)) == pytest.approx(1e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_every_part_has_its_size_and_place(name: str) -> None:
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    elements = {element.Name: element for element in model(name).by_type("IfcElement")}
    parts = [part for part in solids(planned(name)) if part.group not in ("linings", "leaves")]
    for part in parts:
        shape = ifcopenshell.geom.create_shape(settings, elements[part.name])
        volume = ifcopenshell.util.shape.get_volume(shape.geometry)
        expected = sum(
            (b.x1 - b.x0) * (b.y1 - b.y0) * (sum(b.top) - sum(b.bottom)) / 2 for b in part.blocks
        )
        assert volume * 1e9 == pytest.approx(expected, rel=1e-4), part.name
        low, high = ifcopenshell.util.shape.get_bbox(
            ifcopenshell.util.shape.get_vertices(shape.geometry)
        )
        blocks = part.blocks
        assert [v * 1000 for v in low] == pytest.approx(
            [
                min(b.x0 for b in blocks),
                min(b.y0 for b in blocks),
                min(z for b in blocks for z in b.bottom),
            ],
            abs=0.01,
        )
        assert [v * 1000 for v in high] == pytest.approx(
            [
                max(b.x1 for b in blocks),
                max(b.y1 for b in blocks),
                max(z for b in blocks for z in b.top),
            ],
            abs=0.01,
        )


@pytest.mark.parametrize("name", DEMOS)
def test_the_opening_takes_out_of_the_wall_what_the_lining_leaves_out(name: str) -> None:
    settings = ifcopenshell.geom.settings()
    shape = ifcopenshell.geom.create_shape(settings, model(name).by_type("IfcWall")[0])
    volume = ifcopenshell.util.shape.get_volume(shape.geometry)
    linings = sum(
        (b.x1 - b.x0) * (b.y1 - b.y0) * (b.top[0] - b.bottom[0])
        for part in solids(planned(name))
        if part.group == "linings"
        for b in part.blocks
    )
    assert volume * 1e9 == pytest.approx(linings, rel=1e-4)


def test_the_leaves_hang_closed_where_the_plan_says() -> None:
    made = planned("quarry-house").arrangement
    assert made is not None
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    door = model("quarry-house").by_type("IfcDoor")[0]
    shape = ifcopenshell.geom.create_shape(settings, door)
    low, high = ifcopenshell.util.shape.get_bbox(
        ifcopenshell.util.shape.get_vertices(shape.geometry)
    )
    leaf = made.leaves[0]
    assert low[0] * 1000 == pytest.approx(leaf.closed.low, abs=0.01)
    assert high[0] * 1000 == pytest.approx(leaf.closed.high, abs=0.01)
    assert low[2] * 1000 == pytest.approx(leaf.bottom, abs=0.01)


def test_property_sets_carry_job_revision_hash_and_sizes() -> None:
    made = planned("fernhollow")
    door = model("fernhollow").by_type("IfcDoor")[0]
    sets = ifcopenshell.util.element.get_psets(door)
    assert sets["Truehang_Job"]["Job"] == "fernhollow"
    assert sets["Truehang_Job"]["Revision"] == made.job.job.revision
    assert sets["Truehang_Job"]["Digest"] == made.digest
    assert sets["Truehang_Job"]["InventedData"] is True
    for key in ("fit.leaf_width", "fit.leaf_height", "fit.rough_width", "fit.leaf_mass"):
        assert sets["Truehang_Sizes"][key] == pytest.approx(made.figures[key].value)
    wall = ifcopenshell.util.element.get_psets(model("fernhollow").by_type("IfcWall")[0])
    assert wall["Truehang_Load"]["StateOfTheWall"] == made.bearing.state.value


def test_the_same_plan_gives_the_same_bytes_and_ids() -> None:
    again = ifc(plan(job_of("quarry-house"), catalogue.load()))
    assert again == ifc(planned("quarry-house"))
    roots = model("quarry-house").by_type("IfcRoot")
    ids = [root.GlobalId for root in roots]
    assert len(set(ids)) == len(ids)
    assert all(ifcopenshell.guid.compress(ifcopenshell.guid.expand(one)) == one for one in ids)


def test_the_time_in_the_header_is_the_day_of_issue() -> None:
    issued = planned("quarry-house").job.job.issued.isoformat()
    assert model("quarry-house").header.file_name.time_stamp == f"{issued}T00:00:00"


def test_another_revision_has_other_ids_and_any_title_is_carried() -> None:
    job = job_of("quarry-house")
    about = job.job.model_copy(update={"title": "Tür „Süd“ – 門", "revision": 2})
    other = ifc(plan(job.model_copy(update={"job": about}), catalogue.load()))
    read = ifcopenshell.file.from_string(other.decode("ascii"))
    assert read.by_type("IfcProject")[0].LongName == "Tür „Süd“ – 門"
    assert (
        read.by_type("IfcProject")[0].GlobalId
        != model("quarry-house").by_type("IfcProject")[0].GlobalId
    )


def test_without_the_extra_the_message_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "available", lambda: False)
    with pytest.raises(IfcMissing, match=r"truehang\[ifc\]"):
        ifc(planned("quarry-house"))


def test_where_nothing_fits_there_is_nothing_to_export() -> None:
    job = job_of("quarry-house")
    wishes = job.wishes.model_copy(update={"clear_width": 3000.0})
    with pytest.raises(NothingToModel, match="nothing fits"):
        ifc(plan(job.model_copy(update={"wishes": wishes}), catalogue.load()))
