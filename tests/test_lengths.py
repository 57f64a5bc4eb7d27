"""Lengths as people write them. The inch is 25.4 mm exactly (international yard and pound
agreement, 1959); all expected values follow from that by hand."""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.lengths import (
    LengthError,
    LengthStyle,
    format_between,
    format_fall,
    format_fine,
    format_given,
    format_length,
    format_most,
    format_piece,
    held,
    lead,
    parse_length,
    said,
    said_between,
    said_metres,
)
from truehang.message import Voice


def spell(text: str, style: LengthStyle) -> str:
    return Voice(style, {}).say(text)


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
     "5' 13\"", "5' 12 in", "5 11/8\"", "11/8\"", "8/8 in",
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
    assert parse_length(format_fine(tenths / 10)) == pytest.approx(tenths / 10, abs=1e-9)


@given(st.integers(-32 * 12 * 40, 32 * 12 * 40))
def test_thirty_seconds_come_back_as_printed(parts: int) -> None:
    mm = parts * 25.4 / 32
    assert parse_length(format_length(mm, "feet-inches")) == pytest.approx(mm, abs=1e-9)


@given(st.floats(-50_000, 50_000))
def test_feet_and_inches_are_never_more_than_half_a_step_off(mm: float) -> None:
    printed = parse_length(format_length(mm, "feet-inches"))
    assert abs(printed - mm) <= 25.4 / 64 + 1e-6
    assert abs(parse_length(format_length(mm)) - mm) <= 0.25 + 1e-6


@given(st.floats(-5_000, 5_000), st.floats(-5_000, 5_000), st.floats(-5_000, 5_000))
def test_printed_differences_add_up(a: float, b: float, c: float) -> None:
    """What a carpenter gets who subtracts one printed mark from another on paper."""
    for style in ("mm", "feet-inches"):
        one, two = (parse_length(format_length(mm, style)) for mm in (a, b))
        assert parse_length(format_between(a, b, style)) == pytest.approx(two - one, abs=1e-6)
        parts = parse_length(format_between(a, b, style)) + parse_length(
            format_between(b, c, style)
        )
        assert parse_length(format_between(a, c, style)) == pytest.approx(parts, abs=1e-6)
        assert spell(said_between(0.0, abs(a)), style).removesuffix(" mm") == format_length(
            abs(a), style
        )


@given(st.floats(-20_000, 20_000))
def test_noise_of_floats_does_not_flip_a_print(mm: float) -> None:
    middle = round(mm * 2) / 2 + 0.25
    assert format_length(middle) == format_length(middle - 1e-9) == format_length(middle + 1e-9)


@given(st.integers(0, 1_000_000))
def test_what_was_typed_is_shown_so_that_it_reads_the_same(count: int) -> None:
    assert parse_length(format_given(count / 100)) == pytest.approx(count / 100, abs=1e-9)
    typed = count * 25.4 / 64
    assert parse_length(format_given(typed, "feet-inches")) == pytest.approx(typed, abs=1e-6)
    assert format_given(3460.0, "feet-inches") == "11' 4 7/32\""


def test_a_length_is_not_cut_in_two() -> None:
    assert held("of 11' 1 5/16\" x 3' 6\", 2 of") == "of 11'\u00a01\u00a05/16\" x 3'\u00a06\", 2 of"
    assert lead("hanger 1") == "hanger 1:"
    assert lead("hanger") == "hanger"


def test_no_sentence_says_that_a_limit_is_less_than_itself() -> None:
    assert spell(said(4.8, limit=5), "mm") == "4.8 mm"
    assert spell(said(4.8, limit=5), "feet-inches") == 'just under 3/16"'
    assert spell(said(15.1, limit=15), "feet-inches") == 'just over 19/32"'
    assert spell(said(4.3, limit=5), "mm") == "4.5 mm"


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (2870.0, "2870"),
        (2870.04, "2870"),
        (2870.24, "2870"),
        (2870.25, "2870.5"),
        (-7.4034, "-7.5"),
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


