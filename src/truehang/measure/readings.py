"""What was read on site? One frozen `Reading` per number the carpenter wrote down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "width",
    "height",
    "diagonal",
    "plumb",
    "level",
    "bow",
    "mark",
    "clear",
    "run",
    "floor",
    "ceiling",
    "thickness",
    "face",
]

PLACES: dict[str, tuple[str, ...]] = {
    "width": ("bottom", "middle", "top"),
    "height": ("left", "middle", "right"),
    "diagonal": ("rising", "falling"),
    "plumb": ("left", "right"),
    "level": ("base", "head"),
    "bow": ("left", "right", "head", "base"),
    "mark": ("bottom-left", "bottom-right", "top-left", "top-right"),
    "clear": ("left", "right"),
    "run": ("",),
    "floor": ("",),
    "ceiling": ("",),
    "thickness": ("",),
    "face": ("A", "B"),
}
"""The places each kind of reading can be taken at. "" means that the kind needs no place."""

INSTRUMENT_SIGMA: dict[str, float] = {
    "tape": 1.5,
    "laser-distance": 1.5,
    "level": 1.0,
    "plumb": 1.0,
    "laser-line": 1.0,
    "straightedge": 0.5,
    "calliper": 0.5,
}
"""Standard uncertainty by instrument, mm (common practice, no source; a reading may give its own).
The level's and the plumb's are over their length, whatever that is."""

USUAL_INSTRUMENT: dict[str, str] = {
    "plumb": "level",
    "level": "level",
    "bow": "straightedge",
    "floor": "laser-line",
    "ceiling": "laser-distance",
    "thickness": "calliper",
    "face": "straightedge",
}
"""The instrument taken where a reading names none; "tape" for every other kind."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One number read on site, mm, in the frame of the run seen from side A.

    kind / place and what `value` then is:

    - width bottom|middle|top: jamb to jamb. height left|middle|right: base to head.
    - diagonal rising (bottom-left to top-right) | falling (top-left to bottom-right).
    - plumb left|right: how far the jamb's face moves to the right (+x) over `over` mm of level
      (needed), the level's lower end standing `at` mm above the base (default 0).
    - level base|head: how much higher the right end is than the left, over `over` mm
      (default: the whole width).
    - bow left|right|head|base: how far the middle of that side stands *into* the opening from a
      string drawn corner to corner; with `over`, from a straightedge of that length held at the
      middle (scaled by the square of the lengths, as for a round bow).
    - mark bottom-left|...: the corner's x, read from the run's datum.
    - clear left|right: from the bottom corner to that end of the run. run: length of the run.
    - floor / ceiling: z at `at` (x along the run), from the level datum, up is positive.
    - thickness: of the finished wall at `at`. face A|B: hollow (negative) or crown (positive) of
      that face over a straightedge of `over` mm, at `at`.

    `sigma` is the standard uncertainty, mm; None takes the instrument's usual one.
    """

    id: str
    kind: str
    value: float
    place: str = ""
    at: float | None = None
    over: float | None = None
    sigma: float | None = None
    instrument: str = ""
