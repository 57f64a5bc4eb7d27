"""Ordered leaves as panels."""

import pytest

from truehang.catalogue.leaves import leaves
from truehang.catalogue.materials import materials
from truehang.sound import SoundInputError, leaf_panel
from truehang.sound.panels import leaf_of, single_leaf
from truehang.sound.ratings import rate

STOCK = {material.key: material for material in materials()}


@pytest.mark.parametrize("row", leaves(), ids=lambda row: row.id)
def test_every_shipped_leaf_has_a_panel_of_its_own_mass(row) -> None:
    panel = leaf_panel(row.kind, row.thickness, row.surface_density)
    leaf = leaf_of(panel, STOCK)
    assert leaf.mass == pytest.approx(row.surface_density, rel=1e-6)
    # From memory: leaves sealed all round are rated Rw 15-40 in laboratories; published ones:
    # tests/published/test_sound_doors.py.
    assert 14 <= rate(single_leaf(leaf)).rw <= 40


def test_heavier_is_better_within_a_kind() -> None:
    light, heavy = leaf_panel("solid-core", 40, 18), leaf_panel("solid-core", 40, 30)
    assert rate(single_leaf(leaf_of(heavy, STOCK))).rw > rate(single_leaf(leaf_of(light, STOCK))).rw


@pytest.mark.parametrize(
    ("kind", "thickness", "mass", "field"),
    [
        ("steel", 40, 20, "leaf.kind"),
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
    assert finding.mend == caught.value.mend
