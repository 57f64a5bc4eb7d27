"""Lengths as people write them. The inch is 25.4 mm exactly (international yard and pound
agreement, 1959); all expected values follow from that by hand."""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.lengths import LengthError, format_length, parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        (2870, 2870),
        (2870.5, 2870.5),
        (-8, -8),
        ("2870", 2870),
        (" 2870 mm ", 2870),
        ("2870mm", 2870),
        ("287 cm", 2870),
        ("2.87 m", 2870),
        ("2,87 m", 2870),
        ("-3.5", -3.5),
        ("9' 5 1/2\"", 2882.9),
        ("9'5-1/2\"", 2882.9),
        ("9' 5½\"", 2882.9),
        ("9′ 5 ½″", 2882.9),
        ("9 ft 5 in", 2870.2),
        ("9 feet", 2743.2),
        ("9'", 2743.2),
        ("5 1/2 in", 139.7),
        ("5.5 in", 139.7),
        ('3/4"', 19.05),
        ("½ in", 12.7),
        ("-1' 6\"", -457.2),
        ('113"', 2870.2),
    ],
)
def test_reads_what_people_write(text: object, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    ["", " ", "x", "'", '"', "1/0\"", "9' x", "2870 km", "1e3", "--3", "5 1/2", "9' 5 6 in",
     "9" * 400, "9" * 39, 10**400, math.nan, math.inf, -math.inf, True, None, [], {}],
)  # fmt: skip
def test_refuses_what_is_no_length_and_says_how_to_write_it(text: object) -> None:
    with pytest.raises(LengthError, match="write"):
        parse_length(text)


def test_a_comma_that_could_mean_two_things_is_asked_about() -> None:
    with pytest.raises(LengthError, match="one way only"):
        parse_length("2,870 mm")


@given(st.text(max_size=60))
def test_any_text_is_a_length_or_a_clear_error(text: str) -> None:
    with suppress(LengthError):  # and nothing else
        assert math.isfinite(parse_length(text))


@given(st.integers(-200_000, 200_000))
def test_tenths_of_a_millimetre_come_back_as_printed(tenths: int) -> None:
    assert parse_length(format_length(tenths / 10)) == pytest.approx(tenths / 10, abs=1e-9)


@given(st.integers(-16 * 12 * 40, 16 * 12 * 40))
def test_sixteenths_come_back_as_printed(sixteenths: int) -> None:
    mm = sixteenths * 25.4 / 16
    assert parse_length(format_length(mm, "feet-inches")) == pytest.approx(mm, abs=1e-9)


@given(st.floats(-50_000, 50_000))
def test_feet_and_inches_are_never_more_than_half_a_sixteenth_off(mm: float) -> None:
    printed = parse_length(format_length(mm, "feet-inches"))
    assert abs(printed - mm) <= 25.4 / 32 + 1e-9


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (2870.0, "2870"),
        (2870.04, "2870"),
        (2870.06, "2870.1"),
        (-0.04, "0"),
        (0.5, "0.5"),
    ],
)
def test_prints_millimetres(mm: float, text: str) -> None:
    assert format_length(mm) == text


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (2882.9, "9' 5 1/2\""),
        (2743.2, "9' 0\""),
        (19.05, '3/4"'),
        (0.0, '0"'),
        (-457.2, "-1' 6\""),
        (304.7, "1' 0\""),  # rounds up over the foot
        (-0.1, '0"'),
    ],
)
def test_prints_feet_and_inches(mm: float, text: str) -> None:
    assert format_length(mm, "feet-inches") == text
