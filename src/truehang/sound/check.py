"""Is what was given usable? The first thing that isn't is raised with its field, value and mend."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from truehang.amounts import amount
from truehang.catalogue.materials import Material, nearest
from truehang.catalogue.noises import Noise
from truehang.catalogue.seals import Seal
from truehang.lengths import said
from truehang.sound.explain import slug
from truehang.sound.given import (
    Construction,
    DoublePanel,
    Layer,
    Panel,
    PocketZone,
    SideBySide,
    Slit,
    SoundInput,
    SoundInputError,
)
from truehang.sound.ways import mouth_name
from truehang.words import word

WIDEST_SLIT = 100.0
"""Wider than this (mm) a gap is an opening, not a slit."""

MOST_DRAWS = 100_000


def check(
    given: SoundInput,
    stock: Mapping[str, Material],
    seals: Mapping[str, Seal],
    noises: Mapping[str, Noise],
) -> None:
    """Raise `SoundInputError` for the first value that can't be used."""
    _above_zero("wall_area", given.wall_area, "measure the wall common to both rooms, m2")
    _above_zero("opening_area", given.opening_area, "measure the opening, m2")
    _above_zero("receiving_volume", given.receiving_volume, "measure the quiet room, m3")
    _above_zero("reverberation_time", given.reverberation_time, "0.5 s suits a furnished room")
    _between("surface_density_cv", given.surface_density_cv, 0, 0.5, "0.05 is usual")
    _between("model_sd", given.model_sd, 0, 10, "2 dB is usual")
    _between("draws", given.draws, 100, MOST_DRAWS, "2000 is usual")
    if given.opening_area > given.wall_area:
        raise SoundInputError(
            "opening_area",
            given.opening_area,
            f"larger than the wall ({amount(given.wall_area, 'm2', None)})",
            "measure the whole wall, with the opening in it, again",
        )
    _construction("wall", given.wall, stock)
    for index, leaf in enumerate(given.leaves):
        at = f"leaves[{index}]"
        _above_zero(f"{at}.width", leaf.width, "give the part of the leaf that is seen")
        _above_zero(f"{at}.height", leaf.height, "give the leaf's height")
        _construction(f"{at}.construction", leaf.construction, stock)
    for index, pocket in enumerate(given.pockets):
        _pocket(f"pockets[{index}]", pocket, stock, seals)
    for index, slit in enumerate(given.slits):
        _slit(f"slits[{index}]", slit, given, seals)
    _names(given)
    _noises(given, noises)
    _room_for_all(given)
    _upgrades(given, stock, seals)


def _fail(field: str, value: object, what: str, mend: str) -> None:
    raise SoundInputError(field, value, what, mend)


def _above_zero(field: str, value: float, mend: str) -> None:
    if not isfinite(value) or value <= 0:
        _fail(field, value, "must be a number above zero", mend)


def _between(field: str, value: float, least: float, most: float, mend: str) -> None:
    if not isfinite(value) or not least <= value <= most:
        _fail(field, value, f"must be from {least:g} to {most:g}", mend)


def _known(field: str, key: str, keys: Mapping[str, object], what: str) -> None:
    if key not in keys:
        _fail(field, key, f"no such {what} in the catalogue", nearest(key, tuple(keys)))


def _layer(at: str, layer: Layer, stock: Mapping[str, Material]) -> None:
    _known(f"{at}.material", layer.material, stock, "material")
    _above_zero(f"{at}.thickness", layer.thickness, "give the sheet's thickness")
    if layer.surface_density is not None:
        mend = "give the datasheet's kg/m2, or leave it out"
        _above_zero(f"{at}.surface_density", layer.surface_density, mend)
    elif stock[layer.material].surface_density(layer.thickness) is None:
        _fail(
            f"{at}.surface_density",
            None,
            f"missing, and the catalogue has no density for {layer.material!r}",
            "weigh an offcut, or take kg/m2 from the datasheet",
        )


def _panel(at: str, panel: Panel, stock: Mapping[str, Material]) -> None:
    if not panel.layers:
        _fail(f"{at}.layers", (), "has no sheet at all", "give at least one layer")
    for index, layer in enumerate(panel.layers):
        _layer(f"{at}.layers[{index}]", layer, stock)


def _construction(at: str, construction: Construction, stock: Mapping[str, Material]) -> None:
    if isinstance(construction, Panel):
        _panel(at, construction, stock)
        return
    if isinstance(construction, SideBySide):
        for index, (share, panel) in enumerate(construction.parts):
            _above_zero(f"{at}.parts[{index}].share", share, "leave out what has no area")
            _panel(f"{at}.parts[{index}]", panel, stock)
        whole = sum(share for share, _ in construction.parts)
        if abs(whole - 1) > 1e-6:
            _fail(f"{at}.parts", whole, "shares do not add up to 1", "give each its share")
        return
    _panel(f"{at}.face_a", construction.face_a, stock)
    _panel(f"{at}.face_b", construction.face_b, stock)
    _above_zero(f"{at}.cavity", construction.cavity, "give the clear depth between the faces")
    if construction.stud_spacing is not None:
        mend = "give the centres of the studs, or none where nothing ties the faces"
        _above_zero(f"{at}.stud_spacing", construction.stud_spacing, mend)
    _infill(at, construction, stock)


