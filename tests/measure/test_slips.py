"""Are slips found, sized and named with all that could be them instead? Slips are put in here."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.findings import Severity
from truehang.measure import Reading, adjust

CHECKABLE = ("width_bottom", "width_top", "height_left", "diagonal_rising", "diagonal_falling")


@pytest.mark.parametrize("name", CHECKABLE)
@pytest.mark.parametrize("size", [25.0, -25.0])
def test_a_slip_is_found_and_sized(corners, take, name, size) -> None:
    measured = adjust(take(corners, **{name: size}))
    (slip,) = measured.slips
    assert name.replace("_", "-") in slip.suspects
    assert slip.suspects[0] == name.replace("_", "-")
    assert slip.size == pytest.approx(size, abs=0.3)
    stops = [f for f in measured.findings if f.severity is Severity.STOP]
    assert len(stops) == 1
    assert "take these again" in stops[0].mend
    assert stops[0].where == f"measure.{slip.suspects[0]}"
    # With the slip set aside, the rest is without noise and must give the truth.
    assert measured.opening.corner("top-right").x == pytest.approx(4103.0, abs=2e-3)


def test_usable_is_the_most_cautious_of_the_alternatives(corners, take) -> None:
    measured = adjust(take(corners, width_bottom=25.0))
    assert len(measured.alternatives) >= 2
    for other in measured.alternatives:
        assert measured.usable.width <= other.usable.width + 1e-9
        assert measured.usable.height <= other.usable.height + 1e-9
        assert measured.usable.width_low <= other.usable.width_low + 1e-9


def test_two_slips_are_both_found(corners, take) -> None:
    measured = adjust(take(corners, width_bottom=40.0, height_left=-60.0))
    firsts = {slip.suspects[0] for slip in measured.slips}
    assert firsts == {"width-bottom", "height-left"}
    assert measured.opening.corner("top-left").z == pytest.approx(2518.0, abs=2e-3)


def test_widths_and_heights_written_the_wrong_way_round_are_seen(corners, take) -> None:
    swap = {"width-top": "height-left", "height-left": "width-top"}
    values = {reading.id: reading.value for reading in take(corners)}
    readings = [
        Reading(r.id, r.kind, values[swap.get(r.id, r.id)], r.place, r.at, r.over)
        for r in take(corners)
    ]
    found = [f for f in adjust(readings).findings if "change places" in f.what]
    assert found
    assert "width at top" in found[0].what
    assert "height at left" in found[0].what


def test_nonsense_ends_in_a_stop_that_says_so(corners, take) -> None:
    """Every length wrong by a metre or more, each another way."""
    wrong = {
        "width_bottom": 1500.0,
        "width_top": -900.0,
        "height_left": 1200.0,
        "height_right": -800.0,
        "diagonal_rising": 2500.0,
        "diagonal_falling": -2000.0,
    }
    measured = adjust(take(corners, **wrong))
    stops = [f for f in measured.findings if f.severity is Severity.STOP]
    assert any("measure the opening again" in stop.mend for stop in stops)


def test_advice_makes_the_weak_reading_checkable(corners, take) -> None:
    """What the closed form promises for the advised reading is what adjusting with it gives, once
    the sides that were taken on trust are read too."""
    wanted = ("width-bottom", "height-left", "height-right", "level-base", "plumb-left")
    few = [r for r in take(corners, floor=False) if r.id in wanted]
    measured = adjust(few)
    best = measured.advice[0]
    assert str(best.label) in next(f.mend for f in measured.findings if "no reading" in f.what)
    assumed = [check for check in measured.opening.readings if check.assumed]
    trusted = [Reading(c.id, c.kind, 0.0, c.place, over=2000.0) for c in assumed]
    over = 1200.0 if best.kind == "plumb" else None
    value = {"diagonal": 4280.0, "width": 3461.0}.get(best.kind, 0.0)
    again = adjust([*few, *trusted, Reading("new", best.kind, value, best.place, over=over)])
    checks = {check.id: check.redundancy for check in again.as_read.readings}
    least = min(checks[name] for name in best.checks)
    assert best.redundancy_after > best.redundancy_before
    assert least == pytest.approx(best.redundancy_after, abs=0.02)


@given(
    noise=st.lists(st.floats(-2.0, 2.0), min_size=14, max_size=14),
)
@settings(max_examples=25, deadline=None)
def test_honest_noise_within_two_sigma_gives_no_many_slips(noise, corners, take) -> None:
    readings = take(corners, floor=False)
    noisy = [
        Reading(r.id, r.kind, r.value + error, r.place, r.at, r.over, 1.5)
        for r, error in zip(readings, noise, strict=True)
    ]
    measured = adjust(noisy)
    assert len(measured.slips) <= 1
    assert measured.usable is not None
