"""Which board goes where on each face, and how is each cut and screwed?"""

from typing import TYPE_CHECKING

from truehang.lazily import offered
from truehang.lining.model import (
    BoardCount,
    BoardSize,
    Face,
    FacePlan,
    Joint,
    LiningPlan,
    LiningRules,
    Notch,
    Piece,
    PocketZone,
    ScrewLine,
    Sheet,
    SheetPiece,
    Support,
    Timber,
)

if TYPE_CHECKING:
    from truehang.lining.lay import bare_lines, lay_boards

__all__ = [
    "BoardCount",
    "BoardSize",
    "Face",
    "FacePlan",
    "Joint",
    "LiningPlan",
    "LiningRules",
    "Notch",
    "Piece",
    "PocketZone",
    "ScrewLine",
    "Sheet",
    "SheetPiece",
    "Support",
    "Timber",
    "bare_lines",
    "lay_boards",
]

__getattr__ = offered(__name__, lay=("bare_lines", "lay_boards"))
