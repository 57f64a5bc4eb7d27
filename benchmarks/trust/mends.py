"""Do mends work? Each value that a mend states is put in, and the job is planned again.

A mend holds when its finding is gone and no worse one took its place: every finding of the new
plan that is worse than it stood in the old plan too, at the same place. What a stop had hidden (a
kit that is not in the catalogue, then one that does not fit) is no worse than that stop.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from benchmarks.random_jobs import CATALOGUE, random_job
from benchmarks.trust.table import Row, Table
from pydantic import ValidationError

from truehang.findings import Finding, Severity
from truehang.job import Job, NoSuchPlace, changed
from truehang.plan import Plan, plan


@dataclass(frozen=True, slots=True)
class Tried:
    """One mend, applied. `trouble` says what went wrong, and is empty where it held."""

    seed: int
    finding: Finding
    trouble: str


def tried(seed: int, job: Job) -> Iterator[Tried]:
    """Every mend of this job that states a value, applied by itself."""
    before = plan(job, CATALOGUE)
    for finding in before.findings:
        if finding.changes:
            yield Tried(seed, finding, _trouble(job, before, finding))


def _trouble(job: Job, before: Plan, finding: Finding) -> str:
    try:
        mended = changed(job, finding.changes)
    except (ValidationError, NoSuchPlace) as refused:
        return f"the job file refuses it: {refused}"
    try:
        after = plan(mended, CATALOGUE).findings
    except Exception as fault:  # the other jobs are tried all the same, and this one is counted
        return f"it can't be planned: {type(fault).__name__}: {fault}"
    if any(_same(one, finding) for one in after):
        return "the finding is still there"
    stood = {(one.severity, one.where) for one in before.findings}
    worse = [
        one
        for one in after
        if one.severity > finding.severity and (one.severity, one.where) not in stood
    ]
    return f"{worse[0].severity.word} at {worse[0].where}: {worse[0].what}" if worse else ""


def _same(one: Finding, other: Finding) -> bool:
    """The same complaint at the same place, whatever its numbers. That nothing fits is one
    complaint, whichever option comes nearest."""
    if _nothing_fits(one) and _nothing_fits(other):
        return True
    return (one.severity, one.where, _shape(str(one.what))) == (
        other.severity,
        other.where,
        _shape(str(other.what)),
    )


def _nothing_fits(one: Finding) -> bool:
    return one.severity is Severity.STOP and (
        one.where == "wishes" or one.where.startswith("options.")
    )


def _about(finding: Finding) -> str:
    """What a row of the table counts."""
    return "nothing fits" if _nothing_fits(finding) else finding.where


def _shape(text: str) -> str:
    return re.sub(r"[0-9'\"/. ]+", "0", text)


def table(quick: bool) -> Table:
    """Mends that hold, by where their findings stand."""
    jobs = 300 if quick else 3000
    all_of: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    notes: list[str] = []
    for seed in range(1, jobs + 1):
        for one in tried(seed, random_job(seed)):
            all_of[_about(one.finding)] += 1
            if one.trouble:
                failed[_about(one.finding)] += 1
                notes.append(f"job {seed}, {one.finding.where}: {one.trouble}")
    rows = tuple(
        Row(
            where,
            (str(count), str(count - failed[where])),
            "all",
            failed[where] == 0,
        )
        for where, count in sorted(all_of.items())
    )
    return Table(
        f"Mends that state a value, applied to {jobs} random jobs",
        ("applied", "held"),
        rows,
        tuple(notes[:20]),
    )
