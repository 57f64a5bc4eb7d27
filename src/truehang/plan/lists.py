"""Which sizes does the takeoff count from?"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.catalogue.stock import Moulding
from truehang.fit import Arrangement
from truehang.fixings import Fixings
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.members import Member
from truehang.plan.bays import insulation_area
from truehang.plan.given import Given
from truehang.plan.lined import lined_span
from truehang.plan.skirting import Run, skirting_runs
from truehang.plan.stays import staying
from truehang.takeoff import Build, Piece, SealPiece, Side, Takeoff, takeoff

FACES_OPEN = {None: ("A", "B"), "A": ("B",), "B": ("A",)}
"""The faces that are opened, by the one that stays."""


def moulding(
    catalogue: Catalogue, region: Region, kind: str, *, thinnest: bool = False
) -> Moulding | None:
    """The region's widest moulding of a kind, or its thinnest; None where none is sold."""
    sold = [m for m in catalogue.mouldings_in(region) if m.kind == kind]
    if thinnest:
        return min(sold, key=lambda m: (m.thickness, m.code), default=None)
    return max(sold, key=lambda m: (m.width, m.code), default=None)


def _trim(job: Job, catalogue: Catalogue, region: Region) -> Moulding | None:
    """The trim about the opening; None where none is wished."""
    return moulding(catalogue, region, "architrave", thinnest=True) if job.wishes.trim else None


def skirting(
    given: Given, measured: Measured, fit: Arrangement, framing: tuple[Member, ...]
) -> tuple[Run, ...]:
    """The skirting that is put back on a face: from the edges of the lining up to the trim."""
    low, high, _ = lined_span(given.job, measured, fit, framing)
    trim = _trim(given.job, given.catalogue, given.region)
    return skirting_runs(fit, (low, high), trim.width if trim else 0.0)


def take_off(
    given: Given,
    measured: Measured,
    fit: Arrangement,
    fixed: Fixings,
    framing: tuple[Member, ...],
    unsized: str = "",
) -> Takeoff:
    """Every part of the chosen arrangement, counted, its framing among them; `unsized` says why its
    head is not, where it is not."""
    job, catalogue, region = given.job, given.catalogue, given.region
    heights, opening = fit.heights, fit.opening.length
    trim = _trim(job, catalogue, region)
    board = moulding(catalogue, region, "skirting")
    clear_height = heights.clear_head - heights.floor_high
    low, high, top = lined_span(job, measured, fit, framing)
    lined = (high - low) * (top - heights.floor_high) - opening * clear_height
    stays = staying(job)
    skirtings = skirting(given, measured, fit, framing)
    return takeoff(
        Build(
            framing=framing,
            head_unsized=unsized,
            opening=opening,
            sides=_sides(fit),
            trim_stock=trim.code if trim else "",
            trim_width=trim.width if trim else 0.0,
            trim=job.wishes.trim,
            skirting_stock=board.code if board else "",
            skirting=tuple(run.x.length for run in skirtings),
            skirting_at=tuple(run.where for run in skirtings),
            bead_stock="",
            lined=(0.0 if stays == "A" else lined / 1e6, 0.0 if stays == "B" else lined / 1e6),
            joints=(1 if stays else 2) * (2 * (top - heights.floor_high) + high - low),
            skirting_faces=FACES_OPEN[stays],
            insulation=insulation_area(job, framing),
            leaf_faces=2 * sum(leaf.width * leaf.height for leaf in fit.leaves) / 1e6,
            seals=tuple(_seals(job, fit)),
            given=tuple(_given(fit, fixed)),
        )
    )


def _sides(fit: Arrangement) -> tuple[Side, Side]:
    """Both sides of the clear opening, each with its height over the finished floor there: the
    floor falls, and what stands on it follows."""

    def height(x: float) -> float:
        here = min(fit.floor_here, key=lambda place: abs(place.x - x))
        return fit.heights.clear_head - here.floor_down

    mouths = [pocket.mouth for pocket in fit.pockets]
    left, right = fit.opening.low, fit.opening.high
    return (
        Side("left", height(left), any(abs(mouth - left) < 1 for mouth in mouths)),
        Side("right", height(right), any(abs(mouth - right) < 1 for mouth in mouths)),
    )


def _seals(job: Job, fit: Arrangement) -> Iterator[SealPiece]:
    wished, leaf, leaves = job.wishes.seals, fit.leaves[0], len(fit.leaves)
    faces = "both faces of the leaf"
    pieces = (
        ("floor", leaf.width, leaves, "along the bottom edge of each leaf"),
        ("head", fit.opening.length, 2, f"over the clear opening, {faces}"),
        ("mouth", leaf.height, 2 * len(fit.pockets), f"up each mouth, {faces}"),
        ("meeting", leaf.height, leaves - 1, "up the edges that meet"),
        ("jamb", leaf.height, 2 * (2 - leaves), f"up the closing jamb, {faces}"),
    )
    for place, length, count, where in pieces:
        seal = getattr(wished, place)
        if seal != "none" and count:
            yield SealPiece(place, seal, length, count, where)


_FRAME_PLACES = {
    "kit": "in the rough opening",
    "track": "under the head member",
    "hanger": "top of each leaf, two to a leaf",
    "guide": "on the floor at the mouth of each pocket",
    "buffer": "back of each pocket",
    "soft-close": "in the track of each leaf",
}
"""Where each part of a frame that is no timber goes."""


def _given(fit: Arrangement, fixed: Fixings) -> Iterator[Piece]:
    for part in fit.parts:
        if part.material != "timber":
            yield Piece(
                f"frame.{part.key}", "frame", part.label, "", part.length or None, part.count,
                _FRAME_PLACES[part.key],
            )  # fmt: skip
    width, height, thickness = fit.leaf_order_size
    label = f"leaf, {said(width)} x {said(height)} x {said(thickness, 1)}"
    yield Piece(
        "leaf", "leaves", label, fit.option.leaf_name, None, len(fit.leaves),
        where="; ".join(f"{leaf.name}: {leaf.pocket} pocket" for leaf in fit.leaves),
    )  # fmt: skip
    for box in fixed.boxes:
        rows = [c.row.label for c in fixed.choices if c.fastener == box.fastener]
        yield Piece(
            f"box.{box.fastener.id}", "fixings", f"box of {box.fastener.box_count}: "
            f"{box.count} needed", box.fastener.name, None, box.boxes,
            where="; ".join(map(str, rows)),
        )  # fmt: skip
