"""How hard does each combination of loads work a head and its studs? Bending with lateral
stability, shear, bearing and the studs, all candidates at once: arrays are (studs, candidate)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade
from truehang.structure.beams import Array
from truehang.structure.candidates import Candidates, resistance_factors
from truehang.structure.inputs import BearingHead
from truehang.structure.lateral import lateral_factor
from truehang.structure.loads import Acting, Combination, LineLoads
from truehang.structure.supports import stud_utilisation

GRAVITY = 9.81


@dataclass(frozen=True, slots=True)
class Efforts:
    """What one combination asks for: moment N mm and end shear N (the end reaction too), and the
    share of each that is temporary (0..1)."""

    under: Combination
    moment: Array
    shear: Array
    moment_share: Array
    shear_share: Array


def span_of(head: BearingHead, bearing: Array) -> Array:
    """Between the centres of the bearings, mm."""
    return head.clear_span + bearing


def own_load(tried: Candidates) -> Array:
    """Weight of the head itself, N/mm."""
    load: Array = tried.density * tried.breadth * tried.depth * 1e-9 * GRAVITY
    return load


def efforts(
    head: BearingHead, line: LineLoads, tried: Candidates, bearing: Array, combined: Combination
) -> Efforts:
    """The leaf hangs at mid-span for the moment and at the support for the shear, both on the
    safe side; against uplift it counts for nothing."""
    span = span_of(head, bearing)
    dead = combined.dead * (line.dead + own_load(tried))
    if combined.uplift:
        net = np.maximum(combined.uplift * line.uplift - dead, 0.0)
        whole = np.ones_like(net * span)
        return Efforts(combined, net * span**2 / 8.0, net * span / 2.0, whole, whole)
    live = sum(factor * line.live[kind] for kind, factor in combined.live.items())
    leaf = combined.dead * head.leaf_mass * GRAVITY
    moment = (dead + live) * span**2 / 8.0 + leaf * span / 4.0
    shear = (dead + live) * span / 2.0 + leaf
    coming = live if combined.temporary else 0.0
    return Efforts(
        combined, moment, shear, coming * span**2 / 8.0 / moment, coming * span / 2.0 / shear
    )


def affected_area(head: BearingHead) -> float:
    """Floor and roof (m2) that the head's failure would bring down: joists reach twice their
    tributary width, over the clear span."""
    widths = [load.tributary for load in head.loads if load.kind != "wall"]
    return head.clear_span * 2.0 * max(widths, default=0.0) * 1e-6


def bending_shear_bearing(
    head: BearingHead,
    code: CodeSet,
    tried: Candidates,
    bearing: Array,
    asked: Efforts,
    area: float,
) -> tuple[Array, Array, Array]:
    """Stress over strength of the head itself under one combination."""
    combined = asked.under
    method = code.method[combined.method]
    lasting = method.duration_factor[combined.duration]

    def factor(of: str) -> Array:
        return resistance_factors(code, method, tried, of, area)  # type: ignore[arg-type]

    strong = tried.bending * factor("bending") * lasting
    if not head.restrained or combined.uplift:
        acting = Acting(method, lasting, asked.moment_share)
        span = span_of(head, bearing)
        strong = strong * lateral_factor(code, tried, span, factor("bending"), acting)
    bending = asked.moment / (tried.breadth * tried.depth**2 / 6.0) / strong
    web = tried.crack * tried.breadth * tried.depth
    shear = 1.5 * asked.shear / web / (tried.shear * factor("shear") * lasting)
    if combined.uplift:
        return bending, shear, np.zeros_like(bending)
    seat = np.minimum(bearing + code.bearing_extra, 2.0 * bearing)
    contact = np.minimum(tried.breadth, head.stud_depth) * seat
    across = tried.across * factor("bearing") * (lasting if method.bearing_lasts else 1.0)
    return bending, shear, asked.shear / contact / across


def worked(
    head: BearingHead,
    code: CodeSet,
    stud: Grade,
    tried: Candidates,
    bearing: Array,
    asked: Efforts,
) -> Array:
    """Bending, shear, bearing and jamb studs under one combination, (4, studs, n): 1 is just
    enough. Nothing presses on the studs in uplift; what ties them down is not timber's to say."""
    combined, area = asked.under, affected_area(head)
    used = bending_shear_bearing(head, code, tried, bearing, asked, area)
    method = code.method[combined.method]
    acting = Acting(method, method.duration_factor[combined.duration], asked.shear_share)
    studs = stud_utilisation(head, code, stud, area, asked.shear, acting)
    return np.stack([*used, np.zeros_like(studs) if combined.uplift else studs])
