"""What does a leaf weigh, how hard is it to move, and which bolts turn to hang it true?"""

from truehang.hardware.adjustment import hang_true, hanging_left
from truehang.hardware.inputs import (
    Drag,
    EdgeGaps,
    Hangers,
    HardwareError,
    Leaf,
    LeafAsHung,
    MeetingGaps,
    Pane,
    Running,
)
from truehang.hardware.results import (
    BoltTurn,
    HangingAdjustment,
    HangingLeft,
    LeafHardware,
    Residual,
)
from truehang.hardware.running import leaf_hardware

__all__ = [
    "BoltTurn",
    "Drag",
    "EdgeGaps",
    "Hangers",
    "HangingAdjustment",
    "HangingLeft",
    "HardwareError",
    "Leaf",
    "LeafAsHung",
    "LeafHardware",
    "MeetingGaps",
    "Pane",
    "Residual",
    "Running",
    "hang_true",
    "hanging_left",
    "leaf_hardware",
]
