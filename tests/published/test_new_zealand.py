"""New Zealand, added as data: does what is published of it hold here?

Sources: NZS AS 1720.1:2022 Tables ZZ2.1, ZZ3.1, ZZ3.2 and ZZ2.3, read in two open-source libraries
that restate them (not in the standard: check there); Goods and Services Tax Act 1985 (15 % since
October 2010, public law); handles between 900 and 1200: an adviser's published answers on
NZS 4121:2001. The clear opening of 760 is from memory: check NZS 4121 7.3. Words: common practice,
no source.
"""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from tests.timber import TIMBER

from truehang import catalogue, demo
from truehang.job import Job, load
from truehang.plan import complete, plan
from truehang.plan.cuts import parts_of
from truehang.structure.columns import AS_COLUMN, australian_constant
from truehang.structure.lateral import AS_BEAM

BOUGHT = catalogue.load()
NZ = BOUGHT.region("nz")
SHARE = np.array(0.25)
"""Share of temporary load at which the tables of rho are given."""


@pytest.mark.parametrize(
    "name, bending, along, modulus, lower, density, rho_b, rho_c",
    [
        ("SG8", 14.0, 18.0, 8000.0, 5400.0, 450.0, 0.76, 1.05),
        ("SG10", 20.0, 20.0, 10000.0, 7500.0, 500.0, 0.81, 1.00),
    ],
)
def test_grades_and_the_constants_of_their_stability(
    name: str, bending: float, along: float, modulus: float, lower: float, density: float,
    rho_b: float, rho_c: float,
) -> None:  # fmt: skip
    grade = TIMBER.grade(name)
    assert (grade.bending, grade.compression_along, grade.modulus) == (bending, along, modulus)
    assert (grade.modulus_low, grade.density) == (lower, density)
    assert (grade.shear, grade.compression_across) == (3.8, 6.9)
    assert grade.shear_modulus == pytest.approx(modulus / 15, abs=0.5)
    # The tables' own constants against the formula that is used: E and f' of the same table.
    assert float(australian_constant(AS_BEAM, modulus / bending, SHARE)) == pytest.approx(
        rho_b, abs=0.006
    )
    assert float(australian_constant(AS_COLUMN, modulus / along, SHARE)) == pytest.approx(
        rho_c, abs=0.006
    )


def test_one_capacity_factor_and_the_joint_standards_combinations() -> None:
    ours, theirs = TIMBER.code(NZ.timber_code), TIMBER.code("AS 1720.1")
    (method,) = ours.method.values()
    assert {
        getattr(rules, check)
        for rules in method.resistance.values()
        for check in ("bending", "shear", "compression", "bearing")
    } == {0.8}
    assert method.duration_factor == theirs.method["limit state"].duration_factor
    assert ours.combination == theirs.combination
    assert ours.stability == theirs.stability


def test_money_and_access() -> None:
    assert NZ.currency == "NZD"
    assert NZ.tax.rate == Decimal("0.15")
    rules = BOUGHT.access_rule(NZ.access_rules)
    assert rules is not None
    limits = rules.limits()
    assert (limits.hardware_low, limits.hardware_high) == (900.0, 1200.0)
    assert limits.clear_width_least == 760.0
    assert any("760" in line and "check" in line for line in rules.to_check)


def here(name: str, **wishes: object) -> Job:
    job = load(demo.files(name)[0][1])
    about = job.job.model_copy(update={"region": "nz", "print": None})
    wished = job.wishes.model_copy(update=wishes)
    return job.model_copy(update={"job": about, "wishes": wished})


def test_a_whole_job_is_bought_here() -> None:
    made = complete(plan(here("fernhollow"), BOUGHT), BOUGHT)
    assert made.takeoff is not None
    assert made.cutting is not None
    sold = set(BOUGHT.cut_in(NZ))
    cut = {part.section for part in parts_of(made)}
    assert cut
    assert cut <= sold
    assert made.cutting.total is not None
    assert made.cutting.total.currency == "NZD"
    assert all(laid.faces for laid in made.lining)
    assert {option.option.currency for option in made.weighed} == {"NZD"}


def test_the_head_that_carries_is_of_this_code_and_this_timber() -> None:
    made = plan(here("quarry-house", accessible="region"), BOUGHT)
    assert made.head_sizing is not None
    assert made.head_sizing.code == "NZS AS 1720.1"
    grades = {row.grade for row in made.head_sizing.candidates}
    assert grades == {"SG8", "SG10", "LVL11"}
    assert made.access is not None
    assert made.access.title == "NZS 4121:2001"
