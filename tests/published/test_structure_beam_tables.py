"""American Institute of Steel Construction, *Steel Construction Manual*, Table 3-23, Shears,
Moments and Deflections: simple beam, cases 1 (uniform), 7 (point at centre), 8 (point anywhere)
and 9 (two equal loads placed alike) (from memory: check the case numbers against the edition at
hand). Each formula is written out here again from the table."""

import math

import numpy as np
import pytest

from truehang.structure.beams import (
    Beam,
    point_deflection,
    uniform_deflection,
    uniform_moment,
)

L = 3406.0
EI = 10000.0 * 45.0 * 240.0**3 / 12.0
BEAM = Beam(L, EI)


def test_uniform_load() -> None:
    assert uniform_deflection(BEAM, 0.4, L / 2) == pytest.approx(5 * 0.4 * L**4 / (384 * EI))
    assert uniform_moment(BEAM, 0.4, L / 2) == pytest.approx(0.4 * L**2 / 8)


def test_point_at_centre() -> None:
    assert point_deflection(BEAM, 300.0, L / 2, L / 2) == pytest.approx(300.0 * L**3 / (48 * EI))


def test_point_anywhere_has_its_largest_deflection_where_the_table_says() -> None:
    a, b = 2400.0, L - 2400.0
    where = math.sqrt(a * (a + 2 * b) / 3)
    most = 300.0 * a * b * (a + 2 * b) * math.sqrt(3 * a * (a + 2 * b)) / (27 * EI * L)
    assert point_deflection(BEAM, 300.0, a, where) == pytest.approx(most)
    along = np.linspace(0.0, L, 2001)
    assert point_deflection(BEAM, 300.0, a, along).max() == pytest.approx(most, rel=1e-6)


def test_two_equal_loads() -> None:
    a = 700.0
    centre = point_deflection(BEAM, 300.0, np.array([a, L - a]), L / 2).sum()
    assert centre == pytest.approx(300.0 * a / (24 * EI) * (3 * L**2 - 4 * a**2))
