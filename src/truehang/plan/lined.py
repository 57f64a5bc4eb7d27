"""Which part of the wall is lined anew, and which timber is the lining screwed to?"""

from __future__ import annotations

from collections.abc import Sequence

from truehang.figures import Figure
from truehang.fit import Arrangement
from truehang.job import Job
from truehang.measure import Measured
from truehang.members import UPRIGHT, Member, standing
from truehang.plan.wall import ceiling_of, run_of

PRACTICE = "common practice, no source"
BESIDE = 15.0
"""Uprights nearer to each other stand side by side, with packing between, mm."""
EDGE = 1.0
"""Timber this near to the edge of a lining holds it, mm."""


def lined_span(
    job: Job, measured: Measured, fit: Arrangement, framing: tuple[Member, ...]
) -> tuple[float, float, float]:
    """From where to where along the wall, and up to which height, both faces are lined anew.

    A wall that is cut is opened as far as its new head and the studs beside it go in, and over the
    whole of an old opening; up to the ceiling, for the studs over the head and those past its ends
    go in from there down.
    """
    if job.wall.situation == "fill-opening" and measured.usable is not None:
        return measured.usable.left, measured.usable.right, measured.usable.head
    if job.wall.situation == "new-wall":
        return 0.0, run_of(job, measured), ceiling_of(job, measured)
    studs = [member.x for member in standing(framing, "jamb stud", "king stud")]
    old = (fit.old.hole,) if fit.old is not None else ()
    low = min([fit.rough.low, *(x.low for x in (*studs, *old))])
    high = max([fit.rough.high, *(x.high for x in (*studs, *old))])
    return max(low, 0.0), min(high, run_of(job, measured)), ceiling_of(job, measured)


def lined_figures(span: tuple[float, float, float]) -> tuple[Figure, ...]:
    """How far both faces are opened and lined anew, as marks."""
    ends = zip(("from", "to", "top"), span, strict=True)
    return tuple(
        Figure(
            f"lining.{key}",
            "opened and lined anew, top, from the level datum" if key == "top"
            else f"opened and lined anew, {key}",
            at, "mm", "as far as what goes in reaches",
            ("fit.mark.rough-left", "fit.mark.rough-right", "fit.mark.rough-head"), PRACTICE,
        )
        for key, at in ends
    )  # fmt: skip


def screwed_to(members: Sequence[Member], face: str, edges: tuple[float, float]) -> list[Member]:
    """The uprights that the lining of a face is screwed to from floor to head: those at its edges
    (x, mm), those of the frame, and of the rest each that stands clear of them; one of two studs
    side by side is enough."""

    def rank(piece: Member) -> int:
        if any(lies_on(piece, edge) for edge in edges):
            return 0
        return 1 if piece.key.startswith("frame.") else 2

    upright = [
        piece
        for piece in standing(members)
        if (piece.role in UPRIGHT - {"short stud"} or (piece.role, piece.lies) == ("packing", "z"))
        and piece.face in ("", face)
        and edges[0] - EDGE < piece.x.middle < edges[1] + EDGE
    ]
    kept: list[Member] = []
    for piece in sorted(upright, key=lambda p: (rank(p), p.x.low)):
        near = (
            other.x.low - BESIDE < piece.x.high and piece.x.low < other.x.high + BESIDE
            for other in kept
        )
        if rank(piece) < 2 or not any(near):
            kept.append(piece)
    return kept


def lies_on(piece: Member, edge: float) -> bool:
    """Does the lining's edge (x, mm) lie on this piece?"""
    return min(abs(piece.x.low - edge), abs(piece.x.high - edge)) < EDGE
