"""What stays with whoever lives with the door? One sheet, to be handed over at the end.

What it says of care is common practice, no source; the datasheets of what was bought rule over it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Bullets, Facts, Lines, Text
from truehang.pack.printing import Printing
from truehang.pack.sections import fixings

if TYPE_CHECKING:
    from truehang.plan import Plan

HEADING = "Care sheet"
_LEAD = "For whoever lives with the door. Keep it with the papers of the house."
_DAILY = (
    (
        "Move it by hand, at walking pace.",
        "Never slam it, hang on it or hang anything from it.",
    ),
    (
        "Small fingers.",
        "Show children the mouth of the pocket and the closing edge: both can pinch.",
    ),
    (
        "Keep the mouth clear.",
        "Nothing is stored in the pocket, and nothing stands in the way of the leaf.",
    ),
)
_YEARLY = (
    ("Vacuum", "the track and the bottom guide, as far as you reach from the opening."),
    ("Oil nothing", "unless the datasheet of the track says so: oil holds dust."),
    (
        "Listen.",
        "A leaf that rubs, jumps or runs off by itself wants its hangers adjusted before it wears.",
    ),
    (
        "Seals",
        "that have come loose or lie flat are renewed: they keep sound and draught out.",
    ),
)
_TROUBLE = (
    "If the leaf comes off its track, sticks or has been hit hard: leave it where it stands, keep "
    "people away from it, and call whoever built it."
)
_LINES = (
    "Built by", "Telephone", "Handed over on", "Warranty until", "Kit, and where bought",
    "Handle, latch", "Paint or oil of the leaf", "Photos are kept at",
)  # fmt: skip


def blocks(plan: Plan, printing: Printing) -> tuple[Block, ...]:
    """Where never to drill, how to keep it running, whom to call; nothing where nothing fits."""
    made = plan.arrangement
    if made is None:
        return ()
    width, height, thickness = made.leaf_order_size
    return (
        Text(_LEAD),
        Facts(
            (
                (
                    "Leaf" if len(made.leaves) == 1 else f"Leaves, {len(made.leaves)}",
                    printing.size(width, height),
                    f"{printing.fine(thickness)} thick, "
                    f"{printing.quantity(made.option.leaf_mass, 'kg')} each",
                ),
                (
                    "Gap under a leaf",
                    _gap(plan, printing),
                    "over the finished floor, least to most",
                ),
                (
                    "Passage, door open",
                    printing.between(made.passage.low, made.passage.high),
                    printing.unit,
                ),
            )
        ),
        Text("Never drill, nail or screw deeper than this over a pocket", tone="strong"),
        *fixings.zones(plan, printing),
        Text("Every day", tone="strong"),
        Bullets(_DAILY),
        Text("Twice a year", tone="strong"),
        Bullets(_YEARLY),
        Text("If something is wrong", tone="strong"),
        Text(_TROUBLE),
        Lines(_LINES),
    )


def _gap(plan: Plan, printing: Printing) -> str:
    gaps = plan.arrangement.floor_gaps if plan.arrangement else ()
    low, high = min(gap.least for gap in gaps), max(gap.most for gap in gaps)
    return f"{printing.length(low)} to {printing.length(high)}"
