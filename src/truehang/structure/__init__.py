"""What does the wall carry, how far does the head over the opening move, and what would hold it?"""

from truehang.structure.evidence import bearing, is_designed
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
from truehang.structure.named import NamedLoads, named_loads
from truehang.structure.results import (
    PRELIMINARY,
    Bearing,
    CheckedHead,
    HeadMovement,
    HeadSizing,
    JambStuds,
    LeafMovement,
    Props,
    TrackHeadChoice,
    WallState,
)
from truehang.structure.sizing import described, drop_after_hanging, size_head
from truehang.structure.supports import PROP_OVERRUN
from truehang.structure.track_choice import track_head_choices
from truehang.structure.track_head import head_movement
from truehang.structure.unlined import MouthRibs, Unlined, unlined

__all__ = [
    "PRELIMINARY",
    "PROP_OVERRUN",
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
    "MouthRibs",
    "NamedLoads",
    "OpeningUpRecord",
    "Props",
    "StructureError",
    "TrackHead",
    "TrackHeadChoice",
    "Unlined",
    "WallState",
    "bearing",
    "described",
    "drop_after_hanging",
    "head_movement",
    "is_designed",
    "named_loads",
    "size_head",
    "track_head_choices",
    "unlined",
]
