"""What nails and screws hold the new framing together, and to floor, ceiling and walls?

A usual schedule for framing that carries nothing; the local framing code goes first. What is sized
for load is the engineer's and stays a question. These are counted from the framing and told in
words: where in a joint each nail goes is the carpenter's own hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from truehang.catalogue.fasteners import NailingRule
from truehang.fit import Arrangement
from truehang.fixings import Hold, Row, Sheet, spread
from truehang.framing import PLY_FIXING
from truehang.job import Job
from truehang.lengths import said
from truehang.members import Member, Role, standing
from truehang.words import word

PRACTICE = "common practice, no source"
HOLD, THIN_HOLD, THIN = 30.0, 25.0, 30.0
"""The least that a nail or screw holds in timber, and through a piece thinner than `THIN`, mm
(common practice, no source)."""
END = 100.0
"""How far the first nail along a joint is from its end, mm (common practice, no source)."""
SLANT = 40.0
"""How much of a stud's end a nail driven at a slant passes, mm (common practice, no source)."""
CEILING, WALL = 450.0, 600.0
"""How far the screws of a plate under the ceiling, and of a stud at a wall, are apart, mm (common
practice, no source)."""
BOARD = 16.0
"""What may line a ceiling or a wall that new framing is screwed to through its lining, mm (common
practice, no source)."""
DEEP = 70.0
"""How deep a screw may go into a joist, or into the depth of a stud of another wall, mm (common
practice, no source)."""
TOUCH = 3.0
"""Pieces nearer than this lie against each other, with packers between, mm."""
ALIKE = 4.0
"""Pieces that differ by less are nailed through with one length, mm."""
ENGINEERED: frozenset[Role] = frozenset(("head", "jamb stud", "king stud"))
"""What goes by the engineer's drawing where the wall carries load."""
UPRIGHT: tuple[Role, ...] = (
    "jamb stud", "king stud", "backing", "wall stud", "infill stud", "short stud", "packing",
)  # fmt: skip


def engineered(framed: tuple[Member, ...]) -> tuple[Member, ...]:
    """The new pieces whose joints to each other are the engineer's."""
    new = tuple(piece for piece in standing(framed) if piece.origin == "new")
    if not any(piece.preliminary for piece in new):
        return ()
    return tuple(piece for piece in new if piece.role in ENGINEERED)


def under_no_timber(job: Job, framed: tuple[Member, ...]) -> str:
    """What new studs end under that takes no nail, as it is called; "" where all end under timber
    or nobody knows what it is."""
    for over in (piece for piece in framed if piece.key == "there.head"):
        tops = (p.z.high for p in standing(framed, *UPRIGHT) if p.origin == "new")
        meets = any(abs(top - over.z.low) < TOUCH for top in tops)
        if meets and job.wall.over.kind in ("steel", "lintel"):
            return str(over.label)
    return ""


def framing_rows(
    job: Job, fit: Arrangement, rule: NailingRule, framed: tuple[Member, ...]
) -> Iterator[Row]:
    """The rows of the new framing, but for the joints that are the engineer's."""
    own = engineered(framed)
    new = tuple(p for p in standing(framed) if p.origin == "new" and not p.key.startswith("frame."))
    yield from _ends(rule, tuple(piece for piece in new if piece not in own))
    yield from _sides(job, fit, rule, framed, own)
    if not own:
        yield from _plies(new)
    yield from _flat(new)
    if job.wall.situation == "new-wall":
        yield from _to_ceiling(new)
        yield from _to_walls(new)


def _hold(through: float, rule_source: str = PRACTICE) -> Hold:
    return Hold(THIN_HOLD if through < THIN else HOLD, rule_source)


def _ends(rule: NailingRule, pieces: tuple[Member, ...]) -> Iterator[Row]:
    """Each end of a piece, nailed at a slant to the timber that it meets."""
    ends = sum(piece.nailed for piece in pieces)
    if not ends:
        return
    thin = min(min(piece.section) for piece in pieces if piece.nailed and piece.section)
    names = dict.fromkeys(_short(piece) for piece in pieces if piece.nailed)
    yield Row(
        key="framing-ends", label=f"ends of {', '.join(names)}", axis="-z", surface=0.0,
        places=(), counted=rule.ends * ends, through=(Sheet("end of a piece, at a slant", SLANT),),
        into=Sheet("timber that it meets", max(thin, SLANT)), cavity=False,
        hold=Hold(HOLD, rule.source), kind="framing-nail",
        note=f"{rule.ends} at each end that stands on or under {word('timber')}, half from each "
        "side, at a slant",
        inputs=("job:wall.make_up.studs",),
    )  # fmt: skip


