"""What does the user give? The job file: models, YAML in and out, checks, JSON Schema."""

from truehang.job.change import NoSuchPlace, changed
from truehang.job.check import JobError, Problem, check, examine
from truehang.job.file import canonical, dump, load, starter
from truehang.job.models import READINGS, Job, TakenReading
from truehang.job.schema import schema

__all__ = [
    "READINGS",
    "Job",
    "JobError",
    "NoSuchPlace",
    "Problem",
    "TakenReading",
    "canonical",
    "changed",
    "check",
    "dump",
    "examine",
    "load",
    "schema",
    "starter",
]
