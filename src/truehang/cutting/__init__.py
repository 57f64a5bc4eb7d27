"""Which lengths and sheets are bought, what is cut from each, and what goes on the rack?"""

from truehang.cutting.lengths import cut_lengths
from truehang.cutting.request import CutRules, Effort, Offcut, Part, Stock
from truehang.cutting.result import (
    Cut,
    CutLine,
    CuttingPlan,
    Placed,
    Proof,
    Purchase,
    SawCut,
    SectionCuts,
    SheetLayout,
    SheetPlan,
)

__all__ = [
    "Cut",
    "CutLine",
    "CutRules",
    "CuttingPlan",
    "Effort",
    "Offcut",
    "Part",
    "Placed",
    "Proof",
    "Purchase",
    "SawCut",
    "SectionCuts",
    "SheetLayout",
    "SheetPlan",
    "Stock",
    "cut_lengths",
]
