"""Which drawings go into the pack, at which scale, and as which files?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from truehang.drawing.dxf import dxf
from truehang.drawing.scene import Point, Scene
from truehang.drawing.sheet import Sheet
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
from truehang.pack.content import Drawing
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Arrangement
    from truehang.plan import Plan

LANDSCAPE = (277.0, 172.0)
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
    sound: Scenes = ()

    def __iter__(self) -> Iterator[Scene]:
        for group in fields(self):
            yield from getattr(self, group.name)


def album(plan: Plan, printing: Printing) -> Album:
    """All drawings that this plan has."""
    made = plan.arrangement
    if made is None:
        return Album()
    paper = Sheet(printing.style, printing.words, LANDSCAPE, PORTRAIT)
    floor = [(x, z) for x, z, _ in plan.measured.floor.stations] if plan.measured.floor else []
    outline = plan.measured.opening.outline if plan.measured.opening else ()
    services = plan.services
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
        sound=_sound(plan, paper),
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


def _sound(plan: Plan, paper: Sheet) -> Scenes:
    if plan.sound is None:
        return ()
    return tuple(
        spectrum(
            f"sound-{number}",
            f"{curve.kind} {curve.value}",
            curve.frequencies,
            (Curve("predicted", curve.predicted), Curve("reference, shifted", curve.reference)),
            paper,
            notes=(plan.sound.note,),
        )
        for number, curve in enumerate(plan.sound.curves, start=1)
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
