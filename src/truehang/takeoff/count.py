"""How many of everything does the build take?

Coverage figures (adhesive, compound, paint) are common practice, no source: look at the label.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from truehang.figures import Figure
from truehang.lengths import said, said_metres
from truehang.takeoff.model import Build, Group, Item, Takeoff, Unit
from truehang.words import word

PRACTICE = "common practice, no source"
GEOMETRY = "geometry of the arrangement"
BEAD_PER_TUBE = 8.0
"""Metres of 10 mm bead from a 300 ml tube."""
COMPOUND_PER_METRE = 0.35
"""Kilograms of jointing compound, all coats, for a metre of joint."""
LEAST_INFILL = 90.0
"""Narrower than two studs, an infill is packed solid instead of studded, mm."""
LEAST_PACKING = 3.0
"""Narrower than this, what is left beside the jamb stud is packed with packers, mm."""
LEAST_OVER = 60.0
"""Lower than this, what is over the head is packed solid, mm."""
FLUSH = "set flush: anything thicker at a mouth takes its thickness off the clear width"
"""The rib's edge is the mouth, and the clear width runs from it (geometry)."""
TOUCH_UP = 1.1
"""Paint a little beyond what was lined."""


class TakeoffInputError(ValueError):
    """A size that can't be counted from; the message names field, value and mend."""


def takeoff(build: Build) -> Takeoff:
    """Every part of the build."""
    _check(build)
    items = tuple(
        item
        for part in (_framing, _given, _lining, _trim, _seals, _finishing)
        for item in part(build)
        if item.count and item.quantity > 0
    )
    return Takeoff(items, tuple(_figure(item) for item in items))


def mitred(opening: float, height: float, width: float) -> tuple[float, float]:
    """Length of a leg and of the head of mitred trim to the long points (mm): the leg runs to the
    outside of the head, the head to the outside of both legs."""
    return height + width, opening + 2 * width


def _check(build: Build) -> None:
    for field in (
        "stud_length",
        "spacing",
        "rough_width",
        "head_length",
        "opening",
        "clear_height",
    ):
        value = getattr(build, field)
        if not (math.isfinite(value) and value > 0):
            raise TakeoffInputError(f"{field} = {value!r}: must be above zero; give it in mm")


def _cut(
    key: str, group: Group, label: str, stock: str, length: float, count: int, note: str = "",
    *, where: str, making: str = "", rip: float | None = None,
) -> Item:  # fmt: skip
    return Item(
        key, group, label, stock, length, count, length * count / 1000, "m", note, GEOMETRY,
        rip=rip, making=making, where=where,
    )  # fmt: skip


def _places(given: tuple[str, ...], count: int, of: str) -> tuple[str, ...]:
    """Where each of `count` pieces goes; by number where nobody says."""
    return given or tuple(f"{of} {number}" for number in range(1, count + 1))


def _some(
    key: str, group: Group, label: str, quantity: float, unit: Unit, note: str = "",
    stock: str = "",
) -> Item:  # fmt: skip
    return Item(key, group, label, stock, None, 1, quantity, unit, note, PRACTICE)


def _framing(build: Build) -> Iterator[Item]:
    yield _cut("jamb-stud", "framing", "stud beside the rough opening", build.stud_stock,
               build.stud_length, build.jamb_studs,
               where="at the ends of the head, from floor to head")  # fmt: skip
    yield _cut("king-stud", "framing", "full-height stud beside the head", build.stud_stock,
               build.king_length, build.king_studs,
               where="past each end of the head, from floor to ceiling")  # fmt: skip
    yield _cut("head", "framing", "head over the frame", build.head_stock, build.head_length,
               build.head_plies, where="over the rough opening, level")  # fmt: skip
    yield from _infill(build)
    yield from _new_wall(build)
    if build.over >= LEAST_OVER:
        count = math.ceil(build.rough_width / build.spacing) + 1
        yield _cut("short-stud", "framing", "short stud over the head", build.stud_stock,
                   build.over, count, where="from the head to the plate over it")  # fmt: skip


def _infill(build: Build) -> Iterator[Item]:
    """Studs and plates of wide infills; of narrow ones the stud that is ripped to pack them."""
    at = _places(build.infill_at, len(build.infill), "infill")
    studded = sum(
        math.ceil(width / build.spacing) for width in build.infill if width >= LEAST_INFILL
    )
    yield _cut("infill-stud", "framing", "stud in the infill", build.stud_stock,
               build.stud_length, studded, where="in the infill, from floor to head")  # fmt: skip
    for number, (width, place) in enumerate(zip(build.infill, at, strict=True), start=1):
        rest = width - build.stud_breadth * (width >= build.stud_breadth)
        if width >= LEAST_INFILL:
            yield _cut(f"infill-plate-{number}", "framing",
                       f"{word('bottom-plate')} of infill {number}", build.plate_stock,
                       rest, 1, where=f"on the floor, {place}")  # fmt: skip
        elif rest > LEAST_PACKING:
            yield _cut(f"infill-packing-{number}", "framing",
                       "ripped stud that packs a narrow infill solid", build.stud_stock,
                       build.stud_length, 1, rip=round(rest, 1),
                       making=f"rip its {said(build.stud_breadth)} face to {said(rest, 1)}",
                       where=f"{place}, from floor to head")  # fmt: skip


