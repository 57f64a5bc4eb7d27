"""Where does every mark go, along the wall and up it, each from the one datum?

Each mark is worked out from the datum itself, never by adding the distances between marks.
"""

from __future__ import annotations

from truehang.fit.model import Heights, Leaf, Pocket, Rod, RodMark, Span


def set_out(
    *,
    rough: Span,
    frame: Span,
    opening: Span,
    pockets: tuple[Pocket, ...],
    closing_jamb: Span | None,
    jamb_groove: float,
    leaves: tuple[Leaf, ...],
    heights: Heights,
) -> Rod:
    """The rod of an arrangement: marks along the wall by rising x, up it by rising z (mm)."""
    along = [
        _x(
            "rough-left",
            "rough opening, left",
            rough.low,
            "face of the stud or packing that stands to the left of the frame",
        ),
        _x("frame-left", "frame, left edge", frame.low, "outer edge of the frame"),
        _x("frame-right", "frame, right edge", frame.high, "outer edge of the frame"),
        _x(
            "rough-right",
            "rough opening, right",
            rough.high,
            "face of the stud or packing that stands to the right of the frame",
        ),
        _x("centre", "centre of clear opening", opening.middle, "plumb line"),
    ]
    for pocket in pockets:
        along += _pocket_marks(pocket)
    if closing_jamb is not None:
        along += _jamb_marks(closing_jamb, opening, jamb_groove)
    for leaf in leaves:
        along += _leaf_marks(leaf)
    return Rod(
        tuple(sorted(along, key=lambda mark: (mark.at, mark.key))),
        tuple(sorted(_up(heights), key=lambda mark: (mark.at, mark.key))),
    )


def _x(key: str, label: str, at: float, what: str) -> RodMark:
    return RodMark(key, label, "x", at, what)


def _z(key: str, label: str, at: float, what: str) -> RodMark:
    return RodMark(key, label, "z", at, what)


def _pocket_marks(pocket: Pocket) -> list[RodMark]:
    side = pocket.side
    made = [
        _x(f"{side}-mouth", f"{side} mouth", pocket.mouth, "open edge of the pocket"),
        _x(f"{side}-back", f"{side} pocket, back", pocket.back, "inner face of the back stud"),
    ]
    for at, centre in enumerate(pocket.rib_centres, start=1):
        made.append(_x(f"{side}-rib-{at}", f"{side} rib {at}, centre", centre, "rib on both faces"))
    return made


def _jamb_marks(jamb: Span, opening: Span, groove: float) -> list[RodMark]:
    on_right = jamb.low >= opening.high - 1e-6
    inner = jamb.low if on_right else jamb.high
    made = [_x("jamb", "closing jamb, face", inner, "face of the closing jamb")]
    if groove > 0:
        bottom = inner + groove if on_right else inner - groove
        made.append(_x("jamb-groove", "closing jamb, bottom of groove", bottom, "leaf lands here"))
    return made


def _leaf_marks(leaf: Leaf) -> list[RodMark]:
    key = leaf.name.replace(" ", "-")
    made = []
    for state, span, hangers in (
        ("closed", leaf.closed, leaf.hangers_closed),
        ("open", leaf.open, leaf.hangers_open),
    ):
        made += [
            _x(f"{key}-{state}-left", f"{leaf.name} {state}, left edge", span.low, "leaf edge"),
            _x(f"{key}-{state}-right", f"{leaf.name} {state}, right edge", span.high, "leaf edge"),
        ]
        for at, x in enumerate(hangers, start=1):
            made.append(
                _x(f"{key}-{state}-hanger-{at}", f"{leaf.name} {state}, hanger {at}", x, "centre")
            )
    return made


def _up(heights: Heights) -> list[RodMark]:
    made = [
        _z("level-datum", "level datum", 0.0, "the laser line carried to the floor"),
        _z("level-line", "level line", heights.level_line, "top of all packs, under the frame"),
        _z("floor-high", "finished floor, highest", heights.floor_high, "under the frame"),
        _z("floor-low", "finished floor, lowest", heights.floor_low, "under the frame"),
        _z("leaf-bottom", "leaf, bottom", heights.leaf_bottom, "hung height"),
        _z("handle", "pull, centre", heights.handle, "centre of the pull"),
        _z("clear-head", "head trim, underside", heights.clear_head, "clear height"),
        _z("leaf-top", "leaf, top", heights.leaf_top, "hidden behind the head trim"),
        _z("track", "track, underside", heights.track_bottom, "track"),
        _z("head-underside", "head member, underside", heights.head_underside, "track fixed here"),
        _z("head-top", "head member, top", heights.head_top, "top of the frame"),
        _z(
            "rough-head",
            "rough head",
            heights.rough_head,
            "underside of the head over the frame",
        ),
    ]
    return made
