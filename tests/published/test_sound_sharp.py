"""Single leaves after Sharp: Bies, Hansen & Howard, *Engineering Noise Control*, section 7.2.4.

Numbers were computed with the public library phonometry 3.3.0, which writes the method with
10 lg(1 + x^2) and rho c where the product uses the round constants 47.4 and 42.4: 0.6 dB apart at
most. Critical frequencies are compared with c^2/(1.8 cL h). The design-chart corner points
R(fc/2) = 20 lg(m fc) - 54 and R(fc) = 20 lg(m fc) + 10 lg(eta) - 44 are from memory: to be checked
against the same section (the library's text quotes the second).
"""

import numpy as np
import pytest

from truehang.catalogue.materials import materials
from truehang.sound import Layer, Panel
from truehang.sound.panels import Leaf, critical_frequency, leaf_of, resonance, single_leaf

STOCK = {material.key: material for material in materials()}
FREQUENCY = np.array([100.0, 250, 500, 1000, 2000, 4000])


@pytest.mark.parametrize(
    ("leaf", "expected"),
    [
        (Leaf(8.4, 2500, 0.02), (10.708, 18.579, 24.587, 30.604, 27.503, 31.235)),
        (Leaf(25.0, 620, 0.03), (20.088, 28.037, 25.994, 30.462, 39.493, 48.524)),
    ],
)
def test_single_leaf(leaf: Leaf, expected: tuple[float, ...]) -> None:
    assert single_leaf(leaf, FREQUENCY) == pytest.approx(expected, abs=0.6)


@pytest.mark.parametrize(
    ("mass", "fc", "eta"), [(8.4, 2500, 0.02), (15, 2080, 0.05), (200, 90, 0.1)]
)
def test_corner_points(mass: float, fc: float, eta: float) -> None:
    below, at = single_leaf(Leaf(mass, fc, eta), np.array([fc / 2, fc]))
    assert below == pytest.approx(20 * np.log10(mass * fc) - 54, abs=0.6)
    assert at == pytest.approx(20 * np.log10(mass * fc) + 10 * np.log10(eta) - 44, abs=0.6)


def test_mass_air_mass_resonance() -> None:
    assert resonance(8.4, 8.4, 90) == pytest.approx(97.468, rel=0.005)


@pytest.mark.parametrize(("material", "thickness"), [("glass", 6), ("mdf", 18), ("steel", 1)])
def test_critical_frequency_of_one_sheet(material: str, thickness: float) -> None:
    speed = STOCK[material].wave_speed
    assert speed is not None
    leaf = leaf_of(Panel((Layer(material, thickness),)), STOCK)
    assert leaf.critical == pytest.approx(343**2 / (1.8 * speed * thickness / 1000), rel=0.01)


def test_one_sheet_bonded_of_two_halves_is_one_sheet() -> None:
    half = Layer("mdf", 9)
    two = leaf_of(Panel((half, half), bonded=True), STOCK)
    one = leaf_of(Panel((Layer("mdf", 18),)), STOCK)
    loose = leaf_of(Panel((half, half)), STOCK)
    assert two.critical == pytest.approx(one.critical)
    assert loose.critical == pytest.approx(2 * one.critical)
    assert two.mass == loose.mass == pytest.approx(one.mass)


def test_limp_sheet_has_no_coincidence() -> None:
    assert critical_frequency(10.0, 0.0) == np.inf
    assert single_leaf(Leaf(10.0, np.inf, 0.1), FREQUENCY) == pytest.approx(
        20 * np.log10(10 * FREQUENCY) - 47.4
    )
