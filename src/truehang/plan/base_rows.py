"""What holds the base of the frame to the floor, and where?

A kit's pieces stand on feet of its own. Those of a pocket made on site have none: its base battens
are screwed down through their height, back stud and closing jamb at a slant.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from truehang.fit import Arrangement
from truehang.fixings import CLEAR_OF_CAVITY, Hold, Row, Sheet, StockFastener, rows_by_depth
from truehang.job import Job
from truehang.lengths import said
from truehang.members import Member, standing
from truehang.message import message

FLOOR_HOLD = Hold(25.0, "common practice, no source")
CONCRETE, TIMBER = 60.0, 35.0
"""How deep a fixing may go into the floor, mm (common practice, no source)."""
FOOT_EDGE = 20.0
"""How far a base screw stays from the edge of the foot that it holds, mm (common practice, no
source)."""
FOOT = Sheet("base foot", 3.0)
"""Usual thickness of the foot of a kit's piece (common practice, no source)."""
SLANT = 40.0
"""How much of the end of a stud a screw driven at a slant passes, mm (common practice, no
source)."""


def base_rows(
    job: Job, fit: Arrangement, framed: tuple[Member, ...], stock: Sequence[StockFastener]
) -> Iterator[Row]:
    """The base is packed up by another height at each support: where one length would not hold in
    the highest stack, or would go through the floor under the lowest, there are several."""
    feet = tuple(_feet(fit, framed))
    battens = standing(framed, "base batten")
    own_feet = not battens
    if own_feet:
        yield from _split(_on_feet(job, fit, feet), feet, stock)
        return
    ys = {batten.y.middle for batten in battens}
    in_battens = tuple(foot for foot in feet if foot.place[1] in ys)
    ends = tuple(foot for foot in feet if foot.place[1] not in ys)
    if in_battens:
        yield from _split(_through_battens(job, battens, in_battens), in_battens, stock)
    if ends:
        both = tuple(_both_faces(fit, ends))
        yield from _split(_at_a_slant(job, fit, both), both, stock)


@dataclass(frozen=True, slots=True)
class _Foot:
    """One screw of the base: its place (x, y), the support it is at, and the packers it passes."""

    place: tuple[float, float]
    under: str
    pack: float


def _row(job: Job, feet: Sequence[_Foot]) -> Row:
    """What every row of the base shares."""
    concrete = job.floor.base == "concrete"
    return Row(
        key="base", label="base", axis="-z", surface=0.0,
        places=tuple(foot.place for foot in feet), through=(FOOT,),
        into=Sheet("floor", CONCRETE if concrete else TIMBER, there=True), cavity=False,
        hold=FLOOR_HOLD, kind="masonry-screw" if concrete else "base-screw",
        substrate="concrete" if concrete else "timber",
        inputs=("fit.leaf_bottom", "job:floor.base"),
    )  # fmt: skip


def _on_feet(job: Job, fit: Arrangement, feet: Sequence[_Foot]) -> Row:
    top = fit.heights.frame_bottom + FOOT.thickness
    lowest = min(leaf.bottom for leaf in fit.leaves)
    return replace(
        _row(job, feet),
        label=message("base feet to the floor"),
        surface=top,
        head_room=lowest - top - CLEAR_OF_CAVITY,
        note=message(
            f"low flat pan heads only; {said(FOOT_EDGE)} in from the edge of the piece over it, "
            "or in its middle where it is thinner. The feet, and what joins them along a pocket, "
            "come with the kit"
        ),
    )


def _through_battens(job: Job, battens: tuple[Member, ...], feet: Sequence[_Foot]) -> Row:
    """Down through the height of a batten, in the middle of its thickness: the leaf runs beside
    it, so that no head stands in its way."""
    batten = battens[0]
    return replace(
        _row(job, feet),
        label=message("base battens to the floor"),
        surface=batten.z.high,
        through=(Sheet("base batten", round(batten.z.length, 1)),),
        note=message(
            "drilled first, down through the middle of the batten; heads sunk, clear of the leaf"
        ),
    )


def _at_a_slant(job: Job, fit: Arrangement, feet: Sequence[_Foot]) -> Row:
    return replace(
        _row(job, feet),
        key="base-ends",
        label=message("foot of back stud and closing jamb to the floor"),
        surface=fit.heights.frame_bottom + SLANT,
        through=(Sheet("end of the piece, at a slant", SLANT),),
        note=message("drilled first, one from each face at a slant; heads sunk under the lining"),
    )


def _split(whole: Row, feet: Sequence[_Foot], stock: Sequence[StockFastener]) -> Iterator[Row]:
    """The row, or as many as its packs take lengths."""
    rows = rows_by_depth(whole, "packers", [foot.pack for foot in feet], stock)
    if len(rows) == 1:
        yield rows[0]
        return
    for number, row in enumerate(rows, start=1):
        under = dict.fromkeys(foot.under for foot in feet if foot.place in row.places)
        yield replace(
            row, key=f"{whole.key}-{number}", label=message(f"{row.label}: {', '.join(under)}")
        )


def _both_faces(fit: Arrangement, feet: Sequence[_Foot]) -> Iterator[_Foot]:
    """One screw near each face in the place of one in the middle."""
    wall = fit.wall
    for foot in feet:
        for y in (wall.lining_a + FOOT_EDGE, wall.thickness - wall.lining_b - FOOT_EDGE):
            yield replace(foot, place=(foot.place[0], y))


def _feet(fit: Arrangement, framed: tuple[Member, ...]) -> Iterator[_Foot]:
    """Where the base is screwed down: under each rib along a pocket, so that leaf and bottom guide
    have the middle to themselves; in the middle under back stud and closing jamb."""
    wall = fit.wall
    ribs = sorted({rib.y.middle for rib in standing(framed, "rib")})
    packs = [(pack.key, pack.label, pack.x, round(pack.height, 1)) for pack in fit.packs]
    ends = [("end", "ends of the frame", x, 0.0) for x in (fit.frame.low, fit.frame.high)]
    feet: dict[tuple[float, float], _Foot] = {}
    # Two supports under one thin piece share a screw: the higher stack is what it must pass.
    for key, label, x, height in sorted(packs or ends, key=lambda pack: -pack[3]):
        under_ribs = key.startswith(("mouth", "base"))
        for y in ribs if under_ribs else (wall.thickness / 2,):
            place = (_in_from_the_edge(framed, x), y)
            feet.setdefault(place, _Foot(place, label, height))
    yield from (feet[place] for place in sorted(feet))


def _in_from_the_edge(framed: tuple[Member, ...], x: float) -> float:
    """Where a foot at a support is screwed: as far in from the ends of the upright over it as a
    screw needs, or in its middle where it is too thin."""
    over = (p.x for p in standing(framed, "back stud", "closing jamb", "rib"))
    for piece in over:
        if piece.low - 0.5 <= x <= piece.high + 0.5:
            off = min(FOOT_EDGE, piece.length / 2)
            return min(max(x, piece.low + off), piece.high - off)
    return x
