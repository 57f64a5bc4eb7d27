"""What does a leaf weigh, how hard is it to move, and which bolts turn to hang it true?"""

from truehang.hardware.inputs import (
    EdgeGaps,
    Hangers,
    HardwareError,
    HungLeaf,
    Leaf,
    MeetingGaps,
    Pane,
    Running,
)
from truehang.hardware.results import BoltTurn, HangingAdjustment, LeafHardware, Residual

__all__ = [
    "BoltTurn",
    "EdgeGaps",
    "Hangers",
    "HangingAdjustment",
    "HardwareError",
    "HungLeaf",
    "Leaf",
    "LeafHardware",
    "MeetingGaps",
    "Pane",
    "Residual",
    "Running",
]
