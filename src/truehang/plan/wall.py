"""How long and how high is the wall run, as measured where it was, else as written?"""

from __future__ import annotations

from truehang.job import Job
from truehang.measure import Measured

PLATE = 45.0
"""Depth kept for the plate under the ceiling, mm (common practice, no source)."""


def run_of(job: Job, measured: Measured) -> float:
    """Length of the run, mm."""
    return measured.run.length if measured.run else job.wall.run


def ceiling_of(job: Job, measured: Measured) -> float:
    """The z of the lowest ceiling over the run, mm."""
    read = [z for _, z, _ in measured.ceiling.stations] if measured.ceiling else []
    return min(read, default=job.wall.ceiling)


def plate_of(job: Job) -> float:
    """Depth (mm) of the plate under the ceiling: what was read or is kept for one that is there,
    and no less than that of a new one, which is cut from what the studs are cut from."""
    new = job.wall.situation == "new-wall"
    read = [plate.depth for plate in job.wall.framing.plates if plate.at == "top"]
    if read and not new:
        return max(read)
    return max(PLATE, job.wall.make_up.studs.width) if new else PLATE
