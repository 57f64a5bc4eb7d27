"""EN 1995-1-1:2004 6.3.2, equations (6.21) to (6.29): a 97 x 97 post of C24, 2700 mm high.

Worked by hand from the equations; the same figures stand in a published online worked example of
such a post (read November 2026): lambda 96.42, lambda_rel 1.635, k 1.97, k_c 0.326,
f_c,0,d 12.92 MPa, and 0.76 of its capacity used by 30 kN.
"""

import math

import numpy as np
import pytest
from tests.timber import TIMBER

from truehang.structure.columns import buckling_factor, slenderness
from truehang.structure.loads import Acting

CODE = TIMBER.code("EN 1995-1-1")
METHOD = CODE.method["limit state"]
ACTING = Acting(METHOD, METHOD.duration_factor["medium"], np.array(1.0))
C24 = TIMBER.grade("C24")


def test_slenderness() -> None:
    slender = slenderness(2700.0, 97.0)
    assert slender == pytest.approx(96.42, abs=0.01)
    assert slender / math.pi * math.sqrt(21.0 / 7400.0) == pytest.approx(1.635, abs=0.001)


def test_buckling_factor_and_utilisation() -> None:
    kept = buckling_factor(CODE, C24, C24.compression_along, slenderness(2700.0, 97.0), ACTING)
    assert kept == pytest.approx(0.326, abs=0.0005)
    design = C24.compression_along * 0.8 * METHOD.resistance["sawn"].compression
    assert design == pytest.approx(12.92, abs=0.005)
    assert 30e3 / 97.0**2 / (kept * design) == pytest.approx(0.76, abs=0.005)


def test_stocky_post_keeps_all_its_strength() -> None:
    """6.3.2(2): lambda_rel up to 0.3 needs no buckling check."""
    limit = 0.3 * math.pi / math.sqrt(21.0 / 7400.0)
    assert buckling_factor(CODE, C24, 21.0, limit * 0.999, ACTING) == 1.0
    assert buckling_factor(CODE, C24, 21.0, limit * 1.05, ACTING) < 1.0
