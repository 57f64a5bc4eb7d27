"""Do floor, ceiling, thickness and faces read back what was read? Values are worked by hand."""

from __future__ import annotations

import pytest

from truehang.findings import Severity
from truehang.lengths import said
from truehang.measure import Reading, adjust


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
    assert measured.findings == ()


def test_repeats_too_far_apart_are_a_stop() -> None:
    measured = adjust([*floor((100, 0)), Reading("again", "floor", 12.0, at=100)])
    (stop,) = measured.findings
    assert stop.severity is Severity.STOP
    assert f"{said(12)} apart" in stop.what


def test_a_step_is_worth_a_look() -> None:
    (warn,) = adjust(floor((0, 0), (500, -1), (1000, -22))).findings
    assert warn.severity is Severity.WARN
    assert said(-21) in warn.what
    assert f"x {said(500)} and {said(1000)}" in warn.what


def test_thickness() -> None:
    wall = adjust(
        [Reading("a", "thickness", 110, at=0), Reading("b", "thickness", 113, at=900)]
    ).thickness
    assert (wall.mean, wall.least, wall.most) == (111.5, 110, 113)
    (warn,) = adjust(
        [Reading("a", "thickness", 110, at=0), Reading("b", "thickness", 121, at=900)]
    ).findings
    assert f"{said(110)} to {said(121)}" in warn.what


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
    assert [finding.where for finding in measured.findings] == ["measure.c"]
