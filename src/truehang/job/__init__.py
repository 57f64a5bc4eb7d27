"""What does the user give? The job file: models, YAML in and out, checks, JSON Schema."""

from truehang.job.models import GivenReading, Job, Reading

__all__ = ["GivenReading", "Job", "Reading"]
