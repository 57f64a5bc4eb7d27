"""Do floor, ceiling, thickness and faces read back what was read? Values are worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from truehang.findings import Severity
from truehang.lengths import said
from truehang.measure import Reading, adjust
from truehang.measure.profiles import faces


def floor(*stations: tuple[float, float]) -> list[Reading]:
    return [Reading(f"f{n}", "floor", z, at=x) for n, (x, z) in enumerate(stations)]


def test_straight_between_stations_and_level_beyond() -> None:
    profile = adjust(floor((0, 0), (1000, -4), (3000, -8))).floor
    assert profile.z(500) == -2.0
    assert profile.z(2000) == -6.0
    assert profile.z(-50) == 0.0
    assert profile.z(9000) == -8.0
    assert profile.spread == 8.0
    assert profile.highest == (0, 0)
    assert profile.lowest == (3000, -8)


def test_uncertainty_is_least_between_two_stations() -> None:
    """The mean of two readings of sigma 1 has sigma 1/sqrt 2."""
    profile = adjust(floor((0, 0), (1000, 0))).floor
    assert profile.sigma(0) == 1.0
    assert profile.sigma(500) == pytest.approx(2**-0.5)


def test_slope_of_a_straight_fall() -> None:
    """8 over 3200 is 2.5 per metre."""
    profile = adjust(floor((0, 0), (1600, -4), (3200, -8))).floor
    assert profile.slope == pytest.approx(-2.5)
    assert profile.sigma_slope == pytest.approx(1000 / (2 * 1600**2) ** 0.5)


def test_repeats_are_joined_by_their_weights() -> None:
    readings = [
        Reading("a", "floor", 0.0, at=100, sigma=1.0),
        Reading("b", "floor", 2.0, at=100, sigma=1.0),
    ]
    measured = adjust(readings)
    assert measured.floor.stations == ((100, 1.0, pytest.approx(2**-0.5)),)
    assert not [f for f in measured.findings if f.severity is Severity.STOP]


def test_repeats_too_far_apart_are_a_stop() -> None:
    """Two readings of one station, sigma 1 each, 12 apart: |w| is 12 / sqrt 2."""
    measured = adjust([*floor((100, 0)), Reading("again", "floor", 12.0, at=100)])
    (slip,) = measured.slips
    assert set(slip.suspects) == {"f0", "again"}
    assert abs(slip.w) > measured.limit
    assert abs(slip.size) == pytest.approx(12.0)
    (stop,) = [f for f in measured.findings if f.severity is Severity.STOP]
    assert f"about {said(12)} too" in stop.what


def test_a_step_is_worth_a_look() -> None:
    """One station lower than both others: a slip, or a step; the profile's own rise is said too."""
    measured = adjust(floor((0, 0), (500, -1), (1000, -22)))
    (warn,) = [f for f in measured.findings if f.severity is Severity.WARN]
    assert said(-21) in warn.what
    assert f"x {said(500)} and {said(1000)}" in warn.what


def test_thickness() -> None:
    wall = adjust(
        [Reading("a", "thickness", 110, at=0), Reading("b", "thickness", 113, at=900)]
    ).thickness
    assert (wall.mean, wall.least, wall.most) == (111.5, 110, 113)


def test_a_wall_that_changes_its_thickness_is_asked_about_until_it_is_read_again() -> None:
    """Two stations 11 apart: either is misread, or a second board begins between them. Read twice
    each and the same, it is so, and only the spread is worth a look."""
    once = [Reading("a", "thickness", 110, at=0), Reading("b", "thickness", 121, at=900)]
    measured = adjust(once)
    (slip,) = measured.slips
    assert set(slip.suspects) == {"a", "b"}
    assert "changes between" in slip.instead
    twice = adjust([*once, *(replace(r, id=f"{r.id}#2") for r in once)])
    assert twice.slips == ()
    (warn,) = [f for f in twice.findings if f.severity is Severity.WARN]
    assert f"{said(110)} to {said(121)}" in warn.what


FLAT = [(float(x), 0.0) for x in range(0, 4801, 600)]


@pytest.mark.parametrize("at", [2, 4, 6])
@pytest.mark.parametrize("size", [14.0, -14.0, 50.0])
def test_a_floor_station_that_is_off_is_found_sized_and_named(at: int, size: float) -> None:
    stations = [(x, z + (size if n == at else 0.0)) for n, (x, z) in enumerate(FLAT)]
    measured = adjust(floor(*stations))
    (slip,) = measured.slips
    assert slip.suspects[0] == f"f{at}"
    assert slip.size == pytest.approx(size, abs=1.5)
    (stop,) = [f for f in measured.findings if f.severity is Severity.STOP]
    assert "read the floor there again" in stop.mend


