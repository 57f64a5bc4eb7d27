"""Which face of the wall is not touched, and what can't be done for that from one side only?

Where a wall is cut, the pocket is then built from the other face: the staying lining is let go of
its studs from behind, ribs are bonded to its back, and it is cut along the clear opening only.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from truehang.catalogue import Catalogue
from truehang.catalogue.materials import Material
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.fixings import CLEAR_OF_CAVITY
from truehang.job import Job
from truehang.job.models import Layer
from truehang.lengths import said
from truehang.shapes import Span
from truehang.words import word

PRACTICE = "common practice, no source"
Face = Literal["A", "B"]
OTHER: dict[Face, Face] = {"A": "B", "B": "A"}
KEYS = 12.0
"""How far plaster keys stand into the wall behind the laths, mm (common practice, no source)."""
BOND_BEAD = 10.0
"""Distance of a dab of adhesive from a rib's edge, mm (common practice, no source)."""


def staying(job: Job) -> Face | None:
    """The face that is not touched where a wall is cut; None where both may be."""
    face = job.wall.stays
    return face if face in ("A", "B") and job.wall.is_cut else None


def left_whole(job: Job) -> Face | None:
    """The face that nobody opens, pries at or strips; None where both may be."""
    face = job.wall.stays
    return face if face in ("A", "B") and job.wall.situation != "new-wall" else None


def outer_layer(job: Job, face: Face) -> Layer:
    """What is seen of a face now."""
    there = job.wall.make_up
    return (there.face_a if face == "A" else there.face_b)[0]


def material_of(catalogue: Catalogue, key: str) -> Material | None:
    """The material of this key; None where the catalogue has none."""
    return next((one for one in catalogue.materials if one.key == key), None)


def nails_go_in(job: Job, catalogue: Catalogue, face: Face) -> bool:
    """May a nail be driven through what is seen of this face? Not through tiles or masonry, and
    not through old plaster, which it shakes off its laths."""
    one = material_of(catalogue, outer_layer(job, face).material)
    return one is None or one.fixing in ("wood", "board")


def staying_figures(job: Job, fit: Arrangement) -> tuple[Figure, ...]:
    """How the ribs are held to the back of the staying lining: its window is measured from the
    pocket outwards."""
    face = staying(job)
    if face is None:
        return ()
    rib = fit.pockets[0].rib_thickness
    lining = fit.wall.lining_a if face == "A" else fit.wall.lining_b
    longest = rib + lining - CLEAR_OF_CAVITY
    return (
        Figure(
            f"fixings.rib-bond-{face.lower()}.longest",
            f"longest that could go from the pocket through a rib into face {face} and not show",
            longest, "mm", f"rib {rib:g} + lining {lining:g} - {CLEAR_OF_CAVITY:g}",
            ("fit.rib_thickness", "job:wall.make_up"), PRACTICE,
        ),
        Figure(
            f"fixings.rib-bond-{face.lower()}.use",
            f"how ribs are held to the back of face {face}",
            f"adhesive only, in dabs {said(BOND_BEAD)} in from the rib's edges, held with props "
            "from the other side until it has set. No screw: from this face none may show, and "
            f"from the pocket {said(longest, 1)} is all there is",
            "", "the face is not touched", (f"fixings.rib-bond-{face.lower()}.longest",), PRACTICE,
        ),
    )  # fmt: skip


def staying_findings(
    job: Job, catalogue: Catalogue, fit: Arrangement | None, props: bool
) -> tuple[Finding, ...]:
    """What a person must know of a face that stays, and what can't be built from one side."""
    return tuple(_findings(job, catalogue, fit, props))


