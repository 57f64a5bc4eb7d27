"""Is an amount told in the region's units the amount that it was?

Source of the factors: NIST Special Publication 811 (2008), appendix B.8, from memory; those of the
foot, the pound and the pound-force are exact by definition.
"""

from __future__ import annotations

import re

import pytest

from truehang.amounts import amount, amounts, read_amount, read_here, told, told_given
from truehang.lengths import LengthStyle
from truehang.message import Voice

FEET: LengthStyle = "feet-inches"


def spell(text: str, style: LengthStyle) -> str:
    return Voice(style, {}).say(text)


# ours, one of theirs in ours by NIST SP 811, and what 100 of ours are told as, worked by hand
FACTORS = [
    ("m", 0.3048, "328.1 ft"),
    ("m2", 0.09290304, "1076.4 ft²"),
    ("m3", 0.02831685, "3531.5 ft³"),
    ("kg", 0.45359237, "220.5 lb"),
    ("N", 4.448222, "22.5 lbf"),
    ("kN", 0.004448222, "22481 lbf"),
    ("kPa", 0.04788026, "2089 psf"),
    ("kN/m", 0.01459390, "6852 plf"),
    ("N/m", 14.59390, "6.9 lbf/ft"),
    ("kg/m2", 4.882428, "20.5 lb/ft²"),
    ("kg/m3", 16.01846, "6 lb/ft³"),
    ("MPa", 0.006894757, "14504 psi"),
    ("J", 1.355818, "73.8 ft lbf"),
    ("cm4", 41.62314, "2.4 in⁴"),
]


@pytest.mark.parametrize(("unit", "one", "hundred"), FACTORS)
def test_the_factors_are_those_of_the_table(unit: str, one: float, hundred: str) -> None:
    number, theirs = told(1e6 * one, unit, FEET).split(" ", 1)
    assert float(number) == pytest.approx(1e6, rel=1e-6)
    assert told(100.0, unit, FEET) == hundred
    assert hundred.endswith(f" {theirs}")


def test_temperatures_have_their_own_zero() -> None:
    # by definition: 0 °C is 32 °F, 100 °C is 212 °F, and both agree at -40
    told_at = {degrees: told(degrees, "C", FEET, 0) for degrees in (0.0, 100.0, -40.0)}
    assert told_at == {0.0: "32 °F", 100.0: "212 °F", -40.0: "-40 °F"}
    assert told(20.0, "C", "mm", 0) == "20 °C"


def test_an_amount_in_a_text_is_told_once_rounded_from_what_it_was() -> None:
    text = f"a leaf of {amount(33.96, 'kg')} takes {amounts(7.4, 22.6, 'N', 0)}"
    assert text == "a leaf of ⟨34.0 kg|33.96⟩ takes ⟨7 to 23 N|7.4..22.6⟩"
    assert spell(text, "mm") == "a leaf of 34.0 kg takes 7 to 23 N"
    # by hand: 33.96/0.45359237 = 74.869; 7.4/4.448222 = 1.664; 22.6/4.448222 = 5.081
    assert spell(text, FEET) == "a leaf of 74.9 lb takes 1.7 to 5.1 lbf"


def test_a_limit_of_the_law_in_pounds_comes_back_as_it_stands_there() -> None:
    # ADA 2010 s404.2.9: 5 pounds (22.2 N)
    assert spell(f"at most {amount(22.2, 'N', None)}", FEET) == "at most 5.0 lbf"
    assert spell(f"at most {amount(22.2, 'N', None)}", "mm") == "at most 22.2 N"
    assert told_given(80.0, "kg", "mm") == "80 kg"
    assert told_given(30.0, "dB", FEET) == "30 dB"


@pytest.mark.parametrize(
    ("text", "unit", "ours"),
    [
        ("55 lb", "kg", 24.947580),
        ("25 kg", "kg", 25.0),
        ("5 lbf", "N", 22.241108),
        ("40 psf", "kPa", 1.915210),
        ("120 plf", "kN/m", 1.751268),
        ("1.2 kips", "kN", 5.337866),
        ("120 sq ft", "m2", 11.148365),
        ("900 ft³", "m3", 25.485161),
        ("68 °F", "C", 20.0),
        ("20 C", "C", 20.0),
    ],
)
def test_what_is_written_with_its_unit_is_read(text: str, unit: str, ours: float) -> None:
    # by hand from the same table
    assert read_amount(text, unit) == pytest.approx(ours, rel=1e-6)
    assert read_here(text, unit, FEET) == pytest.approx(ours, rel=1e-6)


def test_a_bare_number_is_in_the_unit_that_is_told_here() -> None:
    assert read_here("55", "kg", "mm") == 55.0
    assert read_here("55", "kg", FEET) == pytest.approx(24.947580, rel=1e-6)
    assert read_here("68", "C", FEET) == pytest.approx(20.0)
    for odd in ("fifty", "5 stone", "nan", "inf", "", "55 psf"):
        assert read_here(odd, "kg", FEET) is None


def test_no_token_is_left_whatever_the_number() -> None:
    for value in (0.0, -0.04, 1e-7, 123456789.0, 2 / 3):
        for style in ("mm", FEET):
            assert not re.search("[⟨⟩|]", spell(amount(value, "kN", 2), style))
