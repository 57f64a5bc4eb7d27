"""Ordered leaves as panels."""

from dataclasses import replace

import pytest
from tests.sound.predicted import predict

from truehang.catalogue.leaves import Glazing, leaves
from truehang.catalogue.materials import materials
from truehang.plan.hear import leaf_made
from truehang.sound import SideBySide, SoundInput, SoundInputError, glazed_leaf, leaf_panel
from truehang.sound.bands import decibels
from truehang.sound.panels import leaf_of, transmitted
from truehang.sound.ratings import rate

STOCK = {material.key: material for material in materials()}


def rw(made) -> float:
    return rate(-decibels(transmitted(made, STOCK).tau)).rw_tenths


@pytest.mark.parametrize("row", leaves(), ids=lambda row: row.id)
def test_every_shipped_leaf_has_panels_of_its_own_mass(row) -> None:
    made = leaf_made(row, materials())
    parts = made.parts if isinstance(made, SideBySide) else ((1.0, made),)
    mass = sum(share * leaf_of(panel, STOCK).mass for share, panel in parts)
    assert mass == pytest.approx(row.surface_density, rel=1e-6)
    # From memory: leaves sealed all round are rated Rw 15-40 in laboratories; published ones:
    # tests/published/test_sound_doors.py.
    assert 14 <= rw(made) <= 40


def test_pane_and_frame_add_by_area() -> None:
    """ISO 12354-1: transmitted energies add by area. 0.6 of a pane with 0.4 of a frame by hand."""
    made = glazed_leaf("glass", 40, 20, Glazing(thickness=6, share=0.6), materials())
    (share, pane), (rest, frame) = made.parts
    assert (share, rest) == (0.6, pytest.approx(0.4))
    assert leaf_of(frame, STOCK).mass == pytest.approx((20 - 0.6 * 15) / 0.4)
    by_hand = [
        0.6 * transmitted(pane, STOCK).tau[band] + 0.4 * transmitted(frame, STOCK).tau[band]
        for band in range(24)
    ]
    assert transmitted(made, STOCK).tau == pytest.approx(by_hand)


def test_a_frame_is_of_the_wood_nearest_its_density() -> None:
    """(20 - 0.5 x 10)/0.5 = 30 kg/m2 on 40 mm is 750 kg/m3; (15 - 0.5 x 10)/0.5 = 20 is 500."""
    glazing = Glazing(thickness=4, share=0.5)
    for mass, wood in ((20, "hardwood"), (15, "pine")):
        made = glazed_leaf("glass", 40, mass, glazing, materials())
        assert made.parts[1][1].layers[0].material == wood


def test_a_vision_panel_sits_in_a_leaf_of_its_own_kind() -> None:
    made = glazed_leaf("solid-core", 40, 26, Glazing(thickness=6, share=0.1), materials())
    assert made.parts[1][1] == leaf_panel("solid-core", 40, (26 - 0.1 * 15) / 0.9)


FRAMED = [
    (mass, thickness, share)
    for mass in (16, 20, 24)
    for thickness in (4, 6, 8)
    for share in (0.5, 0.62, 0.75)
    if 15 <= (mass - share * thickness * 2.5) / (1 - share) <= 45
]
"""kg/m2, mm of glass and its share of the face, with frames of 15 to 45 kg/m2 as they are made."""


@pytest.mark.parametrize(("mass", "thickness", "share"), FRAMED)
def test_glass_of_unknown_thickness_is_no_quieter_than_known(
    mass: float, thickness: float, share: float
) -> None:
    known = glazed_leaf("glass", 40, mass, Glazing(thickness=thickness, share=share), materials())
    assert rw(glazed_leaf("glass", 40, mass, None, materials())) <= rw(known) + 0.1


def test_heavier_is_better_within_a_kind() -> None:
    light, heavy = leaf_panel("solid-core", 40, 18), leaf_panel("solid-core", 40, 30)
    assert rw(heavy) > rw(light)


@pytest.mark.parametrize(
    ("kind", "thickness", "mass", "field"),
    [
        ("steel", 40, 20, "leaf.kind"),
        ("glass", 40, 20, "leaf.kind"),
        ("mdf", 0, 20, "leaf.thickness"),
        ("mdf", 18, float("nan"), "leaf.surface_density"),
        ("hollow-core", 5, 8, "leaf.thickness"),
        ("hollow-core", 35, 0.5, "leaf.thickness"),
    ],
)
def test_bad_leaves_are_named(kind: str, thickness: float, mass: float, field: str) -> None:
    with pytest.raises(SoundInputError) as caught:
        leaf_panel(kind, thickness, mass)
    assert caught.value.field == field
    finding = caught.value.finding()
    assert finding.where == f"sound.{field}"
    assert str(finding.mend) == caught.value.mend


def test_a_glazed_leaf_hangs_in_the_opening_and_in_its_pocket(pair: SoundInput) -> None:
    made = glazed_leaf("glass", 40, 20, Glazing(thickness=6, share=0.6), materials())
    glazed = replace(
        pair,
        leaves=tuple(replace(leaf, construction=made) for leaf in pair.leaves),
        pockets=tuple(replace(pocket, leaf=made) for pocket in pair.pockets),
    )
    result = predict(glazed)
    leaf = next(path for path in result.after.paths if path.kind == "leaf")
    assert leaf.rating.rw_tenths == pytest.approx(rw(made), abs=0.11)
    pane, frame = (panel for _, panel in made.parts)
    each = [
        predict(replace(glazed, pockets=tuple(replace(p, leaf=one) for p in glazed.pockets)))
        for one in (pane, frame)
    ]
    ends = sorted(one.pocket_leaf_in[0].rating.rw_tenths for one in each)
    assert ends[0] <= result.pocket_leaf_in[0].rating.rw_tenths <= ends[1]


def test_shares_that_do_not_add_up_are_refused(pair: SoundInput) -> None:
    panel = leaf_panel("mdf", 38, 26)
    for parts in (((0.5, panel), (0.4, panel)), ((1.0, panel), (0.0, panel))):
        leaf = replace(pair.leaves[0], construction=SideBySide(parts))
        with pytest.raises(SoundInputError) as caught:
            predict(replace(pair, leaves=(leaf,)))
        assert caught.value.field.startswith("leaves[0].construction.parts")
