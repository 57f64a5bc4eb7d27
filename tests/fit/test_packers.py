"""Packers: sum, count and limits against every possible stack; the level line."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.fit import Floor, PackerSet, Span, floor_at, level_line, packs, stack
from truehang.fit.packers import highest_under
from truehang.lengths import between, on_tape

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
    if least is None:  # nothing makes it: what is given then is the nearest, not exact
        assert found is None or abs(sum(found) - height) <= VAN.tolerance
        return
    assert found is not None
    assert len(found) == least
    assert sum(found) == pytest.approx(height)
    assert list(found) == sorted(found, reverse=True)


def test_by_hand() -> None:
    # Worked on paper from 1, 1.5, 2, 3, 5, 6, 10.
    assert stack(0.2, VAN) == ()
    assert stack(8.0, VAN) in ((6.0, 2.0), (5.0, 3.0))
    assert stack(12.5, VAN) == (10.0, 1.5, 1.0)
    assert stack(16.0, VAN) == (10.0, 6.0)
    assert stack(20.5, VAN) == (10.0, 10.0), "20 is the most, and half a millimetre off will do"
    assert stack(20.6, VAN) is None, "over 20 in all"
    assert stack(0.5, VAN) == (), "half a millimetre either way is within the tolerance"
    assert stack(0.6, PackerSet(tolerance=0.2)) is None, "thinner than the thinnest packer"
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
    if least is not None:
        assert found is not None
        assert len(found) == least
    elif found is not None:  # nothing is exact: the nearest of all stacks, within the tolerance
        off = abs(sum(found) - halves / 2)
        assert off <= van.tolerance + 1e-9
        every = [sum(p) for n in range(pieces + 1) for p in product(van.sizes, repeat=n)]
        assert off == pytest.approx(min(abs(s - halves / 2) for s in every if s <= 20.0 + 1e-9))


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
            # from the line as a person snaps it: to half a millimetre, as it is printed
            assert abs(on_tape(line) - pack.floor - sum(pack.pieces)) <= VAN.tolerance + 1e-9
            shown = between(pack.floor, line)
            near = stack(shown, VAN)
            if near is not None and sum(near) == shown:  # what is printed beside them can be made
                assert sum(pack.pieces) == shown
            assert pack.error == pytest.approx(on_tape(line) - pack.floor - sum(pack.pieces))


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


WHOLE = PackerSet((1.0, 2.0, 3.0, 5.0, 10.0))


def test_whole_millimetre_packers_meet_a_pack_within_the_tolerance() -> None:
    # By hand, with 1, 2, 3, 5, 10 on the van and half a millimetre allowed.
    assert stack(1.3, WHOLE) == (1.0,)
    assert stack(1.7, WHOLE) == (2.0,)
    assert stack(7.4, WHOLE) == (5.0, 2.0)
    assert stack(0.4, WHOLE) == ()
    assert stack(20.6, WHOLE) is None
    assert stack(1.3, PackerSet(WHOLE.sizes, tolerance=0.2)) is None


def test_what_the_stack_is_off_is_told() -> None:
    (pack,) = packs([("a", "a", 0.0)], Floor((0.0,), (-1.3,)), 0.0, WHOLE)
    assert pack.pieces == (1.0,)
    assert pack.error == pytest.approx(0.3)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-18, 0), min_size=2, max_size=6))
def test_whole_millimetres_never_send_for_the_plane(heights: list[float]) -> None:
    line = level_line(heights, WHOLE)
    for z in heights:
        made = stack(line - z, WHOLE)
        assert made is not None
        assert abs(sum(made) - (line - z)) <= 0.5 + 1e-9


def test_the_level_line_is_over_a_hump_between_the_supports() -> None:
    # By hand: supports at 0, a hump of 6 between them: line 6, packs 6.
    floor = Floor((0.0, 500.0, 1000.0), (0.0, 6.0, 0.0))
    assert highest_under(floor, Span(0.0, 1000.0)) == (6.0, 500.0)
    assert highest_under(floor, Span(0.0, 250.0)) == (3.0, 250.0)
    line = level_line([0.0, 0.0], VAN, 6.0)
    assert line == pytest.approx(6.0)
    rows = packs([("a", "a", 0.0), ("b", "b", 1000.0)], floor, line, VAN)
    assert [pack.pieces for pack in rows] == [(6.0,), (6.0,)]


INCH = 25.4
IN_INCHES = PackerSet(
    (INCH / 16, INCH / 8, INCH / 4, 3 * INCH / 8), step=INCH / 32, style="feet-inches"
)


@pytest.mark.parametrize(
    ("sixteenths", "pieces"),
    [(1, (1,)), (2, (2,)), (3, (2, 1)), (5, (4, 1)), (6, (6,)), (7, (6, 1)), (10, (6, 4))],
)
def test_inch_packers_make_sixteenths(sixteenths: int, pieces: tuple[int, ...]) -> None:
    """Worked on paper from 1/16, 1/8, 1/4, 3/8: with a grid of half millimetres none was made."""
    found = stack(sixteenths * INCH / 16, IN_INCHES)
    assert found == pytest.approx([each * INCH / 16 for each in pieces])


def test_the_pack_that_is_printed_is_the_one_that_is_made() -> None:
    """Level line 1.555 and floor -0.215 print as 1.5 and 0, so the paper asks for 1.5: there is a
    packer of 1.5, and a 2 in the next column is a question."""
    (pack,) = packs([("mouth", "left mouth", 0.0)], Floor((0.0, 1.0), (-0.215, -0.215)), 1.555, VAN)
    assert pack.pieces == (1.5,)
    assert pack.error == pytest.approx(0.215)


@settings(max_examples=200, deadline=None)
@given(st.floats(-15, 0), st.floats(0, 3))
def test_printed_pack_and_pieces_agree(floor: float, line: float) -> None:
    """As printed, the pieces make the pack wherever any stack is exact, and they are never off the
    line that is snapped by more than the tolerance."""
    (pack,) = packs([("a", "a", 0.0)], Floor((0.0, 1.0), (floor, floor)), line, VAN)
    assert pack.pieces is not None
    assert abs(pack.error) <= VAN.tolerance + 1e-9
    shown = between(floor, line)
    if fewest(shown, VAN) is not None:
        assert sum(pack.pieces) == pytest.approx(shown)


def test_a_stack_that_is_off_says_what_it_makes() -> None:
    # arithmetic: 1.3 is wanted, whole millimetres are on the van, so 1 it is: 0.3 thinner
    van = PackerSet(sizes=(1.0, 2.0, 3.0, 5.0, 10.0))
    (short, exact) = packs(
        [("a", "a", 0.0), ("b", "b", 1000.0)], Floor((0.0, 1000.0), (-1.3, -2.0)), 0.0, van
    )
    assert short.pieces == (1.0,)
    assert short.made == pytest.approx(1.0)
    assert short.off
    assert exact.made == pytest.approx(2.0)
    assert not exact.off
    strict = PackerSet(sizes=van.sizes, tolerance=0.1)
    (refused,) = packs([("a", "a", 0.0)], Floor((0.0,), (-1.3,)), 0.0, strict)
    assert refused.pieces is None