def _findings(
    job: Job, catalogue: Catalogue, fit: Arrangement | None, props: bool
) -> Iterator[Finding]:
    face = staying(job)
    if face is None:
        yield from _not_cut(job)
        yield from _not_said(job, catalogue)
        return
    other = OTHER[face]
    yield Finding(
        Severity.NOTE,
        "wall.stays",
        f"face {face} is not touched: the pocket is built from face {other}, and face {face} is "
        "cut along the clear opening only; whatever held it to the studs that come out is cut "
        "from behind",
        f"say so to whoever cuts: no lever, no hammer against the back of face {face}",
        PRACTICE,
    )
    one = material_of(catalogue, outer_layer(job, face).material)
    if one is not None and one.fixing not in ("wood", "board"):
        yield Finding(
            Severity.HOLD,
            "wall.stays",
            f"face {face} is {one.name.lower()}: cut along the clear opening it may crack or let "
            "go, and trim can't be nailed to it",
            "cut a trial hole in the middle of the clear opening with the tool meant for it, look "
            "at how it is held, and tell the customer before the wall is opened; trim is glued",
            PRACTICE,
        )
    if one is not None and one.keys:
        yield Finding(
            Severity.WARN,
            "wall.stays",
            f"plaster keys stand about {said(KEYS)} into the wall behind face {face}: a rib can't "
            "lie flat on the laths, and knocked off they let the plaster fall",
            "measure them once the other face is open; pack ribs off the laths between them, and "
            "plan again with studs so much shallower if the leaf then has less air",
            PRACTICE,
        )
    if fit is not None:
        yield from _in_it(job, fit, face)
        yield from _left_open(fit, face)
    if props:
        yield Finding(
            Severity.WARN,
            "wall.stays",
            f"ribs behind face {face} can't be clamped to a stud while the mouths are bare: one "
            "side of each mouth stays unpropped",
            f"let the adhesive on face {face} set first, and prop the head itself from the floor "
            "at each mouth until the other face is lined",
            PRACTICE,
        )


def _not_cut(job: Job) -> Iterator[Finding]:
    if job.wall.stays in ("A", "B") and job.wall.situation == "fill-opening":
        yield Finding(
            Severity.NOTE,
            "wall.stays",
            f"face {job.wall.stays} is not touched: over the head of the old opening and at its "
            f"jambs the wall is opened from face {OTHER[job.wall.stays]}; the pockets stand inside "
            "the old opening, where there is no lining, so both faces are lined there up to it",
            f"glue trim where it laps face {job.wall.stays}: a nail there goes into what stays",
            PRACTICE,
        )


def _not_said(job: Job, catalogue: Catalogue) -> Iterator[Finding]:
    """A face that is hard to make again is not opened because nobody said that it stays."""
    if job.wall.stays is not None or not job.wall.is_cut:
        return
    for face in ("A", "B"):
        one = material_of(catalogue, outer_layer(job, face).material)
        if one is not None and one.fixing not in ("wood", "board"):
            other = OTHER[face]
            yield Finding(
                Severity.WARN,
                "wall.stays",
                f"face {face} is {one.name.lower()}, and nobody said whether it stays: as planned "
                "it is opened and lined anew",
                f"ask, and set wall.stays to {face} to build from face {other}, or to none",
                PRACTICE,
            )


def _in_it(job: Job, fit: Arrangement, face: Face) -> Iterator[Finding]:
    """A plate on the staying face in the way of a pocket leaves a hole that can't be closed."""
    holes = [c.service for c in fit.clashes if c.service.face == face and not c.service.hidden]
    if holes:
        names = ", ".join(one.name for one in holes)
        yield Finding(
            Severity.HOLD,
            "wall.stays",
            f"{names} on face {face} must go, and the hole in the face that stays can't be made "
            "good unseen",
            f"take the pocket to the other side (wishes.arrangement), or agree a blank plate over "
            f"it, no deeper than the lining, with the {word('certifier')} of the wiring and the "
            "customer",
            PRACTICE,
        )


def _left_open(fit: Arrangement, face: Face) -> Iterator[Finding]:
    """Of an old opening that is moved or narrowed a part of the staying face has no lining."""
    if fit.old is None:
        return
    hole, opening = fit.old.hole, fit.opening
    gaps = (
        Span(hole.low, min(opening.low, hole.high)),
        Span(max(opening.high, hole.low), hole.high),
    )
    for gap in gaps:
        if gap.length > 1.0:
            yield Finding(
                Severity.WARN,
                "wall.stays",
                f"face {face} has no lining from x {said(gap.low)} to {said(gap.high)}, where the "
                "old opening was wider than the new passage",
                f"close it on face {face} with what it is made of, or cover it with the trim; it "
                "is not in the board layout",
                PRACTICE,
            )
