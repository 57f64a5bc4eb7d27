"""What stands in the wall already, what of it comes out, and what goes in new?

Three kinds of line that read in black and white: new timber whole and shaded, what stays in long
dashes, what comes out in short ones.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import framing_keys, old_opening, surface, wall_pieces
from truehang.drawing.views.site import Site
from truehang.drawing.views.window import Window
from truehang.members import Member
from truehang.shapes import Span

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement

BESIDE = 300.0
"""How far beside the opened stretch what stays is drawn, mm."""
OVER = 60.0
"""How much is drawn over the highest piece, mm."""
_NOT_DRAWN = ("packers", "rib", "base batten")


def framing_there(arrangement: Arrangement, sheet: Sheet, *, site: Site) -> tuple[Scene, ...]:
    """The framing from side A before and after; () where nothing was found in the wall."""
    found = [m for m in site.found if m.role in ("wall stud", "jamb stud", "king stud", "noggin")]
    if not found:
        return ()
    new = [m for m in site.pieces() if m.origin == "new" and m.role not in _NOT_DRAWN]
    rough = arrangement.rough
    spans = (rough, *arrangement.infill, *(m.x for m in new), *(m.x for m in site.out))
    ends = Span(min(s.low for s in spans) - BESIDE, max(s.high for s in spans) + BESIDE)
    shown = [m for m in found if m.x.high > ends.low and m.x.low < ends.high]
    pieces = [*new, *(m for m in site.found if m.x.high > ends.low and m.x.low < ends.high)]
    top = max(m.z.high for m in pieces) + OVER
    window = Window(x0=ends.low, x1=ends.high, y1=top)

    def build(scale: float) -> Scene:
        draft, word = Draft(scale), sheet.word
        surface(draft, site, ends)
        old_opening(draft, site, sheet)
        _rough(draft, arrangement)
        wall_pieces(draft, pieces, window, shaded=True)
        studs = [m for m in shown if m.lies == "z"]
        draft.running("below", [(m.x.middle, _told(m, sheet)) for m in studs])
        for noggin in (m for m in shown if m.lies == "x"):
            draft.label(_told(noggin, sheet), (noggin.x.middle, noggin.z.middle))
        return draft.close(
            "framing-there",
            word("Framing from side A: what is there, what comes out, what goes in"),
            keys=[(Layer.FRAME, word("new")), *framing_keys(site, sheet)],
            notes=[word("Marks are the middle of each piece that was found, x from the datum.")],
            bar=sheet.bar(scale),
            page=sheet,
        )

    size = (ends.length, top - arrangement.heights.floor_low)
    return (largest(build, sheet, size, finest=5, around=(20.0, 45.0)),)


def _rough(draft: Draft, arrangement: Arrangement) -> None:
    rough, heights = arrangement.rough, arrangement.heights
    points = (
        (rough.low, heights.floor_low), (rough.low, heights.rough_head),
        (rough.high, heights.rough_head), (rough.high, heights.floor_low),
    )  # fmt: skip
    draft.polyline(Layer.CENTRE, points, "rough-opening")


def _told(member: Member, sheet: Sheet) -> str:
    """A piece by its name, with what becomes of it."""
    if member.origin == "comes out":
        fate = "comes out"
    else:
        fate = "stays" if member.role in ("wall stud", "noggin") else "stays, beside the opening"
    place = f"{sheet.length(member.x.middle)}  " if member.lies == "z" else ""
    return f"{place}{member.label}: {sheet.word(fate)}"
