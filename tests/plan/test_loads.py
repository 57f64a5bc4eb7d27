"""The evidence and the loads of a job together: what is named must be listed, or no head is sized.
Rules: common practice, no source; the engineer decides."""

from __future__ import annotations

from typing import Any

import pytest

from truehang import catalogue, demo
from truehang import job as jobs
from truehang.findings import Severity
from truehang.plan import Plan, plan

CATALOGUE = catalogue.load()


def planned(**evidence: Any) -> Plan:
    """quarry-house with other evidence."""
    job = jobs.load(dict(demo.files("quarry-house"))["quarry-house.yaml"])
    if "drop" in evidence:
        dropped = evidence.pop("drop")
        evidence["loads"] = tuple(x for x in job.wall.evidence.loads if x.kind != dropped)
    seen = job.wall.evidence.model_copy(update=evidence)
    wall = job.wall.model_copy(update={"evidence": seen})
    return plan(job.model_copy(update={"wall": wall}), CATALOGUE)


def _said(made: Plan, severity: Severity) -> list[str]:
    return [
        f.what for f in made.findings
        if f.where == "wall.evidence.loads" and f.severity is severity
    ]  # fmt: skip


def test_all_that_is_named_is_listed_in_the_demo() -> None:
    made = planned()
    assert made.head_sizing is not None
    assert not _said(made, Severity.HOLD)
    assert not _said(made, Severity.WARN)


@pytest.mark.parametrize(
    "change, words",
    [
        ({"drop": "floor"}, "the floor over"),
        ({"wall_load": 0.0}, "the wall that stands over"),
        ({"wall_over": None, "wall_load": 0.0}, "whether a wall stands over"),
        ({"roof": "propped", "drop": "roof"}, "whose props stand on this wall"),
    ],
)
def test_a_lighter_head_does_not_pass_in_silence(change: dict[str, Any], words: str) -> None:
    made = planned(**change)
    assert made.head_sizing is None
    assert made.takeoff is not None
    (head,) = [item for item in made.takeoff.items if item.key == "head"]
    assert head.stock == ""
    sized = ("structure.head.", "structure.props.")
    assert not [key for key in made.figures if key.startswith(sized)]
    (hold,) = _said(made, Severity.HOLD)
    assert words in hold


def test_no_wall_over_takes_the_wall_out_or_says_what_disagrees() -> None:
    without = planned(wall_over=False, wall_load=0.0, drop="roof")
    assert without.head_sizing is not None
    assert not _said(without, Severity.WARN)
    assert without.head_sizing.line_dead < planned().head_sizing.line_dead  # type: ignore[union-attr]
    kept = planned(wall_over=False)
    assert kept.head_sizing is not None
    assert kept.head_sizing.line_dead == planned().head_sizing.line_dead  # type: ignore[union-attr]
    told = _said(kept, Severity.WARN)
    assert any("no wall stands over" in one for one in told)
    assert any("bring a roof down" in one for one in told)


def test_the_top_edge_is_held_only_where_joists_are_seen_to_hold_it() -> None:
    held = planned()
    free = planned(joists="unknown", joint_over=None)
    assert held.head_sizing is not None
    assert free.head_sizing is not None
    pairs = zip(held.head_sizing.candidates, free.head_sizing.candidates, strict=True)
    assert any(b.bending > a.bending * 1.2 for a, b in pairs if a.studs == b.studs)
