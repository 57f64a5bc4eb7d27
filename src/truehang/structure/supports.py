"""What holds the head up: studs under its ends for good, and props while the wall is open?"""

from __future__ import annotations

import math

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade
from truehang.structure.beams import Array
from truehang.structure.candidates import depth_strengths, resistance_factor
from truehang.structure.columns import buckling_factor, slenderness
from truehang.structure.inputs import BearingHead
from truehang.structure.loads import Acting, LineLoads
from truehang.structure.results import Props

ROW_SHARE = {1: 1.0, 2: 0.6}
"""Share of the load that a row of props must take: two rows never share quite evenly (CP)."""
PROP_OVERRUN = 300.0
"""Props reach this far past the opening on each side, mm (CP)."""
PROP_SOURCE = "common practice, no source; the engineer or a competent person decides"
PROP_CAUTIONS = (
    "Props, needles and their order are the engineer's or a competent person's to settle.",
    "Choose props whose maker's safe load, at the height they are drawn out to, is not less than "
    "the load shown.",
    "Stand props on a sole plate that spreads the load, look at what is under the "
    "floor, and carry the load down to the ground.",
    "Props stand plumb and tight, nailed at head and foot, on both sides where joists join over "
    "the wall, before a stud is cut.",
    "Leave the props until the head, its studs and their fixings are complete.",
)


def stud_slenderness(head: BearingHead) -> float:
    """Slenderness l/i of one jamb stud: its height in the wall's thickness, or half its height
    (a nogging at mid-height) in the wall's length, the worse. Plies count singly, so a nailed
    pair is on the safe side."""
    return max(
        slenderness(head.height, head.stud_depth),
        slenderness(head.height / 2.0, head.stud_breadth),
    )


def stud_buckling(head: BearingHead, code: CodeSet, stud: Grade, acting: Acting) -> Array:
    """Share of its compression strength that a jamb stud keeps under a combination."""
    _, _, along = depth_strengths(stud, head.stud_depth)
    return buckling_factor(code, stud, along, stud_slenderness(head), acting)


def stud_utilisation(
    head: BearingHead, code: CodeSet, stud: Grade, area: float, reaction: Array, acting: Acting
) -> Array:
    """How hard the studs under one end work under a combination. `reaction` (studs, n) in N."""
    _, _, along = depth_strengths(stud, head.stud_depth)
    factor = resistance_factor(code, acting.method, stud.kind, "compression", area)
    strength = along * factor * acting.lasting * stud_buckling(head, code, stud, acting)
    counts = np.arange(1, reaction.shape[0] + 1)[:, None]
    worked: Array = reaction / (head.stud_breadth * head.stud_depth * strength * counts)
    return worked


def props(head: BearingHead, line: LineLoads) -> Props:
    """Temporary props: unfactored dead and live load, rows on one or both sides of the wall."""
    length = head.clear_span + 2.0 * PROP_OVERRUN
    bays = math.ceil(length / head.prop_spacing)
    load = (line.dead + line.all_live) * head.prop_spacing * ROW_SHARE[head.prop_rows]
    return Props(head.prop_rows, bays + 1, head.prop_spacing, load, PROP_CAUTIONS)
