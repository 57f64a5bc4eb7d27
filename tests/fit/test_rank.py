"""What nothing beats: by definition, on random tables."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.fit import non_dominated


def test_by_hand() -> None:
    rows = [(1600, 900), (1500, 800), (1500, 950), (1600, 900)]
    assert non_dominated(rows, ("more", "less")) == (True, True, False, True)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=25))
def test_by_definition(rows: list[tuple[int, int, int]]) -> None:
    marks = non_dominated(rows, ("more", "less", "more"))
    assert any(marks)
    for row, mark in zip(rows, marks, strict=True):
        beaten = False
        for other in rows:
            better = (other[0] >= row[0], other[1] <= row[1], other[2] >= row[2])
            strictly = (other[0] > row[0], other[1] < row[1], other[2] > row[2])
            beaten = beaten or (all(better) and any(strictly))
        assert mark == (not beaten)


def test_a_short_row_is_named() -> None:
    with pytest.raises(ValueError, match="row 1 has 1 values for 2"):
        non_dominated([(1, 2), (1,)], ("more", "less"))
