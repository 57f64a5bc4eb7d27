"""Who comes when, at several jobs at once? Their requests pooled, asked as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from truehang.catalogue import Catalogue
from truehang.findings import Finding
from truehang.plan.model import Plan
from truehang.plan.own_materials import with_own
from truehang.plan.programme_tasks import pooled, request
from truehang.programme.calendars import DAYS, Calendar, Hours, week
from truehang.programme.make import Made, programme
from truehang.programme.model import Programme, Request


@dataclass(frozen=True)
class Asked:
    """The request of one or more jobs, what was made of it, and the day that is printed on it."""

    request: Request
    made: Made
    findings: tuple[Finding, ...]
    issued: date

    @property
    def programme(self) -> Programme:
        """The programme, with what was found on the way to it."""
        told = self.made.programme
        return replace(told, findings=(*self.findings, *told.findings))


def ask_all(plans: Sequence[Plan], catalogue: Catalogue, begin: date | None = None) -> Asked:
    """The programme of one job, or of several that share crews and trades; from `begin` on.

    A job that nothing fits yet has no tasks.
    """
    found = [request(plan, with_own(catalogue, plan.job)) for plan in plans]
    requests = [(one[0], plan.job.job.name) for one, plan in zip(found, plans, strict=True) if one]
    findings = tuple(dict.fromkeys(finding for one in found if one for finding in one[1]))
    issued = max(plan.job.job.issued for plan in plans)
    if not requests:
        empty = Request(
            tasks=(), precedences=(), trades=(), open=_always(), begin=begin or issued, zone="UTC"
        )
        return Asked(empty, programme(empty), findings, issued)
    whole = requests[0][0] if len(requests) == 1 else pooled(requests)
    if begin is not None:
        whole = replace(whole, begin=begin)
    return Asked(whole, programme(whole), findings, issued)


def _always() -> Calendar:
    return Calendar(week(DAYS, (Hours(0, 1440),)))
