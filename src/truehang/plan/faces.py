"""What does a fixing meet on its way into a face? Its layers, the rib or jamb, the pocket."""

from __future__ import annotations

from collections.abc import Iterable

from truehang.catalogue import Catalogue
from truehang.catalogue.fasteners import BoardRule
from truehang.catalogue.regions import Region
from truehang.fit import Arrangement, Span
from truehang.fixings import CLEAR_OF_CAVITY, NoGo, Sheet
from truehang.fixings.model import Axis, Face
from truehang.job import Job

FACES: tuple[Face, Face] = ("A", "B")


def board_rule(catalogue: Catalogue, region: Region) -> BoardRule:
    """How boards are fixed in this region."""
    return catalogue.board_rule(region)


def sheets(job: Job, face: Face) -> tuple[Sheet, ...]:
    """The layers of a face, the outermost first."""
    lining, there = job.wishes.lining, job.wall.make_up
    layers = (lining.face_a or there.face_a) if face == "A" else (lining.face_b or there.face_b)
    return tuple(Sheet(layer.material, layer.thickness) for layer in layers)


def driven(fit: Arrangement, face: Face) -> tuple[Axis, float]:
    """The way a fixing is driven from a face, and the y of that face."""
    return ("+y", 0.0) if face == "A" else ("-y", fit.wall.thickness)


def jamb_cheek(fit: Arrangement) -> Sheet:
    """What of the closing jamb stands on each side of its groove."""
    return Sheet("closing jamb beside its groove", (fit.wall.stud - fit.jamb_groove_width) / 2)


def behind_groove(fit: Arrangement, jamb: Span) -> Span:
    """Where along the wall the closing jamb is solid, behind its groove."""
    if jamb.low >= fit.opening.high - 1e-6:
        return Span(jamb.low + fit.jamb_groove, jamb.high)
    return Span(jamb.low, jamb.high - fit.jamb_groove)


def no_go(fit: Arrangement) -> Iterable[NoGo]:
    """Over each pocket, and over the opening where the leaf and its track pass behind a strip,
    nothing longer may go into a face."""
    heights, rib = fit.heights, fit.pockets[0].rib_thickness
    for face in FACES:
        lining = fit.wall.lining_a if face == "A" else fit.wall.lining_b
        if heights.head_underside > heights.clear_head:
            yield NoGo(
                key=f"opening-{face.lower()}", label="over the opening", face=face,
                x0=fit.opening.low, x1=fit.opening.high,
                z0=heights.clear_head, z1=heights.head_underside,
                longest=lining + rib - CLEAR_OF_CAVITY,
            )  # fmt: skip
    for pocket in fit.pockets:
        for face in FACES:
            lining = fit.wall.lining_a if face == "A" else fit.wall.lining_b
            yield NoGo(
                key=f"{pocket.side}-{face.lower()}",
                label=f"{pocket.side} pocket",
                face=face,
                x0=pocket.inside.low,
                x1=pocket.inside.high,
                z0=fit.heights.frame_bottom,
                z1=fit.heights.head_underside,
                longest=lining + pocket.rib_thickness - CLEAR_OF_CAVITY,
            )
