"""Which readings does the measure room get from a job file?"""

from __future__ import annotations

from truehang.job import Job
from truehang.measure import Reading


def readings(job: Job) -> tuple[Reading, ...]:
    """Every take of every reading of the job, floor stations too. Where the run or the ceiling
    was given but not read, the given figure counts as one tape reading."""
    given = [
        Reading(r.id, r.kind, r.value, r.place, r.at, r.over, r.sigma, r.instrument)
        for r in job.readings()
    ]
    kinds = {reading.kind for reading in given}
    if "run" not in kinds:
        given.append(Reading("wall-run", "run", job.wall.run, instrument="tape"))
    if "ceiling" not in kinds:
        middle = job.wall.run / 2
        given.append(Reading("wall-ceiling", "ceiling", job.wall.ceiling, at=middle))
    return tuple(given)
