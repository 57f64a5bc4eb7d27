"""What exactly is ordered for each leaf?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.amounts import told as told_amount
from truehang.drawing.draft import Draft
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import Sheet, largest

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Leaf

PULL_IN = 45.0
"""A pull's middle from the leading edge as it is drawn, mm (common practice, no source); its maker
says where it goes."""
APART = 7.0
"""From the front view to the top and edge views, mm on paper."""


def leaf_orders(arrangement: Arrangement, sheet: Sheet) -> tuple[Scene, ...]:
    """One order drawing for each leaf, seen from side A. Pairs are handed, so each has its own."""
    return tuple(
        _order(arrangement, leaf, index, sheet) for index, leaf in enumerate(arrangement.leaves, 1)
    )


def _order(
    arrangement: Arrangement,
    leaf: Leaf,
    index: int,
    sheet: Sheet,
) -> Scene:
    word, length, plain = sheet.word, sheet.length, sheet.style == "mm"
    width, height, thick = leaf.width, leaf.height, leaf.thickness
    leads_right = leaf.pocket == "left"
    handle = arrangement.heights.handle - leaf.bottom
    groove = arrangement.guide_groove
    hangers = [x - leaf.closed.low for x in leaf.hangers_closed]

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        draft.rectangle(Layer.LEAF, (0.0, 0.0, width, height), part="leaves")
        top = height + APART * scale
        draft.rectangle(Layer.LEAF, (0.0, top, width, top + thick), part="leaves")
        side = width + APART * scale
        draft.rectangle(Layer.LEAF, (side, 0.0, side + thick, height), part="leaves")
        reach = 2.0 * scale
        for x in hangers:
            middle = top + thick / 2
            draft.line(Layer.OUTLINE, (x - reach, middle), (x + reach, middle), "hanger")
            draft.line(Layer.OUTLINE, (x, middle - reach), (x, middle + reach), "hanger")
        edge = width - PULL_IN if leads_right else PULL_IN
        draft.circle(Layer.OUTLINE, (edge, handle), 25.0, "handle")
        draft.line(Layer.CENTRE, (0.0, handle), (width, handle), "handle")
        if groove:
            draft.line(Layer.HIDDEN, (0.0, groove), (width, groove), "groove")
        draft.dimension("below", 0.0, width, length(width), word("width"), plain)
        draft.dimension("left", 0.0, height, length(height), word("height"), plain)
        draft.dimension("left", 0.0, handle, length(handle), word("handle"), plain)
        draft.dimension("below", side, side + thick, sheet.fine(thick), word("thick"), plain)
        start = 0.0
        for number, x in enumerate(hangers, 1):
            draft.dimension(
                "above", start, x, sheet.between(start, x), word(f"hanger {number}"), plain
            )
        region = (0.0, 0.0, width, height)
        lead, trail = word("leading edge"), word("trailing edge")
        near = 9.0 * scale
        draft.label(word(leaf.name), (width / 2, height * 0.7), region, bold=True, height=3.5)
        for words, right in ((lead, leads_right), (trail, not leads_right)):
            x = width if right else 0.0
            strip = (width - near, 0.0, width, height) if right else (0.0, 0.0, near, height)
            draft.label(words, (x, height * 0.4), strip)
        title = f"{word('Leaf to order')}: {word(leaf.name)}"
        return draft.close(
            f"leaf-{index}",
            title,
            notes=_notes(arrangement, leaf, sheet),
            bar=sheet.bar(scale),
            least_width=88.0,
        )

    return largest(build, sheet, (width + thick, height + thick), finest=5, around=(25.0, 60.0))


def _notes(arrangement: Arrangement, leaf: Leaf, sheet: Sheet) -> list[str]:
    word, length = sheet.word, sheet.length
    size = f"{length(leaf.width)} x {length(leaf.height)} x {sheet.fine(leaf.thickness)}"
    notes = [
        f"{word(leaf.name)}: {size} ({word('width x height x thickness')}), "
        f"{told_amount(leaf.mass, 'kg', sheet.style)}, {word(arrangement.option.leaf_name)}."
    ]
    side = word("right" if leaf.pocket == "left" else "left")
    others = [other.name for other in arrangement.leaves if other is not leaf]
    meets = word(others[0]) if others else word("the closing jamb")
    notes.append(
        f"{word('Seen from side A. The leading edge is at the')} {side} "
        f"{word('and meets')} {meets}; {word('the trailing edge stays in the pocket.')}"
    )
    notes.append(
        word("Hangers from the left edge, in the middle of the thickness. Handle from the bottom.")
    )
    out = arrangement.option.standing_out
    notes.append(
        f"{word('What stands off the face of the leaf keeps within')} {length(out)} "
        f"{word('of the leading edge, or it meets the mouth.')}"
        if out > 0
        else word("The whole leaf goes in: nothing may stand off its face.")
    )
    if arrangement.guide_groove:
        wide = arrangement.guide_groove_width
        told = (
            f"{word('wide')} {sheet.fine(wide)}, {word('in the middle of the thickness.')}"
            if wide is not None
            else word("measure the guide that comes before its width is ordered.")
        )
        notes.append(
            f"{word('Groove in the bottom edge for the guide, over the whole width, depth')} "
            f"{sheet.fine(arrangement.guide_groove)}; {told}"
        )
    return notes
