"""EN 338:2016, Structural timber - Strength classes, Table 1; and EN 384:2016, Table 2, whose
equations derive the other properties of a class from its bending strength, modulus and density.

The class values were compared with a public copy of the table (the open-source library
`materialclasses`, solidtimber.py, read November 2026). The EN 384 equations are from memory and
stand as a second, independent check: a slip in one figure of a class breaks its equation.
"""

import pytest
from tests.timber import TIMBER

from truehang.catalogue.timber import Grade

# fm,k ft.. left out; fc,0,k fc,90,k fv,k Em,0,mean Em,0,k Gmean rho_k rho_mean
TABLE_1 = {
    "C16": (16, 17, 2.2, 3.2, 8000, 5400, 500, 310, 370),
    "C24": (24, 21, 2.5, 4.0, 11000, 7400, 690, 350, 420),
}


def _row(timber: Grade) -> tuple[float, ...]:
    return (
        timber.bending,
        timber.compression_along,
        timber.compression_across,
        timber.shear,
        timber.modulus,
        timber.modulus_low,
        timber.shear_modulus,
        timber.density_low,
        timber.density,
    )


@pytest.mark.parametrize("name", TABLE_1)
def test_class_values(name: str) -> None:
    assert _row(TIMBER.grade(name)) == TABLE_1[name]


@pytest.mark.parametrize("name", TABLE_1)
def test_properties_follow_the_equations_of_en_384(name: str) -> None:
    timber = TIMBER.grade(name)
    assert timber.compression_along == pytest.approx(4.3 * timber.bending**0.5, abs=0.5)
    assert timber.compression_across == pytest.approx(0.007 * timber.density_low, abs=0.06)
    assert timber.modulus_low == pytest.approx(0.67 * timber.modulus, abs=60)
    assert timber.shear_modulus == pytest.approx(timber.modulus / 16.0, abs=6)
    assert timber.density == pytest.approx(1.2 * timber.density_low, abs=5)


def test_en_1995_1_1_factors() -> None:
    """EN 1995-1-1 Tables 2.3, 3.1 and 3.2: gamma_M, kmod in service class 1, kdef."""
    code = TIMBER.code("EN 1995-1-1")
    method = code.method["limit state"]
    kmod = {"permanent": 0.6, "long": 0.7, "medium": 0.8, "short": 0.9}
    assert {name: method.duration_factor[name] for name in kmod} == kmod
    gamma = {kind: 1.0 / rules.bending for kind, rules in method.resistance.items()}
    assert gamma["sawn"] == pytest.approx(1.3)
    assert gamma["glued laminated"] == pytest.approx(1.25)
    assert gamma["laminated veneer"] == pytest.approx(1.2)
    assert code.creep == (0.6, 0.8)
