"""What does a step need that no room reckons by itself? Stacks, the old opening, guide, hangers and
props, as figures."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.catalogue.kits import Kit
from truehang.figures import Figure
from truehang.fit import Arrangement
from truehang.fit.geometry import GUIDE_GROOVE
from truehang.fit.model import GROOVE_CHEEK, GUIDE_PLAY
from truehang.job import Job
from truehang.lengths import said, said_between
from truehang.members import Member, standing
from truehang.rule import Given

PRACTICE = "common practice, no source"
GEOMETRY = "geometry"


def on_site(
    job: Job, fit: Arrangement, kit: Kit, framed: tuple[Member, ...], *, props: bool
) -> tuple[Figure, ...]:
    """The figures of the arrangement that only a step asks for."""
    return (
        *_stacks(fit),
        *_old_opening(fit, framed),
        *_guide(fit, kit),
        *_on_the_leaf(fit),
        *_clear_of_services(fit, framed),
        *(_props(job, fit, framed) if props else ()),
    )


def _stacks(fit: Arrangement) -> Iterator[Figure]:
    """Which pieces lie at which support, and how many of each there are in all."""
    counts: dict[float, int] = {}
    for pack in fit.packs:
        for piece in pack.pieces or ():
            counts[piece] = counts.get(piece, 0) + 1
        if pack.pieces is None:
            told = "plane, or a tapered plate"
        else:
            told = " + ".join(said(piece, 1) for piece in pack.pieces) or "none"
        yield Figure(
            f"site.pack.{pack.key}", f"packers at {pack.label}, x {said(pack.x)}", told, "",
            "fewest pieces that make the pack", (f"fit.pack.{pack.key}",), PRACTICE,
        )  # fmt: skip
    if counts:
        each = (f"{counts[piece]} × {said(piece, 1)}" for piece in sorted(counts))
        yield Figure(
            "site.packers", "packers under the frame, in all", ", ".join(each), "",
            "counted over the supports", tuple(f"fit.pack.{pack.key}" for pack in fit.packs),
            GEOMETRY,
        )  # fmt: skip


def _clear_of_services(fit: Arrangement, framed: tuple[Member, ...]) -> Iterator[Figure]:
    """Where nothing that is moved may go: the frame, the studs beside it and the head over it."""
    about = [
        piece
        for piece in standing(framed, "jamb stud", "king stud", "backing", "head", "packing")
        if piece.origin == "new" and piece.x.low <= fit.rough.high and piece.x.high >= fit.rough.low
    ]
    beside = standing(framed, "jamb stud", "king stud", "backing")
    low = min([fit.rough.low, *(piece.x.low for piece in (*about, *beside))])
    high = max([fit.rough.high, *(piece.x.high for piece in (*about, *beside))])
    top = max([fit.heights.rough_head, *(piece.z.high for piece in about)])
    yield Figure(
        "site.services_clear", "nothing is moved into, both faces and inside the wall",
        f"x {said(low)} to {said(high)}, from the floor up to {said(top)} over the level datum", "",
        "the frame, the new studs beside it and what goes in over it",
        ("fit.mark.rough-left", "fit.mark.rough-right", "fit.mark.rough-head"), PRACTICE,
    )  # fmt: skip


def _guide(fit: Arrangement, kit: Kit) -> Iterator[Figure]:
    place = f"catalogue:kits.{kit.id}"
    yield Figure(
        "site.guide_height", "bottom guide stands up over the finished floor", kit.guide_height,
        "mm", "the kit's own", (f"{place}.guide_height",), "the kit's datasheet",
    )  # fmt: skip
    yield Figure(
        "site.guide_groove", "groove in the leaf's bottom edge, deep", kit.guide_groove, "mm",
        "the kit's own", (f"{place}.guide_groove",), "the kit's datasheet",
    )  # fmt: skip
    yield _groove_width(fit, f"{place}.guide_width")


def _groove_width(fit: Arrangement, place: str) -> Figure:
    """How wide the groove for the guide is cut, or who can say it."""
    key, label = "site.guide_groove_width", "groove in the leaf's bottom edge, wide"
    if fit.guide_width is None:
        return Figure(
            key, label,
            "not on the kit's sheet: measure the guide "
            f"that comes, before the leaf is ordered, and have the groove cut {said(GUIDE_PLAY)} "
            "wider, in the middle of the thickness", "",
            "no width is given", (), PRACTICE,
        )  # fmt: skip
    if fit.guide_groove_width is None:
        thick = fit.leaves[0].thickness
        return Figure(
            key, label,
            f"a leaf of {said(thick, 1)} has no room for a groove for a guide of "
            f"{said(fit.guide_width, 1)}. Ask the kit's maker, before the leaf is ordered, for a "
            "guide that goes about such a leaf instead", "",
            f"less than {GROOVE_CHEEK:g} would be left on each side of it", (place,), PRACTICE,
        )  # fmt: skip
    return GUIDE_GROOVE.figure(
        key, label, {"U": Given(fit.guide_width, place), "v": Given(GUIDE_PLAY, "")}, PRACTICE
    )


def _old_opening(fit: Arrangement, framed: tuple[Member, ...]) -> Iterator[Figure]:
    """Where an old opening that is filled ends, to what a tape shows: its lining is opened there,
    not at the new marks."""
    if fit.situation != "fill":
        return
    low = min([fit.rough.low, *(span.low for span in fit.infill)])
    high = max([fit.rough.high, *(span.high for span in fit.infill)])
    for key, label, at in (("left", "left jamb", low), ("right", "right jamb", high)):
        yield Figure(
            f"site.old.{key}", f"old opening, {label}, from the datum", round(at * 2) / 2, "mm",
            "the ends of what is left of it beside the frame", (f"fit.mark.rough-{key}",), GEOMETRY,
        )  # fmt: skip
    for piece in (one for one in framed if one.key == "there.head"):
        yield Figure(
            "site.old.head", "old opening, underside of its head, from the level datum",
            round(piece.z.low * 2) / 2, "mm", "as it was measured", ("fit.mark.rough-head",),
            GEOMETRY,
        )  # fmt: skip


def _on_the_leaf(fit: Arrangement) -> Iterator[Figure]:
    """Where hangers and guide meet the leaf, from its own edges."""
    leaf = fit.leaves[0]
    pocket = next(one for one in fit.pockets if one.side == leaf.pocket)
    edges = leaf.closed
    if leaf.hangers_closed:
        yield Figure(
            "site.hanger_in", "hanger, centre, in from each upright edge of the leaf",
            min(leaf.hangers_closed) - edges.low, "mm", "the rod, from the leaf's own edge",
            ("fit.leaf_width",), GEOMETRY,
        )  # fmt: skip
    tail = edges.high - pocket.mouth if pocket.side == "right" else pocket.mouth - edges.low
    yield Figure(
        "site.guide_tail", "closed leaf reaches into the pocket past the mouth by", tail, "mm",
        "the tail that is kept in the pocket", (f"fit.mark.{pocket.side}-mouth",), GEOMETRY,
    )  # fmt: skip


def _props(job: Job, fit: Arrangement, framed: tuple[Member, ...]) -> Iterator[Figure]:
    """The studs that are clamped to the ribs at a mouth: two at each, one on each face."""
    stud = job.wall.make_up.studs
    upright = (m for m in standing(framed) if m.lies == "z" and not m.key.startswith("frame."))
    kinds = [m.stock for m in upright if m.stock]
    sold = kinds[0] if kinds else f"{said(stud.width)} x {said(stud.depth)}"
    for pocket in fit.pockets:
        here = min(fit.floor_here, key=lambda place: abs(place.x - pocket.mouth))
        yield Figure(
            f"site.props.{pocket.side}", f"studs to clamp at the {pocket.side} mouth",
            f"2 × {sold}, {said_between(here.floor, fit.heights.head_underside)} from the floor to "
            "the underside of the head member; not in the takeoff, they come off again", "",
            "floor at the mouth to the underside of the head member",
            ("fit.mark.head-underside", "job:floor.stations"), GEOMETRY,
        )  # fmt: skip
