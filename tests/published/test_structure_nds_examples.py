"""Two published examples of the NDS, as the verification tests of the open-source finite element
library `xc` restate them (read November 2026):

American Wood Council, *Structural Wood Design Examples*, 2015/2018 edition, E1.2a: a 3.5 x 15.25 in
Douglas fir-larch beam, 20 ft unbraced, one load at mid-span: l_e 375 in, R_B 21.6, F_bE 1776 psi,
F_b* 1500 psi, C_L 0.876.

U.S. Department of Housing and Urban Development, *Residential Structural Design Guide*, second
edition (October 2017), example 5.6: a 4x4 spruce-pine-fir No. 2 post, 7.3 ft, C_D 1.0: C_P 0.44.
"""

import math

import numpy as np
import pytest
from tests.timber import TIMBER

from truehang.structure.columns import buckling_factor
from truehang.structure.lateral import EULER_NDS, american_beam_stability
from truehang.structure.loads import Acting

PSI = 0.006894757


def test_beam_stability() -> None:
    length = 1.37 * 240.0 + 3.0 * 15.25
    assert length == pytest.approx(375.0, abs=0.5)
    slender = math.sqrt(length * 15.25 / 3.5**2)
    assert slender == pytest.approx(21.6, abs=0.05)
    euler = EULER_NDS * 690e3 / slender**2
    assert euler == pytest.approx(1776.0, rel=1e-3)
    assert american_beam_stability(np.array(euler / 1500.0)) == pytest.approx(0.876, abs=5e-4)


def test_column_stability() -> None:
    """F_c of No. 2 in a 4x4: 1150 psi x 1.15; the catalogue holds it in MPa."""
    code, timber = TIMBER.code("NDS"), TIMBER.grade("SPF No.2")
    along = next(band.compression_along for band in timber.bands if band.up_to >= 88.9)
    assert along == pytest.approx(1150.0 * 1.15 * PSI, rel=1e-3)
    method = code.method["allowable"]
    acting = Acting(method, method.duration_factor["medium"], np.array(1.0))
    slender = 7.3 * 304.8 / 88.9 * math.sqrt(12.0)
    kept = buckling_factor(code, timber, along, slender, acting)
    assert float(kept) == pytest.approx(0.4378, abs=2e-3)
