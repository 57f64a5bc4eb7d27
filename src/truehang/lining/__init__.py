"""Which board goes where on each face, and how is each cut and screwed?"""

from truehang.lining.lay import lay_boards
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
)

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
    "lay_boards",
]
