"""Which boards are bought, and which pieces are cut from each? Exact, for pieces of given sizes.

A board is cut across into lengths, and a length is ripped along into pieces; pieces keep the
board's direction. All ways to fill one board are listed, and the cheapest set of boards is chosen
by dynamics over what is left, or by HiGHS where there are many pieces or few boards on hand.
"""

from __future__ import annotations

import math
import operator
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import highspy

Size = tuple[int, int]
"""A piece in tenths of a millimetre: along the board, and across it."""

MOST_STEPS = 2_000_000
"""Up to so many looks the dynamics are quicker than the programme."""
MOST_FILLS = 20_000
MOST_NODES = 200
"""How long the programme looks for less cost: a count, so that the answer is the same anywhere."""
DEAR, WAYS_DEAR = 6, 50
"""The work of a programme beside that of the dynamics: DEAR, or 1 for so many ways where there are
more."""
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


@dataclass(frozen=True, slots=True)
class Bought:
    """The boards for some pieces and their cost; no cost: they can't be had. `proved`: nothing
    costs less, or they can't be had indeed. `work` is what it took to find out: a count, so that
    whoever has only so much of it to spend comes to the same anywhere."""

    cost: int | None
    fills: tuple[Fill, ...] = ()
    proved: bool = True
    work: int = 1


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


def _holders(
    pieces: tuple[Size, ...], boards: Sequence[BoardKind], among: Sequence[int]
) -> list[int]:
    """Those boards `among` that give all pieces (longest first): boards of one width are asked
    once."""
    area, across = sum(a * b for a, b in pieces), max(piece[1] for piece in pieces)
    widths = {
        board.width
        for board in map(boards.__getitem__, among)
        if board.width >= across and board.width * board.length >= area
    }
    takes = {width: sum(row[0][0] for row in crosscuts(pieces, width)) for width in widths}
    return [k for k in among if takes.get(boards[k].width, math.inf) <= boards[k].length]


def fills(sizes: Sequence[Size], counts: Sequence[int], boards: Sequence[BoardKind]) -> list[Fill]:
    """Every way to fill one board, each with the cheapest board that gives it.

    What holds some pieces holds any of them, so that with each piece more only the boards that held
    the others are asked.
    """
    order = sorted(range(len(boards)), key=lambda k: (boards[k].cost, k))
    found: list[Fill] = []

    def extend(first: int, held: list[int], pieces: tuple[Size, ...], among: Sequence[int]) -> None:
        for item in range(first, len(sizes)):
            if held[item] == counts[item] or len(found) >= MOST_FILLS:
                continue
            held[item] += 1
            more = tuple(sorted((*pieces, sizes[item]), reverse=True))
            holders = _holders(more, boards, among)
            unlimited = next((k for k in holders if boards[k].on_hand is None), None)
            for kind in holders:
                if boards[kind].on_hand is not None or kind == unlimited:
                    found.append(Fill(kind, tuple(held)))
            if holders:
                extend(item, held, more, holders)
            held[item] -= 1

    extend(0, [0] * len(sizes), (), order)
    return found


def fullest(counts: Sequence[int], ways: Sequence[Fill]) -> list[Fill]:
    """The ways that no piece can be added to on the same board. With pieces to spare they do for
    any set of boards."""
    known = {(way.kind, way.counts) for way in ways}

    def more(way: Fill) -> Iterator[tuple[int, ...]]:
        for item, held in enumerate(way.counts):
            if held < counts[item]:
                yield (*way.counts[:item], held + 1, *way.counts[item + 1 :])

    return [way for way in ways if not any((way.kind, held) in known for held in more(way))]


