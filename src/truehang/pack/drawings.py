"""Which drawings go into the pack, at which scale, and as which files?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from truehang.drawing.dxf import dxf
from truehang.drawing.pdf import TitleBlock, pdf
from truehang.drawing.scene import Point, Scene
from truehang.drawing.sheet import Sheet
from truehang.drawing.strip import Mark, rod_strips
from truehang.drawing.svg import svg
from truehang.drawing.views.elevation import elevation
from truehang.drawing.views.leaf import leaf_orders
from truehang.drawing.views.plot import Curve, spectrum
from truehang.drawing.views.sections import (
    plan_details,
    plan_section,
    vertical_details,
    vertical_section,
)
from truehang.drawing.views.setout import frame_set_out, packers
from truehang.drawing.views.zones import Zone, no_go
from truehang.fit import Service
from truehang.pack.content import Drawing
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Arrangement
    from truehang.plan import Plan
    from truehang.sound import SoundResult

LANDSCAPE = (277.0, 175.0)
PORTRAIT = (180.0, 236.0)
"""Room for a drawing (mm, width by height) on a page on its side or upright, under its title."""

Scenes = tuple[Scene, ...]


@dataclass(frozen=True, slots=True)
class Album:
    """Every drawing of a plan, by the section of the pack that shows it."""

    elevations: Scenes = ()
    plan: Scenes = ()
    upright: Scenes = ()
    frame: Scenes = ()
    packers: Scenes = ()
    leaves: Scenes = ()
    zones: Scenes = ()

    def __iter__(self) -> Iterator[Scene]:
        for group in fields(self):
            yield from getattr(self, group.name)


def album(plan: Plan, printing: Printing) -> Album:
    """All drawings that this plan has."""
    made = plan.fit
    if made is None:
        return Album()
    paper = Sheet(printing.style, printing.words, LANDSCAPE, PORTRAIT)
    floor = [(x, z) for x, z, _ in plan.measured.floor.stations] if plan.measured.floor else []
    outline = plan.measured.opening.outline if plan.measured.opening else ()
    services = _services(plan)
    return Album(
        elevations=(
            elevation(made, paper, side="A", floor=floor, outline=outline, services=services),
            elevation(made, paper, side="B", floor=floor, outline=outline, services=services),
        ),
        plan=(plan_section(made, paper), *plan_details(made, paper)),
        upright=(vertical_section(made, paper), *vertical_details(made, paper)),
        frame=(frame_set_out(made, paper, floor=floor),),
        packers=(packers(made, paper, floor=floor),),
        leaves=leaf_orders(made, paper),
        zones=_zones(plan, made, paper, floor),
    )


def _zones(plan: Plan, made: Arrangement, paper: Sheet, floor: Sequence[Point]) -> Scenes:
    given = plan.fixings.no_go if plan.fixings else ()
    scenes = []
    for side in ("A", "B"):
        zones = [
            Zone(zone.label, zone.x0, zone.z0, zone.x1, zone.z1, zone.longest)
            for zone in given
            if zone.face == side
        ]
        if zones:
            scenes.append(no_go(made, paper, zones, side=side, floor=floor))
    return tuple(scenes)


def sound(result: SoundResult, printing: Printing) -> Scenes:
    """Each curve against its shifted reference curve."""
    return tuple(
        spectrum(
            f"sound-{number}",
            f"{curve.kind} {curve.value}",
            curve.frequencies,
            (Curve("predicted", curve.predicted), Curve("reference, shifted", curve.reference)),
            Sheet(printing.style, printing.words, LANDSCAPE, PORTRAIT),
            notes=(result.note,),
        )
        for number, curve in enumerate(result.curves, start=1)
    )


def rod_strip(plan: Plan, printing: Printing) -> bytes | None:
    """Both rods at full size as a PDF, along the wall and then up it; None without a rod."""
    if plan.fit is None:
        return None
    about, rod = plan.job.job, plan.fit.rod
    paper = Sheet(printing.style, printing.words)
    job = f"{about.title}, revision {about.revision}, hash {plan.stamp}"
    along = [Mark(mark.at, mark.label) for mark in rod.along]
    up = [Mark(mark.at, mark.label) for mark in rod.up]
    scenes = (*rod_strips(along, "x", paper, job=job), *rod_strips(up, "z", paper, job=job))
    return pdf(scenes, TitleBlock(about.title, str(about.revision))) if scenes else None


def _services(plan: Plan) -> tuple[Service, ...]:
    """Everything seen in or on the wall, where it is. What is inside is drawn on side A."""
    return tuple(
        Service(
            service.id,
            service.kind,
            service.x,
            service.z,
            "B" if service.face == "B" else "A",
            service.width,
            service.height,
        )
        for service in plan.job.wall.services
    )


def printed(scene: Scene) -> Drawing:
    """A scene as it stands in the pack. It carries its own title and scale."""
    wide, high = scene.paper
    return Drawing(
        svg=svg(scene, standalone=False),
        width=wide,
        height=high,
        alt=f"{scene.title}, {scene.scale_text}",
        wide=wide > PORTRAIT[0] + 1e-6,
    )


def files(scenes: Album) -> dict[str, bytes]:
    """Every drawing by itself, as SVG and DXF."""
    out: dict[str, bytes] = {}
    for scene in scenes:
        out[f"drawings/{scene.key}.svg"] = svg(scene).encode()
        out[f"drawings/{scene.key}.dxf"] = dxf(scene)
    return out
