"""What is cut from which length, for one job or for several pooled?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from truehang.catalogue import Catalogue
from truehang.catalogue.stock import StockLength
from truehang.cutting import (
    CutRules,
    CuttingPlan,
    Effort,
    Offcut,
    Part,
    Rack,
    RackError,
    Stock,
    cut_lengths,
)
from truehang.job import Job
from truehang.plan.model import Plan

MAY_JOIN = ("infill-plate", "wall-plate", "skirting")
"""Parts that may be cut as two and butted (common practice, no source)."""


def parts_of(plan: Plan) -> tuple[Part, ...]:
    """Every part of the plan's takeoff that is cut to length from a stock length."""
    items = plan.takeoff.items if plan.takeoff else ()
    name = plan.job.job.name
    return tuple(
        Part(
            id=f"{name}:{item.key}",
            section=item.stock,
            length_mm=round(item.length, 1),
            count=item.count,
            job=name,
            label=str(item.label),
            may_join=item.key.startswith(MAY_JOIN),
            rip_mm=item.rip,
            making=str(item.making),
            where=str(item.where),
        )
        for item in items
        if item.length is not None and item.stock and item.unit == "m" and item.group != "seals"
    )


def cut(
    plans: Sequence[Plan],
    catalogue: Catalogue,
    rack: Sequence[Offcut] | None = None,
    effort: Effort | None = None,
    rules: CutRules | None = None,
) -> CuttingPlan:
    """The cutting plan of all jobs together.

    `rack` is what lies on the offcut rack; without it, what the job files list. Lengths longer
    than the shortest `site.longest` of the jobs are not bought. Bad entries become findings.
    """
    parts = [part for plan in plans for part in parts_of(plan)]
    wanted = {part.section for part in parts}
    carried = [plan.job.site.longest for plan in plans if plan.job.site.longest is not None]
    longest = min(carried, default=float("inf"))
    stocks = [
        Stock(one.id, one.section, one.length, one.price, one.on_hand)
        for section in sorted(wanted)
        for one in _that_come_in(catalogue.lengths_of(section), longest, parts)
    ]
    pieces = list(_rack(plan.job for plan in plans)) if rack is None else list(rack)
    return cut_lengths(parts, stocks, [p for p in pieces if p.section in wanted], rules, effort)


def holder(names: Sequence[str]) -> str:
    """Who holds the pieces of the rack that jobs use together: their names, in order."""
    return " + ".join(sorted(set(names)))


def cut_and_hold(
    plans: Sequence[Plan],
    catalogue: Catalogue,
    rack: Rack,
    names: Sequence[str],
    rules: CutRules | None = None,
) -> tuple[CuttingPlan, Rack]:
    """The cutting plan from what the rack has free for these jobs, and the rack with the pieces
    that it uses held for them.

    What they held before, together or each alone, is let go first. The plan is the one that
    `cut_done` makes again from what is held. RackError where one of the jobs was settled before.
    """
    who = holder(names)
    for name in names:
        if name in rack.settled:
            raise RackError(
                f"{name} has been settled already; what is cut for it now is taken off and put "
                "on the rack by hand"
            )
    freed = rack
    for name in (*names, who):
        freed = freed.release(name)
    offered = freed.free_for(who)
    while True:
        made = cut(plans, catalogue, offered, rules=rules)
        used = {line.stock for line in made.lines if line.source == "rack"}
        if len(used) == len(_wanted(plans, offered)):
            return made, freed.hold(sorted(used), who)
        offered = tuple(piece for piece in offered if piece.id in used)


def cut_done(
    plans: Sequence[Plan],
    catalogue: Catalogue,
    rack: Rack,
    names: Sequence[str],
    rules: CutRules | None = None,
) -> tuple[CuttingPlan, Rack]:
    """The cutting plan from what is held for these jobs, and the rack after it has been sawn: what
    was used is gone, and what is worth keeping hangs there.

    RackError where one of the jobs has been settled before, and where the plan leaves some of what
    is held: then it is not the plan that was held.
    """
    who = holder(names)
    held = [Offcut(p.id, p.section, p.length_mm) for p in rack.pieces if p.held_by == who]
    made = cut(plans, catalogue, held, rules=rules)
    left = {p.id for p in held} - {line.stock for line in made.lines if line.source == "rack"}
    if left:
        raise RackError(
            f"{', '.join(sorted(left))} held for {who} would not be cut: a job, the saw or what is "
            "worth keeping has changed since; let the pieces go and hold again"
        )
    return made, rack.settle(made, who, *sorted(set(names)))


def _wanted(plans: Sequence[Plan], pieces: Sequence[Offcut]) -> list[Offcut]:
    """The pieces of sections that are cut at all."""
    sections = {part.section for plan in plans for part in parts_of(plan)}
    return [piece for piece in pieces if piece.section in sections]


SQUARED = 10.0
"""What squaring its ends takes off a length at most, mm (common practice, no source)."""


def _that_come_in(
    sold: Sequence[StockLength], longest: float, parts: Sequence[Part]
) -> list[StockLength]:
    """The lengths of one section that are short enough to be carried in; all of them where a part
    is made by none of those, for it is cut before it comes in."""
    carried = [one for one in sold if one.length <= longest]
    makes = max((one.length for one in carried), default=0.0) - SQUARED
    names = {one.section for one in sold}
    needed = any(p.section in names and p.length_mm > makes and not p.may_join for p in parts)
    return list(sold) if needed else carried


def _rack(jobs: Iterable[Job]) -> Iterator[Offcut]:
    """The offcuts that the job files list; the same piece named in two files counts once."""
    seen: set[str] = set()
    for job in jobs:
        for offcut in job.offcuts:
            if offcut.width is not None:
                continue
            for number in range(1, offcut.count + 1):
                id = offcut.id if number == 1 else f"{offcut.id}/{number}"
                if id not in seen:
                    seen.add(id)
                    yield Offcut(id, offcut.stock, offcut.length)
