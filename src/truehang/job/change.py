"""What is the job after a mend's values have been put in?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from truehang.findings import Change
from truehang.job.models import Job


class NoSuchPlace(ValueError):
    """A change names a place that the job file does not have."""


def changed(job: Job, changes: Iterable[Change]) -> Job:
    """The job with these values put in; ValidationError where one of them may not stand there."""
    values = job.model_dump()
    for change in changes:
        *way, last = change.path.split(".")
        held: Any = values
        for step in way:
            held = _inside(held, step, change.path)
        if isinstance(held, dict) and last in held:
            held[last] = change.value
        else:
            raise NoSuchPlace(f"no place in the job is called {change.path}")
    return Job.model_validate(values)


def _inside(held: Any, step: str, path: str) -> Any:
    """What stands under one step of a path: a key, or an entry of a list by its id or number."""
    if isinstance(held, dict) and step in held:
        return held[step]
    if isinstance(held, list | tuple):
        for number, entry in enumerate(held):
            if step == str(number) or (isinstance(entry, dict) and entry.get("id") == step):
                return entry
    raise NoSuchPlace(f"no place in the job is called {path}")
