"""Readings come out of the job as plain values that the measure room takes as they are."""

from __future__ import annotations

import pickle

import pytest
import yaml
from pydantic import ValidationError

from truehang import demo, job
from truehang.reading import Reading


def _given(reading: str, instruments: str = "{}") -> tuple[Reading, ...]:
    raw = yaml.safe_load(job.starter())
    raw["floor"] = {}
    raw["measure"] = {
        "readings": [yaml.safe_load(reading)],
        "instruments": yaml.safe_load(instruments),
    }
    return job.load(yaml.safe_dump(raw)).readings()


@pytest.mark.parametrize(
    ("reading", "given"),
    [
        (
            "{id: w, kind: width, at: top, value: 3461}",
            Reading("w", "width", 3461, "top", instrument="tape"),
        ),
        (
            "{id: p, kind: plumb, at: left, value: -2, over: 2000, lower_end: 300}",
            Reading("p", "plumb", -2, "left", 300, 2000, None, "level"),
        ),
        (
            "{id: l, kind: level, at: head, value: 1}",
            Reading("l", "level", 1, "head", instrument="level"),
        ),
        ("{id: r, kind: run, value: 6 m}", Reading("r", "run", 6000, instrument="tape")),
        (
            "{id: t, kind: thickness, x: 900, value: 110}",
            Reading("t", "thickness", 110, "", 900, None, None, "calliper"),
        ),
        (
            "{id: f, kind: face, face: B, x: 600, over: 1200, value: -1}",
            Reading("f", "face", -1, "B", 600, 1200, None, "straightedge"),
        ),
        (
            "{id: c, kind: ceiling, x: 600, value: 2700, sigma: 2}",
            Reading("c", "ceiling", 2700, "", 600, None, 2, "laser-distance"),
        ),
    ],
)
def test_a_reading_as_plain_values(reading: str, given: Reading) -> None:
    assert _given(reading) == (given,)


def test_taken_again_is_a_reading_of_its_own() -> None:
    first, second, third = _given(
        "{id: w, kind: width, at: top, value: 3461, again: [3460, 11' 4 1/4\"]}".replace(
            "11' 4 1/4\"", '"11\' 4 1/4\\""'
        )
    )
    assert (first.id, second.id, third.id) == ("w", "w#2", "w#3")
    assert third.value == pytest.approx(136.25 * 25.4)


def test_own_instruments_give_their_sigma_and_a_reading_may_give_its_own() -> None:
    own = "{tape: {sigma: 0.7}}"
    named = "{id: w, kind: width, at: top, value: 3461, instrument: tape}"
    assert _given(named, own)[0].sigma == 0.7
    assert _given(named.replace("3461", "3461, sigma: 2"), own)[0].sigma == 2
    assert _given("{id: w, kind: width, at: top, value: 3461}", own)[0].sigma == 0.7
    assert _given(named)[0].sigma is None  # the measure room knows the usual one


def test_the_floors_stations_follow_the_readings_with_the_lines_own_sigma() -> None:
    text = job.starter().replace(
        "  readings:", "  instruments: {laser-line: {sigma: 0.8}}\n  readings:"
    )
    readings = job.load(text).readings()
    floor = [reading for reading in readings if reading.kind == "floor"]
    assert readings[-len(floor) :] == tuple(floor)
    assert floor[1] == Reading("floor-2", "floor", -1, "", 1000, None, 0.8, "laser-line")


def test_a_job_can_not_be_changed() -> None:
    loaded = job.load(job.starter())
    with pytest.raises(ValidationError, match="frozen"):
        loaded.wall.run = 1.0  # type: ignore[misc]


@pytest.mark.parametrize("name", demo.names())
def test_a_job_goes_from_one_process_to_another(name: str) -> None:
    """Plans are made in processes of their own, and hold their job: pickled, it comes out the same.

    Seen red when the model of each kind of reading was in no module by its name."""
    for _, text in demo.files(name)[:2]:
        one = job.load(text)
        assert pickle.loads(pickle.dumps(one)) == one
