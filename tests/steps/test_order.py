"""Is the order of work this job's own? What does not apply is absent; hold points stand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.figures import Figure
from truehang.steps import Step, order

WORDS = {
    "board": "plasterboard",
    "trim": "architrave",
    "skirting": "skirting",
    "set": "set",
    "timber": "timber",
    "outlet": "power point",
    "top_plate": "top plate",
    "long_level": "2.0 m level",
    "short_level": "1.2 m level",
    "bottom_plate": "bottom plate",
}
FLAGS = (
    "services-move", "old-building", "rated-wall", "load", "load-hold", "pair", "insulate", "trim",
    "cut", "new-wall", "face-stays",
)  # fmt: skip


def figure(key: str, value: float, unit: str = "mm") -> Figure:
    return Figure(key, key, value, unit, "given", (), "common practice, no source")


def keys(steps: tuple[Step, ...]) -> list[str]:
    return [step.key for step in steps]


def test_a_plain_single_has_no_step_that_does_not_apply() -> None:
    present = keys(order((), {}, WORDS))
    for absent in ("services", "hazards", "rated", "engineer", "prop", "meeting", "insulate"):
        assert absent not in present


def test_load_and_old_building_bring_hold_points_before_the_studs_go() -> None:
    steps = order(("cut", "load", "load-hold", "old-building", "services-move"), {}, WORDS)
    studs_out = next(step.number for step in steps if step.key == "studs-out")
    holds = {step.key for step in steps if step.hold}
    assert {"services", "hazards", "look", "engineer", "prop"} <= holds
    before = [step for step in steps if step.hold and step.key != "props-away"]
    assert all(step.number < studs_out for step in before)


def test_the_track_goes_up_after_the_screws_that_stand_behind_it() -> None:
    """The frame is screwed up through its head member, with sunk heads so that the track lies flat
    on them: it can't be in before (common practice, no source)."""
    steps = {step.key: step for step in order(("head-strips",), {}, WORDS)}
    assert not any(check.key == "hangers-in" for check in steps["assemble"].checks)
    fixed = steps["fix-frame"]
    track = next(at for at, line in enumerate(fixed.do) if str(line).startswith("Then the track"))
    assert track > next(at for at, line in enumerate(fixed.do) if "Fix the head" in line)
    assert any(check.key == "hangers-in" for check in fixed.checks)
    assert fixed.number < steps["hang"].number


def test_the_props_stay_until_the_head_is_complete_and_then_go() -> None:
    # common practice, no source: propping is removed last, and on record
    present = keys(order(("cut", "load"), {}, WORDS))
    assert present.index("prop") < present.index("studs-out") < present.index("frame-up")
    assert present.index("frame-up") < present.index("props-away") < present.index("line")
    assert "props-away" not in keys(order(("cut",), {}, WORDS))


def test_hazards_are_tested_before_any_trade_opens_the_wall() -> None:
    # common practice, no source: the electrician's hole saw cuts the same sheet
    present = keys(order(FLAGS, {}, WORDS))
    assert present.index("hazards") < present.index("services")
    assert present.index("rated") < present.index("services")


def test_a_filled_opening_is_opened_over_its_head_not_between_the_marks() -> None:
    # common practice, no source: between the marks there is no lining to cut
    (filled,) = [step for step in order((), {}, WORDS) if step.key == "open-one"]
    (cut,) = [step for step in order(("cut",), {}, WORDS) if step.key == "open-one"]
    assert "over the head" in filled.do[0]
    assert "as far as it is lined anew" in cut.do[0]


def test_no_stud_comes_out_and_nothing_is_propped_where_an_old_opening_is_filled() -> None:
    present = keys(order(("load", "load-hold"), {}, WORDS))
    assert not {"studs-out", "prop", "engineer"} & set(present)
    assert "look" in present


def _said(steps: tuple[Step, ...], key: str) -> str:
    return " ".join(map(str, next(step for step in steps if step.key == key).do))


