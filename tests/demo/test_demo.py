"""The demos are whole, invented, and hold what a real measure would."""

from __future__ import annotations

import dataclasses
from itertools import pairwise

import pytest

from truehang import catalogue, demo, job
from truehang.job import Job
from truehang.measure import Measured, Reading, adjust
from truehang.plan import plan

JOBS = {
    name: [job.load(text) for _, text in demo.files(name)] for name in demo.names()
}  # loading is the check
EVERY = [loaded for jobs in JOBS.values() for loaded in jobs]


def _measured(loaded: Job) -> Measured:
    return adjust([Reading(**dataclasses.asdict(given)) for given in loaded.readings()])


def test_the_demos_and_their_openings() -> None:
    assert demo.names() == (
        "fernhollow", "granary-hall", "juniper-court", "millrace-cottage", "quarry-house",
        "tannery-lofts",
    )  # fmt: skip
    assert [len(jobs) for jobs in JOBS.values()] == [1, 1, 1, 1, 1, 24]
    with pytest.raises(demo.UnknownDemo, match="there are fernhollow"):
        demo.files("fernhollo")


def test_every_demo_says_that_it_is_invented() -> None:
    assert all(loaded.job.invented for loaded in EVERY)
    for name in demo.names():
        assert all("invented" in text.lower()[:700] for _, text in demo.files(name))


def test_names_and_files_agree() -> None:
    for name in demo.names():
        for (file, _), loaded in zip(demo.files(name), JOBS[name], strict=True):
            assert file == f"{loaded.job.name}.yaml"


def test_fernhollow_hides_one_slip_and_it_is_named_alone() -> None:
    """Baarda's data snooping: one reading out of all, nothing tied with it, about 10 mm."""
    slips = _measured(JOBS["fernhollow"][0]).slips
    assert [slip.suspects for slip in slips] == [("width-bottom",)]
    assert abs(slips[0].size) == pytest.approx(10, abs=2.5)


def test_fernhollow_taken_again_right_has_no_slip_left() -> None:
    text = demo.files("fernhollow")[0][1]
    mended = job.load(text.replace("at: bottom, value: 3450", "at: bottom, value: 3460"))
    measured = _measured(mended)
    assert measured.slips == ()
    assert measured.opening is not None
    assert measured.opening.global_test is not None
    assert measured.opening.global_test.passed


def test_the_other_demos_have_no_slip() -> None:
    for loaded in EVERY[1:]:
        assert _measured(loaded).slips == (), loaded.job.name


def test_each_old_opening_is_read_with_redundancy_and_each_floor_along_the_whole_run() -> None:
    for loaded in EVERY:
        kinds = [reading.kind for reading in loaded.measure.readings]
        if loaded.wall.has_old:
            assert kinds.count("width") == kinds.count("height") == 3
            assert kinds.count("diagonal") == kinds.count("plumb") >= 2 or kinds.count("plumb") == 4
            measured = _measured(loaded)
            assert measured.opening is not None
            assert measured.opening.global_test is not None
            assert measured.opening.global_test.redundant >= 8
        stations = loaded.floor.stations
        assert stations[0].x == 0
        assert stations[-1].x == loaded.wall.run
        gaps = [b.x - a.x for a, b in pairwise(stations)]
        assert max(gaps) <= 900, loaded.job.name


def test_tannery_lofts_has_three_floors_several_kits_and_a_crew_of_three() -> None:
    lofts = JOBS["tannery-lofts"]
    assert {loaded.site.storey for loaded in lofts} == {0, 1, 2}
    assert len({loaded.wishes.kit for loaded in lofts}) >= 4
    assert {loaded.site.crew for loaded in lofts} == {3}
    assert {loaded.job.project for loaded in lofts} == {"tannery-lofts"}
    assert len({loaded.job.name for loaded in lofts}) == 24


def test_quarry_house_carries_the_upper_floor() -> None:
    (house,) = JOBS["quarry-house"]
    assert house.wishes.accessible == "region"
    assert house.wall.evidence.loads
    assert house.wall.evidence.opened_up is None  # so that the hold point stands


def test_the_beam_of_granary_hall_sags_6_and_its_packers_take_that_up() -> None:
    """By hand: 2394 at both ends, 2388 in the middle; straight between the readings."""
    (loaded,) = JOBS["granary-hall"]
    made = plan(loaded, catalogue.load())
    assert made.over is not None
    assert made.over.way == "existing"
    assert made.over.sag == 6.0
    gaps = {one.x: one.gap for one in made.over.packs}
    middle = min(gaps, key=lambda x: abs(x - 2600))
    assert max(gaps.values()) - gaps[middle] == pytest.approx(6.0, abs=1.0)
    assert all(one.pieces is not None for one in made.over.packs)
    assert not made.standing.draft
