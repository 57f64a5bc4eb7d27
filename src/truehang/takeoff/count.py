"""How many of everything does the build take?

Coverage figures (adhesive, compound, paint) are common practice, no source: look at the label.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from truehang.figures import Figure
from truehang.lengths import said_metres
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
    key: str, group: Group, label: str, stock: str, length: float, count: int, note: str = ""
) -> Item:
    return Item(key, group, label, stock, length, count, length * count / 1000, "m", note, GEOMETRY)


def _some(
    key: str, group: Group, label: str, quantity: float, unit: Unit, note: str = "",
    stock: str = "",
) -> Item:  # fmt: skip
    return Item(key, group, label, stock, None, 1, quantity, unit, note, PRACTICE)


def _framing(build: Build) -> Iterator[Item]:
    yield _cut("jamb-stud", "framing", "stud beside the rough opening", build.stud_stock,
               build.stud_length, build.jamb_studs)  # fmt: skip
    yield _cut("king-stud", "framing", "full-height stud beside the head", build.stud_stock,
               build.king_length, build.king_studs)  # fmt: skip
    yield _cut("head", "framing", "head over the frame", build.head_stock, build.head_length,
               build.head_plies)  # fmt: skip
    studded = [width for width in build.infill if width >= LEAST_INFILL]
    between = sum(math.ceil(width / build.spacing) for width in studded)
    yield _cut("infill-stud", "framing", "stud in the infill", build.stud_stock,
               build.stud_length, between)  # fmt: skip
    left = [width - build.stud_breadth * (width >= build.stud_breadth) for width in build.infill]
    packed = sum(
        width < LEAST_INFILL and rest > LEAST_PACKING
        for width, rest in zip(build.infill, left, strict=True)
    )
    yield _cut("infill-packing", "framing", "ripped stud that packs a narrow infill solid",
               build.stud_stock, build.stud_length, packed)  # fmt: skip
    for number, (width, rest) in enumerate(zip(build.infill, left, strict=True), start=1):
        if width >= LEAST_INFILL:
            yield _cut(f"infill-plate-{number}", "framing",
                       f"{word('bottom-plate')} of infill {number}", build.plate_stock,
                       rest, 1)  # fmt: skip
    yield from _new_wall(build)
    if build.over >= LEAST_OVER:
        count = math.ceil(build.rough_width / build.spacing) + 1
        yield _cut("short-stud", "framing", "short stud over the head", build.stud_stock,
                   build.over, count)  # fmt: skip


def _new_wall(build: Build) -> Iterator[Item]:
    """Studs and plates of a new wall beside the rough opening; the jamb studs are counted apart."""
    free = [max(width - build.stud_breadth, 0.0) for width in build.wall]
    studs = sum(math.ceil(width / build.spacing) for width in free)
    yield _cut("wall-stud", "framing", "stud of the new wall", build.stud_stock,
               build.wall_height - 2 * build.stud_breadth, studs)  # fmt: skip
    for number, width in enumerate(build.wall, start=1):
        yield _cut(f"wall-plate-{number}", "framing", f"{word('bottom-plate')} of the new wall",
                   build.plate_stock, width, 1)  # fmt: skip
    if build.wall:
        yield _cut("wall-plate-top", "framing", f"{word('top-plate')} of the new wall",
                   build.plate_stock, sum(build.wall) + build.rough_width, 1)  # fmt: skip


def _given(build: Build) -> Iterator[Item]:
    for piece in build.given:
        if piece.length is not None and piece.stock:
            yield _cut(piece.key, piece.group, piece.label, piece.stock, piece.length, piece.count)
        else:
            yield Item(piece.key, piece.group, piece.label, piece.stock, piece.length, piece.count,
                       float(piece.count), "each", "", GEOMETRY)  # fmt: skip


def _lining(build: Build) -> Iterator[Item]:
    for face, area in zip("AB", build.lined, strict=True):
        yield _some(f"lining-{face.lower()}", "lining", f"face {face} to line", area, "m2",
                    "boards as in the lining layout")  # fmt: skip
    bead = build.ribs * build.rib_length / 1000
    note = f"{said_metres(bead)} of bead, {said_metres(BEAD_PER_TUBE)} to a tube"
    yield _some("adhesive", "lining", "adhesive on the ribs", math.ceil(bead / BEAD_PER_TUBE),
                "tube", note)  # fmt: skip
    yield _some("insulation", "lining", "insulation in what is framed up new", build.insulation,
                "m2")  # fmt: skip


def _trim(build: Build) -> Iterator[Item]:
    if build.trim:
        leg, head = mitred(build.opening, build.clear_height, build.trim_width)
        note = "mitred, to the long point"
        yield _cut("trim-leg", "trim", "leg of the trim", build.trim_stock, leg, 4, note)
        yield _cut("trim-head", "trim", "head of the trim", build.trim_stock, head, 2, note)
    for number, length in enumerate(build.skirting, start=1):
        yield _cut(f"skirting-{number}", "trim", f"{word('skirting')}, piece {number} on each face",
                   build.skirting_stock, length, 2)  # fmt: skip
    yield _cut("mouth-bead", "trim", "edge bead on the lining at a mouth", build.bead_stock,
               build.clear_height, 2 * build.mouths, FLUSH)  # fmt: skip
    yield _cut("head-bead", "trim", "edge bead on the lining at the head", build.bead_stock,
               build.opening, 2, FLUSH)  # fmt: skip


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
