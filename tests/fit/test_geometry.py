"""Leaf, pocket and frame widths: hand-worked cases, and forward and back as properties."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.fit import (
    Symbols,
    Wishes,
    opening_for_frame,
    opening_for_leaf,
    opening_for_passage,
    options,
    symbols,
    widths,
)

lengths = st.floats(0, 200, allow_nan=False)
symbol_sets = st.builds(Symbols, lengths, lengths, lengths, lengths, lengths, lengths, lengths)


def test_single_by_hand() -> None:
    # Worked on paper: 820 + 12 + 25 = 857; 857 - 0 + 15 = 872; 35 + 872 + 820 + 35 = 1762.
    found = widths(820, Symbols(25, 12, 0, 15, 4, 35, 35), pair=False)
    assert (found.leaf, found.pocket, found.frame, found.passage) == (857, 872, 1762, 820)


def test_single_standing_out_by_hand() -> None:
    # r = 60: pocket 857 - 60 + 15 = 812; frame 35 + 812 + 820 + 35 = 1702; passage 760.
    found = widths(820, Symbols(25, 12, 60, 15, 4, 35, 35), pair=False)
    assert (found.leaf, found.pocket, found.frame, found.passage) == (857, 812, 1702, 760)


def test_pair_by_hand() -> None:
    # (1600 - 4)/2 + 25 = 823; 823 - 5 + 15 = 833; 2(35 + 833) + 1600 = 3336; 1600 - 10 = 1590.
    found = widths(1600, Symbols(25, 12, 5, 15, 4, 35, 35), pair=True)
    assert (found.leaf, found.pocket, found.frame, found.passage) == (823, 833, 3336, 1590)


def test_a_frame_of_2870_asks_for_2890(fill, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Common practice, no source: 10 each side of the frame.
    # F = 2s + C - m + 2b - 2r + 2g + C; with the timber kit 2870 = 2C + 70 - 4 + 50 + 30 + 0,
    # so C = 1362.
    request = fill(wishes=Wishes(clear_width=1362.0, arrangements=("pair",), kit="timber-90"))
    found = options(request, [kit("timber-90")], [leaf("solid-35")]).options[0]
    assert (found.frame_width, found.rough_width) == (2870, 2890)


@settings(max_examples=150, deadline=None)
@given(st.floats(300, 4000), symbol_sets, st.booleans())
def test_back_from_frame_leaf_and_passage(opening: float, sym: Symbols, pair: bool) -> None:
    wide = widths(opening, sym, pair)
    assert opening_for_frame(wide.frame, sym, pair) == pytest.approx(opening, abs=1e-6)
    assert opening_for_leaf(wide.leaf, sym, pair) == pytest.approx(opening, abs=1e-6)
    assert opening_for_passage(wide.passage, sym, pair) == pytest.approx(opening, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(st.floats(300, 4000), st.floats(1, 300), symbol_sets, st.booleans())
def test_wider_opening_wider_everything(
    opening: float, more: float, sym: Symbols, pair: bool
) -> None:
    one, two = widths(opening, sym, pair), widths(opening + more, sym, pair)
    assert two.leaf > one.leaf
    assert two.frame - one.frame == pytest.approx(2 * more)


def test_standing_out_outside_the_kits_range_names_the_limit(kit) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match="standing_out 0 to 120"):
        symbols(kit("timber-90"), 121)
