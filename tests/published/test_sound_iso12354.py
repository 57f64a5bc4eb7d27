"""ISO 12354-1 (EN 12354-1), annex B: critical frequencies of common materials.

From memory: densities and wave speeds of concrete, calcium silicate and aerated concrete and
fc t from fc = c^2/(1.8 cL t), and the classic products fc t (Hz m) of glass about 12 and gypsum
board about 32-40; to be checked against annex B and Hopkins' appendix.
"""

import pytest

from truehang.catalogue.materials import materials
from truehang.sound import Layer, Panel
from truehang.sound.panels import critical_frequency, leaf_of

STOCK = {material.key: material for material in materials()}


@pytest.mark.parametrize(
    ("density", "speed", "thickness", "expected"),
    [(2300, 3500, 0.2, 93), (1750, 2600, 0.11, 229), (600, 1400, 0.1, 467)],
)
def test_monolithic_walls(density: float, speed: float, thickness: float, expected: float) -> None:
    stiffness = density * speed**2 * thickness**3 / 12
    assert critical_frequency(density * thickness, stiffness) == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize(
    ("material", "thickness", "low", "high"),
    [("glass", 6, 11, 13.5), ("plasterboard", 12.5, 30, 40), ("steel", 1, 11, 13.5)],
)
def test_products(material: str, thickness: float, low: float, high: float) -> None:
    leaf = leaf_of(Panel((Layer(material, thickness),)), STOCK)
    assert low <= leaf.critical * thickness / 1000 <= high
