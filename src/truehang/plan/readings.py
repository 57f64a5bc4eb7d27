"""Which readings does the measure room get from a job file, and does the file agree with them?"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.findings import Change, Finding, Severity
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured, Reading, adjust
from truehang.plan.store import Store

APART = 5.0
"""How far what is written of the wall may be off the readings, mm (common practice, no source)."""


def measure(job: Job, store: Store | None = None) -> Measured:
    """What the job's readings say."""
    given, seed, bow = readings(job), job.job.seed, job.measure.bow_prior

    def adjusted() -> Measured:
        return adjust(given, seed=seed, bow_prior=bow)

    return adjusted() if store is None else store.answer("measure", (given, seed, bow), adjusted)


def readings(job: Job) -> tuple[Reading, ...]:
    """Every take of every reading of the job, floor stations too. Where the run or the ceiling
    was given but not read, the given figure counts as one tape reading."""
    given = list(job.readings())
    kinds = {reading.kind for reading in given}
    if "run" not in kinds:
        given.append(Reading("wall-run", "run", job.wall.run, instrument="tape"))
    if "ceiling" not in kinds:
        middle = job.wall.run / 2
        given.append(Reading("wall-ceiling", "ceiling", job.wall.ceiling, at=middle))
    return tuple(given)


def disagreements(job: Job, measured: Measured) -> Iterator[Finding]:
    """The wall's run and ceiling are written in the job and read as well: are they one length?"""
    if measured.run is not None:
        yield from _apart("wall.run", "run", job.wall.run, measured.run.length)
    if measured.ceiling is not None:
        yield from _apart("wall.ceiling", "ceiling", job.wall.ceiling, measured.ceiling.lowest[1])


def _apart(path: str, name: str, written: float, read: float) -> Iterator[Finding]:
    if abs(written - read) <= APART:
        return
    yield Finding(
        Severity.WARN,
        path,
        f"the wall's {name} is written as {said(written, 1)}, the readings make it "
        f"{said(read, 1)}: one of them is wrong",
        f"measure the {name} again; if the readings are right, write {path} as {said(read)}",
        "common practice, no source",
        changes=(Change(path, float(round(read))),),
    )
