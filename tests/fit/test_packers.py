"""Packers: sum, count and limits against every possible stack; the level line."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.fit import Floor, PackerSet, floor_at, level_line, packs, stack

VAN = PackerSet()


def fewest(height: float, van: PackerSet) -> int | None:
    """Fewest pieces by trying every tuple of packers, a different way from the room's."""
    target = round(height / van.step + 1e-9) * van.step
    for count in range(van.pieces_most + 1):
        for pieces in product(van.sizes, repeat=count):
            total = sum(pieces)
            if abs(total - target) < 1e-9 and total <= van.total_most + 1e-9:
                return count
    return None


@pytest.mark.parametrize("halves", range(46))
def test_against_every_stack(halves: int) -> None:
    height = halves / 2
    found, least = stack(height, VAN), fewest(height, VAN)
    assert (found is None) == (least is None)
    if found is not None:
        assert len(found) == least
        assert sum(found) == pytest.approx(height)
        assert list(found) == sorted(found, reverse=True)


def test_by_hand() -> None:
    # Worked on paper from 1, 1.5, 2, 3, 5, 6, 10.
    assert stack(0.2, VAN) == ()
    assert stack(8.0, VAN) in ((6.0, 2.0), (5.0, 3.0))
    assert stack(12.5, VAN) == (10.0, 1.5, 1.0)
    assert stack(16.0, VAN) == (10.0, 6.0)
    assert stack(20.5, VAN) is None, "over 20 in all"
    assert stack(0.5, VAN) is None, "thinner than the thinnest packer"
    assert stack(-1.0, VAN) is None


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from([1, 1.5, 2, 2.5, 3, 4, 5, 8, 10]), min_size=1, max_size=5),
    st.integers(1, 3),
    st.integers(0, 44),
)
def test_other_vans_against_every_stack(sizes: list[float], pieces: int, halves: int) -> None:
    van = PackerSet(tuple(sizes), pieces, 20.0)
    found, least = stack(halves / 2, van), fewest(halves / 2, van)
    assert (None if found is None else len(found)) == least


@settings(max_examples=80, deadline=None)
@given(st.lists(st.floats(-18, 0), min_size=2, max_size=6))
def test_level_line_is_over_every_support(heights: list[float]) -> None:
    line = level_line(heights, VAN)
    assert max(heights) <= line <= max(heights) + 3.0
    floor = Floor(tuple(1000.0 * at for at in range(len(heights))), tuple(heights))
    supports = [(str(at), str(at), 1000.0 * at) for at in range(len(heights))]
    for pack in packs(supports, floor, line, VAN):
        assert pack.height == pytest.approx(line - pack.floor)
        if pack.pieces is not None:
            assert abs(pack.height - sum(pack.pieces)) <= 0.25 + 1e-9
            assert pack.error == pytest.approx(pack.height - sum(pack.pieces))


def test_least_pack_grows_when_a_half_cannot_be_made() -> None:
    # 0.5 can't be made from packers of 1 and up; 1.5 and 1 can, so the line goes up by 1.
    assert level_line([0.0, -0.5], VAN) == pytest.approx(1.0)
    assert level_line([0.0, -8.0], VAN) == pytest.approx(0.0)
    assert level_line([0.0, -8.0], PackerSet(least=2.0)) == pytest.approx(2.0)


def test_floor_between_and_beyond_stations() -> None:
    floor = Floor((0.0, 1000.0), (0.0, -5.0))
    assert [floor_at(floor, x) for x in (-100, 0, 400, 1000, 2000)] == [0, 0, -2, -5, -5]


@pytest.mark.parametrize(
    ("x", "z", "words"),
    [
        ((0.0, 1.0), (0.0,), "one z for each x"),
        ((1.0, 1.0), (0.0, 0.0), "must rise"),
        ((), (), "one z for each x"),
        ((0.0,), (float("nan"),), "give a length"),
    ],
)
def test_bad_floor_is_named(x: tuple[float, ...], z: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Floor(x, z)


def test_bad_packers_are_named() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        PackerSet((1.0, -2.0))
