"""Two ways to the cheapest boards, dynamics and an integer programme (HiGHS), agree; and what is
cut from a board lies on it."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.lining import pool
from truehang.lining.pool import BoardKind, Bought, Size, cheapest, counted, crosscuts

KINDS = tuple(
    BoardKind(f"{width}x{length}", length, width, round(length * width * price))
    for width, length, price in ((1200, 2400, 1e-3), (1200, 3600, 9e-4), (1350, 3000, 1.1e-3))
)
PIECES = st.lists(st.tuples(st.integers(200, 3600), st.integers(100, 1200)), min_size=1, max_size=7)


def checked(bought: Bought, pieces: list[Size]) -> int:
    """The cost of boards that give just these pieces."""
    sizes, counts = counted(pieces)
    given: Counter[Size] = Counter()
    for fill in bought.fills:
        held = [size for size, n in zip(sizes, fill.counts, strict=True) for _ in range(n)]
        kind = KINDS[fill.kind]
        rows = crosscuts(tuple(sorted(held, reverse=True)), kind.width)
        assert sum(row[0][0] for row in rows) <= kind.length
        assert all(sum(across for _, across in row) <= kind.width for row in rows)
        given.update(held)
    assert given == dict(zip(sizes, counts, strict=True))
    cost = sum(KINDS[fill.kind].cost for fill in bought.fills)
    assert bought.cost == cost
    return cost


@settings(max_examples=30, deadline=None)
@given(PIECES)
def test_dynamics_and_programme_agree(pieces: list[Size]) -> None:
    sizes, counts = counted(pieces)
    one = cheapest(sizes, counts, KINDS)
    ways = pool.fills(sizes, counts, KINDS)
    other = pool._by_programme(counts, KINDS, ways)
    least = checked(one, pieces)
    assert one.proved
    assert least <= checked(other, pieces)
    if other.proved:
        assert least == other.cost
        same = pool._by_programme(counts, KINDS, ways, least + 1)
        assert (same.cost, same.proved) == (least, True)
        assert pool._by_programme(counts, KINDS, ways, least).cost is None
