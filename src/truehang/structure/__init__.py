"""What does the wall carry, how far does the head over the opening move, and what would hold it?"""

from truehang.structure.inputs import (
    AreaLoad,
    BearingHead,
    EngineerRecord,
    Evidence,
    HeadMember,
    HungLeaf,
    OpeningUpRecord,
    StructureError,
    TrackHead,
)
from truehang.structure.results import (
    PRELIMINARY,
    Bearing,
    CheckedHead,
    HeadMovement,
    HeadSizing,
    JambStuds,
    LeafMovement,
    Props,
    WallState,
)

__all__ = [
    "PRELIMINARY",
    "AreaLoad",
    "Bearing",
    "BearingHead",
    "CheckedHead",
    "EngineerRecord",
    "Evidence",
    "HeadMember",
    "HeadMovement",
    "HeadSizing",
    "HungLeaf",
    "JambStuds",
    "LeafMovement",
    "OpeningUpRecord",
    "Props",
    "StructureError",
    "TrackHead",
    "WallState",
]
