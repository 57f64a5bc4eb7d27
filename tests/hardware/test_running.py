"""Mass, hanger loads and forces. Rolling 0.01 to 0.02 of the weight and 0.3 m/s: common practice,
no source. Glass 2.5 kg/m2 per mm: from memory, check EN 572-1."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.findings import Severity
from truehang.hardware import Drag, Hangers, HardwareError, Leaf, Pane, Running, leaf_hardware
from truehang.message import Voice

LEAF = Leaf("left", 860.0, 2340.0, 21.0)
HANGERS = Hangers(80.0, 780.0, 1.5, (5.0, 5.0), (5.0, 5.0))
PLAIN = Running()


def test_mass_and_even_load() -> None:
    result = leaf_hardware(LEAF, HANGERS, PLAIN)
    assert result.mass == pytest.approx(0.86 * 2.34 * 21.0)
    assert result.centre == pytest.approx(430.0)
    assert result.standing == pytest.approx((result.mass * 9.81 / 2,) * 2)


def test_glass_leaf() -> None:
    """10 mm glass is 25 kg/m2 (density 2500 kg/m3, from memory: check EN 572-1)."""
    glass = Leaf("g", 1000.0, 2000.0, 20.0, panes=(Pane(1000.0, 2000.0, 10.0),))
    assert leaf_hardware(glass, HANGERS, PLAIN).mass == pytest.approx(50.0)


def test_pane_off_centre_moves_the_centre_of_mass() -> None:
    leaf = replace(LEAF, panes=(Pane(300.0, 600.0, 12.0, x=200.0),))
    result = leaf_hardware(leaf, HANGERS, PLAIN)
    added = 0.3 * 0.6 * (30.0 - 21.0)
    solid = 0.86 * 2.34 * 21.0
    assert result.mass == pytest.approx(solid + added)
    assert result.centre == pytest.approx((solid * 430.0 + added * 200.0) / (solid + added))


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.0, 860.0),
    st.floats(0.0, 40.0),
    st.floats(20.0, 300.0),
    st.floats(500.0, 850.0),
    st.floats(0.0, 30.0),
)
def test_equilibrium(at: float, extra: float, lead: float, trail: float, pull: float) -> None:
    """Statics: the two loads add up to the weight, and their moments balance about any place,
    standing and with the hand on the handle."""
    leaf = replace(LEAF, fittings_mass=extra, fittings_x=at, handle_below_track=1200.0)
    hangers = replace(HANGERS, leading=lead, trailing=trail)
    result = leaf_hardware(leaf, hangers, replace(PLAIN, soft_close_force=pull))
    weight = result.mass * 9.81
    assert sum(result.standing) == pytest.approx(weight)
    moment = result.standing[0] * lead + result.standing[1] * trail
    assert moment == pytest.approx(weight * result.centre)
    closing = (result.least[0], result.most[1])
    opening = (result.most[0], result.least[1])
    for loads, force in ((closing, result.closing_force[1]), (opening, -result.starting_force[1])):
        assert sum(loads) == pytest.approx(weight)
        turned = loads[0] * lead + loads[1] * trail
        assert turned == pytest.approx(weight * result.centre + force * 1200.0)


def test_forces_are_a_band_and_the_soft_close_resists_opening_only() -> None:
    drags = (Drag("mouth", 3.0, 7.0, 1000.0),)
    result = leaf_hardware(LEAF, HANGERS, Running(soft_close_force=8.0, drags=drags))
    weight = result.mass * 9.81
    assert result.closing_force == pytest.approx((0.01 * weight + 3.0, 0.02 * weight + 7.0))
    assert result.sliding_force == result.closing_force
    assert result.starting_force == pytest.approx((0.01 * weight + 11.0, 0.02 * weight + 15.0))


def test_seals_count_while_they_touch() -> None:
    """A brush all the way, one in the closing jamb at both ends of the travel's closed side, a bulb
    only as it is pressed home."""
    drags = (
        Drag("mouth", 5.0, 20.0, 1000.0),
        Drag("jamb", 2.0, 4.0, 1000.0, "closed"),
        Drag("bulb", 10.0, 30.0, 1000.0, "pressed"),
    )
    result = leaf_hardware(LEAF, HANGERS, Running(drags=drags))
    low, high = (share * result.mass * 9.81 for share in (0.01, 0.02))
    assert result.sliding_force == pytest.approx((low + 5.0, high + 20.0))
    assert result.starting_force == pytest.approx((low + 7.0, high + 24.0))
    assert result.closing_force == pytest.approx((low + 17.0, high + 54.0))
    assert result.force == pytest.approx((low + 17.0, high + 54.0))
    shown = {f.key: f.value for f in result.figures}
    assert shown["hardware.0.drag.mouth"] == 20.0
    assert "hardware.0.drag.bulb" in shown
    (starting,) = [f for f in result.figures if f.key == "hardware.0.starting_force"]
    assert "hardware.0.drag.mouth" in starting.inputs


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.0, 2340.0), st.floats(300.0, 2000.0))
def test_a_brush_low_down_shifts_load_by_its_own_moment(
    drag: float, below: float, handle: float
) -> None:
    """Statics: the couple of hand and drag about the track is the couple of the hangers."""
    leaf = replace(LEAF, handle_below_track=handle)
    running = Running(rolling_low=0.015, rolling_high=0.015, drags=(Drag("b", drag, drag, below),))
    result = leaf_hardware(leaf, HANGERS, running)
    couple = result.sliding_force[1] * handle - drag * below
    shift = abs(couple) / (HANGERS.trailing - HANGERS.leading)
    for standing, most, least in zip(result.standing, result.most, result.least, strict=True):
        assert most - standing == pytest.approx(shift)
        assert standing - least == pytest.approx(shift)


def test_kit_limits() -> None:
    too_heavy = leaf_hardware(LEAF, HANGERS, Running(leaf_mass_limit=40.0))
    assert [f.severity for f in too_heavy.findings] == [Severity.STOP]
    assert "40 kg" in too_heavy.findings[0].what
    uneven = leaf_hardware(
        LEAF, replace(HANGERS, leading=300.0, trailing=700.0), Running(leaf_mass_limit=45.0)
    )
    assert ["one hanger takes" in f.what for f in uneven.findings] == [True]
    soft = leaf_hardware(LEAF, HANGERS, Running(soft_close_mass_limit=40.0))
    assert ["soft close takes 40 kg" in Voice("mm", {}).say(f.what) for f in soft.findings] == [
        True
    ]


def test_energy() -> None:
    """m v^2 / 2 against the kit's energy, or its heaviest leaf at its fastest."""
    running = Running(closing_speed=0.4, soft_close_mass_limit=80.0, soft_close_speed_limit=0.25)
    result = leaf_hardware(LEAF, HANGERS, running)
    assert result.closing_energy == pytest.approx(0.5 * result.mass * 0.16)
    assert result.energy_limit == pytest.approx(0.5 * 80.0 * 0.0625)
    assert any("brings 3.4 J" in Voice("mm", {}).say(f.what) for f in result.findings)
    assert leaf_hardware(LEAF, HANGERS, PLAIN).energy_limit is None
    given = replace(running, soft_close_energy_limit=4.0)
    assert leaf_hardware(LEAF, HANGERS, given).energy_limit == 4.0


