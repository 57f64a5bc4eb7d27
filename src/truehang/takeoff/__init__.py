"""What does the build take? Every part counted, from framing to paint."""

from truehang.takeoff.count import TakeoffInputError, mitred, takeoff
from truehang.takeoff.model import Build, Item, Piece, Takeoff

__all__ = ["Build", "Item", "Piece", "Takeoff", "TakeoffInputError", "mitred", "takeoff"]
