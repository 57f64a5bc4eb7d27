"""Which sizes does the takeoff count from?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.catalogue.stock import Moulding, mouldings
from truehang.catalogue.timber import Section
from truehang.fit import Arrangement
from truehang.fixings import Fixings
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.plan.carry import PLATE
from truehang.plan.over_model import OverOpening, head_packing, stud_top
from truehang.structure import HeadSizing, TrackHeadChoice
from truehang.takeoff import Build, Piece, Takeoff, takeoff

PACKERS_REACH = 20.0
"""What packers alone make up over a frame's head, mm (common practice, no source)."""
LEAST_SKIRTING = 50.0
"""Shorter than this nothing is put back, mm (common practice, no source)."""


def moulding(region: Region, kind: str, *, thinnest: bool = False) -> Moulding | None:
    """The region's widest moulding of a kind, or its thinnest; None where none is sold."""
    sold = [m for m in mouldings() if m.kind == kind and m.currency == region.currency]
    if thinnest:
        return min(sold, key=lambda m: (m.thickness, m.code), default=None)
    return max(sold, key=lambda m: (m.width, m.code), default=None)


def take_off(
    job: Job,
    catalogue: Catalogue,
    region: Region,
    measured: Measured,
    fit: Arrangement,
    fixed: Fixings,
    track_head: TrackHeadChoice | None,
    sizing: HeadSizing | None,
    held: OverOpening | None = None,
) -> Takeoff:
    """Every part of the chosen arrangement, counted; `held` says what its track hangs from."""
    heights = fit.heights
    stud = _stud(job, catalogue, region)
    trim = moulding(region, "architrave", thinnest=True)
    skirting = moulding(region, "skirting")
    opening = fit.opening.length
    clear_height = heights.clear_head - heights.floor_high
    head_stock, plies, studs_each = _head(track_head, sizing)
    if held is not None and track_head is None:
        plies = 0  # what is there does, or nothing sold would
    head_depth = _head_depth(track_head, sizing)
    old_low, old_high, top = lined_span(job, measured, fit, track_head, sizing)
    trim_width = trim.width if trim and job.wishes.trim else 0.0
    lined = (old_high - old_low) * (top - heights.floor_high) - opening * clear_height
    plate = 0.0 if fit.situation == "fill" else PLATE
    hangs = held is not None and held.way == "existing"  # packed down from it, never studded
    over = 0.0 if hangs else max(top - plate - heights.rough_head - head_depth, 0.0)
    bare_floor = heights.floor_low - job.floor.to_come
    sides = ("left of the frame", "right of the frame")
    wall = (fit.rough.low, job.wall.run - fit.rough.high) if fit.situation == "divide" else ()
    walls = [(length, at) for length, at in zip(wall, sides, strict=False) if length > 0.5]
    beside = (
        fit.opening.low - trim_width - old_low,
        old_high - fit.opening.high - trim_width,
    )
    skirtings = [
        (length, at)
        for length, at in zip(beside, ("left of the opening", "right of it"), strict=True)
        if length > LEAST_SKIRTING
    ]
    return takeoff(
        Build(
            stud_stock=stud.code if stud else "",
            plate_stock=stud.code if stud else "",
            stud_length=stud_top(fit, held) - bare_floor,
            spacing=job.wall.make_up.studs.spacing,
            infill=tuple(span.length for span in fit.infill),
            over=over,
            rough_width=fit.rough.length,
            head_stock=head_stock,
            head_length=_head_length(job, fit, sizing),
            head_plies=plies,
            jamb_studs=_jamb_studs(job, fit, studs_each),
            stud_breadth=job.wall.make_up.studs.width,
            king_studs=2 if studs_each else 0,
            king_length=job.wall.ceiling - bare_floor,
            wall=tuple(length for length, _ in walls),
            wall_at=tuple(at for _, at in walls),
            infill_at=tuple(sides[span.low > fit.centre] for span in fit.infill),
            wall_height=job.wall.ceiling - bare_floor,
            opening=opening,
            clear_height=clear_height,
            mouths=len(fit.mouths),
            trim_stock=trim.code if trim else "",
            trim_width=trim_width,
            trim=job.wishes.trim,
            skirting_stock=skirting.code if skirting else "",
            skirting=tuple(length for length, _ in skirtings),
            skirting_at=tuple(at for _, at in skirtings),
            bead_stock="",
            lined=(lined / 1e6, lined / 1e6),
            ribs=2 * sum(len(pocket.rib_centres) - 1 for pocket in fit.pockets),
            rib_length=heights.head_underside - heights.frame_bottom,
            joints=2 * (2 * (top - heights.floor_high) + old_high - old_low),
            insulation=_insulation(job, fit),
            leaf_faces=2 * sum(leaf.width * leaf.height for leaf in fit.leaves) / 1e6,
            seals=tuple(_seals(job, fit)),
            given=(*_given(catalogue, region, fit, fixed), *_packed_down(stud, fit, held)),
        )
    )


