"""A carpenter's own case: several stock lengths and prices, a rack, few of many parts. How often
is the plan proved, how fast, and does another solver ever find a cheaper one?

The jobs are generated (invented), seeds 0 up; kerf, trims, several stocks and prices, lengths on
hand, a rack, a least keep, some pooled. Every plan goes through `sawn`, which knows only the
parts, the stock and the rules. Times are processor seconds of one thread.

    python -m benchmarks.cutting_jobs --jobs 200 --seconds 5 --beside 40
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from truehang.cutting import CutRules, CuttingPlan, Offcut, Part, Stock, cut_lengths
from truehang.money import Money

LENGTHS = (2400, 2700, 3000, 3600, 4200, 4800, 5400, 6000)


@dataclass(frozen=True)
class Request:
    """What one generated job asks of the saw."""

    parts: tuple[Part, ...]
    stocks: tuple[Stock, ...]
    rack: tuple[Offcut, ...]
    rules: CutRules


def request(seed: int) -> Request:
    """The job of a seed: always the same."""
    draw = random.Random(seed)
    kinds = draw.sample(LENGTHS, draw.choice([1, 2, 3, 3, 4]))
    rate = draw.uniform(3, 9)
    stocks = [
        Stock(
            f"s{length}", "section", float(length),
            Money(round(rate * length / 1000 * draw.uniform(0.88, 1.12) * 20) * 5, "AUD"),
            draw.choice([None] * 5 + [draw.randint(1, 4)]),
        )
        for length in kinds
    ]  # fmt: skip
    if all(stock.on_hand for stock in stocks):
        stocks[0] = replace(stocks[0], on_hand=None)
    longest = max(stock.length_mm for stock in stocks if stock.on_hand is None)
    pooled = draw.random() < 0.25
    parts = []
    for number in range(draw.randint(4, 20) * (2 if pooled else 1)):
        kind = draw.random()
        low, high = next(
            band
            for share, band in (
                (0.3, (150, 600)), (0.6, (600, 1500)), (0.9, (1800, 2600)), (1.0, (2600, 3600))
            )
            if kind < share
        )  # fmt: skip
        length = round(min(draw.uniform(low, high), longest - 30) * 2) / 2
        count = draw.choice([1, 1, 1, 2, 2, 2, 3, 4, 6])
        parts.append(Part(f"p{number}", "section", length, count, f"job-{number % 3 * pooled}"))
    rack = [
        Offcut(f"r{number}", "section", float(round(draw.uniform(600, 3000))))
        for number in range(draw.choice([0, 0, 2, 4, 6, 8]))
    ]
    rules = CutRules(
        draw.choice([2.0, 2.5, 3.0, 4.0]),
        draw.choice([0.0, 5.0, 10.0]),
        draw.choice([300.0, 600.0, 900.0]),
    )
    return Request(tuple(parts), tuple(stocks), tuple(rack), rules)


def sawn(asked: Request, plan: CuttingPlan) -> list[str]:
    """What a saw that follows the plan would find wrong; nothing, if all is well."""
    wrong: list[str] = []
    made: Counter[tuple[str, float]] = Counter()
    used: Counter[str] = Counter()
    lengths = {stock.id: stock.length_mm for stock in asked.stocks}
    lengths |= {piece.id: piece.length_mm for piece in asked.rack}
    at_most = {stock.id: stock.on_hand for stock in asked.stocks}
    at_most |= {piece.id: 1 for piece in asked.rack}
    for line in plan.lines:
        used[line.stock] += 1
        left = lengths[line.stock] - asked.rules.end_trim_mm
        for cut in line.cuts:
            left -= cut.length_mm
            if left < -0.05:
                wrong.append(f"length {line.number} of {line.stock} ends {-left:.1f} short")
            left -= asked.rules.kerf_mm
            made[cut.part, cut.length_mm] += 1
        if abs(max(left, 0.0) - line.remainder_mm) > 0.05:
            wrong.append(f"length {line.number} leaves {left:.1f}, not {line.remainder_mm:.1f}")
    wanted = Counter({(part.id, part.length_mm): part.count for part in asked.parts})
    if made != wanted:
        wrong.append(f"cut {made - wanted} too much and {wanted - made} too little")
    for stock, count in used.items():
        limit = at_most[stock]
        if limit is not None and count > limit:
            wrong.append(f"{count} of {stock}, where {limit} are")
    return wrong


def cost_by_cp_sat(asked: Request, known: int, seconds: float) -> tuple[int | None, bool]:
    """The cost that OR-Tools CP-SAT finds in its textbook assignment model, and whether it proves
    it; one worker. `known` is a cost that can be reached: it bounds how many lengths to offer."""
    from ortools.sat.python import cp_model

    def tenths(mm: float) -> int:
        return round(mm * 10)

    kerf, trim = tenths(asked.rules.kerf_mm), tenths(asked.rules.end_trim_mm)
    pieces = sum(part.count for part in asked.parts)
    bins: list[tuple[int, int, str]] = [
        (tenths(piece.length_mm) - trim + kerf, 0, piece.id) for piece in asked.rack
    ]
    for stock in asked.stocks:
        price = stock.price.minor if stock.price else 0
        most = min(pieces, known // price if price else pieces)
        most = most if stock.on_hand is None else min(most, stock.on_hand)
        bins += [(tenths(stock.length_mm) - trim + kerf, price, stock.id)] * most
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in bins]
    made = [[model.new_int_var(0, part.count, "") for _ in bins] for part in asked.parts]
    for row, part in zip(made, asked.parts, strict=True):
        model.add(sum(row) == part.count)
    for number, (room, _, kind) in enumerate(bins):
        load = sum(
            (tenths(part.length_mm) + kerf) * made[row][number]
            for row, part in enumerate(asked.parts)
        )
        model.add(load <= room * taken[number])
        if number and bins[number - 1][2] == kind:
            model.add_implication(taken[number], taken[number - 1])
    model.minimize(sum(price * t for (_, price, _), t in zip(bins, taken, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, False
    return round(solver.objective_value), status == cp_model.OPTIMAL


def compared(seeds: Sequence[int], seconds: float) -> tuple[int, int, int]:
    """Over these seeds: where the other solver was cheaper, dearer, and where it proved its own."""
    cheaper = dearer = proved = 0
    for seed in seeds:
        asked = request(seed)
        plan = cut_lengths(asked.parts, asked.stocks, asked.rack, asked.rules)
        mine = plan.total.minor if plan.total else 0
        cost, sure = cost_by_cp_sat(asked, mine, seconds)
        proved += sure
        if cost is None or cost > mine:
            dearer += 1
        elif cost < mine:
            cheaper += 1
            print(f"  seed {seed}: {mine} here, {cost} there")
    return cheaper, dearer, proved


def main() -> None:
    """Print the counts and times."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--jobs", type=int, default=200, help="how many, from seed 0")
    ask.add_argument("--seconds", type=float, default=5.0, help="for each job of the other solver")
    ask.add_argument("--beside", type=int, default=40, help="how many go to the other solver too")
    given = ask.parse_args()
    took, proved, faults = [], 0, 0
    for seed in range(given.jobs):
        asked = request(seed)
        start = time.process_time()
        plan = cut_lengths(asked.parts, asked.stocks, asked.rack, asked.rules)
        took.append(time.process_time() - start)
        proved += plan.proved
        for fault in sawn(asked, plan):
            faults += 1
            print(f"  seed {seed}: {fault}")
    took.sort()
    within = sum(seconds <= 5 for seconds in took)
    print(
        f"{given.jobs} jobs: {proved} proved (aim 95 %), {within} within 5 s, {faults} faults at "
        f"the saw; median {statistics.median(took):.3f} s, 95 % {took[len(took) * 95 // 100]:.3f} "
        f"s, most {took[-1]:.2f} s (aim 10)"
    )
    if given.beside:
        step = max(1, given.jobs // given.beside)
        seeds = range(0, given.jobs, step)
        cheaper, dearer, sure = compared(seeds, given.seconds)
        print(
            f"beside CP-SAT, {given.seconds:g} s each, {len(seeds)} jobs: it was cheaper on "
            f"{cheaper} (aim 0), dearer on {dearer}, and proved {sure}"
        )


if __name__ == "__main__":
    main()
