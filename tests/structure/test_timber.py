"""The timber catalogue. The grades against their tables: tests/published/test_timber_grades.py."""

import pytest
from pydantic import ValidationError
from tests.timber import TIMBER

from truehang.catalogue.timber import Section, UnknownTimber
from truehang.structure.candidates import depth_strengths


def test_every_section_has_a_grade_and_codes_are_unique() -> None:
    known = {timber.code for timber in TIMBER.grades}
    assert len(known) == len(TIMBER.grades)
    assert {section.grade for section in TIMBER.sections} == known
    assert len({section.code for section in TIMBER.sections}) == len(TIMBER.sections)
    assert {timber.design_code for timber in TIMBER.grades} == {code.code for code in TIMBER.codes}


def test_moduli() -> None:
    assert TIMBER.grade("MGP10").modulus == 10000.0
    assert TIMBER.grade("MGP12").modulus == 12700.0
    assert TIMBER.grade("MGP10").shear_modulus == 670.0


@pytest.mark.parametrize(
    "name, psi, mpa_field",
    [("SPF No.2", 875, "bending"), ("SPF No.2", 1.4e6, "modulus"), ("DF-L No.2", 180, "shear")],
)
def test_american_values_are_converted(name: str, psi: float, mpa_field: str) -> None:
    """1 psi is 0.006894757 MPa (exact to the digits shown)."""
    assert getattr(TIMBER.grade(name), mpa_field) == pytest.approx(psi * 0.006894757, rel=2e-3)


def test_depth_effect() -> None:
    """EN 1995-1-1 3.2(3): only sawn timber shallower than 150 gains; 3.4(3): LVL both ways."""
    c24 = TIMBER.grade("C24")
    assert depth_strengths(c24, 225.0)[0] == 24.0
    assert depth_strengths(c24, 95.0)[0] == pytest.approx(24.0 * (150 / 95) ** 0.2)
    assert depth_strengths(c24, 30.0)[0] == pytest.approx(24.0 * 1.3)
    lvl = TIMBER.grade("LVL48")
    assert depth_strengths(lvl, 360.0)[0] == pytest.approx(44.0 * (300 / 360) ** 0.15)
    assert depth_strengths(TIMBER.grade("MGP10"), 190.0) == (16.0, 2.5, 18.0)
    assert depth_strengths(TIMBER.grade("MGP10"), 900.0) == (14.0, 2.3, 16.0)


def test_unknown_grade_suggests_the_nearest() -> None:
    with pytest.raises(UnknownTimber, match="did you mean 'C24'"):
        TIMBER.grade("c 24")
    with pytest.raises(UnknownTimber, match="known: MGP10"):
        TIMBER.grade("oak plank")


@pytest.mark.parametrize("depth", [0.0, -90.0, float("nan")])
def test_a_section_without_a_depth_is_refused(depth: float) -> None:
    with pytest.raises(ValidationError, match="depth"):
        Section(
            code="x", grade="C24", breadth=45, depth=depth, stock_lengths=(3000,),
            price_per_metre=100, currency="GBP",
        )  # fmt: skip