def _without_spare(counts: Sequence[int], chosen: Sequence[Fill]) -> list[Fill]:
    """The same boards, each piece cut once: what was there to spare is left out of the last."""
    left, kept = list(counts), []
    for fill in chosen:
        held = tuple(map(min, fill.counts, left))
        left = [a - b for a, b in zip(left, held, strict=True)]
        if any(held):
            kept.append(replace(fill, counts=held))
    return kept


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
    sizes: Sequence[Size],
    counts: Sequence[int],
    boards: Sequence[BoardKind],
    under: float = math.inf,
) -> Bought:
    """The boards of least cost that give all pieces, for less than `under`. It isn't proved least
    where there were too many ways to list or to look through."""
    ways = fills(sizes, counts, boards)
    states = 1
    for count in counts:
        states *= count + 1
    limited = any(board.on_hand is not None for board in boards)
    if limited or states * len(ways) > MOST_STEPS:
        found = _by_programme(counts, boards, ways, under)
        found = replace(found, work=max(DEAR, len(ways) // WAYS_DEAR))
    else:
        found = _by_dynamics(counts, boards, ways, _least_each(sizes, counts, boards))
    return found if len(ways) < MOST_FILLS else replace(found, proved=False)


def _least_each(
    sizes: Sequence[Size], counts: Sequence[int], boards: Sequence[BoardKind]
) -> list[int]:
    """What a piece of each size costs at least, so that the sum over pieces bounds the cost of any
    set of boards: by that of the SHARES that gives most for all of them."""
    rows = [shares(size, boards) for size in sizes]
    sums = [sum(map(operator.mul, counts, column)) for column in zip(*rows, strict=True)]
    best = sums.index(max(sums)) if sums else 0
    return [math.floor(row[best] - 1e-6) for row in rows]


def _by_dynamics(
    counts: Sequence[int], boards: Sequence[BoardKind], ways: Sequence[Fill], each: Sequence[int]
) -> Bought:
    """What is left is one number with a field for each size: a guard bit above each stays set
    while a way takes no more of a size than is left."""
    bits = max(counts, default=0).bit_length() + 1
    guards = sum(1 << (bits * item + bits - 1) for item in range(len(counts)))

    def packed(held: Sequence[int]) -> int:
        return sum(count << (bits * item) for item, count in enumerate(held))

    field = (1 << bits) - 1
    by_first: list[list[tuple[int, int, int, Fill]]] = [[] for _ in counts]
    for way in ways:
        first = next(item for item, count in enumerate(way.counts) if count)
        floor = sum(n * least for n, least in zip(way.counts, each, strict=True))
        by_first[first].append((packed(way.counts), boards[way.kind].cost, floor, way))
    known: dict[int, tuple[int, Fill | None] | None] = {0: (0, None)}

    def least(left: int, floor: int) -> tuple[int, Fill | None] | None:
        """The cost of what is left, which is `floor` at least, and the first board of it."""
        if left in known:
            return known[left]
        best: tuple[int, Fill | None] | None = None
        first = next(item for item in range(len(counts)) if left >> (bits * item) & field)
        full = left | guards
        for taken, cost, share, way in by_first[first]:
            after = full - taken
            if after & guards != guards:
                continue
            if best is not None and cost + max(floor - share, 0) >= best[0]:
                continue
            rest = least(after ^ guards, floor - share)
            if rest is not None and (best is None or cost + rest[0] < best[0]):
                best = (cost + rest[0], way)
        known[left] = best
        return best

    floor = sum(n * least_cost for n, least_cost in zip(counts, each, strict=True))
    left = packed(counts)
    answer = least(left, floor)
    if answer is None:
        return Bought(None)
    chosen: list[Fill] = []
    while left:
        step = known[left]
        assert step is not None
        assert step[1] is not None
        chosen.append(step[1])
        left -= packed(step[1].counts)
    return Bought(answer[0], tuple(chosen))


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
    under: float = math.inf,
) -> Bought:
    """The boards that cost least, and less than `under`."""
    if not ways:
        return Bought(None)
    import highspy

    ways = fullest(counts, ways)

    solver = _quiet()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.99)
    solver.setOptionValue("mip_max_nodes", MOST_NODES)
    for count in counts:
        solver.addRow(float(count), highspy.kHighsInf, 0, [], [])
    limited = {k: len(counts) + n for n, k in enumerate(
        k for k, board in enumerate(boards) if board.on_hand is not None)}  # fmt: skip
    for kind in limited:
        solver.addRow(0.0, float(boards[kind].on_hand or 0), 0, [], [])
    cost_row = len(counts) + len(limited)
    if under < math.inf:
        solver.addRow(-highspy.kHighsInf, float(under) - 1, 0, [], [])
    for column, way in enumerate(ways):
        rows = [item for item, count in enumerate(way.counts) if count]
        values = [float(way.counts[item]) for item in rows]
        if way.kind in limited:
            rows.append(limited[way.kind])
            values.append(1.0)
        cost = float(boards[way.kind].cost)
        if under < math.inf:
            rows.append(cost_row)
            values.append(cost)
        solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Bought(None)  # too few boards, or they cost as much
    proved = status == highspy.HighsModelStatus.kOptimal
    if not proved and not math.isfinite(solver.getInfo().mip_gap):
        return Bought(None, proved=False)
    chosen = [
        way
        for way, times in zip(ways, solver.getSolution().col_value, strict=True)
        for _ in range(round(times))
    ]
    chosen = _without_spare(counts, chosen)
    return Bought(sum(boards[way.kind].cost for way in chosen), tuple(chosen), proved)


def counted(pieces: Sequence[Size]) -> tuple[tuple[Size, ...], tuple[int, ...]]:
    """Different sizes, largest first, and how many of each."""
    tally = Counter(pieces)
    sizes = tuple(sorted(tally, reverse=True))
    return sizes, tuple(tally[size] for size in sizes)