def _packed_down(
    stud: Section | None, fit: Arrangement, held: OverOpening | None
) -> Iterator[Piece]:
    """The timber between the frame's head and what is there, where packers don't reach."""
    least, most = head_packing(fit, held)
    if held is None or held.way == "own" or most <= PACKERS_REACH:
        return
    pieces = math.ceil(least / stud.breadth - 1e-9) if stud else 1
    each = least / pieces
    more = f", and packers over it to {said(most, 1)} in all" if most - least > 0.5 else ""
    yield Piece(
        "head-packing", "framing", "packing over the frame's head", stud.code if stud else "",
        fit.frame.length, pieces, making=f"rip to {said(each, 1)} thick{more}",
        where="between the frame's head and what is over the opening",
    )  # fmt: skip


def _stud(job: Job, catalogue: Catalogue, region: Region) -> Section | None:
    """The region's cheapest section of the studs' own size, else the nearest in size."""
    studs = job.wall.make_up.studs
    sold = [s for s in catalogue.timber_sections if s.currency == region.currency]
    return min(
        sold,
        key=lambda s: (
            abs(s.breadth - studs.width) + abs(s.depth - studs.depth),
            s.price_per_metre,
            s.code,
        ),
        default=None,
    )


def _head(track_head: TrackHeadChoice | None, sizing: HeadSizing | None) -> tuple[str, int, int]:
    """Stock and plies of the head, and extra studs under each end of it."""
    if sizing is not None and sizing.cheapest is not None:
        big = sizing.cheapest
        return big.section, big.plies, sizing.jamb.each_end if sizing.jamb else big.studs
    if track_head is not None:
        return track_head.section, track_head.member.plies, 0
    return "", 1, 0


def _head_length(job: Job, fit: Arrangement, sizing: HeadSizing | None) -> float:
    """The head reaches over the studs under its ends, as far as an old opening lets it."""
    if sizing is not None and sizing.cheapest is not None:
        return sizing.cheapest.length
    stud = job.wall.make_up.studs.width
    if fit.situation != "fill":
        return fit.rough.length + 2 * stud
    return fit.rough.length + sum(min(stud, span.length) for span in fit.infill)


def _jamb_studs(job: Job, fit: Arrangement, studs_each: int) -> int:
    """Studs up to the head: those under a head that carries load, else one each side. Where an
    old opening leaves no room for one, its own jamb does."""
    if studs_each:
        return 2 * studs_each
    if fit.situation != "fill":
        return 2
    return sum(span.length >= job.wall.make_up.studs.width for span in fit.infill)


def _head_depth(track_head: TrackHeadChoice | None, sizing: HeadSizing | None) -> float:
    if sizing is not None and sizing.cheapest is not None:
        return sizing.cheapest.depth
    return track_head.member.depth if track_head else 0.0


def lined_span(
    job: Job,
    measured: Measured,
    fit: Arrangement,
    track_head: TrackHeadChoice | None,
    sizing: HeadSizing | None,
) -> tuple[float, float, float]:
    """From where to where along the wall, and up to which height, both faces are lined anew.

    A new opening is opened as far as its new head and the studs beside it go in.
    """
    if job.wall.situation == "fill-opening" and measured.usable is not None:
        return measured.usable.left, measured.usable.right, measured.usable.head
    if job.wall.situation == "new-wall":
        return 0.0, job.wall.run, job.wall.ceiling
    _, _, studs_each = _head(track_head, sizing)
    studs = (1 + studs_each) * job.wall.make_up.studs.width
    low, high = max(fit.rough.low - studs, 0.0), min(fit.rough.high + studs, job.wall.run)
    top = fit.heights.rough_head + _head_depth(track_head, sizing)
    return low, high, min(top, job.wall.ceiling)


