"""Timber grades against transcriptions of the standards' tables, read November 2026.

AS 1720.1-2010 Table H3.1 (MGP10, MGP12): the open-source library `timber-as`, material_library.csv.
NDS Supplement Table 4A (size factors of No. 2 dimension lumber) and Table 4.3.1's factors K_F and
phi: the open-source library `xc`, its AWC NDS 2018 modules. The standards themselves were not read.
"""

import pytest
from tests.timber import TIMBER

from truehang.structure.candidates import depth_strengths

# depth: f'b, f's, f'c
H31 = {
    "MGP10": {140: (17, 2.6, 18), 190: (16, 2.5, 18), 240: (15, 2.4, 17), 290: (14, 2.3, 16)},
    "MGP12": {140: (28, 3.5, 24), 190: (25, 3.3, 23), 240: (24, 3.2, 22), 290: (22, 3.1, 22)},
}
# E, G, density, f'p, phi for less and for more than 25 m2
H31_ALL = {"MGP10": (10000, 670, 500, 10), "MGP12": (12700, 850, 540, 10)}


@pytest.mark.parametrize("name", H31)
def test_machine_graded_pine(name: str) -> None:
    timber = TIMBER.grade(name)
    for depth, strengths in H31[name].items():
        assert depth_strengths(timber, depth) == strengths
    assert (
        timber.modulus, timber.shear_modulus, timber.density, timber.compression_across
    ) == H31_ALL[name]  # fmt: skip
    factors = TIMBER.code("AS 1720.1").method["limit state"].resistance["sawn"]
    assert (factors.bending, factors.large_area_factor) == (0.9, 0.7)


SIZE_FB = {88.9: 1.5, 139.7: 1.3, 184.0: 1.2, 235.0: 1.1, 286.0: 1.0}
SIZE_FC = {88.9: 1.15, 139.7: 1.1, 184.0: 1.05, 235.0: 1.0, 286.0: 1.0}
PSI = 0.006894757


@pytest.mark.parametrize(
    "name, bending, along, shear, across, modulus, low",
    [
        ("SPF No.2", 875, 1150, 135, 425, 1.4e6, 0.51e6),
        ("DF-L No.2", 900, 1350, 180, 625, 1.6e6, 0.58e6),
    ],
)
def test_american_dimension_lumber(
    name: str, bending: float, along: float, shear: float, across: float, modulus: float, low: float
) -> None:
    timber = TIMBER.grade(name)
    for depth, factor in SIZE_FB.items():
        got = depth_strengths(timber, depth)
        assert got[0] == pytest.approx(bending * factor * PSI, abs=0.006)
        assert got[1] == pytest.approx(shear * PSI, abs=0.006)
        assert got[2] == pytest.approx(along * SIZE_FC[depth] * PSI, abs=0.006)
    assert timber.compression_across == pytest.approx(across * PSI, abs=0.006)
    assert timber.modulus == pytest.approx(modulus * PSI, rel=1e-3)
    assert timber.modulus_low == pytest.approx(low * PSI, rel=2e-3)


def test_american_conversion_factors() -> None:
    """K_F phi: bending 2.54 x 0.85, shear 2.88 x 0.75, compression 2.40 x 0.90, across the grain
    1.67 x 0.90, E_min 1.76 x 0.85; C_D of NDS Table 2.3.2."""
    method = TIMBER.code("NDS").method["load and resistance"]
    sawn = method.resistance["sawn"]
    assert sawn.bending == pytest.approx(2.54 * 0.85)
    assert sawn.shear == pytest.approx(2.88 * 0.75)
    assert sawn.compression == pytest.approx(2.40 * 0.90)
    assert sawn.bearing == pytest.approx(1.67 * 0.90)
    assert method.stiffness == pytest.approx(1.76 * 0.85)
    allowable = TIMBER.code("NDS").method["allowable"].duration_factor
    assert allowable == {
        "permanent": 0.9, "long": 1.0, "medium": 1.0, "months": 1.15, "short": 1.25, "instant": 1.6,
    }  # fmt: skip
