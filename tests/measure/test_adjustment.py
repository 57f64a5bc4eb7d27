"""Does the adjustment find the opening, and say what checks it? Expected values are geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.findings import Severity
from truehang.lengths import said
from truehang.measure import Reading, adjust

NAMES = {"bl": "bottom-left", "br": "bottom-right", "tr": "top-right", "tl": "top-left"}

OPENINGS = st.builds(
    lambda x, z, w, h, d: {
        "bl": (x, z),
        "br": (x + w, z + d[0]),
        "tr": (x + w + d[1], z + h + d[2]),
        "tl": (x + d[3], z + h + d[4]),
    },
    st.floats(100, 1500),
    st.floats(-40, 40),
    st.floats(700, 3800),
    st.floats(1900, 3200),
    st.tuples(*[st.floats(-25, 25)] * 5),
)


@given(corners=OPENINGS)
@settings(max_examples=60, deadline=None)
def test_readings_without_noise_give_back_the_truth(corners, take) -> None:
    measured = adjust(take(corners))
    assert not measured.slips
    for short, name in NAMES.items():
        corner = measured.opening.corner(name)
        assert corner.x == pytest.approx(corners[short][0], abs=1e-3)
        assert corner.z == pytest.approx(corners[short][1], abs=1e-3)
    assert measured.run.length == pytest.approx(5900.0, abs=1e-3)


@given(corners=OPENINGS, along=st.floats(-90, 2000), up=st.floats(-60, 60))
@settings(max_examples=40, deadline=None)
def test_moving_everything_moves_the_answer_and_nothing_else(corners, along, up, take) -> None:
    """A step of the datum changes marks, run and floor, not the shape, the tests or the bounds."""
    first = adjust(take(corners, diagonal_rising=6.0))
    moved = [
        replace(r, value=r.value + along)
        if r.kind in ("mark", "run")
        else replace(r, value=r.value + up, at=r.at + along)
        if r.kind == "floor"
        else r
        for r in take(corners, diagonal_rising=6.0)
    ]
    second = adjust(moved)
    assert second.slips == pytest.approx(first.slips) or [s.suspects for s in second.slips] == [
        s.suspects for s in first.slips
    ]
    for corner in first.opening.corners:
        other = second.opening.corner(corner.name)
        assert other.x - corner.x == pytest.approx(along, abs=1e-3)
        assert other.z - corner.z == pytest.approx(up, abs=1e-3)
        assert other.sigma_x == pytest.approx(corner.sigma_x, abs=1e-4)
    assert second.usable.width == pytest.approx(first.usable.width, abs=1e-3)
    assert second.usable.width_low == pytest.approx(first.usable.width_low, abs=1e-3)


def test_mirrored_opening_gives_the_mirrored_answer(corners, take) -> None:
    """Seen from behind, left and right change places and every lean and rise its sign."""
    across = {"bl": "br", "br": "bl", "tr": "tl", "tl": "tr"}
    mirrored = {across[name]: (5900.0 - x, z) for name, (x, z) in corners.items()}
    measured, mirror = adjust(take(corners)), adjust(take(mirrored))
    for short, name in NAMES.items():
        corner, other = measured.opening.corner(name), mirror.opening.corner(NAMES[across[short]])
        assert other.x == pytest.approx(5900.0 - corner.x, abs=1e-3)
        assert other.z == pytest.approx(corner.z, abs=1e-3)
    assert mirror.usable.width == pytest.approx(measured.usable.width, abs=1e-3)


def test_redundancies_add_up_to_the_spare_readings(corners, take) -> None:
    """The trace of I - A(A'A)^-1A' is readings less unknowns (algebra)."""
    opening = adjust(take(corners)).opening
    spare = len(opening.readings) - len(opening.unknowns)
    assert sum(check.redundancy for check in opening.readings) == pytest.approx(spare)
    assert opening.global_test.redundant == spare


def test_middle_width_finds_bowed_jambs(corners, take) -> None:
    """Both jambs 4 into the opening: the middle width is 8 less than the mean of the others."""
    middle = (math.dist(corners["bl"], corners["br"]) + math.dist(corners["tl"], corners["tr"])) / 2
    readings = [
        *(reading for reading in take(corners) if reading.kind != "plumb"),
        Reading("middle", "width", middle - 8.0, "middle"),
        Reading("bow-l", "bow", 4.0, "left"),
        Reading("bow-r", "bow", 4.0, "right"),
    ]
    measured = adjust(readings)
    assert measured.findings == () or max(f.severity for f in measured.findings) < Severity.STOP
    assert measured.opening.side("left").bow == pytest.approx(4.0, abs=0.02)
    assert measured.opening.side("right").bow == pytest.approx(4.0, abs=0.02)
    assert measured.usable.width == pytest.approx(middle - 8.0, abs=0.6)
    assert measured.usable.held_by[:2] == ("left jamb, bow", "right jamb, bow")


def test_bow_over_a_short_straightedge_grows_with_the_square(corners, take) -> None:
    """A round bow over twice the length is four times as deep (circle, small angles)."""
    height = math.dist(corners["bl"], corners["tl"])
    readings = [reading for reading in take(corners) if reading.kind != "plumb"]
    measured = adjust([*readings, Reading("b", "bow", 1.0, "left", over=height / 2)])
    assert measured.opening.side("left").bow == pytest.approx(4.0, abs=0.01)


def test_plumb_reads_the_bow_too(corners, take) -> None:
    """A level from the foot to mid-height of a jamb bowed 5 leans by 5 more than the jamb."""
    height = corners["tl"][1] - corners["bl"][1]
    lean = corners["tl"][0] - corners["bl"][0]
    readings = [reading for reading in take(corners) if reading.id != "plumb-left"]
    readings += [
        Reading("bow", "bow", 5.0, "left"),
        Reading("plumb", "plumb", lean / 2 + 5.0, "left", over=height / 2),
    ]
    measured = adjust(readings)
    assert measured.opening.side("left").bow == pytest.approx(5.0, abs=1e-3)
    assert measured.opening.corner("top-left").x == pytest.approx(corners["tl"][0], abs=1e-3)


def test_an_unread_side_is_said_to_be_taken_as_straight(corners, take) -> None:
    """Base, left and head unread: each is 0 give or take the prior, one finding says so, and the
    advice names them with what reading them would make sure."""
    measured = adjust([*take(corners), Reading("b", "bow", 0.0, "right")])
    (note,) = [f for f in measured.findings if f.where == "measure.bow"]
    assert "base, head and left jamb were not read for bow" in note.what
    assert f"give or take {said(2)}" in note.what
    assert "string" in note.mend
    bows = [each for each in measured.advice if each.kind == "bow"]
    assert {each.place for each in bows} == {"base", "head", "left"}
    assert bows[0].surer > 2.0
    assert f"about {said(bows[0].surer)} more" in note.mend
    unsure = {s.name: s.sigma_bow for s in measured.opening.sides if not s.measured}
    assert unsure["base"] == pytest.approx(4.0)
    assert unsure["head"] == pytest.approx(4.0)
    assert unsure["left"] < 2.5, "the level held against the lower part of a jamb tells of its bow"


def test_the_bow_prior_is_the_jobs_own(corners, take) -> None:
    """The more crooked the walls may be, the less is sure; read bows end the doubt."""
    lows = [adjust(take(corners), bow_prior=prior).usable.width_low for prior in (0.0, 1, 2, 4)]
    assert lows == sorted(lows, reverse=True)
    assert lows[0] - lows[2] > 1.5
    read = [Reading(f"b-{side}", "bow", 0.0, side) for side in ("left", "right", "head", "base")]
    assert adjust([*take(corners), *read]).usable.width_low > lows[2] + 1.0


def test_width_and_height_alone_still_give_an_opening() -> None:
    measured = adjust([Reading("w", "width", 3460, "bottom"), Reading("h", "height", 2520, "left")])
    assert measured.usable.width == pytest.approx(3460, abs=1e-6)
    assert measured.usable.height == pytest.approx(2520, abs=1e-6)
    assert measured.usable.width_low < 3452, "four sides taken on trust must cost certainty"
    assert measured.opening.global_test is None
    said = " ".join(str(finding.what) for finding in measured.findings)
    for word in ("base taken as level", "left jamb taken as plumb", "no reading is checked"):
        assert word in said


@pytest.mark.parametrize(
    ("given_readings", "missing"),
    [
        ([Reading("w", "width", 3460, "bottom")], "height"),
        ([Reading("h", "height", 2520, "left")], "width"),
        ([Reading("p", "plumb", 2, "left", over=2000)], "width and height"),
        ([Reading("d", "diagonal", 4280, "rising")], "fix"),
    ],
)
def test_what_the_readings_leave_free_is_named(given_readings, missing) -> None:
    measured = adjust(given_readings)
    assert measured.opening is None
    (stop,) = [f for f in measured.findings if f.severity is Severity.STOP]
    assert missing in stop.what
    assert "read a" in stop.mend


def test_new_opening_has_run_floor_and_ceiling_only() -> None:
    measured = adjust(
        [
            Reading("run", "run", 2438),
            Reading("f1", "floor", 0, at=0),
            Reading("f2", "floor", 3, at=2400),
            Reading("c1", "ceiling", 2405, at=1200),
            Reading("t1", "thickness", 112, at=100),
        ]
    )
    assert measured.opening is None
    assert measured.usable is None
    assert measured.run.length == 2438
    assert measured.floor.z(1200) == pytest.approx(1.5)
    said_of = {f.where: f.what for f in measured.findings}
    assert set(said_of) == {"measure.run", "measure.floor", "measure.ceiling", "measure.thickness"}
    for kind in ("run", "ceiling", "thickness"):
        assert "a slip of any size would pass unseen" in said_of[f"measure.{kind}"]
    assert "only a slip larger" in said_of["measure.floor"]
    labels = [each.label for each in measured.advice]
    assert "wall run, a second time" in labels
    assert {"measure.run", "measure.floor.highest", "measure.ceiling.lowest"} <= {
        figure.key for figure in measured.figures
    }


def test_same_readings_same_answer(corners, take) -> None:
    assert adjust(take(corners), seed=4) == adjust(take(corners), seed=4)


def test_figures_have_unique_keys_and_known_inputs(corners, take) -> None:
    readings = [*take(corners), Reading("t", "thickness", 110, at=0)]
    figures = adjust(readings).figures
    keys = [figure.key for figure in figures]
    assert len(set(keys)) == len(keys)
    known = {f"job:measure.readings.{reading.id}" for reading in readings} | set(keys)
    assert all(set(figure.inputs) <= known and figure.inputs for figure in figures)
    assert all(key.startswith("measure.") for key in keys)


def test_an_opening_fixed_in_name_only_is_said() -> None:
    """Diagonals 1 mm longer than the height: its width, about 71, is known to no use."""
    measured = adjust(
        [
            Reading("h", "height", 2520.0, "left"),
            Reading("d1", "diagonal", 2521.0, "rising"),
            Reading("d2", "diagonal", 2521.0, "falling"),
            Reading("l", "level", 0.0, "base"),
        ]
    )
    assert measured.opening is None
    assert [finding.severity for finding in measured.findings] == [Severity.STOP]
