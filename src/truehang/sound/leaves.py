"""What does an ordered leaf look like to sound? From its kind, thickness and surface density."""

from __future__ import annotations

from collections.abc import Iterable

from truehang.catalogue.leaves import GLASS_PER_MM, Glazing
from truehang.catalogue.materials import Material
from truehang.sound.given import Construction, Layer, Panel, SideBySide, SoundInputError

HOLLOW_SKIN = 3.0
"""Skin of a hollow leaf, mm (common practice, no source)."""

HOLLOW_CORE_MASS = 1.0
"""Paper core of a hollow leaf, kg/m2 (common practice, no source)."""

THINNEST_PANE = 4.0
"""What glass of unknown thickness is taken for, mm (common practice, no source)."""

_MATERIAL = {"solid-core": "solid-core", "mdf": "mdf", "timber-panelled": "pine"}


def leaf_panel(kind: str, thickness: float, surface_density: float) -> Panel:
    """The panel of a leaf: `kind` as in the catalogue of leaves, mm and kg/m2.

    A hollow leaf is two skins on a paper core, the others one sheet; one with glass in it is a
    `glazed_leaf`. Raises `SoundInputError` for another kind or for a value not above zero.
    """
    for field, value in (("thickness", thickness), ("surface_density", surface_density)):
        if not value > 0:
            what = "must be a number above zero"
            raise SoundInputError(f"leaf.{field}", value, what, "take it from the leaf's datasheet")
    if kind == "hollow-core":
        core = thickness - 2 * HOLLOW_SKIN
        skin = (surface_density - HOLLOW_CORE_MASS) / 2
        if core <= 0 or skin <= 0:
            what = f"too little for two skins and a core ({surface_density:g} kg/m2)"
            raise SoundInputError("leaf.thickness", thickness, what, "check the leaf's datasheet")
        outer = Layer("mdf", HOLLOW_SKIN, skin)
        return Panel((outer, Layer("honeycomb", core, HOLLOW_CORE_MASS), outer), bonded=True)
    if kind not in _MATERIAL:
        kinds = ", ".join(("hollow-core", *_MATERIAL))
        raise SoundInputError("leaf.kind", kind, "not a kind of leaf", f"choose one of {kinds}")
    return Panel((Layer(_MATERIAL[kind], thickness, surface_density),), bonded=True)


def glazed_leaf(
    kind: str,
    thickness: float,
    surface_density: float,
    glazing: Glazing | None,
    stock: Iterable[Material],
) -> Construction:
    """A leaf with glass in it: the pane, and beside it a frame that weighs what the pane doesn't.

    A frame of a leaf of kind `glass` is of the timber whose density is nearest its own (one of
    metal too: common practice, no source); another kind frames its pane as it is made. Where the
    glass is not known (None) half the leaf is taken as the thinnest pane and half as a timber leaf
    of the whole leaf's kg/m2, so that not knowing never makes it quieter.
    """
    if glazing is None:
        pane = min(THINNEST_PANE, surface_density / GLASS_PER_MM)
        glazing = Glazing(thickness=pane, share=0.5)
        rest = surface_density
    else:
        rest = surface_density - glazing.share * glazing.thickness * GLASS_PER_MM
        rest = rest / (1 - glazing.share) if glazing.share < 1 else 0.0
    of_glass = glazing.thickness * GLASS_PER_MM
    pane_panel = Panel((Layer(glazing.glass, glazing.thickness, of_glass),))
    if glazing.share >= 1:
        return pane_panel
    if kind == "glass":
        wood = nearest_wood(rest / (thickness / 1000), stock)
        frame = Panel((Layer(wood, thickness, rest),), bonded=True)
    else:
        frame = leaf_panel(kind, thickness, rest)
    return SideBySide(((glazing.share, pane_panel), (1 - glazing.share, frame)))


def nearest_wood(density: float, stock: Iterable[Material]) -> str:
    """Which of the solid timbers is nearest this density (kg/m3)?"""
    solid = [row for row in stock if row.key in ("pine", "hardwood") and row.density]
    return min(solid, key=lambda row: abs((row.density or 0.0) - density)).key
