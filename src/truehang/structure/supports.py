"""What holds the head up: studs under its ends for good, and props while the wall is open?"""

from __future__ import annotations

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade
from truehang.figures import Figure
from truehang.message import messages
from truehang.rule import Given, Rule
from truehang.structure.beams import Array
from truehang.structure.candidates import depth_strengths, resistance_factor
from truehang.structure.columns import buckling_factor, slenderness
from truehang.structure.inputs import BearingHead
from truehang.structure.loads import Acting, LineLoads
from truehang.structure.results import PRELIMINARY, Props

ROW_SHARE = {1: 1.0, 2: 0.6}
"""Share of the load that a row of props must take: two rows never share quite evenly (CP)."""
PROP_OVERRUN = 300.0
"""Props reach this far past the opening on each side, mm (CP)."""
PROP_SOURCE = "common practice, no source; the engineer or a competent person decides"
MEANS = {
    "N": "load on one prop, N",
    "G": "dead load along the head, kN/m = N/mm",
    "Q": "live load along the head, kN/m = N/mm",
    "s": "from prop to prop",
    "k": "share of the load that one row takes",
    "n": "props in a row",
    "L": "clear span of the head",
    "e": "how far the props reach past the opening, each side",
}
PROP_LOAD = Rule("N = (G + Q) × s × k", MEANS)
PROPS_IN_ROW = Rule("n = up((L + 2e)/s) + 1", MEANS)
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
    share = ROW_SHARE[head.prop_rows]
    load = PROP_LOAD(G=line.dead, Q=line.all_live, s=head.prop_spacing, k=share)
    each = PROPS_IN_ROW(L=head.clear_span, e=PROP_OVERRUN, s=head.prop_spacing)
    return Props(head.prop_rows, int(each), head.prop_spacing, load, messages(PROP_CAUTIONS))


def prop_figures(head: BearingHead, line: LineLoads) -> tuple[Figure, ...]:
    """What one prop carries and how many stand in a row, with their working."""
    spacing = Given(head.prop_spacing, "")
    dead, live, span = (f"structure.head.{name}" for name in ("dead", "live", "clear_span"))
    return (
        PROP_LOAD.figure(
            "structure.props.load",
            f"Working load on one prop ({PRELIMINARY})",
            {
                "G": Given(line.dead, dead, "kN/m"),
                "Q": Given(line.all_live, live, "kN/m"),
                "s": spacing,
                "k": Given(ROW_SHARE[head.prop_rows], "", ""),
            },
            PROP_SOURCE,
            unit="N",
        ),
        PROPS_IN_ROW.figure(
            "structure.props.count",
            "Props in each row",
            {"L": Given(head.clear_span, span), "e": Given(PROP_OVERRUN, ""), "s": spacing},
            PROP_SOURCE,
            unit="",
        ),
    )
