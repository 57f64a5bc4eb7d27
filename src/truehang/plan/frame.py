"""Which pieces has the pocket frame of an arrangement, the planned one or one only looked at?"""

from __future__ import annotations

from collections.abc import Sequence

from truehang.fit import Arrangement, Pocket
from truehang.framing import FrameSetOut, Groove, PocketSetOut, Sold, frame_members
from truehang.lengths import said
from truehang.members import Member
from truehang.shapes import Span


def frame_of(fit: Arrangement) -> tuple[Member, ...]:
    """The pieces of the frame alone, of an arrangement that is only looked at."""
    return frame_members(frame_set_out(fit))


def frame_set_out(
    fit: Arrangement,
    sold: Sequence[Sold] = (),
    strip: tuple[str, str] = ("", ""),
) -> FrameSetOut:
    """The frame of an arrangement as the framing room takes it; `strip` is what the strips over the
    clear opening are cut from, and how."""
    ribs = [layer for layer in fit.pocket_section if layer.kind == "rib"]
    leaf = next(layer for layer in fit.pocket_section if layer.kind == "leaf")
    air = (fit.jamb_groove_width - (leaf.y1 - leaf.y0)) / 2
    groove = Groove(depth=fit.jamb_groove, y=Span(leaf.y0 - air, leaf.y1 + air))
    grooved = fit.closing_jamb is not None and fit.jamb_groove > 0
    return FrameSetOut(
        frame=fit.frame,
        opening=fit.opening,
        clear_head=fit.heights.clear_head,
        strip=strip,
        centre=fit.centre,
        y=stud_space(fit),
        ribs=(Span(ribs[0].y0, ribs[0].y1), Span(ribs[1].y0, ribs[1].y1)),
        bottom=fit.heights.frame_bottom,
        under=fit.heights.head_underside,
        top=fit.heights.head_top,
        pockets=tuple(_pocket(pocket) for pocket in fit.pockets),
        jamb=fit.closing_jamb,
        groove=groove if grooved else None,
        groove_told=f"groove {said(fit.jamb_groove, 1)} deep and {said(fit.jamb_groove_width, 1)} "
        "wide down the middle of the face to the leaf"
        if grooved
        else "",
        bought_in="frame kit" if any(part.key == "kit" for part in fit.parts) else "",
        batten=any(part.key == "base" for part in fit.parts),
        packs=tuple((pack.label, pack.x, pack.floor, pack.height) for pack in fit.packs),
        head_pieces=next((part.count for part in fit.parts if part.key == "head"), 1),
        sold=tuple(sold),
    )


def _pocket(pocket: Pocket) -> PocketSetOut:
    return PocketSetOut(
        side=pocket.side,
        mouth=pocket.mouth,
        inside=pocket.inside,
        back_stud=pocket.back_stud,
        rib_centres=pocket.rib_centres,
        rib_width=pocket.rib_width,
    )


def stud_space(fit: Arrangement) -> Span:
    """y of the stud space."""
    return Span(fit.wall.lining_a, fit.wall.lining_a + fit.wall.stud)
