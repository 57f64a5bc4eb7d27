"""Does the plan ask the measure room what the job says, and set the job's own figures against it?

The job is the shipped demo (invented), changed in one place at a time.
"""

from __future__ import annotations

from truehang import demo, job
from truehang.findings import Severity
from truehang.job import Job, changed
from truehang.plan.readings import disagreements, measure
from truehang.web.stages import _opening as stage

TEXT = demo.files("fernhollow")[0][1]


def _job(old: str = "", new: str = "") -> Job:
    assert old in TEXT
    return job.load(TEXT.replace(old, new, 1) if old else TEXT)


def test_the_demo_agrees_with_itself() -> None:
    asked = _job()
    assert list(disagreements(asked, measure(asked))) == []


def test_a_written_run_that_is_not_what_was_read_is_said_and_its_mend_works() -> None:
    """The readings make the run 6264; written as 6314 it is a metre stick's 50 off."""
    asked = _job("run: 6264\n", "run: 6314\n")
    (found,) = disagreements(asked, measure(asked))
    assert found.severity is Severity.WARN
    assert found.where == "wall.run"
    mended = changed(asked, found.changes)
    assert mended.wall.run == 6264.0
    assert list(disagreements(mended, measure(mended))) == []


def test_a_written_ceiling_is_set_against_the_lowest_that_was_read() -> None:
    asked = _job("ceiling: 2700", "ceiling: 2750")
    (found,) = disagreements(asked, measure(asked))
    assert found.where == "wall.ceiling"


def test_the_jobs_own_bow_prior_is_used() -> None:
    """Without bows and middles the prior counts: the larger it is, the less is sure."""
    lines = TEXT.splitlines(keepends=True)
    text = "".join(x for x in lines if "kind: bow" not in x and "at: middle" not in x)
    lows = []
    for prior in ("0.1", "8"):
        own = text.replace("measure:\n", f"measure:\n  bow_prior: {prior}\n", 1)
        measured = measure(job.load(own))
        assert measured.usable is not None
        lows.append(measured.usable.width_low)
    assert lows[0] > lows[1] + 2.0


def test_a_floor_station_that_is_off_stops_the_job_until_it_is_read_again() -> None:
    """+14 at a station that no corner shares: a stop that names it. Its mend, a second reading that
    says so too, makes it a hump; one that does not names both takes."""
    off = _job("- {x: 4050, z: -6}", "- {x: 4050, z: 8}")
    measured = measure(off)
    named = {name for slip in measured.slips for name in slip.suspects}
    assert "floor-11" in named
    again = measure(_job("- {x: 4050, z: -6}", "- {x: 4050, z: 8, again: [8]}"))
    named = {name for slip in again.slips for name in slip.suspects}
    assert not any(name.startswith("floor") for name in named)
    apart = measure(_job("- {x: 4050, z: -6}", "- {x: 4050, z: 8, again: [-6]}"))
    named = {name for slip in apart.slips for name in slip.suspects}
    assert "floor-11" in named


def test_the_page_shows_a_station_that_is_off_and_one_that_nothing_checks() -> None:
    off = _job("x: 900, value: 110}", "x: 900, value: 124}")
    assert stage.states(off, measure(off))["thickness-2"] == "stop"
    good = stage.states(_job(), measure(_job()))
    assert good["thickness-2"] == "ok"
    assert good["ceiling-1"] == "warn"
