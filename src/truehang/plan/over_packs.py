"""What is packed at each fixing of a frame's head, where what is over it sags or falls?

The frame's head is level; the underside was read at some places and runs straight between them.
The gap at a fixing is the underside there less the top of the frame's head. Packers make it up, on
a strip of timber over the whole head where it is more than packers alone make up.
"""

from __future__ import annotations

import math

from truehang.catalogue.kits import Kit
from truehang.figures import Figure
from truehang.fit import Arrangement, PackerSet, stack
from truehang.fixings import spread
from truehang.job import Job
from truehang.lengths import said
from truehang.plan.over_model import HeadPack
from truehang.shapes import line_between

HEAD_SPACING, HEAD_EDGE = 400.0, 100.0
"""How far head fixings stand apart where the kit does not say, and from the ends of the frame, mm
(common practice, no source)."""
PACKERS_REACH = 20.0
"""What packers alone make up over a frame's head, mm (common practice, no source)."""


def head_places(fit: Arrangement, kit: Kit) -> tuple[float, ...]:
    """Where (x, mm) the frame's head is fixed up to what is over it."""
    spacing = {point.member: point.spacing_most for point in kit.fixing_points}
    most = spacing.get("head", HEAD_SPACING)
    return spread(fit.frame.low, fit.frame.high, most, HEAD_EDGE)


def sag_over(job: Job, ends: tuple[float, float]) -> float:
    """How far the underside that was read is out of level from end to end (x, mm), mm."""
    read = [(one.x, one.z) for one in job.wall.over.underside]
    if not read:
        return 0.0
    over = [z for _, z in line_between(read, *ends)]
    return max(over) - min(over)


def head_packs(
    job: Job, fit: Arrangement, kit: Kit, packers: PackerSet, limit: float
) -> tuple[HeadPack, ...]:
    """The packing at each head fixing; () where no underside was read. `limit` is the z (mm) that
    the frame was kept under."""
    read = [(one.x, one.z) for one in job.wall.over.underside]
    if not read:
        return ()
    top = fit.heights.head_top
    at = [(x, line_between(read, x, x)[0][1]) for x in head_places(fit, kit)]
    least, most = limit - top, max(z for _, z in at) - top
    strip = float(math.floor(least)) if most > PACKERS_REACH else 0.0
    return tuple(HeadPack(x, z, z - top, strip, stack(z - top - strip, packers)) for x, z in at)


def packs_figure(packs: tuple[HeadPack, ...]) -> tuple[Figure, ...]:
    """The packing, fixing by fixing, as one line for the person on the ladder."""
    if not packs:
        return ()
    each = "; ".join(f"x {said(one.x)}: {_told(one)}" for one in packs)
    return (
        Figure(
            "over.packs",
            "packing over the frame's head at each fixing",
            each,
            "",
            "underside there (straight between readings) - top of the frame's head",
            ("job:wall.over.underside", "fit.leaf_height"),
            "geometry",
        ),
    )


def _told(one: HeadPack) -> str:
    return f"{said(one.gap, 1)} ({pieces_told(one)})"


def pieces_told(one: HeadPack) -> str:
    """What the packing is made of, in words."""
    if one.pieces is None:
        return "measure there, and plane a strip to it"
    strip = [f"strip {said(one.strip)}"] if one.strip else []
    return " + ".join([*strip, *(said(piece, 1) for piece in one.pieces)]) or "none"