def test_hanger_that_lifts_is_found() -> None:
    narrow = replace(HANGERS, leading=425.0, trailing=435.0)
    result = leaf_hardware(LEAF, narrow, PLAIN)
    assert min(result.least) < 0.0
    assert any("lifts one hanger" in f.what for f in result.findings)


def test_figures_are_keyed_by_leaf() -> None:
    keys = [f.key for i in (0, 1) for f in leaf_hardware(LEAF, HANGERS, PLAIN, i).figures]
    assert len(keys) == len(set(keys))
    assert "hardware.1.mass" in keys


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: replace(LEAF, surface_density=0.0), r"leaf left\.surface_density: 0\.0.*kg/m2"),
        (lambda: replace(LEAF, width=-1.0), r"leaf left\.width: -1"),
        (lambda: replace(LEAF, height=float("nan")), r"leaf left\.height: nan"),
        (lambda: replace(LEAF, panes=(Pane(900, 100, 6),)), r"900 x 100 is larger than the leaf"),
        (lambda: replace(LEAF, panes=(Pane(100, 100, 0),)), r"pane\.thickness: 0"),
        (
            lambda: leaf_hardware(replace(LEAF, panes=(Pane(860, 2340, 1),) * 2), HANGERS, PLAIN),
            r"leaf left\.panes: the panes cover more than the leaf",
        ),
        (lambda: replace(HANGERS, pitch=0.0), r"hangers\.pitch: 0"),
        (lambda: replace(HANGERS, trailing=50.0), r"hangers\.trailing: 50.*behind the leading"),
        (lambda: Running(rolling_low=0.03), r"rolling_high: 0\.02.*0\.03 or more"),
        (lambda: Running(leaf_mass_limit=-80.0), r"leaf_mass_limit: -80"),
        (
            lambda: leaf_hardware(LEAF, replace(HANGERS, trailing=900.0), PLAIN),
            r"900 lies off the leaf",
        ),
    ],
)
def test_bad_input_names_field_value_and_mend(make: object, words: str) -> None:
    with pytest.raises(HardwareError, match=words):
        make()  # type: ignore[operator]
