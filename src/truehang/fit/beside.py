"""Where does a door go that takes the place of an old one, and what is left of the old opening?

Its closing jamb goes where the old opening's was, against the stud that is there, so that the way
through stays; its pocket reaches into the wall on the other side. A pair meets on the old centre
line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.findings import Finding, Severity
from truehang.fit.geometry import down, up
from truehang.lengths import said
from truehang.shapes import Span

if TYPE_CHECKING:
    from truehang.fit.model import ArrangementKind, FitRequest, OldOpening

GEOMETRY = "geometry of the arrangement"
ONE_PLACE = 1.0
"""Nearer than this two places along the wall are one, mm."""
SEEN = 0.25
"""Less than this is nothing on a tape, mm."""
LEAST_REST = 0.5
"""Less of an old opening than this is not filled in, mm."""


def frame_left(
    old: OldOpening, kind: ArrangementKind, width: float, clearance: float, step: float
) -> float:
    """Left end of a frame of this width (mm) that stands in the old opening's place."""
    if kind == "single-left":
        return down(old.hole.high - clearance - width + SEEN, step)
    if kind == "single-right":
        return up(old.hole.low + clearance - SEEN, step)
    return round(round((old.hole.middle - width / 2) / step) * step, 6)


def off_place(request: FitRequest, kind: ArrangementKind, frame: Span, clearance: float) -> float:
    """How far (mm, + to the right) a frame stands off the old opening's place; 0 where there is
    none, or where another place is wished for."""
    wishes = request.wishes
    if request.old is None or wishes.centre is not None or wishes.place is not None:
        return 0.0
    off = frame.low - frame_left(request.old, kind, frame.length, clearance, request.step)
    return off if abs(off) > ONE_PLACE else 0.0


def kept_inside(left: float, opening: Span, place: Span | None) -> float:
    """The frame's left end, moved no more than its clear opening (`opening`, from that end) needs
    to lie between the marks of a place, mm."""
    if place is None:
        return left
    least, most = place.low - opening.low, place.high - opening.high
    return (least + most) / 2 if least > most else min(max(left, least), most)


def left_over(old: OldOpening, rough: Span) -> tuple[Span, ...]:
    """What of the old opening is neither clear opening nor pocket: it is filled in."""
    rest = (
        Span(old.hole.low, min(old.hole.high, rough.low)),
        Span(max(old.hole.low, rough.high), old.hole.high),
    )
    return tuple(span for span in rest if span.length > LEAST_REST)


def place_findings(
    request: FitRequest, kind: ArrangementKind, frame: Span, opening: Span, clearance: float
) -> tuple[Finding, ...]:
    """Where the clear opening goes beside the old one, and why it doesn't stay there."""
    old = request.old
    if old is None:
        return ()
    off = off_place(request, kind, frame, clearance)
    what = (
        f"{_told(old.clear, opening)}: the old clear opening is taken from "
        f"{said(old.clear.low)} to {said(old.clear.high)}, the new one runs from "
        f"{said(opening.low)} to {said(opening.high)}"
    )
    if not off:
        mend = "wishes.place moves it, wishes.clear_width widens or narrows it"
        return (Finding(Severity.NOTE, "wall.old", what, mend, GEOMETRY),)
    side, room = ("left", off) if off > 0 else ("right", -off)
    return (
        Finding(
            Severity.WARN,
            "wall.old",
            f"{what}; it can't stay in the old place, for the free run ends {said(room)} short of "
            f"it on the {side}",
            "take the pocket to the other side, clear what stands in the run, or wish for a "
            "narrower passage",
            GEOMETRY,
        ),
    )


def _told(was: Span, now: Span) -> str:
    """What becomes of the old clear opening, in a few words."""
    wider = now.length - was.length
    moved = now.middle - was.middle
    parts = []
    if abs(wider) >= ONE_PLACE:
        parts.append(f"{'widened' if wider > 0 else 'narrowed'} by {said(abs(wider))}")
    if abs(moved) >= ONE_PLACE:
        parts.append(f"its middle {said(abs(moved))} further {'right' if moved > 0 else 'left'}")
    return "the clear opening is " + (", ".join(parts) if parts else "kept where it was")
