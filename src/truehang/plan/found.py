"""What framing stands in the wall already, and what must a person know of it?

What somebody found is written down; of an old opening there are always the studs beside it and the
head over it, so these are taken to be there until somebody has looked.
"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.framing import Found, overlapping
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.members import Member
from truehang.plan.space import old_opening, stays_over
from truehang.plan.wall import ceiling_of, plate_of, run_of
from truehang.shapes import Span
from truehang.words import word

PRACTICE = "common practice, no source"
TOUCH = 0.5
"""Pieces that lie in each other by less touch, mm."""
INSIDE = 10.0
"""How far a stud may reach into an old opening before one of the readings is wrong, mm."""
DISAGREE = 10.0
"""How far an underside that was read may be off the measured head, mm (common practice, no
source)."""


def found(job: Job, measured: Measured) -> tuple[Found, ...]:
    """Every piece that was found, and those that an old opening always has."""
    if job.wall.situation == "new-wall":
        return ()
    read = (*_studs(job, measured), *_nogs(job), *_plates(job, measured))
    return (*read, *_of_old(job, measured, read))


def _studs(job: Job, measured: Measured) -> Iterator[Found]:
    usual, under = job.wall.make_up.studs.width, ceiling_of(job, measured) - plate_of(job)
    for stud in job.wall.framing.studs or ():
        half = (stud.width or usual) / 2
        yield Found(
            id=stud.id, what="stud", label=f"stud {stud.id}",
            x=Span(stud.x - half, stud.x + half), foot=stud.from_z,
            top=under if stud.to_z is None else min(stud.to_z, under),
            sure=stud.sure, stays=stud.stays,
        )  # fmt: skip


def _nogs(job: Job) -> Iterator[Found]:
    usual = job.wall.make_up.studs.width
    for nog in job.wall.framing.nogs:
        half = (nog.depth or usual) / 2
        yield Found(
            id=nog.id, what="noggin", label=f"{word('noggin')} {nog.id}",
            x=Span(nog.from_x, nog.to_x), foot=nog.z - half, top=nog.z + half, sure=nog.sure,
        )  # fmt: skip


def _plates(job: Job, measured: Measured) -> Iterator[Found]:
    """The plate under the ceiling, where its depth was read."""
    if any(plate.at == "top" for plate in job.wall.framing.plates):
        ceiling = ceiling_of(job, measured)
        yield Found(
            id="top-plate", what="plate", label=f"{word('top-plate')} that is there",
            x=Span(0.0, run_of(job, measured)), foot=ceiling - plate_of(job), top=ceiling,
            sure=True,
        )  # fmt: skip


def _of_old(job: Job, measured: Measured, read: tuple[Found, ...]) -> Iterator[Found]:
    """The studs beside an old opening that nobody found, and the head on them."""
    old, usual = old_opening(job, measured), job.wall.make_up.studs.width
    if old is None:
        return
    sides = {
        "left": Span(old.hole.low - usual, old.hole.low),
        "right": Span(old.hole.high, old.hole.high + usual),
    }
    for side, x in sides.items():
        if not any(one.what == "stud" and one.x.low < x.high and x.low < one.x.high
                   for one in read):  # fmt: skip
            yield Found(
                id=f"old-{side}", what="stud", label=f"stud of the old opening, {side}", x=x,
                foot=None, top=old.head, sure=False,
            )  # fmt: skip
    if not stays_over(job):
        yield Found(
            id="old-head", what="head", label="head of the old opening",
            x=Span(sides["left"].low, sides["right"].high), foot=old.head,
            top=old.head + (job.wall.over.depth or 0.0), sure=job.wall.over.depth is not None,
        )  # fmt: skip


# ---------------------------------------------------------------- what a person must know


def found_findings(
    job: Job, measured: Measured, fit: Arrangement | None, members: tuple[Member, ...]
) -> Iterator[Finding]:
    """What was found that can't be so, what is not sure, and what stands in the way of a leaf."""
    if job.wall.situation == "new-wall":
        return
    yield from _overlaps(job, measured)
    yield from _too_tall(job, measured)
    yield from _in_old(job, measured)
    yield from _old_head(job, measured)
    yield from _not_known(job, fit, members)
    if fit is not None:
        yield from _in_the_travel(fit, members)
        yield from _where_new_goes(members)


def _overlaps(job: Job, measured: Measured) -> Iterator[Finding]:
    for one, other in overlapping(tuple(_studs(job, measured))):
        yield Finding(
            Severity.WARN,
            f"wall.framing.studs.{other.id}",
            f"it would stand in stud {one.id}: one ends at x {said(one.x.high)}, the other begins "
            f"at {said(other.x.low)}",
            f"find the edges of {one.id} and {other.id} again from the datum, and mend their x or "
            "width",
            "geometry",
        )


def _too_tall(job: Job, measured: Measured) -> Iterator[Finding]:
    """A stud that would reach into the plate under the ceiling, or through it."""
    under = ceiling_of(job, measured) - plate_of(job)
    for stud in job.wall.framing.studs or ():
        if stud.to_z is not None and stud.to_z > under + DISAGREE:
            yield Finding(
                Severity.WARN,
                f"wall.framing.studs.{stud.id}",
                f"its top reads {said(stud.to_z)}, over the underside of the plate at "
                f"{said(under)}, which is taken for its top",
                "read its top again, the ceiling over it and the depth of the plate",
                "geometry",
            )


