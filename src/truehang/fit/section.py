"""Is the wall thick enough for ribs, leaf and air, and what does a site-built pocket look like?

A bought kit says which rib goes into which wall. A site-built pocket is designed here: the
thickest rib in stock that still leaves the least air each side of the leaf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from truehang.catalogue.kits import Kit
from truehang.fit.geometry import AIR
from truehang.fit.model import FramePart, Layer, WallMakeup
from truehang.lengths import said

STUD_TOLERANCE = 1.6
"""How far (mm) a stud may differ from the depth a kit is made for: 1/16 in (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Ribs:
    """Rib thickness and the air each side of the leaf, mm."""

    thickness: float
    air: float


@dataclass(frozen=True, slots=True)
class TooThin:
    """The wall does not take this leaf: short by so many mm, and why."""

    short_by: float
    what: str
    mend: str


def ribs(kit: Kit, stud: float, leaf_thickness: float) -> Ribs | TooThin:
    """The ribs that go into a wall of this stud depth (mm) about a leaf this thick (mm)."""
    if kit.rib_stock:
        return _designed_ribs(kit, stud, leaf_thickness)
    nearest = min(kit.walls, key=lambda wall: (abs(wall.stud - stud), wall.stud))
    if abs(nearest.stud - stud) > STUD_TOLERANCE:
        suited = ", ".join(said(wall.stud, 1) for wall in kit.walls)
        off = abs(nearest.stud - stud)
        way = "fur the wall out" if nearest.stud > stud else "use a site-built pocket"
        return TooThin(
            off,
            f"kit {kit.id} suits studs of {suited}; the wall has {said(stud, 1)}",
            f"{way}, or take a kit made for studs of {said(stud, 1)}",
        )
    air = AIR(D=stud, q=nearest.rib, T=leaf_thickness)
    if air < kit.air_least - 1e-9:
        short = 2 * (kit.air_least - air)
        return TooThin(
            short,
            f"kit {kit.id} in studs of {said(stud, 1)} leaves {said(air, 1)} of air each side of a "
            f"leaf of {said(leaf_thickness, 1)}; {said(kit.air_least, 1)} is the least",
            _thinner(kit, leaf_thickness - short, short),
        )
    return Ribs(nearest.rib, air)


def _thinner(kit: Kit, most: float, short: float) -> str:
    """The mend of a leaf that is too thick for the wall: only leaves that the kit itself takes."""
    least = kit.leaf_thickness.least
    furred = f"fur the wall out by {said(short, 1)}"
    if most < least - 1e-9:
        return f"{furred}, or take another kit; none of its leaves is thin enough"
    if most < kit.leaf_thickness.most:
        return f"take a leaf of {said(least, 1)} to {said(most, 1)}, or {furred}"
    return f"take a leaf that kit {kit.id} takes ({said(least, 1)} to " \
        f"{said(kit.leaf_thickness.most, 1)}), or {furred}"  # fmt: skip


def _designed_ribs(kit: Kit, stud: float, leaf_thickness: float) -> Ribs | TooThin:
    room = (stud - leaf_thickness - 2 * kit.air_least) / 2
    fitting = [rib for rib in kit.rib_stock if rib <= room + 1e-9]
    if not fitting:
        short = 2 * (min(kit.rib_stock) - room)
        return TooThin(
            short,
            f"a site-built pocket in studs of {said(stud, 1)} has {said(room, 1)} left for each "
            f"rib beside a leaf of {said(leaf_thickness, 1)}; the thinnest batten is "
            f"{said(min(kit.rib_stock), 1)}",
            _thinner(kit, leaf_thickness - short, short),
        )
    rib = max(fitting)
    return Ribs(rib, AIR(D=stud, q=rib, T=leaf_thickness))


def layers(wall: WallMakeup, rib: Ribs, leaf_thickness: float) -> tuple[Layer, ...]:
    """The wall through a pocket with the leaf in it, from face A (y = 0) to face B, mm."""
    stack = (
        ("lining-a", "lining A", "lining", wall.lining_a),
        ("rib-a", "rib A", "rib", rib.thickness),
        ("air-a", "air A", "air", rib.air),
        ("leaf", "leaf", "leaf", leaf_thickness),
        ("air-b", "air B", "air", rib.air),
        ("rib-b", "rib B", "rib", rib.thickness),
        ("lining-b", "lining B", "lining", wall.lining_b),
    )
    made = []
    y = 0.0
    for key, label, kind, thick in stack:
        made.append(Layer(key, label, kind, y, y + thick))  # type: ignore[arg-type]
        y += thick
    return tuple(made)


def rib_offsets(kit: Kit, pocket: float) -> tuple[float, ...]:
    """Rib centres measured from the mouth into the pocket (mm), the mouth's own rib first.

    Evenly spaced between the rib at the mouth and the back stud, no wider than the kit allows.
    """
    first = kit.rib_width / 2
    last = pocket + kit.back_stud / 2
    bays = max(1, math.ceil((last - first) / kit.rib_spacing_most - 1e-9))
    return tuple(first + (last - first) * bay / bays for bay in range(bays))


def parts(
    kit: Kit,
    rib: Ribs,
    stud: float,
    pocket: float,
    size: tuple[float, float],
    pair: bool,
) -> tuple[FramePart, ...]:
    """What a frame of this width and height is bought or cut as; lengths in mm, before any waste.

    A site-built pocket: ribs stand on a base batten on each face and run to the underside of the
    head; the track runs between back studs (pair) or back stud and closing jamb (single).
    """
    frame, frame_height = size
    if kit.site_parts is None:
        return (FramePart("kit", f"{kit.name}", "kit", (0.0, 0.0), frame, 1),)
    pockets = 2 if pair else 1
    upright = frame_height - kit.head_depth
    ribs_each = len(rib_offsets(kit, pocket))
    head = (kit.head_depth / kit.head_pieces, stud)
    batten = (rib.thickness, kit.rib_width)
    track = frame - (2 * kit.back_stud if pair else kit.back_stud + kit.closing_jamb)
    made = [
        FramePart("head", "head member", "timber", head, frame, kit.head_pieces),
        FramePart("back-stud", "back stud", "timber", (kit.back_stud, stud), upright, pockets),
        FramePart("rib", "rib", "timber", batten, upright - kit.rib_width, 2 * ribs_each * pockets),
        FramePart("base", "base batten", "timber", batten, pocket, 2 * pockets),
        FramePart("track", "track", "track", (0.0, 0.0), track, 1),
        FramePart("hanger", "hanger", "hanger", (0.0, 0.0), 0.0, 2 * pockets),
        FramePart("guide", "bottom guide", "guide", (0.0, 0.0), 0.0, pockets),
        FramePart("buffer", "buffer", "buffer", (0.0, 0.0), 0.0, pockets),
    ]
    if not pair:
        made.insert(
            2,
            FramePart("jamb", "closing jamb", "timber", (kit.closing_jamb, stud), upright, 1),
        )
    return tuple(made)
