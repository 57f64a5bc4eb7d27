"""What holds a new bottom plate to the floor, and where? Chosen by what the floor is made of."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.fixings import Hold, Row, Sheet, spread
from truehang.job import Job
from truehang.lengths import said
from truehang.members import Member, standing
from truehang.words import word

HOLD = Hold(25.0, "common practice, no source")
APART, FROM_END = 600.0, 100.0
"""How far the fixings of a plate are apart at most, and the first from its end, mm (common
practice, no source; the local framing code goes first)."""
CONCRETE, TIMBER = 60.0, 35.0
"""How deep a fixing may go into the floor, mm (common practice, no source)."""


def floor_plates(framed: tuple[Member, ...]) -> tuple[Member, ...]:
    """The new plates that lie on the floor."""
    plates = standing(framed, "plate")
    return tuple(p for p in plates if p.origin == "new" and p.key != "wall-plate-top")


def plate_rows(job: Job, framed: tuple[Member, ...]) -> Iterator[Row]:
    """A row for each plate on a floor that is known: masonry screws into concrete, wood screws
    into timber."""
    concrete = job.floor.base == "concrete"
    for plate in floor_plates(framed):
        yield Row(
            key=f"framing-{plate.key}", label=f"{word('bottom-plate')}, {plate.where}",
            axis="-z", surface=plate.z.high,
            places=tuple(
                (x, plate.y.middle) for x in spread(plate.x.low, plate.x.high, APART, FROM_END)
            ),
            through=(Sheet("plate", round(plate.z.length, 1)),),
            into=Sheet("floor", CONCRETE if concrete else TIMBER, there=True), cavity=False,
            hold=HOLD, kind="masonry-screw" if concrete else "frame-screw",
            substrate="concrete" if concrete else "timber",
            note=f"every {said(APART)} at most; look for pipes and cables first. Usual practice: "
            "the local framing code goes first",
            inputs=("job:floor.base",),
        )  # fmt: skip
