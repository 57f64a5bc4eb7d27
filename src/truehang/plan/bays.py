"""How much is framed up new, between its studs, that insulation can be put into?"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.findings import Change, Finding, Severity
from truehang.job import Job
from truehang.members import Member, standing
from truehang.shapes import Span

LEAST = 50.0
"""A narrower or lower bay is packed or left, mm (common practice, no source)."""


def insulation_area(job: Job, framed: tuple[Member, ...]) -> float:
    """The area to insulate, m2; 0 where none is wished, or all that is new is packed solid."""
    if not job.wishes.lining.insulate:
        return 0.0
    return sum(x.length * z.length for x, z in _bays(framed)) / 1e6


def insulation_findings(job: Job, framed: tuple[Member, ...]) -> tuple[Finding, ...]:
    """A wish for insulation that nothing new has room for is not dropped in silence."""
    if not job.wishes.lining.insulate or insulation_area(job, framed) > 0:
        return ()
    return (
        Finding(
            Severity.NOTE,
            "wishes.lining.insulate",
            "insulation is wished, and nothing that is framed up new has a bay for it: what is "
            "beside the frame is packed solid, and a pocket takes none",
            "leave the wish out",
            "geometry of the arrangement",
            (Change("wishes.lining.insulate", False),),
        ),
    )


def _bays(framed: tuple[Member, ...]) -> Iterator[tuple[Span, Span]]:
    """What is free between the studs that stand on a new plate, and between the short studs over a
    head."""
    new = tuple(piece for piece in standing(framed) if piece.origin == "new")
    upright = [piece for piece in new if piece.lies == "z" and not piece.key.startswith("frame.")]
    for plate in standing(new, "plate"):
        on = [p for p in upright if abs(p.z.low - plate.z.high) < 1 and _over(p, plate.x)]
        if on:
            top = max(piece.z.high for piece in on)
            yield from _between(plate.x, on, Span(plate.z.high, top))
    for head in standing(new, "head")[:1]:
        on = [p for p in upright if p.role == "short stud"]
        if on:
            yield from _between(head.x, on, on[0].z)


def _between(x: Span, studs: list[Member], z: Span) -> Iterator[tuple[Span, Span]]:
    at = x.low
    for stud in sorted(studs, key=lambda piece: piece.x.low):
        yield from _bay(Span(at, max(at, stud.x.low)), z)
        at = max(at, stud.x.high)
    yield from _bay(Span(at, max(at, x.high)), z)


def _bay(x: Span, z: Span) -> Iterator[tuple[Span, Span]]:
    if x.length >= LEAST and z.length >= LEAST:
        yield x, z


def _over(piece: Member, x: Span) -> bool:
    return piece.x.low >= x.low - 1 and piece.x.high <= x.high + 1
