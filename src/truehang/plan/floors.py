"""Which floors does the leaf run over, on both sides of the wall, and what must it clear?

The stations are side A's floor as it is now. Side B's may be higher or lower, and each may have a
finish still to come. The leaf clears the highest of them and of a threshold; over the lower side
its gap is as much larger as that lies lower.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.job import Job
from truehang.lengths import said

PRACTICE = "common practice, no source"
LOW_SIDE_MOST = 25.0
"""The most that is left open under a leaf on the lower side before light, draught and fingers are
no small matter and the leaf looks cut short, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Floors:
    """What stands under the leaf, in mm over side A's floor as it is now."""

    a: float
    """Side A's finished floor."""
    b: float
    """Side B's finished floor."""
    now: float
    """The higher of both floors as they are now."""
    threshold: float
    """A threshold over the higher finished floor; 0 for none."""

    @property
    def top(self) -> float:
        """What the leaf clears."""
        return max(self.a, self.b) + self.threshold

    @property
    def rise(self) -> float:
        """How much of that stands over side A's finished floor."""
        return self.top - self.a

    @property
    def to_come(self) -> float:
        """How much higher it is than the higher floor is now."""
        return self.top - self.now

    def under(self, side: str) -> float:
        """How far a side's finished floor lies under what the leaf clears."""
        return self.top - (self.a if side == "A" else self.b)


def floors(job: Job) -> Floors:
    """The floors of both sides; side B's is as side A's where nobody said otherwise."""
    floor, beyond = job.floor, job.floor.side_b
    step = beyond.step if beyond else 0.0
    b = step + beyond.to_come if beyond else floor.to_come
    return Floors(
        a=floor.to_come,
        b=b,
        now=max(0.0, step),
        threshold=floor.threshold.height if floor.threshold else 0.0,
    )


def floor_figures(job: Job, fit: Arrangement) -> tuple[Figure, ...]:
    """The gap on each side, where they differ."""
    made = floors(job)
    if made.under("A") == made.under("B"):
        return ()
    gaps = fit.floor_gaps
    least, most = min(g.least for g in gaps), max(g.most for g in gaps)
    return tuple(
        Figure(
            f"floor.gap.side-{side.lower()}",
            f"gap under the leaves over side {side}'s finished floor",
            f"{said(least + made.under(side))} to {said(most + made.under(side))}",
            "",
            "gap over the highest of both floors and the threshold + how far this floor lies under "
            "it",
            ("fit.leaf_height", "job:floor.side_b", "job:floor.threshold", "job:floor.to_come"),
            "geometry",
        )
        for side in ("A", "B")
    )


def floor_findings(job: Job, fit: Arrangement | None) -> tuple[Finding, ...]:
    """What a person must know of the two floors."""
    return (*_bare(job), *_unread(job), *(_step(job, fit) if fit is not None else ()))


def _bare(job: Job) -> Iterator[Finding]:
    """A bare floor gets a finish, and how thick it is decides how high the leaf hangs."""
    floor = job.floor
    sides = [("floor", floor.state, floor.to_come)]
    if floor.side_b is not None:
        sides.append(("floor.side_b", floor.side_b.state, floor.side_b.to_come))
    for where, state, to_come in sides:
        if state == "bare" and not to_come:
            yield Finding(
                Severity.HOLD,
                f"{where}.to_come",
                "the floor is bare, and how thick what is still laid on it will be is not known: "
                "the leaf's height is reckoned as if nothing came",
                f"ask whoever lays it, glue and underlay counted, and give {where}.to_come; where "
                "it stays bare write state: finished",
                PRACTICE,
                before="order",
            )


def _unread(job: Job) -> Iterator[Finding]:
    """Nobody said what side B's floor is: what it is taken for is told; the leaf is cut to it."""
    floor = job.floor
    if floor.side_b is not None or not floor.stations:
        return
    come = f", {said(floor.to_come, 1)} to come on it" if floor.to_come else ""
    yield Finding(
        Severity.NOTE,
        "floor.side_b",
        f"side B's floor was not read: it is taken as side A's, level with it{come}; a higher one "
        "would rub the leaf, a lower one leaves a larger gap under it",
        "lay a straightedge through the door place, read the step from side A's floor to side B's, "
        "and write floor.side_b; where both are alike, its step 0 and what is to come",
        PRACTICE,
    )


def _step(job: Job, fit: Arrangement) -> Iterator[Finding]:
    made = floors(job)
    low = "A" if made.a < made.b else "B"
    under, higher = made.under(low), "B" if low == "A" else "A"
    if under == made.threshold == 0.0:
        return
    gap = max(one.most for one in fit.floor_gaps) + under
    where = "floor.side_b.step" if job.floor.side_b else "floor.threshold.height"
    told = (
        f"side {low}'s finished floor lies {said(under - made.threshold, 1)} under side {higher}'s"
        if under > made.threshold
        else f"the threshold stands {said(made.threshold, 1)} over the floors"
    )
    if gap > LOW_SIDE_MOST and not job.floor.threshold:
        most = LOW_SIDE_MOST - (gap - under)
        yield Finding(
            Severity.STOP,
            where,
            f"{told}: the leaf clears the higher and stands up to "
            f"{said(gap, limit=LOW_SIDE_MOST)} over the lower; "
            f"{said(LOW_SIDE_MOST)} is the most, so a step of {said(max(most, 0.0), 1)} can be "
            "taken",
            "read the step again, finished floor to finished floor; if it is right, make the "
            "lower floor up, or put a threshold under the leaf (floor.threshold)",
            PRACTICE,
        )
        return
    guide = (
        "on the threshold" if job.floor.threshold else f"level with side {higher}'s finished floor"
    )
    yield Finding(
        Severity.NOTE,
        where,
        f"{told}: the leaf clears the highest, and its gap over side {low}'s floor is up to "
        f"{said(gap)}",
        f"set the bottom guide {guide}, packed solid, and show the customer the gap",
        PRACTICE,
    )