@pytest.mark.parametrize(
    ("token", "plain", "imperial"),
    [
        (said(38.1), "38 mm", '1 1/2"'),
        (said(2882.9), "2883 mm", "9' 5 1/2\""),
        (said(7.0, 1), "7 mm", '9/32"'),  # under an inch: to 1/32, as packs and gaps are
        (said(12.7, 1), "12.7 mm", '1/2"'),
        (said(-21.0), "-21 mm", '-13/16"'),
        (said(12.7), "12.5 mm", '1/2"'),
        (said_between(-7.4, 2369.75), "2377.5 mm", "7' 9 19/32\""),
        (said(4.0, 1, plus=True), "+4 mm", '+5/32"'),
        (said(0.0, 1, plus=True), "0 mm", '0"'),
        (said(-0.04, 1), "0 mm", '0"'),
        (said(0.3, 1), "0.3 mm", 'under 1/32"'),
        (said(12345.678, 1), "12345.7 mm", "40' 6 1/16\""),
    ],
)
def test_what_is_said_is_spelled(token: str, plain: str, imperial: str) -> None:
    assert plain.lstrip("+") in token  # readable as it stands
    assert spell(f"of {token} at most", "mm") == f"of {plain} at most"
    assert spell(f"of {token} at most", "feet-inches") == f"of {imperial} at most"


def test_texts_without_tokens_stay_as_they_are() -> None:
    for text in ("3 mm", "a ⟨note⟩ of the user", "⟨word:plasterboard⟩", ""):
        assert spell(text, "feet-inches") == text.replace("⟨word:plasterboard⟩", "plasterboard")


@given(st.floats(0, 50_000), st.integers(0, 1))
def test_a_length_is_rounded_once_however_it_is_said(mm: float, places: int) -> None:
    """The text says the same as the tables: what the token rounds away is not lost."""
    read = parse_length(spell(said(mm, places), "feet-inches").removeprefix("under "))
    assert abs(read - mm) <= 25.4 / 64 + 0.0001 + 1e-6 or mm < 0.5
    step = 0.1 if places else 0.5
    assert abs(parse_length(spell(said(mm, places), "mm")) - mm) <= step / 2 + 1e-6


@pytest.mark.parametrize(
    ("mm", "plain", "imperial"),
    [
        (25.0, "25", '31/32"'),  # nearest would be 31/32 too
        (19.0, "19", '23/32"'),  # nearest is 3/4, which is 19.05: too long
        (19.05, "19", '3/4"'),
        (38.18, "38.1", '1 1/2"'),
        (0.2, "0.2", '0"'),
    ],
)
def test_what_may_not_be_passed_is_rounded_down(mm: float, plain: str, imperial: str) -> None:
    assert format_most(mm) == plain
    assert format_most(mm, "feet-inches") == imperial
    assert parse_length(imperial) <= mm + 1e-6


@pytest.mark.parametrize(
    ("mm", "imperial"), [(1.5, "1.5 mm"), (2.0, "2 mm"), (10.0, "10 mm"), (3.175, '1/8"')]
)
def test_a_packer_keeps_the_size_it_was_bought_in(mm: float, imperial: str) -> None:
    assert format_piece(mm, "feet-inches") == imperial
    assert " mm" not in format_piece(mm)


def test_metres_are_feet_where_feet_are_printed() -> None:
    assert spell(f"{said_metres(19.2)} of bead", "mm") == "19.2 m of bead"
    assert spell(f"{said_metres(19.2)} of bead", "feet-inches") == "63.0 ft of bead"


@pytest.mark.parametrize(
    ("slope", "plain", "imperial"),
    [
        (2.3, "+2.3 mm per m", "+9/32\" in 10'"),
        (-1.0, "-1.0 mm per m", "-1/8\" in 10'"),
        (0.0, "+0.0 mm per m", "+0\" in 10'"),
    ],
)
def test_a_fall_over_ten_feet(slope: float, plain: str, imperial: str) -> None:
    """By hand: 2.3 mm per m is 7.01 mm in 3.048 m, 0.276 in; 1 mm per m is 0.12 in."""
    assert format_fall(slope) == plain
    assert format_fall(slope, "feet-inches") == imperial