def _new_wall(build: Build) -> Iterator[Item]:
    """Studs and plates of a new wall beside the rough opening; the jamb studs are counted apart."""
    free = [max(width - build.stud_breadth, 0.0) for width in build.wall]
    at = _places(build.wall_at, len(build.wall), "stretch")
    studs = sum(math.ceil(width / build.spacing) for width in free)
    yield _cut("wall-stud", "framing", "stud of the new wall", build.stud_stock,
               build.wall_height - 2 * build.stud_breadth, studs,
               where="beside the rough opening, between the plates")  # fmt: skip
    for number, (width, place) in enumerate(zip(build.wall, at, strict=True), start=1):
        yield _cut(f"wall-plate-{number}", "framing", f"{word('bottom-plate')} of the new wall",
                   build.plate_stock, width, 1, where=f"on the floor, {place}")  # fmt: skip
    if build.wall:
        yield _cut("wall-plate-top", "framing", f"{word('top-plate')} of the new wall",
                   build.plate_stock, sum(build.wall) + build.rough_width, 1,
                   where="under the ceiling, along the whole wall")  # fmt: skip


def _given(build: Build) -> Iterator[Item]:
    for piece in build.given:
        if piece.length is not None and piece.stock:
            yield _cut(piece.key, piece.group, piece.label, piece.stock, piece.length, piece.count,
                       making=piece.making, where=piece.where)  # fmt: skip
            continue
        # What nothing is sold for is told by its section; what is sold has its own.
        section = piece.section if piece.section and not piece.stock else None
        making = piece.making
        if section:
            size = f"{said(section[0])} x {said(section[1])} in section"
            making = f"{size}; {making}" if making else size
        yield Item(piece.key, piece.group, piece.label, piece.stock, piece.length, piece.count,
                   float(piece.count), "each", "", GEOMETRY, section=section, making=making,
                   where=piece.where)  # fmt: skip


def _lining(build: Build) -> Iterator[Item]:
    for face, area in zip("AB", build.lined, strict=True):
        yield _some(f"lining-{face.lower()}", "lining", f"face {face} to line", area, "m2",
                    "boards as in the lining layout")  # fmt: skip
    bead = build.ribs * build.rib_length / 1000
    note = f"{said_metres(bead)} of bead, {said_metres(BEAD_PER_TUBE)} to a tube"
    yield _some("adhesive", "lining", "adhesive on the ribs behind those at the mouths",
                math.ceil(bead / BEAD_PER_TUBE), "tube", note)  # fmt: skip
    yield _some("insulation", "lining", "insulation in what is framed up new", build.insulation,
                "m2")  # fmt: skip


def _trim(build: Build) -> Iterator[Item]:
    if build.trim:
        leg, head = mitred(build.opening, build.clear_height, build.trim_width)
        note = "length to the long point"
        yield _cut("trim-leg", "trim", "leg of the trim", build.trim_stock, leg, 4, note,
                   making="top end mitred 45°, foot square; two of each hand",
                   where="up each side of the clear opening, both faces")  # fmt: skip
        yield _cut("trim-head", "trim", "head of the trim", build.trim_stock, head, 2, note,
                   making="both ends mitred 45°, away from each other",
                   where="over the clear opening, both faces")  # fmt: skip
    at = _places(build.skirting_at, len(build.skirting), "piece")
    for number, (length, place) in enumerate(zip(build.skirting, at, strict=True), start=1):
        yield _cut(f"skirting-{number}", "trim", f"{word('skirting')}, piece {number} on each face",
                   build.skirting_stock, length, 2, where=f"{place}, both faces")  # fmt: skip
    yield _cut("mouth-bead", "trim", "edge bead on the lining at a mouth", build.bead_stock,
               build.clear_height, 2 * build.mouths, FLUSH,
               where="up the edge of the lining at each mouth, both faces")  # fmt: skip
    yield _cut("head-bead", "trim", "edge bead on the lining at the head", build.bead_stock,
               build.opening, 2, FLUSH,
               where="along the edge of the lining over the opening, both faces")  # fmt: skip


def _seals(build: Build) -> Iterator[Item]:
    for place, seal, length in build.seals:
        yield Item(f"seal-{place}", "seals", f"seal, {place}", seal, None, 1, length / 1000, "m",
                   "", GEOMETRY)  # fmt: skip


def _finishing(build: Build) -> Iterator[Item]:
    joints = build.joints / 1000
    yield _some("tape", "finishing", "joint tape", joints, "m")
    compound = joints * COMPOUND_PER_METRE
    note = f"{COMPOUND_PER_METRE:g} kg to {said_metres(1.0)} of joint"
    label = f"{word('jointing-compound')}, all coats"
    yield _some("compound", "finishing", label, compound, "kg", note)
    yield _some("paint-walls", "finishing", "wall to paint", sum(build.lined) * TOUCH_UP, "m2")
    yield _some("paint-leaves", "finishing", "leaf faces to paint", build.leaf_faces, "m2")


def _figure(item: Item) -> Figure:
    if item.length is not None and item.unit == "m":
        rule = f"{item.count} x {item.length:.1f} mm"
    else:
        rule = item.note or "counted from the arrangement"
    return Figure(
        key=f"takeoff.{item.key}",
        label=item.label,
        value=round(item.quantity, 3),
        unit=item.unit,
        rule=rule,
        inputs=(),
        source=item.source,
    )
