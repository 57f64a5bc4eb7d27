"""What does the user give? The job file: models, YAML in and out, checks, JSON Schema."""

from truehang.job.check import JobError, Problem, check, examine
from truehang.job.file import canonical, dump, load, starter
from truehang.job.models import GivenReading, Job, Reading
from truehang.job.schema import schema

__all__ = [
    "GivenReading",
    "Job",
    "JobError",
    "Problem",
    "Reading",
    "canonical",
    "check",
    "dump",
    "examine",
    "load",
    "schema",
    "starter",
]
