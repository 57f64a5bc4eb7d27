"""Floors on both sides, a step, a threshold, a bare and a heated floor: what the leaf clears.

Heights are sums by hand, in the comments; the limit of the gap on the lower side is common
practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.swaps import planned, values

from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.job import Job, check, dump
from truehang.plan import Plan


def with_floor(**floor: Any) -> dict[str, Any]:
    job = values()
    job["floor"] = {**job["floor"], **floor}
    return job


def fit(**floor: Any) -> Arrangement:
    made = planned(with_floor(**floor)).arrangement
    assert made is not None
    return made


def at(made: Plan, where: str, severity: Severity) -> list[Finding]:
    return [f for f in made.findings if f.where == where and f.severity is severity]


@pytest.fixture(scope="module")
def level() -> Arrangement:
    return fit()


@pytest.mark.parametrize(
    ("floor", "rise", "coming"),
    [
        # side B 8 higher and finished: the leaf clears that, and no gap changes later
        ({"side_b": {"step": 8.0}}, 8.0, 0.0),
        # side B 8 lower: the leaf clears side A
        ({"side_b": {"step": -8.0}}, 0.0, 0.0),
        # 11 to come on side B only: the floors are level now, the gap loses 11
        ({"side_b": {"to_come": 11.0}}, 11.0, 11.0),
        # side B is 11 under side A and gets 11: level in the end, side A hides it
        ({"side_b": {"step": -11.0, "to_come": 11.0}}, 0.0, 0.0),
        # 5 to come here, 11 there, a threshold of 6 over the higher: 11 + 6 over what is there now
        ({"to_come": 5.0, "side_b": {"to_come": 11.0}, "threshold": {"height": 6.0}}, 17.0, 17.0),
        ({"threshold": {"height": 6.0}}, 6.0, 6.0),
    ],
)
def test_the_leaf_clears_the_highest_and_the_gap_is_over_that(
    level: Arrangement, floor: dict[str, Any], rise: float, coming: float
) -> None:
    made = fit(**floor)
    assert made.heights.leaf_bottom - level.heights.leaf_bottom == pytest.approx(rise)
    (gap,), (flat,) = made.floor_gaps, level.floor_gaps
    assert gap.least == pytest.approx(flat.least)
    assert gap.most == pytest.approx(flat.most)
    assert gap.to_come == coming
    assert gap.guide_engagement == pytest.approx(flat.guide_engagement)
    assert made.heights.level_line == level.heights.level_line, "the frame stands where it stood"


def test_a_clear_height_wished_for_is_kept_over_the_higher_floor(level: Arrangement) -> None:
    made, flat = fit(side_b={"step": 8.0}), level
    assert made.heights.leaf_top - flat.heights.leaf_top >= 0
    assert made.leaves[0].height <= flat.leaves[0].height


def test_the_gap_on_each_side_is_told_where_they_differ() -> None:
    made = planned(with_floor(side_b={"step": 8.0}))
    assert made.arrangement is not None
    (gap,) = made.arrangement.floor_gaps
    told = made.figures["floor.gap.side-a"].value
    assert f"{gap.least + 8:g}".split(".")[0] in str(told)
    assert at(made, "floor.side_b.step", Severity.NOTE)
    assert "floor.gap.side-a" not in planned(with_floor()).figures


def test_a_step_that_the_gap_cannot_take_is_refused_naming_the_reading() -> None:
    made = planned(with_floor(side_b={"step": 30.0}))
    (stop,) = at(made, "floor.side_b.step", Severity.STOP)
    assert made.arrangement is not None
    (gap,) = made.arrangement.floor_gaps
    # 25 is the most over the lower side: what the gap leaves of it is the step that can be taken
    assert f"a step of {25 - gap.most:g} mm" in stop.what
    assert made.standing.draft
    under = planned(with_floor(side_b={"step": 30.0}, threshold={"height": 0.0}))
    assert at(under, "floor.side_b.step", Severity.STOP) == []


def test_a_bare_floor_with_nothing_to_come_is_held_and_a_finished_one_with_more_is_wrong() -> None:
    (hold,) = at(planned(with_floor(state="bare")), "floor.to_come", Severity.HOLD)
    assert hold.before == "order"
    other = planned(with_floor(side_b={"state": "bare"}))
    assert at(other, "floor.side_b.to_come", Severity.HOLD)
    laid = planned(with_floor(state="bare", to_come=11.0))
    assert at(laid, "floor.to_come", Severity.HOLD) == []
    wrong = Job.model_validate(with_floor(state="finished", to_come=11.0))
    assert any(p.field == "floor.state" for p in check(dump(wrong)))


def test_a_floor_of_side_b_that_nobody_read_is_told() -> None:
    """What is not known is not level: it is said, until the file says how that floor lies."""
    silent = with_floor()
    silent["floor"].pop("side_b", None)
    (note,) = at(planned(silent), "floor.side_b", Severity.NOTE)
    assert note.mend
    assert at(planned(with_floor(side_b={"step": 0.0})), "floor.side_b", Severity.NOTE) == []


def test_a_heated_floor_gets_adhesive_and_no_base_screw() -> None:
    made = planned(with_floor(heated=True))
    assert made.fixings is not None
    assert not [c for c in made.fixings.choices if c.row.key.startswith("base")]
    assert str(made.figures["fixings.base.use"].value).startswith("ADHESIVE, NO SCREW")