def test_a_real_hump_read_twice_is_a_hump() -> None:
    """What the mend asks for: the second reading agrees, so the floor is so."""
    stations = [(x, z + (14.0 if n == 4 else 0.0)) for n, (x, z) in enumerate(FLAT)]
    measured = adjust([*floor(*stations), Reading("f4#2", "floor", 14.5, at=FLAT[4][0])])
    assert measured.slips == ()
    assert not [f for f in measured.findings if f.severity is Severity.STOP]


def test_a_step_is_no_slip_and_a_slip_may_be_a_step() -> None:
    """A threshold of 30 in the middle of many stations is told as a step; at the end, where the
    last station alone stands high, nobody can tell, and both are said."""
    stepped = adjust(floor(*((x, 30.0 if x > 2300 else 0.0) for x, _ in FLAT)))
    assert stepped.slips == ()
    steps = [f for f in stepped.findings if "steps by" in f.what]
    assert steps
    assert all(f.severity is Severity.WARN for f in steps)
    end = adjust(floor(*((x, 30.0 if x > 4500 else 0.0) for x, _ in FLAT)))
    (slip,) = end.slips
    assert slip.suspects == ("f8",)
    assert "the floor steps by" in slip.instead


def test_a_waving_floor_is_no_slip() -> None:
    """12 over a wave of 3 m, which is out of any tolerance but no reading's fault."""
    wave = [(x, 6.0 * math.sin(2 * math.pi * x / 3000.0)) for x, _ in FLAT]
    assert adjust(floor(*wave)).slips == ()


def test_what_nothing_checks_is_listed_with_the_reading_that_would() -> None:
    measured = adjust(
        [Reading("run", "run", 2438), Reading("c", "ceiling", 2405, at=1200), *floor((0, 0))]
    )
    assert {check.id for check in measured.along if check.least_slip is None} == {"run", "c", "f0"}
    for kind in ("run", "ceiling", "floor"):
        (warn,) = [f for f in measured.findings if f.where == f"measure.{kind}"]
        assert warn.severity is Severity.WARN
        assert "a slip of any size would pass unseen" in warn.what
        (advice,) = [each for each in measured.advice if each.kind == kind]
        assert str(advice.label).endswith("a second time")
    again = adjust(
        [
            Reading("run", "run", 2438),
            Reading("run#2", "run", 2388),
            Reading("c", "ceiling", 2405, at=1200),
        ]
    )
    (slip,) = again.slips
    assert set(slip.suspects) == {"run", "run#2"}


def test_the_advised_second_reading_checks_as_much_as_is_promised() -> None:
    readings = floor(*FLAT[::2])
    measured = adjust(readings)
    (first, *_) = [each for each in measured.advice if each.checks == ("f0",)]
    again = adjust([*readings, Reading("f0#2", "floor", 0.0, at=0.0)])
    found = {check.id: check.redundancy for check in again.along}
    assert found["f0"] == pytest.approx(first.redundancy_after, abs=1e-6)
    assert first.redundancy_after > 0.5 > first.redundancy_before


def test_worst_face_bow_counts_its_length() -> None:
    """2 over 1200 is a tighter bow than 3 over 2400 (curvature goes with the square)."""
    measured = adjust(
        [
            Reading("a", "face", 3, "A", at=0, over=2400),
            Reading("b", "face", -2, "A", at=900, over=1200),
            Reading("c", "face", 5, "B", at=900, over=1200),
        ]
    )
    assert [(bow.face, bow.worst, bow.over) for bow in measured.faces] == [
        ("A", -2, 1200),
        ("B", 5, 1200),
    ]
    # read once each, they are listed as checked by nothing too
    assert [finding.where for finding in measured.findings] == ["measure.c", "measure.face"]


def test_faces_that_nothing_checks_are_listed_with_the_reading_that_would() -> None:
    # common practice, no source: a straightedge is turned end for end and read again
    once = Reading("f1", "face", 2.0, "A", 600.0, 1200.0)
    again = Reading("f1", "face", 2.5, "A", 600.0, 1200.0)
    off = Reading("f1", "face", 9.0, "A", 600.0, 1200.0)
    _, (note,) = faces([once])
    assert note.where == "measure.face"
    assert "face A at x" in note.what
    assert "end for end" in note.mend
    assert faces([once, again])[1] == ()  # the mend works
    (wrong, *_) = [f for f in faces([once, off])[1] if "one of them is wrong" in f.what]
    assert wrong.where == "measure.f1"


@pytest.mark.parametrize(("off", "told"), [(6.0, False), (6.1, True), (-6.0, False), (-6.1, True)])
def test_a_face_is_out_of_straight_past_three_in_a_thousand(off: float, told: bool) -> None:
    """3 in 1000 over a straightedge of 2000 is 6 (common practice, no source)."""
    found = faces([Reading("face", "face", off, "A", over=2000.0)])[1]
    assert any("out of straight" in finding.what for finding in found) is told
