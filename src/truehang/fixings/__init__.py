"""What may each screw and nail reach? A fastener for every fixing, none of which meets the leaf."""

from truehang.fixings.choose import (
    CLEAR_OF_CAVITY,
    FixingsInputError,
    choose,
    fixings,
    rows_by_depth,
    spread,
    window,
)
from truehang.fixings.model import (
    Boxes,
    Choice,
    Fixings,
    Hold,
    NoGo,
    Row,
    Sheet,
    Shot,
    StockFastener,
    shots,
)

__all__ = [
    "CLEAR_OF_CAVITY",
    "Boxes",
    "Choice",
    "Fixings",
    "FixingsInputError",
    "Hold",
    "NoGo",
    "Row",
    "Sheet",
    "Shot",
    "StockFastener",
    "choose",
    "fixings",
    "rows_by_depth",
    "shots",
    "spread",
    "window",
]
