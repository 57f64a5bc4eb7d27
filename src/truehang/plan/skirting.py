"""Which skirting is put back beside the opening, and which nails hold each piece?

Over a pocket the nail that scratches most leaves: short ones into the ribs. Elsewhere whatever
stands solid from face to face takes two longer ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from truehang.catalogue.stock import Moulding
from truehang.fit import Arrangement
from truehang.fixings import Hold, Row, Sheet
from truehang.fixings.model import Axis, Face
from truehang.job import Job
from truehang.members import UPRIGHT, Member, standing
from truehang.plan.faces import FACES, driven, sheets
from truehang.plan.stays import staying
from truehang.shapes import Span
from truehang.words import word

PRACTICE = "common practice, no source"
LEAST = 10.0
"""A shorter gap is filled, no piece is cut for it, mm (common practice, no source)."""
RIB_HOLD = Hold(3.0, PRACTICE, glued=2.0, source_glued=PRACTICE)
STUD_HOLD = Hold(20.0, PRACTICE)
NEAR = 8.0
"""A nail stays so far from the edge of what it holds in, mm (common practice, no source)."""
CLOSE = 100.0
"""Of uprights nearer to each other one is nailed to, mm (common practice, no source)."""
TOUCH = 1.0
"""What stands back from the lining by less holds its nails, mm."""


@dataclass(frozen=True, slots=True)
class Run:
    """One piece of skirting on a face: from where to where, and where it goes, in words."""

    x: Span
    where: str


def skirting_runs(fit: Arrangement, lined: tuple[float, float], trim: float) -> tuple[Run, ...]:
    """What is put back on a face: from the edges of the lining up to the trim (its width, mm)."""
    runs = (
        Run(Span(lined[0], fit.opening.low - trim), "left of the opening"),
        Run(Span(fit.opening.high + trim, lined[1]), "right of the opening"),
    )
    return tuple(run for run in runs if run.x.high - run.x.low > LEAST)


def skirting_rows(
    job: Job,
    fit: Arrangement,
    sold: Moulding | None,
    runs: Sequence[Run],
    framed: tuple[Member, ...],
) -> Iterator[Row]:
    """The nails of each face's skirting; none on a face that stays."""
    if sold is None:
        return
    for face in FACES:
        if face != staying(job):
            yield from _into_ribs(job, fit, sold, framed, face)
            yield from _into_studs(job, fit, sold, runs, framed, face)


def _into_ribs(
    job: Job, fit: Arrangement, sold: Moulding, framed: tuple[Member, ...], face: Face
) -> Iterator[Row]:
    """The rib at the mouth stands behind the trim, so the ribs further in hold it."""
    ribs = [r.x.middle for r in standing(framed, "rib") if r.face == face and not r.at_mouth]
    if not ribs:
        return
    axis, surface = _driven(fit, face, sold)
    yield Row(
        key=f"skirting-ribs-{face.lower()}", label=f"{word('skirting')} to ribs, face {face}",
        axis=axis, surface=surface,
        places=tuple((x, fit.heights.floor_high + sold.width / 2) for x in ribs),
        through=(Sheet("skirting", sold.thickness), *sheets(job, face)),
        into=Sheet("rib", fit.pockets[0].rib_thickness), cavity=True, hold=RIB_HOLD,
        kind="trim-nail", glued=True, inputs=("job:wishes.lining", "fit.rib_thickness"),
    )  # fmt: skip


def _into_studs(
    job: Job, fit: Arrangement, sold: Moulding, runs: Sequence[Run],
    framed: tuple[Member, ...], face: Face,
) -> Iterator[Row]:  # fmt: skip
    """Past the pockets: two nails, one over the other, in each upright behind the piece."""
    at: list[float] = []
    for x in sorted(_solid(fit, runs, framed, face)):
        if not at or x - at[-1] >= CLOSE:
            at.append(x)
    if not at:
        return
    axis, surface = _driven(fit, face, sold)
    floor = fit.heights.floor_high
    up = (floor + sold.width / 4, floor + sold.width * 3 / 4)
    yield Row(
        key=f"skirting-studs-{face.lower()}",
        label=f"{word('skirting')} past the pockets, face {face}", axis=axis, surface=surface,
        places=tuple((x, z) for x in at for z in up),
        through=(Sheet("skirting", sold.thickness), *sheets(job, face)),
        into=Sheet("stud", fit.wall.stud), cavity=False, hold=STUD_HOLD, kind="trim-nail",
        inputs=("job:wishes.lining", "job:wall.make_up.studs"),
    )  # fmt: skip


def _driven(fit: Arrangement, face: Face, sold: Moulding) -> tuple[Axis, float]:
    """The way a nail is driven from the front of the skirting of a face, and where that is."""
    axis, surface = driven(fit, face)
    return axis, surface + (-sold.thickness if axis == "+y" else sold.thickness)


def _solid(
    fit: Arrangement, runs: Sequence[Run], framed: tuple[Member, ...], face: Face
) -> Iterator[float]:
    """The middles of the uprights that the skirting of a face lies over, clear of the pockets."""
    wall, top = fit.wall, fit.heights.head_underside
    back = wall.lining_a if face == "A" else wall.thickness - wall.lining_b
    for piece in standing(framed):
        upright = piece.lies == "z" and (piece.role in UPRIGHT or piece.role in _MORE)
        flush = min(abs(piece.y.low - back), abs(piece.y.high - back)) < TOUCH
        if not upright or not flush or piece.role == "rib" or piece.z.low > top / 2:
            continue
        for run in runs:
            seen = Span(max(piece.x.low, run.x.low), min(piece.x.high, run.x.high))
            if seen.high - seen.low >= 2 * NEAR and not _over_pocket(fit, seen.middle):
                yield round(seen.middle, 1)


_MORE = ("backing", "packing")


def _over_pocket(fit: Arrangement, x: float) -> bool:
    return any(p.inside.low - TOUCH <= x <= p.inside.high + TOUCH for p in fit.pockets)