def _insulation(job: Job, fit: Arrangement) -> float:
    if not job.wishes.lining.insulate:
        return 0.0
    height = fit.heights.rough_head - fit.heights.floor_high
    width = sum(span.length for span in fit.infill)
    if job.wall.situation == "new-wall":
        width = job.wall.run - fit.rough.length
    return width * height / 1e6


def _seals(job: Job, fit: Arrangement) -> Iterator[tuple[str, str, float]]:
    wished, leaf = job.wishes.seals, fit.leaves[0]
    width = sum(one.width for one in fit.leaves)
    lengths = {
        "floor": width,
        "head": 2 * fit.opening.length,
        "mouth": 2 * leaf.height * len(fit.pockets),
        "meeting": leaf.height if len(fit.leaves) == 2 else 0.0,
        "jamb": 2 * leaf.height if len(fit.leaves) == 1 else 0.0,
    }
    for place, length in lengths.items():
        seal = getattr(wished, place)
        if seal != "none" and length > 0:
            yield place, seal, length


_FRAME_PLACES = {
    "kit": "in the rough opening",
    "head": "top of the frame, from end to end",
    "back-stud": "back of each pocket, under the head member",
    "jamb": "closing side, under the head member",
    "rib": "both sides of each pocket, from base batten to head member",
    "base": "foot of both sides of each pocket",
    "track": "under the head member",
    "hanger": "top of each leaf, two to a leaf",
    "guide": "on the floor at the mouth of each pocket",
    "buffer": "back of each pocket",
    "soft-close": "in the track of each leaf",
}
"""Where each part of a frame goes."""


def _given(
    catalogue: Catalogue, region: Region, fit: Arrangement, fixed: Fixings
) -> Iterator[Piece]:
    for part in fit.parts:
        timber = part.material == "timber"
        stock = _timber(catalogue, region, part.section) if timber else ""
        groove = part.key == "jamb" and fit.jamb_groove > 0
        yield Piece(
            f"frame.{part.key}", "frame", part.label, stock, part.length or None, part.count,
            part.section if timber else None,
            f"groove {said(fit.jamb_groove, 1)} deep and {said(fit.jamb_groove_width, 1)} wide "
            "down the middle of the face to the leaf" if groove else "",
            _FRAME_PLACES[part.key],
        )  # fmt: skip
    width, height, thickness = fit.leaf_order_size
    label = f"{fit.option.leaf_name}, {said(width)} x {said(height)} x "
    label += said(thickness, 1)
    yield Piece(
        "leaf", "leaves", label, fit.leaf_id, None, len(fit.leaves),
        where="; ".join(f"{leaf.name}: {leaf.pocket} pocket" for leaf in fit.leaves),
    )  # fmt: skip
    for box in fixed.boxes:
        rows = [c.row.label for c in fixed.choices if c.fastener == box.fastener]
        yield Piece(
            f"box.{box.fastener.id}", "fixings", f"box of {box.fastener.box_count}: "
            f"{box.fastener.name} ({box.count} needed)", box.fastener.id, None, box.boxes,
            where="; ".join(rows),
        )  # fmt: skip


def _timber(catalogue: Catalogue, region: Region, section: tuple[float, float]) -> str:
    """The code of what is sold in this section, "" where nothing is."""
    thin, wide = sorted(section)
    sold = [
        (s.price_per_metre, s.code)
        for s in catalogue.timber_sections
        if s.currency == region.currency and sorted((s.breadth, s.depth)) == [thin, wide]
    ]
    sold += [
        (m.price_per_metre, m.code)
        for m in mouldings()
        if m.currency == region.currency and sorted((m.thickness, m.width)) == [thin, wide]
    ]
    return min(sold, default=(0, ""))[1]
