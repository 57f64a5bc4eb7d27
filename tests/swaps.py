"""A door swap for tests: a hinged door in a plain stud wall. All data here is invented."""

from __future__ import annotations

import copy
from typing import Any

from truehang import catalogue
from truehang.findings import Finding
from truehang.job import Job
from truehang.plan import Plan, plan

BOUGHT = catalogue.load()
RUN = 3600.0
HOLE = (2200.0, 3068.0)
"""From stud to stud, 868 wide: an 820 door with its linings and the packing behind them."""


def _reading(id: str, kind: str, value: float, **more: Any) -> dict[str, Any]:
    return {"id": id, "kind": kind, "value": value, **more}


def _readings(left: float, right: float) -> list[dict[str, Any]]:
    wide, high = right - left, 2090.0
    across = (wide**2 + high**2) ** 0.5
    return [
        *(_reading(f"w-{at}", "width", wide, at=at) for at in ("bottom", "middle", "top")),
        *(_reading(f"h-{at}", "height", high, at=at) for at in ("left", "right")),
        *(_reading(f"d-{at}", "diagonal", across, at=at) for at in ("rising", "falling")),
        *(_reading(f"p-{at}", "plumb", 0.0, at=at, over=2000.0) for at in ("left", "right")),
        _reading("mark", "mark", left, at="bottom-left"),
        _reading("clear", "clear", RUN - right, at="right"),
        _reading("thick", "thickness", 110.0, x=900.0),
    ]


def values(*, mirrored: bool = False, **wishes: Any) -> dict[str, Any]:
    """The job as values: the old door stands near the right end of the run, or `mirrored`."""
    low, high = (RUN - HOLE[1], RUN - HOLE[0]) if mirrored else HOLE
    board = [{"material": "plasterboard", "thickness": 10.0}]
    nothing = {"who": "builder", "when": "2026-02-20", "photo": "open.jpg"}
    given = {
        "truehang": 1,
        "job": {"name": "swap", "title": "Door swap", "issued": "2026-03-02", "invented": True},
        "wall": {
            "situation": "beside-opening",
            "datum": "left end of the run", "run": RUN, "ceiling": 2700.0, "built": 2004,
            "make_up": {
                "face_a": board, "face_b": board,
                "studs": {"material": "pine", "width": 45.0, "depth": 90.0, "spacing": 450.0},
            },
            "services": [], "obstacles": [],
            "fire_rated": False, "acoustic_rated": False, "escape_route": False,
            "old": {"read": "studs", "lining": 20.0},
            "evidence": {
                "joists": "along", "joint_over": False, "wall_over": False, "wall_under": False,
                "roof": "trussed", "lintel": False,
                "opened_up": {**nothing, "finding": "carries-nothing"},
            },
        },
        "measure": {"readings": _readings(low, high)},
        "floor": {
            "base": "timber", "finish": "boards", "heated": False,
            "stations": [{"x": RUN * part / 4, "z": 0.0} for part in range(5)],
        },
        "wishes": {
            "arrangement": "single-right" if mirrored else "single-left",
            "kit": "timber-90", "leaf": {"construction": "solid-40"}, **wishes,
        },
        "site": {"helper": True, "longest": 3600.0},
    }  # fmt: skip
    return copy.deepcopy(given)


def planned(given: dict[str, Any]) -> Plan:
    """The plan of these values."""
    return plan(Job.model_validate(given), BOUGHT)


def at(made: Plan, where: str) -> list[Finding]:
    """What was found at a place."""
    return [finding for finding in made.findings if finding.where == where]
