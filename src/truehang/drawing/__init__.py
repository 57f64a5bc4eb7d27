"""How is a plan drawn? One neutral scene for each view; SVG, DXF and PDF are made from it."""

from truehang.drawing.dxf import dxf
from truehang.drawing.every import (
    PlanLike,
    cutting_pictures,
    lining_pictures,
    rod_pages,
    scenes,
    step_pictures,
)
from truehang.drawing.gltf import glb
from truehang.drawing.pdf import TitleBlock, pdf
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import PAPERS, Sheet
from truehang.drawing.solid import solids
from truehang.drawing.stamp import stamped
from truehang.drawing.strip import Mark, rod_strips
from truehang.drawing.svg import svg
from truehang.drawing.views.programme import programme_bars
from truehang.drawing.views.situation import situation_picture

__all__ = [
    "PAPERS",
    "Layer",
    "Mark",
    "PlanLike",
    "Scene",
    "Sheet",
    "TitleBlock",
    "cutting_pictures",
    "dxf",
    "glb",
    "lining_pictures",
    "pdf",
    "programme_bars",
    "rod_pages",
    "rod_strips",
    "scenes",
    "situation_picture",
    "solids",
    "stamped",
    "step_pictures",
    "svg",
]
