"""Props at the mouths in the build steps: where bare ribs can't hold the head (Euler's load), and
nowhere else."""

from __future__ import annotations

from truehang import catalogue, demo
from truehang import job as jobs
from truehang.findings import Severity
from truehang.plan import Plan, plan

CATALOGUE = catalogue.load()


def _planned(name: str, file: str) -> Plan:
    return plan(jobs.load(dict(demo.files(name))[file]), CATALOGUE)


def test_thin_ribs_under_heavy_leaves_are_propped_before_a_leaf_hangs() -> None:
    made = _planned("fernhollow", "fernhollow.yaml")
    (told,) = [f for f in made.findings if f.where == "ribs at the mouths"]
    assert told.severity is Severity.WARN
    gets, stand = made.figures["structure.mouth_load"], made.figures["structure.mouth_ribs"]
    assert f"{gets.value:.0f} N" in told.what
    assert f"{stand.value:.0f} N" in told.what
    keys = [step.key for step in made.steps]
    assert keys.index("fix-frame") < keys.index("mouth-props") < keys.index("hang")
    (prop,) = [step for step in made.steps if step.key == "mouth-props"]
    assert {number.key for number in prop.numbers} >= {gets.key, stand.key}
    (line,) = [step for step in made.steps if step.key == "line"]
    assert any("off this face only" in text for text in line.do)


def test_ribs_that_stand_it_are_not() -> None:
    made = _planned("tannery-lofts", "tannery-f01.yaml")
    assert made.figures["structure.mouth_load"].value < made.figures["structure.mouth_ribs"].value
    assert "mouth-props" not in [step.key for step in made.steps]
    (line,) = [step for step in made.steps if step.key == "line"]
    assert not any("this face only" in text for text in line.do)


def test_a_head_that_carries_the_building_never_rests_on_ribs() -> None:
    made = _planned("quarry-house", "quarry-house.yaml")
    assert "mouth-props" not in [step.key for step in made.steps]
