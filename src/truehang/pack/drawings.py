"""Which drawings go into the pack, at which scale, and as which files?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from truehang.drawing import (
    Scene,
    Sheet,
    TitleBlock,
    dxf,
    pdf,
    rod_pages,
    scenes,
    step_pictures,
    svg,
)
from truehang.pack.content import Drawing
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan

LANDSCAPE = (277.0, 175.0)
PORTRAIT = (180.0, 236.0)
"""Room for a drawing (mm, width by height) on a page on its side or upright, under its title."""
UPRIGHT_MOST = 190.0
"""A drawing up to this width (mm) still stands on an upright page, a little into the margins."""
PICTURE = (78.0, 60.0)
"""Room for a picture beside a build step."""


@dataclass(frozen=True, slots=True)
class Album:
    """Every drawing of a plan by its key, and the picture of a build step by the step's key."""

    scenes: Mapping[str, Scene]
    pictures: Mapping[str, Scene]

    def printed(self, *starts: str) -> tuple[Drawing, ...]:
        """The drawings whose key begins with one of `starts`, in the order they were made."""
        return tuple(
            _printed(scene) for key, scene in self.scenes.items() if key.startswith(starts)
        )

    def picture(self, step: str) -> Drawing | None:
        """The picture of a build step, if it has one."""
        scene = self.pictures.get(step)
        return None if scene is None else _printed(scene)


def album(plan: Plan, printing: Printing) -> Album:
    """All drawings that this plan has, sized for the pack's pages."""
    pages = Sheet(printing.style, printing.words, LANDSCAPE, PORTRAIT)
    small = Sheet(printing.style, printing.words, PICTURE, PICTURE)
    return Album(scenes(plan, pages), step_pictures(plan, small))


def _printed(scene: Scene) -> Drawing:
    """A scene as it stands in the pack. It carries its own title and scale."""
    wide, high = scene.paper
    return Drawing(
        svg=svg(scene, standalone=False),
        width=wide,
        height=high,
        alt=f"{scene.title}, {scene.scale_text}",
        wide=wide > UPRIGHT_MOST,
    )


def rod_strip(plan: Plan, printing: Printing) -> bytes | None:
    """Both rods at full size as a PDF, along the wall and then up it; None without a rod."""
    about = plan.job.job
    job = f"{about.title}, revision {about.revision}, hash {plan.stamp}"
    pages = rod_pages(plan, Sheet(printing.style, printing.words), job=job)
    return pdf(pages, TitleBlock(about.title, str(about.revision))) if pages else None


def files(drawn: Iterable[Scene]) -> dict[str, bytes]:
    """Every drawing by itself, as SVG and DXF."""
    out: dict[str, bytes] = {}
    for scene in drawn:
        out[f"drawings/{scene.key}.svg"] = svg(scene).encode()
        out[f"drawings/{scene.key}.dxf"] = dxf(scene)
    return out
