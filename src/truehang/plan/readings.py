"""Which readings does the measure room get from a job file?"""

from __future__ import annotations

from truehang.job import Job
from truehang.measure import Reading


def readings(job: Job) -> tuple[Reading, ...]:
    """Every reading of the job, floor stations too. Where the run or the ceiling was given but
    not read, the given figure counts as one tape reading."""
    given = [
        Reading(r.id, r.kind, r.value, r.place, r.at, r.over, r.sigma, r.instrument)
        for r in job.measure.given()
    ]
    kinds = {reading.kind for reading in given}
    own = job.measure.instruments.get(job.floor.instrument)
    sigma = job.floor.sigma or (own.sigma if own else None)
    floor = [
        Reading(f"floor-{n}", "floor", station.z, at=station.x, sigma=sigma,
                instrument=job.floor.instrument if own is None else "")
        for n, station in enumerate(job.floor.stations, start=1)
    ]  # fmt: skip
    assumed = []
    if "run" not in kinds:
        assumed.append(Reading("wall-run", "run", job.wall.run, instrument="tape"))
    if "ceiling" not in kinds:
        assumed.append(Reading("wall-ceiling", "ceiling", job.wall.ceiling, at=job.wall.run / 2))
    return (*given, *floor, *assumed)