def _short(piece: Member) -> str:
    """What a piece is called in one word or two, in a list of them."""
    names = {"backing": "backing", "head": "head", "jamb stud": "studs beside the opening"}
    return names.get(piece.role, f"{piece.role}s")


@dataclass(frozen=True, slots=True)
class _Joint:
    """Two pieces side by side: what is nailed through, what into, and how often."""

    through: float
    into: float
    count: int


def _sides(
    job: Job, fit: Arrangement, rule: NailingRule, framed: tuple[Member, ...],
    own: tuple[Member, ...],
) -> Iterator[Row]:  # fmt: skip
    """Studs and packing that lie side by side, and those at an old side."""
    groups: list[list[_Joint]] = []
    for joint in sorted(_joints(job, fit, rule, framed, own), key=lambda one: one.through):
        if not groups or joint.through - groups[-1][0].through > ALIKE:
            groups.append([])
        groups[-1].append(joint)
    for number, group in enumerate(groups, start=1):
        most, least = group[-1].through, group[0].through
        told = said(most, 1) if most - least < 1 else f"{said(least, 1)} to {said(most, 1)}"
        yield Row(
            key="framing-side" if len(groups) == 1 else f"framing-side-{number}",
            label=f"uprights side by side, through {told}", axis="+x", surface=0.0,
            places=(), counted=sum(joint.count for joint in group),
            through=(Sheet("stud or packing", most, least),),
            into=Sheet("stud beside it", min(joint.into for joint in group)), cavity=False,
            hold=_hold(most, rule.source), kind="framing-nail",
            note=f"{said(END)} in from each end and one every {said(rule.along)} at most, by turns "
            "near one edge and the other",
            inputs=("job:wall.make_up.studs",),
        )  # fmt: skip


def _joints(
    job: Job, fit: Arrangement, rule: NailingRule, framed: tuple[Member, ...],
    own: tuple[Member, ...],
) -> Iterator[_Joint]:  # fmt: skip
    upright = [p for p in standing(framed, *UPRIGHT) if p.lies == "z" and p.x.length > TOUCH]
    for one in upright:
        for other in upright:
            beside = abs(one.x.high - other.x.low) < TOUCH
            if not beside or "new" not in (one.origin, other.origin):
                continue
            if one in own and other in own:
                continue
            low, high = max(one.z.low, other.z.low), min(one.z.high, other.z.high)
            if high - low > END:
                thin, thick = sorted((one.x.length, other.x.length))
                yield _joint(thin, thick, low, high, rule)
    if fit.situation == "fill":
        yield from _at_old_sides(job, fit, rule, upright)


def _at_old_sides(
    job: Job, fit: Arrangement, rule: NailingRule, upright: list[Member]
) -> Iterator[_Joint]:
    """What stands against the old jambs."""
    ends = [fit.rough.low, fit.rough.high, *(x for s in fit.infill for x in (s.low, s.high))]
    old = job.wall.make_up.studs.width
    for one in upright:
        at_old = min(abs(one.x.low - min(ends)), abs(one.x.high - max(ends))) < TOUCH
        if at_old and one.origin == "new":
            yield _joint(one.x.length, old, one.z.low, one.z.high, rule)


def _joint(through: float, into: float, low: float, high: float, rule: NailingRule) -> _Joint:
    count = len(spread(low, high, rule.along, END))
    return _Joint(_seen(through), round(into, 1), count)


def _seen(thick: float) -> float:
    """Packing is as thick as it is ripped: what a tape shows, up to its half millimetre. A stud has
    the size that it is sold in."""
    return math.ceil(thick * 2 - 1e-6) / 2 if thick < THIN else round(thick, 1)


