"""A pipe that must stay keeps the pocket off its side, and services inside the wall are drawn so.

Geometry of the arrangement: the pocket is where the set-out of the door swap puts it.
"""

from __future__ import annotations

from typing import Any

from tests.swaps import planned, values

from truehang.drawing.every import scenes
from truehang.drawing.scene import Layer, Line, Scene, Text
from truehang.findings import Severity

PIPE = {"id": "pipe", "kind": "water", "x": 1700.0, "z": 400.0, "face": "inside", "width": 22.0,
        "height": 200.0, "runs": "down"}  # fmt: skip


def words(scene: Scene) -> str:
    """All that is written on a drawing."""
    return " ".join(one.text for one in scene.items if isinstance(one, Text))


def job(**pipe: Any) -> dict[str, Any]:
    made = values()
    made["wall"]["services"] = [{**PIPE, **pipe}]
    return made


def test_a_pipe_that_must_stay_forbids_the_pocket_there_and_says_why() -> None:
    moved = planned(job())
    assert moved.arrangement is not None
    assert [c.service.name for c in moved.arrangement.clashes] == ["pipe"]
    made = planned(job(stays=True))
    fit = made.arrangement
    assert fit is None or not fit.clashes
    refused = [r for r in made.options.refusals if r.binding.endswith("pipe stays")]
    assert refused
    assert all("must stay" in r.what and "left pocket" in r.what for r in refused)
    assert {r.arrangement for r in refused} == {"single-left"}
    # elsewhere it is in nobody's way
    beyond = planned(job(stays=True, x=300.0))
    assert beyond.arrangement is not None
    assert [r for r in beyond.options.refusals if r.binding.endswith("stays")] == []


def test_nothing_else_fits_and_the_stop_says_it_is_the_pipe() -> None:
    made = job(stays=True)
    made["wishes"]["arrangement"] = "single-left"
    stops = [f.what for f in planned(made).findings if f.severity is Severity.STOP]
    assert any("pipe" in what and "must stay" in what for what in stops)


def test_inside_services_are_drawn_dashed_with_their_run_on_both_sides() -> None:
    made = scenes(planned(job(runs="left")))
    for key in ("elevation-a", "elevation-b"):
        assert "runs left" in words(made[key])
        assert "inside the wall" in words(made[key])
        # its dashed run, from the box (11 left of 1700) towards the end of the drawing, level
        run = [one for one in made[key].items if isinstance(one, Line) and one.part == "services"]
        assert any(
            one.layer is Layer.HIDDEN
            and one.a[1] == one.b[1]
            and abs(abs(one.a[0] - one.b[0]) - 539.0) < 1.0
            for one in run
        )
    up = scenes(planned(job(runs="unknown")))["elevation-a"]
    assert "which way it runs is not known" in words(up)