def _in_old(job: Job, measured: Measured) -> Iterator[Finding]:
    """A stud in an old opening that people walk through, or hang a door in."""
    usable = measured.usable
    if usable is None or not job.wall.has_old:
        return
    for one in _studs(job, measured):
        inside = min(one.x.high, usable.right) - max(one.x.low, usable.left)
        if inside > INSIDE and (one.foot is None or one.foot < usable.head):
            yield Finding(
                Severity.WARN,
                f"wall.framing.studs.{one.id}",
                f"it would stand in the old opening: the stud from x {said(one.x.low)} to "
                f"{said(one.x.high)}, the opening from {said(usable.left)} to "
                f"{said(usable.right)}",
                f"read the x of {one.id} again, and the mark of the opening's nearer corner",
                "geometry",
            )


def _old_head(job: Job, measured: Measured) -> Iterator[Finding]:
    """Does the head of an old opening agree with the heights that were read under it?"""
    old = old_opening(job, measured)
    read = [one.z for one in job.wall.over.underside]
    if old is None or not read or stays_over(job) or job.wall.over.kind == "nothing":
        return
    low = min(read)
    if abs(low - old.head) > DISAGREE:
        yield Finding(
            Severity.WARN,
            "wall.over.underside",
            f"the {job.wall.over.kind if job.wall.over.kind != 'unknown' else 'head'} of the old "
            f"opening reads {said(low, 1)} at its lowest, the heights under it make it "
            f"{said(old.head, 1)}: one of them is wrong",
            "read the heights of the opening and wall.over.underside again",
            PRACTICE,
        )


def _not_known(job: Job, fit: Arrangement | None, members: tuple[Member, ...]) -> Iterator[Finding]:
    """Nobody looked, or nobody is sure of what has to come out or stay."""
    if not job.wall.is_cut or fit is None:
        return
    if job.wall.framing.studs is None:
        yield Finding(
            Severity.NOTE,
            "wall.framing",
            "nobody wrote where the studs stand: which come out and which may stay is not told, "
            "and all new ones are counted",
            "find them along the run, mark them on the wall and list them under "
            "wall.framing.studs; write [] where a look found none",
            PRACTICE,
        )
        return
    unsure = [stud.id for stud in job.wall.framing.studs if not stud.sure]
    near = Span(fit.rough.low - job.wall.make_up.studs.spacing,
                fit.rough.high + job.wall.make_up.studs.spacing)  # fmt: skip
    astray = [
        stud.id for stud in job.wall.framing.studs
        if stud.id in unsure and near.low <= stud.x <= near.high
    ]  # fmt: skip
    if astray:
        yield Finding(
            Severity.WARN,
            "wall.framing.studs",
            f"nobody is sure of {', '.join(astray)}: none of them is counted on as a new stud's "
            "place",
            "drill or open up to see both edges, and write sure: true",
            PRACTICE,
        )


def _where_new_goes(members: tuple[Member, ...]) -> Iterator[Finding]:
    """A piece that may not come out and stands where new timber goes."""
    new = [m for m in members if m.origin == "new" and m.role != "packers"]
    for one in members:
        if one.origin != "there already" or one.key not in ("there.stud", "there.noggin"):
            continue
        for other in new:
            if one.x.shared(other.x) > TOUCH and one.z.shared(other.z) > TOUCH:
                yield Finding(
                    Severity.STOP,
                    "wall.framing",
                    f"{one.label} may not come out and stands from x {said(one.x.low)} to "
                    f"{said(one.x.high)}, where the {other.label} goes",
                    "read its x again, move the opening with wishes.place, or ask the engineer "
                    "whether it may come out (stays: false)",
                    "geometry of the arrangement",
                )
                break


def _in_the_travel(fit: Arrangement, members: tuple[Member, ...]) -> Iterator[Finding]:
    """A piece that stays and that a leaf would run into."""
    for leaf in fit.leaves:
        x = Span(min(leaf.open.low, leaf.closed.low), max(leaf.open.high, leaf.closed.high))
        z = Span(leaf.bottom, leaf.top)
        for one in members:
            if one.origin != "there already":
                continue
            if x.shared(one.x) > TOUCH and z.shared(one.z) > TOUCH:
                yield Finding(
                    Severity.STOP,
                    "wall.framing",
                    f"{one.label} stays from x {said(one.x.low)} to {said(one.x.high)}, where the "
                    f"{leaf.name} runs",
                    "move the opening with wishes.place, take the pocket to the other side, or "
                    "ask the engineer whether it may come out (stays: false)",
                    "geometry of the arrangement",
                )


def found_figures(members: tuple[Member, ...]) -> tuple[Figure, ...]:
    """What comes out of the wall and what of it stays, for the steps."""
    kinds = (
        ("framing.comes_out", "comes out of the wall", "comes out"),
        ("framing.stays", "is there and stays", "there already"),
        ("framing.becomes", "is there and becomes a stud beside the opening", "there already"),
    )
    return tuple(
        Figure(
            key, label, "; ".join(_told(one) for one in pieces), "",
            "whatever stands in the rough opening or where new timber goes comes out",
            ("job:wall.framing", "fit.rough_width"), PRACTICE,
        )
        for key, label, origin in kinds
        if (pieces := [
            one for one in members
            if one.origin == origin
            and (key != "framing.becomes" or one.role in ("jamb stud", "king stud"))
        ])
    )  # fmt: skip


def _told(one: Member) -> str:
    return f"{one.label}, x {said(one.x.low)} to {said(one.x.high)} ({one.where})"
