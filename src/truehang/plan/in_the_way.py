"""What stands where new timber goes over the frame and beside it, and where props have to stand?

The fit room looks under the rough head only. A head, the studs that run past its ends and the
packing up to what is there take more of the wall, and a cable or a pipe there is cut as surely as
one in a pocket.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from truehang.findings import Finding, Severity
from truehang.fit import Arrangement, Clash, Service, trade_for
from truehang.job import Job
from truehang.lengths import said
from truehang.members import Member, Role
from truehang.plan.over import Settled
from truehang.shapes import Span
from truehang.structure import PROP_OVERRUN

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class NewTimber:
    """Where something new goes: what it is, and from where to where along and up the wall (mm)."""

    what: str
    along: Span
    up: Span


PLACES: dict[Role, str] = {
    "head": "place of the new head",
    "king stud": "place of the full-height stud beside the head",
    "jamb stud": "place of the new stud beside the rough opening",
    "backing": "place of the backing stud behind the edge of the lining that stays",
    "packing": "place of the packing over the frame",
}
"""Where new timber must stand just there, and what that place is called."""


def new_timber(
    fit: Arrangement, settled: Settled, framing: tuple[Member, ...]
) -> Iterator[NewTimber]:
    """Every such place, the head first; all the room over the frame where it is not sized yet."""
    for role, what in PLACES.items():
        for one in framing:
            if one.origin == "new" and one.role == role and one.z.length > 0:
                yield NewTimber(what, one.x, one.z)
    if settled.unsized:
        foot = fit.heights.rough_head
        up = Span(foot, max(settled.tried.head_limit, foot))
        what = "place over the frame where a head goes that is not sized yet"
        yield NewTimber(what, fit.rough, up)


def stands_in(service: Service, timber: NewTimber) -> bool:
    """Is the service, or the cable or pipe that leaves it, where this timber goes?"""
    low, high = service.x - service.width / 2, service.x + service.width / 2
    bottom, top = service.z - service.height / 2, service.z + service.height / 2
    low = -math.inf if service.runs == "left" else low
    high = math.inf if service.runs == "right" else high
    bottom = -math.inf if service.runs == "down" else bottom
    top = math.inf if service.runs == "up" else top
    return (
        high > timber.along.low + 1e-9
        and low < timber.along.high - 1e-9
        and top > timber.up.low + 1e-9
        and bottom < timber.up.high - 1e-9
    )


def services_in_the_way(
    fit: Arrangement,
    settled: Settled,
    framing: tuple[Member, ...],
    services: tuple[Service, ...],
) -> tuple[Clash, ...]:
    """Services that stand where new timber goes and not in the frame's own way already."""
    known = {clash.service.name for clash in fit.clashes}
    places = tuple(new_timber(fit, settled, framing))
    found = []
    for service in services:
        met = next((one for one in places if stands_in(service, one)), None)
        if met is not None and service.name not in known:
            found.append(Clash(service, met.what, trade_for(service.kind)))
    return tuple(found)


def props_in_the_way(job: Job, fit: Arrangement, settled: Settled) -> Iterator[Finding]:
    """Obstacles that stand where the rows of props would, each side of an opening that is cut."""
    if settled.over is not None:
        return
    row = Span(fit.rough.low - PROP_OVERRUN, fit.rough.high + PROP_OVERRUN)
    for one in job.wall.obstacles or ():
        if one.to_x <= row.low or one.from_x >= row.high:
            continue
        face = f" on face {one.face}" if one.face in ("A", "B") else ""
        yield Finding(
            Severity.WARN,
            f"wall.obstacles.{one.id}",
            f"it stands{face} from x {said(one.from_x)} to {said(one.to_x)}, where the rows of "
            f"props would run, from x {said(row.low)} to {said(row.high)}",
            "have the engineer or a competent person place the props clear of it, or on something "
            "that bears, before a stud is cut",
            PRACTICE,
        )
