"""What is said in the job file, can be planned, and is yet hard to believe? It is asked about."""

from __future__ import annotations

from truehang.findings import Finding, Severity
from truehang.job import Job
from truehang.job.models import Service
from truehang.lengths import said

PRACTICE = "common practice, no source"
LOWEST = {
    "switch": 300.0, "thermostat": 300.0, "light": 300.0,
    "outlet": 60.0, "double-outlet": 60.0, "data": 60.0,
}  # fmt: skip
"""No service of this kind has its centre lower over the datum, mm."""
ALL_LOW = 270.0
"""A wall whose every service is lower than this, mm, and in the first tenth of its run, was most
likely read in centimetres."""


def doubt(job: Job) -> tuple[Finding, ...]:
    """Services whose places look like centimetres."""
    services = job.wall.services
    every = len(services) > 1 and all(
        s.x <= job.wall.run / 10 and 0 < s.z <= ALL_LOW for s in services
    )
    return tuple(
        _centimetres(one) for one in services if every or 0 < one.z < LOWEST.get(one.kind, 0.0)
    )


def _centimetres(one: Service) -> Finding:
    return Finding(
        Severity.WARN,
        f"wall.services.{one.id}",
        f"x {said(one.x)}, z {said(one.z)} is hardly the place of such a thing; it looks like "
        "centimetres",
        f"look again: is it at x {said(10 * one.x)}, z {said(10 * one.z)}?",
        PRACTICE,
    )
