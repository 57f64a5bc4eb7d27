"""Where fewer services would have to be moved, and the floor was not read there: the mend asks for
the floor first, for a wish that turns a warning into a hold mends nothing (geometry)."""

from typing import Any

from benchmarks.trust.mends import tried

from truehang import catalogue
from truehang.findings import Finding
from truehang.job import Job, load, starter
from truehang.job.file import plain
from truehang.plan import plan

BOUGHT = catalogue.load()


def beside_a_switch(read_from: float) -> Job:
    """A switch where the opening is wished; the floor of its 9000 read from `read_from` on."""
    values: dict[str, Any] = dict(plain(load(starter()).model_dump()))
    switch = {"id": "switch", "kind": "switch", "x": 3000, "z": 1000, "face": "A", "runs": "up"}
    values["wall"] |= {
        "situation": "new-opening",
        "run": 9000,
        "obstacles": [],
        "services": [switch],
    }
    values["measure"]["readings"] = []
    values["floor"]["stations"] = [{"x": x, "z": 0} for x in (read_from, 4500.0, 9000.0)]
    values["wishes"] |= {"arrangement": "any", "clear_width": 820, "clear_height": None}
    values["wishes"]["place"] = {"from_x": 0, "to_x": 9000, "centre": 3000}
    return Job.model_validate(values)


def elsewhere(job: Job) -> Finding:
    (found,) = [
        one for one in plan(job, BOUGHT).findings if "services that another would not" in one.what
    ]
    return found


def test_where_the_floor_was_read_the_place_is_stated() -> None:
    job = beside_a_switch(0.0)
    places = {change.path for change in elsewhere(job).changes}
    assert places == {"wishes.place.centre", "wishes.arrangement"}
    for one in tried(0, job):
        assert not one.trouble, (one.finding.where, one.finding.changes, one.trouble)


def test_where_it_was_not_it_is_to_be_read_first() -> None:
    found = elsewhere(beside_a_switch(1600.0))
    assert found.changes == ()
    assert "once the floor is read there too" in found.mend
