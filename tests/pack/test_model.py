"""Does a file's name decide which model is written, and is a wrong one said plainly?"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from pygltflib import GLTF2
from typer.testing import CliRunner

from truehang import catalogue, demo
from truehang.cli import app
from truehang.job import load
from truehang.pack.ifc import NothingToModel
from truehang.pack.model import UnknownEnding, gltf, model
from truehang.plan import Plan, plan


@cache
def cottage() -> Plan:
    return plan(load(dict(demo.files("quarry-house"))["quarry-house.yaml"]), catalogue.load())


def test_the_ending_decides_the_kind() -> None:
    assert model(cottage(), "wall.GLB").startswith(b"glTF")
    assert model(cottage(), "a.b.ifc").startswith(b"ISO-10303-21;")


@pytest.mark.parametrize("name", ["wall", "wall.obj", "glb", "wall.glb.zip"])
def test_another_ending_is_refused_with_the_mend(name: str) -> None:
    with pytest.raises(UnknownEnding, match=r"\.glb or \.ifc"):
        model(cottage(), name)


def test_the_model_says_which_plan_it_shows() -> None:
    read = GLTF2.load_from_bytes(gltf(cottage()))
    about = cottage().job.job
    assert read.nodes[0].name == f"{about.name}, revision {about.revision}"
    assert read.asset.extras["hash"] == cottage().digest
    assert read.asset.extras["note"] == "Invented data."


def test_where_nothing_fits_there_is_no_model() -> None:
    job = cottage().job
    wishes = job.wishes.model_copy(update={"clear_width": 3000.0})
    with pytest.raises(NothingToModel):
        gltf(plan(job.model_copy(update={"wishes": wishes}), catalogue.load()))


def test_the_command_writes_either_and_refuses_another(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(dict(demo.files("quarry-house"))["quarry-house.yaml"], encoding="utf-8")
    for name in ("wall.glb", "wall.ifc"):
        done = CliRunner().invoke(app, ["model", str(job), "-o", str(tmp_path / name)])
        assert done.exit_code == 0, done.output
        assert (tmp_path / name).read_bytes() == model(cottage(), name)
    done = CliRunner().invoke(app, ["model", str(job), "-o", str(tmp_path / "wall.obj")])
    assert done.exit_code == 2
    assert not (tmp_path / "wall.obj").exists()