def _plies(new: tuple[Member, ...]) -> Iterator[Row]:
    """A head of several timbers on edge, nailed to each other."""
    plies = sorted(standing(new, "head"), key=lambda piece: piece.y.low)
    if len(plies) < 2:
        return
    one = plies[0]
    along = len(spread(one.x.low, one.x.high, PLY_FIXING, END)) * (len(plies) - 1)
    thick = round(one.y.length, 1)
    yield Row(
        key="framing-plies", label="plies of the head to each other", axis="+y", surface=0.0,
        places=(), counted=2 * along, through=(Sheet("ply of the head", thick),),
        into=Sheet("ply beside it", thick), cavity=False, hold=_hold(thick),
        kind="framing-nail",
        note=f"two, one over the other, every {said(PLY_FIXING)} at most",
        inputs=("structure.track_head",),
    )  # fmt: skip


def _flat(new: tuple[Member, ...]) -> Iterator[Row]:
    """Packing that lies flat over a head or over the frame, nailed to the timber it lies on."""
    by_size: dict[float, list[Member]] = {}
    for piece in standing(new, "packing"):
        if piece.lies == "x" and piece.z.length > TOUCH:
            by_size.setdefault(_seen(piece.z.length), []).append(piece)
    for number, (thick, pieces) in enumerate(sorted(by_size.items()), start=1):
        along = sum(len(spread(p.x.low, p.x.high, PLY_FIXING, END)) for p in pieces)
        yield Row(
            key="framing-flat" if len(by_size) == 1 else f"framing-flat-{number}",
            label=pieces[0].label, axis="-z", surface=0.0, places=(), counted=2 * along,
            through=(Sheet("packing", thick),), into=Sheet("timber it lies on", max(thick, HOLD)),
            cavity=False, hold=_hold(thick), kind="framing-nail",
            note=f"two, near both edges, every {said(PLY_FIXING)} at most",
            inputs=("structure.track_head",),
        )  # fmt: skip


def _to_ceiling(new: tuple[Member, ...]) -> Iterator[Row]:
    plates = [piece for piece in standing(new, "plate") if piece.key == "wall-plate-top"]
    if not plates:
        return
    yield Row(
        key="framing-plates-top", label=f"{word('top-plate')} to what carries the ceiling",
        axis="+z", surface=0.0, places=(),
        counted=sum(len(spread(p.x.low, p.x.high, CEILING, END)) for p in plates),
        through=(Sheet("plate", round(plates[0].z.length, 1)), Sheet("ceiling lining", BOARD, 0.0)),
        into=Sheet("joist or nogging", DEEP, there=True), cavity=False, hold=_hold(HOLD),
        kind="frame-screw",
        note=f"one into each joist that it crosses, or every {said(CEILING)} at most into "
        f"{word('noggin')} put between joists that run along it: find them before it goes up. "
        f"Under concrete take masonry screws as for the {word('bottom-plate')}",
        inputs=("job:wall.make_up.studs",),
    )  # fmt: skip


def _to_walls(new: tuple[Member, ...]) -> Iterator[Row]:
    """The end studs of a new wall, to the walls that it meets."""
    studs = standing(new, "wall stud", "packing", "jamb stud", "king stud")
    low, high = min(p.x.low for p in new), max(p.x.high for p in new)
    ends = [
        piece
        for piece in studs
        if piece.lies == "z" and min(piece.x.low - low, high - piece.x.high) < TOUCH
    ]
    if not ends:
        return
    thick = round(max(p.x.length for p in ends), 1)
    yield Row(
        key="framing-wall-ends", label="end studs of the new wall to the walls it meets",
        axis="+x", surface=0.0, places=(),
        counted=sum(len(spread(p.z.low, p.z.high, WALL, END)) for p in ends),
        through=(Sheet("stud", thick), Sheet("lining of that wall", BOARD, 0.0)),
        into=Sheet("stud of that wall", DEEP, there=True), cavity=False, hold=_hold(HOLD),
        kind="frame-screw",
        note=f"every {said(WALL)} at most, into a stud of that wall or {word('noggin')} put into "
        f"it; into masonry a masonry screw in the place of each; look for cables first",
        inputs=("job:wall.make_up.studs",),
    )  # fmt: skip
