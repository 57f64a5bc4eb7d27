"""Money stays whole: joined only in one currency, rounded half away from zero to the cent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.money import Money


def test_joins_only_one_currency() -> None:
    assert Money(150, "AUD") + Money(-20, "AUD") - Money(30, "AUD") == Money(100, "AUD")
    with pytest.raises(ValueError, match="can't join AUD with GBP"):
        Money(1, "AUD") + Money(1, "GBP")
    with pytest.raises(ValueError, match="can't join AUD with GBP"):
        Money(1, "AUD") - Money(1, "GBP")


@pytest.mark.parametrize(
    ("minor", "factor", "expected"),
    [
        (105, Decimal("0.1"), 11),  # 10.5 cents
        (-105, Decimal("0.1"), -11),
        (104, Decimal("0.1"), 10),
        (100, 0.1, 10),
        (115, 1.1, 127),  # 126.5 exactly, though 115 * 1.1 as floats is a hair less
        (333, 3, 999),
    ],
)
def test_rounds_half_away_from_zero(minor: int, factor: Decimal | float, expected: int) -> None:
    assert Money(minor, "AUD").times(factor) == Money(expected, "AUD")


@pytest.mark.parametrize(
    ("money", "text"),
    [
        (Money(123456789, "AUD"), "$1,234,567.89"),
        (Money(-5, "GBP"), "-£0.05"),
        (Money(0, "USD"), "$0.00"),
        (Money(100, "CHF"), "CHF 1.00"),
    ],
)
def test_prints(money: Money, text: str) -> None:
    assert str(money) == text


@given(st.integers(-(10**12), 10**12), st.integers(1, 400))
def test_a_whole_factor_is_exact(minor: int, factor: int) -> None:
    assert Money(minor, "AUD").times(factor).minor == minor * factor
