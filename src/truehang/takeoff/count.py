"""How many of everything does the build take?

Coverage figures (adhesive, compound, paint) are common practice, no source: look at the label.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from truehang.amounts import amount
from truehang.figures import Figure
from truehang.lengths import said, said_metres
from truehang.members import Member
from truehang.message import NOTHING, Message, message
from truehang.takeoff.model import Build, Group, Item, Takeoff, Unit
from truehang.words import word

PRACTICE = "common practice, no source"
GEOMETRY = "geometry of the arrangement"
BEAD_PER_TUBE = 8.0
"""Metres of 10 mm bead from a 300 ml tube."""
COMPOUND_PER_METRE = 0.35
"""Kilograms of jointing compound, all coats, for a metre of joint."""
TRIMMED = 1.0
"""Pieces that differ by less in length are cut alike, mm (common practice, no source)."""
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
        for part in (_timber, _given, _lining, _trim, _seals, _finishing)
        for item in part(build)
        if item.count and item.quantity > 0
    )
    bought_whole = ("frame.kit",)
    cut = (item for item in items if item.length is not None and item.key not in bought_whole)
    return Takeoff(items, (*map(_figure, items), *map(_cut_figure, cut)))


def mitred(opening: float, height: float, width: float) -> tuple[float, float]:
    """Length of a leg and of the head of mitred trim to the long points (mm): the leg runs to the
    outside of the head, the head to the outside of both legs."""
    return height + width, opening + 2 * width


def _check(build: Build) -> None:
    for field in ("opening",):
        value = getattr(build, field)
        if not (math.isfinite(value) and value > 0):
            raise TakeoffInputError(f"{field} = {value!r}: must be above zero; give it in mm")


def _cut(
    key: str, group: Group, label: Message | str, stock: str, length: float, count: int,
    note: str = "", *, where: Message | str, making: str = "", rip: float | None = None,
) -> Item:  # fmt: skip
    return Item(
        key, group, message(label), stock, length, count, length * count / 1000, "m",
        message(note), GEOMETRY, rip=rip, making=message(making), where=message(where),
    )  # fmt: skip


def _places(given: tuple[str, ...], count: int, of: str) -> tuple[str, ...]:
    """Where each of `count` pieces goes; by number where nobody says."""
    return given or tuple(f"{of} {number}" for number in range(1, count + 1))


def _some(
    key: str, group: Group, label: str, quantity: float, unit: Unit, note: str = "",
    stock: str = "",
) -> Item:  # fmt: skip
    return Item(key, group, message(label), stock, None, 1, quantity, unit, message(note), PRACTICE)


def _timber(build: Build) -> Iterator[Item]:
    """Every piece of framing that goes in, alike ones counted together. Those that stand on a floor
    that falls are cut to the longest, and each is told between which lengths it comes out."""
    alike: dict[str, list[Member]] = {}
    for member in build.framing:
        if member.origin == "new" and not member.bought_in:
            alike.setdefault(member.key, []).append(member)
    if build.head_unsized:
        yield _unsized(alike.pop("head", []), build.head_unsized)
    for key, pieces in alike.items():
        first, lengths = pieces[0], [piece.length for piece in pieces]
        making = [str(first.making)] if first.making else []
        if max(lengths) - min(lengths) >= TRIMMED:
            shortest = said(min(lengths))
            making.append(f"the longest; trim each to what is under it, down to {shortest}")
        group: Group = "frame" if key.startswith("frame.") else "framing"
        if first.stock or not first.section:
            yield _cut(key, group, first.label, first.stock, max(lengths), len(pieces),
                       where=first.where, making="; ".join(making), rip=first.rip)  # fmt: skip
            continue
        making.insert(0, f"{said(first.section[0], 1)} x {said(first.section[1], 1)} in section")
        yield Item(key, group, first.label, "", max(lengths), len(pieces), float(len(pieces)),
                   "each", NOTHING, GEOMETRY, section=first.section,
                   making=message("; ".join(making)), where=first.where)  # fmt: skip


def _unsized(head: list[Member], why: str) -> Item:
    """The head over the frame that nobody could size: it stands with the reason, and is not cut."""
    label = head[0].label if head else "head over the frame"
    where = head[0].where if head else "over the rough opening, level"
    length = head[0].length if head else None
    return Item("head", "framing", message(label), "", length, 1, 1.0, "each",
                message(f"not sized: {why}"), GEOMETRY, making=message("order and cut none"),
                where=message(where))  # fmt: skip


def _given(build: Build) -> Iterator[Item]:
    for piece in build.given:
        yield Item(piece.key, piece.group, message(piece.label), piece.stock, piece.length,
                   piece.count, float(piece.count), "each", NOTHING, GEOMETRY,
                   where=message(piece.where))  # fmt: skip


def _lining(build: Build) -> Iterator[Item]:
    for face, area in zip("AB", build.lined, strict=True):
        yield _some(f"lining-{face.lower()}", "lining", f"face {face} to line", area, "m2",
                    "boards as in the lining layout")  # fmt: skip
    bead = sum(
        member.length for member in build.framing if member.role == "rib" and not member.at_mouth
    ) / 1000  # fmt: skip
    note = f"{said_metres(bead)} of bead, {said_metres(BEAD_PER_TUBE)} to a tube"
    yield _some("adhesive", "lining", "adhesive on the ribs behind those at the mouths",
                math.ceil(bead / BEAD_PER_TUBE), "tube", note)  # fmt: skip
    yield _some("insulation", "lining", "insulation in what is framed up new", build.insulation,
                "m2")  # fmt: skip


def _trim(build: Build) -> Iterator[Item]:
    if build.trim:
        note = "length to the long point"
        head = 0.0
        for side in build.sides:
            leg, head = mitred(build.opening, side.height, build.trim_width)
            yield _cut(f"trim-leg-{side.where}", "trim", f"{side.where} leg of the trim",
                       build.trim_stock, leg, 2, note,
                       making="top end mitred 45°, foot square; one of each hand",
                       where=f"up the {side.where} side of the clear opening, both "
                       "faces")  # fmt: skip
        yield _cut("trim-head", "trim", "head of the trim", build.trim_stock, head, 2, note,
                   making="both ends mitred 45°, away from each other",
                   where="over the clear opening, both faces")  # fmt: skip
    at = _places(build.skirting_at, len(build.skirting), "piece")
    for number, (length, place) in enumerate(zip(build.skirting, at, strict=True), start=1):
        both = len(build.skirting_faces) == 2
        one = f"face {build.skirting_faces[0]}"
        on, faces = ("each face", "both faces") if both else (one, one)
        yield _cut(f"skirting-{number}", "trim", f"{word('skirting')}, piece {number} on {on}",
                   build.skirting_stock, length, len(build.skirting_faces),
                   where=f"{place}, {faces}")  # fmt: skip
    for side in build.sides:
        if side.mouth:
            yield _cut(f"mouth-bead-{side.where}", "trim",
                       f"edge bead on the lining at the {side.where} mouth", build.bead_stock,
                       side.height, 2, FLUSH,
                       where="up the edge of the lining at the mouth, both faces")  # fmt: skip
    yield _cut("head-bead", "trim", "edge bead on the lining at the head", build.bead_stock,
               build.opening, 2, FLUSH,
               where="along the edge of the lining over the opening, both faces")  # fmt: skip


def _seals(build: Build) -> Iterator[Item]:
    for piece in build.seals:
        yield _cut(f"seal-{piece.place}", "seals", f"seal, {piece.place}", piece.seal,
                   piece.length, piece.count, where=piece.where)  # fmt: skip


def _finishing(build: Build) -> Iterator[Item]:
    joints = build.joints / 1000
    yield _some("tape", "finishing", "joint tape", joints, "m")
    compound = joints * COMPOUND_PER_METRE
    note = f"{amount(COMPOUND_PER_METRE, 'kg/m', None)} of joint"
    label = f"{word('jointing-compound')}, all coats"
    yield _some("compound", "finishing", label, compound, "kg", note)
    yield _some("paint-walls", "finishing", "wall to paint", sum(build.lined) * TOUCH_UP, "m2")
    yield _some("paint-leaves", "finishing", "leaf faces to paint", build.leaf_faces, "m2")


def _cut_figure(item: Item) -> Figure:
    """How long each of these is cut."""
    return Figure(
        key=f"takeoff.{item.key}.length",
        label=f"{item.label}, {item.count} off" if item.count > 1 else item.label,
        value=item.length or 0.0,
        unit="mm",
        rule=item.making or item.where or "geometry of the arrangement",
        inputs=(),
        source=item.source,
    )


def _figure(item: Item) -> Figure:
    if item.length is not None and item.unit == "m":
        rule = message(f"{item.count} x {said(item.length)}")
    else:
        rule = item.note or message("counted from the arrangement")
    return Figure(
        key=f"takeoff.{item.key}",
        label=item.label,
        value=round(item.quantity, 3),
        unit=item.unit,
        rule=rule,
        inputs=(),
        source=item.source,
    )
