"""Which drawings go into the pack, at which scale, and as which files?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from truehang.drawing import (
    PAPERS,
    Scene,
    Sheet,
    TitleBlock,
    dxf,
    pdf,
    rod_pages,
    scenes,
    stamped,
    step_pictures,
    svg,
)
from truehang.pack.content import Drawing
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan

AROUND_LANDSCAPE = (20.0, 35.0)
AROUND_PORTRAIT = (30.0, 61.0)
"""What of a page (mm, width and height) margins and title take, on its side and upright."""
UPRIGHT_MOST = 192.0
"""A drawing up to this width (mm) still stands on an upright page, a little into the margins."""
PICTURE = (54.0, 31.0)
"""Room for a picture beside a build step."""


@dataclass(frozen=True, slots=True)
class Album:
    """Every drawing of a plan by its key, and the picture of a build step by the step's key."""

    scenes: Mapping[str, Scene]
    pictures: Mapping[str, Scene]

    def printed(self, *starts: str) -> tuple[Drawing, ...]:
        """The drawings whose key begins with one of `starts`, in the order they were made."""
        return tuple(
            printed_scene(scene) for key, scene in self.scenes.items() if key.startswith(starts)
        )

    def only(self, *keys: str) -> tuple[Drawing, ...]:
        """The drawings of just these keys, where they are there."""
        return tuple(printed_scene(self.scenes[key]) for key in keys if key in self.scenes)

    def picture(self, step: str) -> Drawing | None:
        """The picture of a build step, if it has one."""
        scene = self.pictures.get(step)
        return None if scene is None else printed_scene(scene)


def album(plan: Plan, printing: Printing) -> Album:
    """All drawings that this plan has, sized for the pack's pages, which say themselves at head
    and foot what stands in the way."""
    paper = plan.region.paper
    long, short = PAPERS[paper]
    landscape = (long - AROUND_LANDSCAPE[0], short - AROUND_LANDSCAPE[1])
    portrait = (short - AROUND_PORTRAIT[0], long - AROUND_PORTRAIT[1])
    pages = Sheet(printing.style, printing.words, landscape, portrait, paper)
    small = Sheet(printing.style, printing.words, PICTURE, PICTURE)
    return Album(scenes(plan, pages, stamp=False), step_pictures(plan, small))


def printed_scene(scene: Scene) -> Drawing:
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
    sheet = Sheet(printing.style, printing.words, paper=plan.region.paper)
    pages = rod_pages(plan, sheet, job=job)
    return pdf(pages, TitleBlock(about.title, str(about.revision))) if pages else None


def files(drawn: Iterable[Scene], stamp: str = "") -> dict[str, bytes]:
    """Every drawing by itself, as SVG and DXF, with what is stamped on a draft."""
    out: dict[str, bytes] = {}
    for one in drawn:
        scene = stamped(one, stamp)
        out[f"drawings/{scene.key}.svg"] = svg(scene).encode()
        out[f"drawings/{scene.key}.dxf"] = dxf(scene)
    return out
