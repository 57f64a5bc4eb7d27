"""What does an ordered leaf look like to sound? From its kind, thickness and surface density."""

from __future__ import annotations

from truehang.sound.given import Layer, Panel, SoundInputError

HOLLOW_SKIN = 3.0
"""Skin of a hollow leaf, mm (common practice, no source)."""

HOLLOW_CORE_MASS = 1.0
"""Paper core of a hollow leaf, kg/m2 (common practice, no source)."""

GLASS_PER_MM = 2.5
"""kg/m2 per mm of glass (from memory: 2500 kg/m3; check EN 572-1)."""

_MATERIAL = {"solid-core": "solid-core", "mdf": "mdf", "timber-panelled": "pine"}


def leaf_panel(kind: str, thickness: float, surface_density: float) -> Panel:
    """The panel of a leaf: `kind` as in the catalogue of leaves, mm and kg/m2.

    A hollow leaf is two skins on a paper core; a glass one is judged by the glass its mass allows
    within its thickness; the others by one sheet. Raises `SoundInputError` for another kind or for
    a value not above zero.
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
    if kind == "glass":
        return Panel((Layer("glass", min(thickness, surface_density / GLASS_PER_MM)),))
    if kind not in _MATERIAL:
        kinds = ", ".join(("hollow-core", *_MATERIAL, "glass"))
        raise SoundInputError("leaf.kind", kind, "not a kind of leaf", f"choose one of {kinds}")
    return Panel((Layer(_MATERIAL[kind], thickness, surface_density),), bonded=True)
