"""Where does every piece of framing stand, and what is it cut from? Each is made once, here."""

from truehang.framing.found import overlapping
from truehang.framing.frame import frame_members
from truehang.framing.head import LEAST_PACKING, PLY_FIXING
from truehang.framing.model import (
    SAME_SIZE,
    Found,
    FrameSetOut,
    Groove,
    Ground,
    HeadIn,
    OpeningSetOut,
    PocketSetOut,
    Sold,
    StudIn,
    There,
)
from truehang.framing.opening import opening_members

__all__ = [
    "LEAST_PACKING",
    "PLY_FIXING",
    "SAME_SIZE",
    "Found",
    "FrameSetOut",
    "Groove",
    "Ground",
    "HeadIn",
    "OpeningSetOut",
    "PocketSetOut",
    "Sold",
    "StudIn",
    "There",
    "frame_members",
    "opening_members",
    "overlapping",
]
