"""What is every room of a plan given? The job, what can be bought, where it is built, and what is
known already."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.job import Job
from truehang.plan.store import Store


@dataclass(frozen=True, slots=True)
class Given:
    """What a plan is made of. `store` has answers that are known; a plan does not hang on it."""

    job: Job
    catalogue: Catalogue
    region: Region
    store: Store

    @classmethod
    def of(cls, job: Job, catalogue: Catalogue, store: Store) -> Given:
        """The same in the job's own region."""
        return cls(job, catalogue, catalogue.region(job.job.region), store)
