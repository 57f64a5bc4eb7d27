"""How tax is rounded, on worked public examples.

Sources: A New Tax System (Goods and Services Tax) Act 1999 (Australia), s 9-90: (a) the amounts are
summed and rounded once, or (b) each is rounded and the sums added, half a cent up, as the supplier
chooses; HM Revenue & Customs VATREC12010 to 12030: below 0.5p down, from 0.5p up. The numbers put
into these rules (3 x $1.23; $0.05) are own arithmetic.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.tax import line_tax, tax_sums, whole

TEN, TWENTY = Decimal("0.10"), Decimal("0.20")


@pytest.mark.parametrize(("way", "tax"), [("total", 37), ("line", 36)])
def test_the_two_ways_of_section_9_90(way: str, tax: int) -> None:
    (one,) = tax_sums([(123, TEN)] * 3, way)  # type: ignore[arg-type]
    assert (one.net, one.tax) == (369, tax)


def test_half_a_cent_goes_up() -> None:
    assert line_tax(5, TEN) == 1
    assert line_tax(4, TEN) == 0
    assert line_tax(-5, TEN) == -1  # what is credited is what was charged


@pytest.mark.parametrize(("pence", "tax"), [(2, 0), (3, 1), (12, 2), (13, 3)])
def test_to_the_nearest_penny(pence: int, tax: int) -> None:
    assert line_tax(pence, TWENTY) == tax


def test_each_rate_by_itself() -> None:
    made = tax_sums([(1000, TEN), (333, Decimal(0)), (5, TEN)], "total")
    assert [(one.rate, one.net, one.tax) for one in made] == [(TEN, 1005, 101), (0, 333, 0)]


@given(st.fractions(-1000, 1000))
def test_whole_is_the_nearest(exact: Fraction) -> None:
    assert abs(whole(exact) - exact) <= Fraction(1, 2)
    assert whole(-exact) == -whole(exact)
