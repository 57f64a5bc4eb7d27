"""Which boards are bought, and which pieces are cut from each? Exact, for pieces of given sizes.

A board is cut across into lengths, and a length is ripped along into pieces; pieces keep the
board's direction. All ways to fill one board are listed, and the cheapest set of boards is chosen
by dynamics over what is left, or by HiGHS where there are many pieces or few boards on hand.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import highspy

Size = tuple[int, int]
"""A piece in tenths of a millimetre: along the board, and across it."""

MOST_STEPS = 400_000
"""Up to so many looks the dynamics are quicker than the programme."""
MOST_FILLS = 20_000
MOST_NODES = 200
"""How long the programme looks for less cost: a count, so that the answer is the same anywhere."""
SHARES = (0.0, 0.1, 0.25, 0.4, 0.5)


@dataclass(frozen=True, slots=True)
class BoardKind:
    """A board in tenths of a millimetre, with its cost and how many there are."""

    id: str
    length: int
    width: int
    cost: int
    on_hand: int | None = None


@dataclass(frozen=True, slots=True)
class Fill:
    """What one board of kind `kind` gives: counts of the piece sizes."""

    kind: int
    counts: tuple[int, ...]


@lru_cache(maxsize=50_000)
def crosscuts(pieces: tuple[Size, ...], width: int) -> tuple[tuple[Size, ...], ...]:
    """The pieces grouped into lengths of one board, shortest in all: pieces of a group lie beside
    each other. The longest piece left opens a group; what lies beside it is tried every way."""
    if not pieces:
        return ()
    ordered = sorted(pieces, reverse=True)
    first, rest = ordered[0], ordered[1:]
    best: tuple[int, tuple[tuple[Size, ...], ...]] | None = None
    for beside, others in _beside(tuple(rest), width - first[1]):
        groups = ((first, *beside), *crosscuts(others, width))
        total = sum(group[0][0] for group in groups)
        if best is None or total < best[0]:
            best = (total, groups)
    assert best is not None
    return best[1]


def _beside(
    rest: tuple[Size, ...], room: int
) -> Iterator[tuple[tuple[Size, ...], tuple[Size, ...]]]:
    """Every choice of pieces that go into the room across, with the pieces left; each once."""
    yield (), rest
    tried: set[Size] = set()
    for place, piece in enumerate(rest):
        if piece[1] <= room and piece not in tried:
            tried.add(piece)
            for more, left in _beside(rest[place + 1 :], room - piece[1]):
                yield (piece, *more), (*rest[:place], *left)


def fits(pieces: Sequence[Size], board: BoardKind) -> bool:
    """Whether all pieces come from one board."""
    if any(across > board.width for _, across in pieces):
        return False
    if sum(along * across for along, across in pieces) > board.length * board.width:
        return False
    groups = crosscuts(tuple(sorted(pieces, reverse=True)), board.width)
    return sum(group[0][0] for group in groups) <= board.length


def fills(sizes: Sequence[Size], counts: Sequence[int], boards: Sequence[BoardKind]) -> list[Fill]:
    """Every way to fill one board, each with the cheapest board that gives it."""
    order = sorted(range(len(boards)), key=lambda k: (boards[k].cost, k))
    found: list[Fill] = []

    def extend(first: int, held: list[int], pieces: list[Size]) -> None:
        for item in range(first, len(sizes)):
            if held[item] == counts[item] or len(found) >= MOST_FILLS:
                continue
            held[item] += 1
            pieces.append(sizes[item])
            holders = [kind for kind in order if fits(pieces, boards[kind])]
            unlimited = next((k for k in holders if boards[k].on_hand is None), None)
            for kind in holders:
                if boards[kind].on_hand is not None or kind == unlimited:
                    found.append(Fill(kind, tuple(held)))
            if holders:
                extend(item, held, pieces)
            held[item] -= 1
            pieces.pop()

    extend(0, [0] * len(sizes), [])
    return found


def shares(size: Size, boards: Sequence[BoardKind]) -> tuple[float, ...]:
    """What a piece costs at least, as its share of a board, for each threshold in SHARES.

    At every place along a board the pieces beside each other have widths that add up to the board's
    at most. So do these shares of its width: 1 for a piece so wide that only narrow ones lie beside
    it, 0 for a narrow one, the plain fraction between (a dual feasible function: Fekete and
    Schepers, *Mathematical Programming* 91, 2001). For each threshold the sum over pieces, each
    with the board that is best for it, bounds the cost of any set of boards.
    """
    along, across = size
    holders = [b for b in boards if b.length >= along and b.width >= across]

    def share(part: float, narrow: float) -> float:
        if part > 1 - narrow:
            return 1.0
        return part if part >= narrow else 0.0

    return tuple(
        along
        * min((share(across / b.width, narrow) * b.cost / b.length for b in holders), default=0.0)
        for narrow in SHARES
    )


def load_bound(sizes: Sequence[Size], counts: Sequence[int], boards: Sequence[BoardKind]) -> int:
    """What any set of boards for these pieces costs at least, by the shares of the pieces."""
    rows = [
        [count * part for part in shares(size, boards)]
        for size, count in zip(sizes, counts, strict=True)
    ]
    return math.ceil(max(map(sum, zip(*rows, strict=True)), default=0) - 1e-6)


def cheapest(
    sizes: Sequence[Size], counts: Sequence[int], boards: Sequence[BoardKind]
) -> tuple[int, list[Fill], bool] | None:
    """The least cost of boards that give all pieces, the boards, and whether it is proved least:
    it isn't where there were too many ways to list. None: they can't be had."""
    ways = fills(sizes, counts, boards)
    states = 1
    for count in counts:
        states *= count + 1
    limited = any(board.on_hand is not None for board in boards)
    if limited or states * len(ways) > MOST_STEPS:
        found, proved = _by_programme(counts, boards, ways)
    else:
        found, proved = _by_dynamics(counts, boards, ways), True
    return None if found is None else (*found, proved and len(ways) < MOST_FILLS)


def _by_dynamics(
    counts: Sequence[int], boards: Sequence[BoardKind], ways: Sequence[Fill]
) -> tuple[int, list[Fill]] | None:
    by_first: dict[int, list[Fill]] = {}
    for way in ways:
        first = next(item for item, count in enumerate(way.counts) if count)
        by_first.setdefault(first, []).append(way)
    known: dict[tuple[int, ...], tuple[int, Fill | None] | None] = {}

    def least(left: tuple[int, ...]) -> tuple[int, Fill | None] | None:
        if not any(left):
            return (0, None)
        if left in known:
            return known[left]
        best: tuple[int, Fill | None] | None = None
        first = next(item for item, count in enumerate(left) if count)
        for way in by_first.get(first, []):
            if any(a > b for a, b in zip(way.counts, left, strict=True)):
                continue
            cost = boards[way.kind].cost
            if best is not None and cost >= best[0]:
                continue
            after = least(tuple(b - a for a, b in zip(way.counts, left, strict=True)))
            if after is not None and (best is None or cost + after[0] < best[0]):
                best = (cost + after[0], way)
        known[left] = best
        return best

    left = tuple(counts)
    answer = least(left)
    if answer is None:
        return None
    chosen: list[Fill] = []
    while any(left):
        step = least(left)
        assert step is not None
        assert step[1] is not None
        chosen.append(step[1])
        left = tuple(b - a for a, b in zip(step[1].counts, left, strict=True))
    return answer[0], chosen


def _quiet() -> highspy.Highs:
    """A solver that is silent from the start; it is loaded by the first job that asks for it."""
    import highspy

    class Quiet(highspy.Highs):  # type: ignore[misc, unused-ignore]
        def enableCallbacks(self) -> None:
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet()  # type: ignore[no-untyped-call]


def _by_programme(
    counts: Sequence[int],
    boards: Sequence[BoardKind],
    ways: Sequence[Fill],
) -> tuple[tuple[int, list[Fill]] | None, bool]:
    """The boards, and whether nothing costs less."""
    if not ways:
        return None, True
    import highspy

    solver = _quiet()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.99)
    solver.setOptionValue("mip_max_nodes", MOST_NODES)
    for count in counts:
        solver.addRow(float(count), float(count), 0, [], [])
    limited = {k: len(counts) + n for n, k in enumerate(
        k for k, board in enumerate(boards) if board.on_hand is not None)}  # fmt: skip
    for kind in limited:
        solver.addRow(0.0, float(boards[kind].on_hand or 0), 0, [], [])
    for column, way in enumerate(ways):
        rows = [item for item, count in enumerate(way.counts) if count]
        values = [float(way.counts[item]) for item in rows]
        if way.kind in limited:
            rows.append(limited[way.kind])
            values.append(1.0)
        cost = float(boards[way.kind].cost)
        solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    solver.run()
    proved = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if not proved and not math.isfinite(solver.getInfo().mip_gap):
        return None, True  # none was found: there are too few boards
    chosen = [
        way
        for way, times in zip(ways, solver.getSolution().col_value, strict=True)
        for _ in range(round(times))
    ]
    return (sum(boards[way.kind].cost for way in chosen), chosen), proved


def counted(pieces: Sequence[Size]) -> tuple[tuple[Size, ...], tuple[int, ...]]:
    """Different sizes, largest first, and how many of each."""
    tally = Counter(pieces)
    sizes = tuple(sorted(tally, reverse=True))
    return sizes, tuple(tally[size] for size in sizes)
