"""How far is the level line over the floor at each place where something stands?

A tape is hooked on the floor, not on the datum: at each support, stud and jamb the height of the
level line over the floor there is worked out from the stations.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from truehang.fit.model import Floor, FloorHere, Pocket, Span
from truehang.fit.packers import floor_at


def floor_here(
    floor: Floor,
    line: float,
    supports: Sequence[tuple[str, str, float]],
    rough: Span,
    pockets: Sequence[Pocket],
    jamb: Span | None,
) -> tuple[FloorHere, ...]:
    """Every support, stud and jamb by rising x, for a level line z (mm)."""

    def here(key: str, label: str, what: Literal["support", "stud", "jamb"], x: float) -> FloorHere:
        z = floor_at(floor, x)
        return FloorHere(key, label, what, x, z, z + floor.build_up, line)

    made = [here(key, label, "support", x) for key, label, x in supports]
    made.append(here("stud-left", "stud left of the rough opening, face", "stud", rough.low))
    made.append(here("stud-right", "stud right of the rough opening, face", "stud", rough.high))
    for pocket in pockets:
        key, label = f"{pocket.side}-back-stud", f"{pocket.side} back stud, middle"
        made.append(here(key, label, "stud", pocket.back_stud.middle))
    if jamb is not None:
        made.append(here("closing-jamb", "closing jamb, middle", "jamb", jamb.middle))
    return tuple(sorted(made, key=lambda place: (place.x, place.key)))
