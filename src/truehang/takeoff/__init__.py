"""What does the build take? Every part counted, from framing to paint."""

from truehang.takeoff.count import TakeoffInputError, mitred, takeoff
from truehang.takeoff.model import Build, Item, Piece, SealPiece, Side, Takeoff

__all__ = [
    "Build",
    "Item",
    "Piece",
    "SealPiece",
    "Side",
    "Takeoff",
    "TakeoffInputError",
    "mitred",
    "takeoff",
]
