"""What was not said, and what may not be done before it is? What is not known is not perfect.

Each key of the job file that may be left out has its row in docs/job-file.md. Here are those
whose absence a person must be told of; the rooms tell the rest.
"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.findings import Finding, Severity
from truehang.fit import REACH, Arrangement
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.plan.base import base_findings

PRACTICE = "common practice, no source"
LONG = 3000.0
"""What is longer than this is not carried round every corner, mm (common practice, no source)."""

NOT_RECKONED = {
    "site.storey": "the storey",
    "site.lift_shaft": "whether a lift takes boards",
    "site.occupied": "whether people use the rooms",
}
"""Keys that are kept in the file and that nothing is worked out from; docs/job-file.md says so in
their rows."""


def unknown(job: Job, measured: Measured, fit: Arrangement | None) -> tuple[Finding, ...]:
    """What is not known of this job and stands in the way of something."""
    return (
        *_floor(job, measured, fit),
        *_thickness(job, measured),
        *_services(job, fit),
        *_obstacles(job),
        *base_findings(job),
        *_finish(job),
        *_carried_in(job, fit),
        *_not_reckoned(job),
    )


def _floor(job: Job, measured: Measured, fit: Arrangement | None) -> Iterator[Finding]:
    """A floor that was not read where the frame stands is not taken to be flat."""
    known = [x for x, _, _ in measured.floor.stations] if measured.floor else []
    wanted = _supports(job, fit)
    if len(known) > 1:
        wanted = [x for x in wanted if not min(known) - REACH <= x <= max(known) + REACH]
        if not wanted:
            return
        what = f"the floor was read from x {said(min(known))} to {said(max(known))} only"
    elif known:
        what = f"the floor was read at x {said(known[0])} only, so its fall is not known"
    else:
        what = "the floor was not read, so no height is known"
    places = ", ".join(said(x) for x in wanted)
    yield Finding(
        Severity.HOLD,
        "floor.stations",
        f"{what}; leaf height, packers, head and every mark up the wall are reckoned as if it "
        "were level there",
        f"read the floor from the level datum at x {places}, and give floor.stations, before "
        "anything with a height is ordered or cut",
        PRACTICE,
        before="order",
    )


def _supports(job: Job, fit: Arrangement | None) -> list[float]:
    """Where the frame will stand, as far as that is known."""
    if fit is None:
        return [0.0, job.wall.run / 2, job.wall.run]
    return sorted({float(round(pack.x)) for pack in fit.packs})


def _thickness(job: Job, measured: Measured) -> Iterator[Finding]:
    if measured.thickness is None and job.wall.situation != "new-wall":
        there = job.wall.make_up
        whole = there.studs.depth + sum(one.thickness for one in (*there.face_a, *there.face_b))
        yield Finding(
            Severity.WARN,
            "measure.thickness",
            f"the wall's thickness was not read: {said(whole, 1)} is what its make-up adds up to",
            "read it at each end of the opening before a kit and jamb linings are ordered",
            PRACTICE,
        )


def _services(job: Job, fit: Arrangement | None) -> Iterator[Finding]:
    wall = job.wall
    if not wall.services and wall.situation != "new-wall":
        yield Finding(
            Severity.NOTE,
            "wall.services",
            "no cable and no pipe is listed, which does not say that there is none",
            "look on both faces, in the room above and below, and with a detector; list what is "
            "found under wall.services",
            PRACTICE,
        )
    inside = {clash.service.name for clash in fit.clashes} if fit else set()
    astray = [s.id for s in wall.services if s.runs == "unknown" and s.id not in inside]
    if astray and wall.situation != "new-wall":
        many = len(astray) > 1
        yield Finding(
            Severity.WARN,
            "wall.services",
            f"which way the cables and pipes of {', '.join(astray)} go is not known: one may cross "
            "a pocket or the place of new timber",
            f"find out where {'they run' if many else 'it runs'} before a lining is cut, and give "
            "runs: up, down, left, right or none",
            PRACTICE,
        )


def _obstacles(job: Job) -> Iterator[Finding]:
    """A run that nobody looked along is not clear; `[]` says that somebody did."""
    if job.wall.obstacles is None:
        yield Finding(
            Severity.NOTE,
            "wall.obstacles",
            "nobody wrote whether a window, a door, a corner or a fitting stands in the run: it is "
            f"taken as clear from end to end, {said(job.wall.run)}",
            "look along the run on both faces and list what stands in it under wall.obstacles; "
            "write [] where there is nothing",
            PRACTICE,
        )


def _finish(job: Job) -> Iterator[Finding]:
    if job.floor.finish is None and not job.floor.to_come:
        yield Finding(
            Severity.NOTE,
            "floor.finish",
            "nothing is said of the floor's finish: what was read is taken to be the finished "
            "floor",
            "name it under floor.finish, or give what is still to be laid as floor.to_come",
            PRACTICE,
        )


def _carried_in(job: Job, fit: Arrangement | None) -> Iterator[Finding]:
    if fit is not None and job.site.longest is None and fit.frame.length > LONG:
        yield Finding(
            Severity.NOTE,
            "site.longest",
            f"how long a thing can be carried in is not known, and lengths for a frame of "
            f"{said(fit.frame.length)} are bought",
            "look at the stairs and corners, and give site.longest",
            PRACTICE,
        )


def _not_reckoned(job: Job) -> Iterator[Finding]:
    """What was written and changes no figure, so that nobody takes it for reckoned in."""
    whole = job.model_dump()
    written = []
    for path, what in NOT_RECKONED.items():
        section, _, key = path.partition(".")
        if whole[section][key] is not None:
            written.append(what)
    if written:
        yield Finding(
            Severity.NOTE,
            "job",
            f"written in the job, but no figure or order here is worked out from it: "
            f"{', '.join(written)}",
            "put it into your own reckoning: the days",
            PRACTICE,
        )
