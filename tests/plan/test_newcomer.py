"""Is a room with its page a folder and one line? The one that docs/house/room.md shows is put into
a copy of the program as it is written there, and asked at the prompt, in the pack and in the app.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from truehang import demo

ROOT = Path(__file__).parents[2]
_BLOCK = re.compile(r"^```\w+ file=(\S+)\n(.*?)^```", re.MULTILINE | re.DOTALL)
ASK = """
import json, sys
from pathlib import Path
from starlette.testclient import TestClient
from typer.testing import CliRunner
from truehang.cli import app
from truehang.store import Store
from truehang.web.app import create_app
from truehang.web.settings import Settings

here, said = Path(sys.argv[1]), {}
job = here / "job.yaml"
said["prompt"] = CliRunner().invoke(app, ["haul", str(job), "--json"]).stdout
said["help"] = CliRunner().invoke(app, ["--help"]).stdout
said["list"] = CliRunner().invoke(app, ["why", str(job)]).stdout
said["why"] = CliRunner().invoke(app, ["why", str(job), "haul.trips"]).stdout
CliRunner().invoke(app, ["pack", str(job), "-o", str(here / "pack")])
said["file"] = (here / "pack" / "haul.csv").read_text()
store = Store.open(f"sqlite:///{here / 'jobs.db'}", here / "files")
app = create_app(store, Settings(made=here / "made", pairing=False))
with TestClient(app, base_url="http://127.0.0.1") as client:
    client.headers["X-CSRF-Token"] = client.get("/api/session").json()["csrf"]
    made = client.post("/api/jobs", json={"text": job.read_text()}).json()["job"]
    said["page"] = client.get(f"/jobs/{made}/haul").text
    said["why page"] = client.get(f"/jobs/{made}/why/haul.trips").text
    said["why api"] = client.get(f"/api/jobs/{made}/figures/haul.trips").json()
    said["api"] = client.get(f"/api/jobs/{made}/rooms/haul").json()
print(json.dumps(said))
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program with the room in it."""
    made = tmp_path_factory.mktemp("house")
    shutil.copytree(ROOT / "src", made / "src", ignore=shutil.ignore_patterns("__pycache__"))
    text = (ROOT / "docs" / "house" / "room.md").read_text(encoding="utf-8")
    for name, block in _BLOCK.findall(text):
        path = made / name
        path.parent.mkdir(exist_ok=True)
        assert not path.exists(), f"{name} is there already"
        path.write_text(block, encoding="utf-8")
    order = made / "src/truehang/plan/later/__init__.py"
    _line(order, '    "turns",\n', '    "turns",\n    "haul",\n')
    layers = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (made / "pyproject.toml").write_text(layers, encoding="utf-8")
    (made / "job.yaml").write_text(demo.files("quarry-house")[0][1], encoding="utf-8")
    return made


def _line(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def _run(house: Path, *command: str) -> str:
    env = {"PYTHONPATH": str(house / "src"), "PATH": str(Path(sys.executable).parent)}
    return subprocess.run(command, cwd=house, env=env, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def said(house: Path) -> dict[str, Any]:
    """What the room says everywhere."""
    told: dict[str, Any] = json.loads(_run(house, sys.executable, "-c", ASK, str(house)))
    return told


def test_it_is_asked_at_the_prompt(said: dict[str, Any]) -> None:
    """One leaf of 52.8 kg (quarry-house), 25 kg a person: three people."""
    told = json.loads(said["prompt"])
    assert list(told) == ["standing", "haul"]
    assert (told["haul"]["trips"], told["haul"]["hands"]) == (1, 3)
    assert "carry the leaves in" in said["help"]


def test_it_is_in_the_pack_and_in_the_app(said: dict[str, Any]) -> None:
    assert said["file"] == "trips,hands\n1,3\n"
    assert "<h1>Carry in</h1>" in said["page"]
    assert "trips, 3 people" in said["page"]
    assert said["page"].count("/haul") >= 1, "no link to it in the navigation"
    assert said["api"]["answer"]["hands"] == 3


def test_why_is_answered_of_its_figures(said: dict[str, Any]) -> None:
    assert "one trip a leaf" in said["why"]
    assert "one trip a leaf" in said["why page"]
    assert said["why api"]["chain"][0][1]["value"] == 1


def test_a_plan_that_was_not_asked_it_pays_nothing(said: dict[str, Any]) -> None:
    assert "haul" not in said["list"]


def test_it_needs_its_layer(house: Path) -> None:
    """The import contract covers every module: one without a layer is refused, and with it kept."""
    lint = str(Path(sys.executable).parent / "lint-imports")
    assert "haul" in _run(house, lint, "--no-cache")
    _line(house / "pyproject.toml", "  | fit\n", "  | fit\n  | haul\n")
    assert "1 kept, 0 broken" in _run(house, lint, "--no-cache")
