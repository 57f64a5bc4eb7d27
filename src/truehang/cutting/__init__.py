"""Which lengths and sheets are bought, what is cut from each, and what goes on the rack?"""

from typing import TYPE_CHECKING

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
from truehang.lazily import offered

if TYPE_CHECKING:
    from truehang.cutting.lengths import cut_lengths
    from truehang.cutting.rack import Gone, Rack, RackConflict, RackError, RackPiece
    from truehang.cutting.sheets import Panel, SheetStock, cut_sheets

__all__ = [
    "Cut",
    "CutLine",
    "CutRules",
    "CuttingPlan",
    "Effort",
    "Gone",
    "Offcut",
    "Panel",
    "Part",
    "Placed",
    "Proof",
    "Purchase",
    "Rack",
    "RackConflict",
    "RackError",
    "RackPiece",
    "SawCut",
    "SectionCuts",
    "SheetLayout",
    "SheetPlan",
    "SheetStock",
    "Stock",
    "cut_lengths",
    "cut_sheets",
]

__getattr__ = offered(
    __name__,
    lengths=("cut_lengths",),
    rack=("Gone", "Rack", "RackConflict", "RackError", "RackPiece"),
    sheets=("Panel", "SheetStock", "cut_sheets"),
)