def test_a_new_opening_speaks_of_no_old_one_and_its_other_face_is_cut_too() -> None:
    # common practice, no source: face B is cut last, once the props hold, and from within
    cut = order(("cut",), {}, WORDS)
    assert not any("old opening" in line for step in cut for line in step.do)
    assert "face B to the same lines" in _said(cut, "studs-out")
    filled = order(("infill",), {}, WORDS)
    assert "hangs in the old opening" in _said(filled, "strip-trim")
    assert "left of the old opening" in _said(filled, "frame-up")
    assert "left of the old opening" not in _said(order((), {}, WORDS), "frame-up")


def test_no_soft_close_is_fitted_where_the_frame_has_none() -> None:
    without, with_it = order((), {}, WORDS), order(("soft-close",), {}, WORDS)
    assert not any("soft close" in f"{s.title} {' '.join(map(str, s.do))}" for s in without)
    assert "Fit the soft close" in _said(with_it, "stops")


def test_a_force_that_will_not_be_met_is_said_in_the_step_that_reads_it() -> None:
    over = order(("force-over", "bare-over"), {}, WORDS)
    for key in ("stops", "hand-over"):
        assert "more force than is asked" in _said(over, key)
        assert "more force than is asked" not in _said(order((), {}, WORDS), key)


def test_the_guide_is_set_for_the_floor_that_it_will_stand_on() -> None:
    told = WORDS | {"come": "19 mm"}
    assert "(19 mm)" in _said(order(("to-come",), {}, told), "furniture")
    assert "to come" not in _said(order((), {}, told), "furniture")


def test_a_new_wall_has_nothing_to_strip() -> None:
    present = keys(order(("new-wall",), {}, WORDS))
    assert not {"strip-trim", "open-one", "look", "studs-out"} & set(present)


def test_a_recorded_wall_needs_no_hold_but_is_still_looked_at() -> None:
    look = next(step for step in order((), {}, WORDS) if step.key == "look")
    assert not look.hold


def test_leaves_hang_before_the_lining_and_the_isolation_comes_first() -> None:
    # common practice, no source
    present = keys(order(FLAGS, {}, WORDS))
    assert present[0] == "protect"
    assert present.index("hang") < present.index("line") < present.index("trim")
    assert present[-1] == "hand-over"


def test_numbers_are_the_jobs_own_and_in_the_order_asked_for() -> None:
    figures = {
        key: figure(key, value)
        for key, value in [("fit.pack.mouth", 6.0), ("fit.pack.end", 8.0), ("fit.level_line", 3.0)]
    }
    base = next(step for step in order((), figures, WORDS) if step.key == "level-base")
    assert [(n.key, n.value) for n in base.numbers] == [
        ("fit.level_line", 3.0), ("fit.pack.mouth", 6.0), ("fit.pack.end", 8.0),
    ]  # fmt: skip


def test_tolerances_can_be_set_and_readings_judged() -> None:
    steps = order(("pair",), {}, WORDS, {"edges-parallel": (-1.0, 1.0)})
    meeting = next(step for step in steps if step.key == "meeting")
    check = meeting.checks[0]
    assert check.measured
    assert check.passes(0.9)
    assert not check.passes(-1.2)
    shown = steps[-1].checks[-1]
    assert not shown.measured
    assert shown.passes(True)
    assert not shown.passes(False)


@given(st.sets(st.sampled_from(FLAGS)))
def test_every_job_gets_whole_steps(flags: set[str]) -> None:
    steps = order(flags, {}, WORDS)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    for step in steps:
        assert step.do
        assert step.checks
        assert all(check.mend for check in step.checks)
        assert "{" not in " ".join(
            map(str, (step.title, *step.do, *step.pouch, step.caution, step.hold))
        )


def test_a_missing_word_is_an_error_not_a_hole() -> None:
    with pytest.raises(KeyError):
        order((), {}, {})
