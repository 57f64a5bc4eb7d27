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
from truehang.fit import Arrangement, Clash, Service, Span, trade_for
from truehang.job import Job
from truehang.lengths import said
from truehang.plan.over import Settled
from truehang.structure import PROP_OVERRUN

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class NewTimber:
    """Where something new goes: what it is, and from where to where along and up the wall (mm)."""

    what: str
    along: Span
    up: Span


def new_timber(job: Job, fit: Arrangement, settled: Settled) -> Iterator[NewTimber]:
    """Every place that new timber takes beside what is under the rough head."""
    heights, over, sizing = fit.heights, settled.over, settled.sizing
    rough, stud = fit.rough, job.wall.make_up.studs.width
    if over is not None and over.way == "existing":
        if over.limit > heights.head_top:
            up = Span(heights.head_top, over.limit)
            yield NewTimber("place of the packing over the frame", fit.frame, up)
        return
    big = sizing.cheapest if sizing is not None else None
    studs = big.studs if big is not None else 1
    ends = Span(rough.low - studs * stud, rough.high + studs * stud)
    if fit.situation == "fill":  # it goes into the old opening, as far as that has room
        space = [span for side in fit.infill for span in (side.low, side.high)]
        ends = Span(
            max(ends.low, min((rough.low, *space))), min(ends.high, max((rough.high, *space)))
        )
    if settled.head is not None and not settled.unsized:
        up = Span(heights.rough_head, heights.rough_head + settled.head.depth)
        yield NewTimber("place of the new head", ends, up)
    else:
        up = Span(heights.rough_head, max(settled.tried.head_limit, heights.rough_head))
        yield NewTimber("place over the frame where a head goes that is not sized yet", ends, up)
    if over is None:
        whole = Span(-math.inf, job.wall.ceiling)
        for along in (Span(ends.low - stud, ends.low), Span(ends.high, ends.high + stud)):
            yield NewTimber("place of the full-height stud beside the head", along, whole)


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
    job: Job, fit: Arrangement, settled: Settled, services: tuple[Service, ...]
) -> tuple[Clash, ...]:
    """Services that stand where new timber goes and not in the frame's own way already."""
    known = {clash.service.name for clash in fit.clashes}
    places = tuple(new_timber(job, fit, settled))
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
    for one in job.wall.obstacles:
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
