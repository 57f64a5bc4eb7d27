"""Does anything at all that a person may write come back as findings, never as a traceback?"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.findings import Severity
from truehang.lengths import said
from truehang.measure import PLACES, Reading, adjust, fit_chance


@pytest.mark.parametrize(
    ("reading", "what", "mend"),
    [
        (Reading("a", "width", math.nan, "bottom"), "nan", "mm"),
        (Reading("a", "width", math.inf, "bottom"), "inf", "mm"),
        (Reading("a", "width", "wide", "bottom"), "wide", "mm"),
        (Reading("a", "width", -3460, "bottom"), "-3460", "minus"),
        (Reading("a", "width", 3.46, "bottom"), "3.46", said(3460)),
        (Reading("a", "height", 252, "left"), "252", said(2520)),
        (Reading("a", "width", 9e9, "bottom"), "9e+09", "again"),
        (Reading("a", "width", 3460, "midle"), "midle", "middle"),
        (Reading("a", "widht", 3460, "bottom"), "widht", "width"),
        (Reading("a", "plumb", 2, "left"), "over", "how long"),
        (Reading("a", "floor", 2), "at", "where along"),
        (Reading("a", "floor", 2, at=math.nan), "nan", said(60000)),
        (Reading("a", "plumb", 2, "left", over=0), "0", said(200)),
    ],
)
def test_each_bad_reading_is_named_with_its_mend(reading, what, mend) -> None:
    measured = adjust([reading])
    (stop,) = [f for f in measured.findings if f.where == "measure.a"]
    assert stop.severity is Severity.STOP
    assert what in stop.what
    assert mend in stop.mend


def test_a_bad_reading_does_not_lose_the_others(corners, take) -> None:
    measured = adjust([*take(corners), Reading("bad", "width", math.nan, "middle")])
    assert measured.opening.corner("top-right").x == pytest.approx(4103.0, abs=1e-3)
    assert measured.findings[0].where == "measure.bad"


def test_one_id_twice_is_said(corners, take) -> None:
    measured = adjust([*take(corners), Reading("width-top", "width", 3000, "top")])
    assert "two readings" in measured.findings[0].what
    assert measured.opening.corner("top-right").x == pytest.approx(4103.0, abs=1e-3)


@pytest.mark.parametrize("sigma", [0.0, -1.0, math.nan, 1e6])
def test_an_impossible_uncertainty_is_said_and_replaced(corners, take, sigma) -> None:
    first, *rest = take(corners)
    bad = Reading(first.id, first.kind, first.value, first.place, sigma=sigma)
    measured = adjust([bad, *rest])
    assert any(f.where == f"measure.{first.id}" for f in measured.findings)
    assert measured.opening.readings[0].sigma == 1.5


def test_a_place_where_the_kind_needs_none_is_let_be(corners, take) -> None:
    """Found by the generated readings below: a run "at A" is still the run."""
    readings = [r for r in take(corners) if r.kind != "run"]
    measured = adjust([*readings, Reading("run", "run", 5900.0, "A")])
    assert measured.run.length == pytest.approx(5900.0, abs=1e-3)


def test_no_readings_at_all() -> None:
    measured = adjust([])
    assert measured.opening is None
    assert measured.figures == ()
    assert fit_chance(measured, 3000, 2400) is None


VALUES = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(300, 6000),
    st.floats(-200, 200),
    st.integers(-(10**6), 10**6),
)
READINGS = st.builds(
    Reading,
    id=st.sampled_from([f"r{n}" for n in range(25)]),
    kind=st.sampled_from([*PLACES, "odd"]),
    value=VALUES,
    place=st.sampled_from(sorted({p for places in PLACES.values() for p in places})),
    at=st.none() | st.floats(0, 6000),
    over=st.none() | st.floats(200, 3000),
    sigma=st.none() | st.floats(0, 10),
    instrument=st.sampled_from(["", "tape", "level", "eye"]),
)


@given(readings=st.lists(READINGS, max_size=25))
@settings(max_examples=80, deadline=None)
def test_anything_written_comes_back_as_findings(readings) -> None:
    measured = adjust(readings)
    if measured.usable is not None:
        assert math.isfinite(measured.usable.width)
        assert math.isfinite(measured.usable.height_low)
        chance = fit_chance(measured, 800, 2000)
        assert 0.0 <= chance.probability <= 1.0


def _placed(kind: str):
    return st.builds(
        Reading,
        id=st.uuids().map(str),
        kind=st.just(kind),
        value=st.floats(-30, 30)
        if kind in ("plumb", "level", "bow", "floor", "face")
        else st.floats(600, 5000),
        place=st.sampled_from(PLACES[kind]),
        at=st.floats(0, 3000) if kind in ("floor", "ceiling", "thickness", "face") else st.none(),
        over=st.floats(300, 2400) if kind in ("plumb", "face") else st.none(),
    )


@given(readings=st.lists(st.sampled_from(sorted(PLACES)).flatmap(_placed), min_size=3, max_size=25))
@settings(max_examples=80, deadline=None)
def test_wild_but_readable_networks_never_crash(readings) -> None:
    measured = adjust(readings)
    shaped = any(r.kind in ("width", "height", "diagonal", "plumb", "level") for r in readings)
    assert measured.opening is not None or not shaped or measured.findings