def _infill(at: str, construction: DoublePanel, stock: Mapping[str, Material]) -> None:
    if construction.infill is None:
        if construction.infill_thickness:
            mend = "name the infill too, or set its thickness to 0"
            _fail(f"{at}.infill_thickness", construction.infill_thickness, "of nothing", mend)
        return
    _known(f"{at}.infill", construction.infill, stock, "material")
    if stock[construction.infill].kind != "porous":
        porous = ", ".join(key for key, material in stock.items() if material.kind == "porous")
        _fail(f"{at}.infill", construction.infill, "is not porous", f"choose one of {porous}")
    thickness, batt = construction.infill_thickness, word("insulation-batt")
    _above_zero(f"{at}.infill_thickness", thickness, f"give the {batt}'s thickness")
    if thickness > construction.cavity:
        what = f"thicker than the cavity ({said(construction.cavity, 1)})"
        _fail(f"{at}.infill_thickness", thickness, what, f"choose a thinner {batt}")


def _pocket(
    at: str, pocket: PocketZone, stock: Mapping[str, Material], seals: Mapping[str, Seal]
) -> None:
    for name in ("width", "height", "tail", "leaf_thickness", "mouth_gap"):
        _above_zero(f"{at}.{name}", getattr(pocket, name), "measure it, or take it from the kit")
    _between(f"{at}.mouth_gap_sd", pocket.mouth_gap_sd, 0, 20, f"{said(1)} is usual")
    _construction(f"{at}.skins", pocket.skins, stock)
    _construction(f"{at}.leaf", pocket.leaf, stock)
    if pocket.mouth_seal is not None:
        _known(f"{at}.mouth_seal", pocket.mouth_seal, seals, "seal")
    needed = pocket.leaf_thickness + pocket.skins.infill_thickness
    if needed >= pocket.skins.cavity:
        _fail(
            f"{at}.skins.cavity",
            pocket.skins.cavity,
            f"leaf and infill ({said(needed, 1)}) fill it, so the leaf would rub",
            "use a deeper pocket, a thinner leaf or a thinner infill",
        )


def _slit(at: str, slit: Slit, given: SoundInput, seals: Mapping[str, Seal]) -> None:
    for name in ("width", "depth", "length"):
        mend = "give its width, or leave the gap out if there is none"
        _above_zero(f"{at}.{name}", getattr(slit, name), mend)
    _between(f"{at}.width_sd", slit.width_sd, 0, 20, f"{said(1)} is usual")
    if slit.width * slit.length / 1e6 > given.wall_area:
        what = f"with {said(slit.length, 1)} length it is wider than the wall"
        _fail(f"{at}.width", slit.width, what, "check the unit of the gap")
    if slit.width > WIDEST_SLIT:
        what = f"over {said(WIDEST_SLIT)} is an opening, not a slit"
        _fail(f"{at}.width", slit.width, what, "check the unit, or close it with a panel")
    if slit.seal is not None:
        _known(f"{at}.seal", slit.seal, seals, "seal")


def _names(given: SoundInput) -> None:
    leaves, pockets, slits = given.leaves, given.pockets, given.slits
    names = [*(x.name for x in leaves), *(x.name for x in pockets), *(x.name for x in slits)]
    seen = {slug(name) for name in ("wall", "opening", *(mouth_name(p) for p in pockets))}
    for name in names:
        if not slug(name):
            _fail("name", name, "a part has no name", "name every leaf, pocket and slit")
        if slug(name) in seen:
            _fail("name", name, "is used twice", "give every leaf, pocket and slit its own name")
        seen.add(slug(name))


def _noises(given: SoundInput, noises: Mapping[str, Noise]) -> None:
    of_kind = {
        kind: {key: noise for key, noise in noises.items() if noise.kind == kind}
        for kind in ("source", "background")
    }
    _known("source", given.source, of_kind["source"], "source")
    if isinstance(given.background, str):
        _known("background", given.background, of_kind["background"], "background")
    elif len(given.background) != 8 or not all(isfinite(level) for level in given.background):
        mend = "give eight octave levels, 63-8000 Hz, in dB"
        _fail("background", given.background, "is not a spectrum", mend)


def _room_for_all(given: SoundInput) -> None:
    filled = sum(leaf.width * leaf.height for leaf in given.leaves)
    filled += sum(pocket.width * pocket.height for pocket in given.pockets)
    filled += sum(slit.width * slit.length for slit in given.slits)
    if filled / 1e6 > given.wall_area:
        _fail(
            "wall_area",
            given.wall_area,
            f"leaves, pockets and gaps together are {amount(filled / 1e6, 'm2', 2)}",
            "measure the wall common to both rooms again; it holds all of them",
        )


def _upgrades(given: SoundInput, stock: Mapping[str, Material], seals: Mapping[str, Seal]) -> None:
    slits = {slit.name: slit for slit in given.slits}
    gaps = {**slits, **{pocket.name: pocket for pocket in given.pockets}}
    keys = [upgrade.key for upgrade in given.upgrades]
    for index, upgrade in enumerate(given.upgrades):
        at = f"upgrades[{index}]"
        if keys.count(upgrade.key) > 1:
            _fail(f"{at}.key", upgrade.key, "is used twice", "give every upgrade its own key")
        if upgrade.cost.minor < 0:
            _fail(f"{at}.cost", str(upgrade.cost), "is below zero", "give what it costs")
        if upgrade.cost.currency != given.upgrades[0].cost.currency:
            mend = f"price every upgrade in {given.upgrades[0].cost.currency}"
            _fail(f"{at}.cost", str(upgrade.cost), "is in another currency", mend)
        for name, seal in upgrade.seals:
            _known(f"{at}.seals", name, gaps, "gap")
            _known(f"{at}.seals", seal, seals, "seal")
        for slit in upgrade.slits:
            _known(f"{at}.slits", slit.name, slits, "gap")
            _slit(f"{at}.slits", slit, given, seals)
        for layer in (*upgrade.skins, *upgrade.lining):
            _layer(f"{at}.layers", layer, stock)
        if upgrade.leaf is not None:
            _construction(f"{at}.leaf", upgrade.leaf, stock)
