"""How often is the cutting plan proved best, how fast, and how do other ways do on the same lists?

Solves the published one-dimensional instances of BPPLIB (Delorme, Iori, Martello, *Optimization
Letters* 12, 2018) that are found under TRUEHANG_DATA, or in ../shared/data beside the project, and
prints for each set: proved optimal, optimum reached, mean gap, median and largest processor time.
The same instances go, in the same run and with the same time limit, to OR-Tools CP-SAT, to a plain
arc-flow model on HiGHS (Valério de Carvalho, *Annals of Operations Research* 86, 1999), and to
first-fit decreasing. Nothing is copied from the data; where it is absent the script says so.

    python -m benchmarks.cutting --sets falkenauer_t,scholl1 --sample 10 --seconds 10
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import highspy
import numpy as np
from benchmarks.published import data_folder, drawn

from truehang.cutting.bins import (
    Problem,
    first_fit_decreasing,
    is_sound,
    packing,
    problem,
)
from truehang.cutting.request import Effort
from truehang.cutting.search import solve

DEFAULT_SETS = (
    "falkenauer_u", "falkenauer_t", "scholl1", "scholl2", "scholl3", "schwerin", "hard28",
)  # fmt: skip


@dataclass(frozen=True)
class Instance:
    """One published instance; `best` is the proven optimum, None where bounds differ."""

    name: str
    of: Problem
    best: int | None


@dataclass(frozen=True)
class Outcome:
    """What one way made of one instance."""

    bins: int | None
    bound: int
    seconds: float


def instances(file: Path) -> Iterator[Instance]:
    """The instances of one set."""
    for line in file.read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        of = problem(
            [size for size, _ in row["items"]],
            [demand for _, demand in row["items"]],
            [row["capacity"]],
            [1],
            [None],
        )
        known = row["best_upper"] if row["best_lower"] == row["best_upper"] else None
        yield Instance(row["name"], of, known)


def by_truehang(of: Problem, seconds: float) -> Outcome:
    """This project's way."""
    answer = solve(of, Effort(dives=12, nodes=2_000, columns=60_000, seconds=seconds))
    if answer.packing is None or not is_sound(of, answer.packing):
        raise SystemExit("an unsound packing: this is a fault of the project")
    return Outcome(answer.packing.cost, answer.bound, 0.0)


def by_first_fit(of: Problem, seconds: float) -> Outcome:
    """First-fit decreasing and the plain load bound."""
    uses = first_fit_decreasing(of)
    load = sum(size * count for size, count in zip(of.sizes, of.demands, strict=True))
    bins = None if uses is None else packing(of, uses).cost
    return Outcome(bins, -(-load // of.capacities[0]), 0.0)


def by_cp_sat(of: Problem, seconds: float) -> Outcome:
    """OR-Tools CP-SAT on the textbook assignment model, one worker, first-fit answer to start."""
    from ortools.sat.python import cp_model

    start = by_first_fit(of, seconds)
    model = cp_model.CpModel()
    bins = range(start.bins or 0)
    used = [model.new_bool_var("") for _ in bins]
    made = [[model.new_int_var(0, demand, "") for _ in bins] for demand in of.demands]
    for item, demand in enumerate(of.demands):
        model.add(sum(made[item]) == demand)
    for b in bins:
        load = sum(size * made[item][b] for item, size in enumerate(of.sizes))
        model.add(load <= of.capacities[0] * used[b])
        if b:
            model.add_implication(used[b], used[b - 1])
    model.add(sum(used) >= start.bound)
    model.minimize(sum(used))
    filled = [p for p, times in (first_fit_decreasing(of) or {}).items() for _ in range(times)]
    for b, pattern in enumerate(filled):
        model.add_hint(used[b], True)
        for item, count in enumerate(pattern.counts):
            model.add_hint(made[item][b], count)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    bins_used = (
        round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    )
    return Outcome(bins_used, max(start.bound, int(solver.best_objective_bound + 1 - 1e-6)), 0.0)


def by_arc_flow(of: Problem, seconds: float) -> Outcome:
    """A plain arc-flow model on HiGHS: nodes are fills, arcs are items (largest first) or waste."""
    capacity = of.capacities[0]
    arcs: set[tuple[int, int, int]] = set()
    reach = {0}
    for item, size in enumerate(of.sizes):
        for node in sorted(reach):
            at = node
            for _ in range(of.demands[item]):
                if at + size > capacity:
                    break
                arcs.add((at, at + size, item))
                at += size
                reach.add(at)
    nodes = sorted(reach | {capacity})
    row = {node: k for k, node in enumerate(nodes)}
    table = sorted(arcs) + [(a, b, -1) for a, b in pairwise(nodes)]
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("mip_abs_gap", 0.99)
    model = highspy.HighsLp()
    rows, columns = len(nodes) + len(of.sizes), len(table) + 1
    model.num_col_, model.num_row_ = columns, rows
    model.col_cost_ = np.eye(1, columns, columns - 1)[0]
    model.col_lower_ = np.zeros(columns)
    model.col_upper_ = np.full(columns, highspy.kHighsInf)
    balance = np.zeros(rows)
    lower, upper = balance.copy(), balance.copy()
    lower[len(nodes) :] = of.demands
    upper[len(nodes) :] = highspy.kHighsInf
    starts, index, value = [0], [], []
    for tail, head, item in table:
        index += [row[tail], row[head]]
        value += [-1.0, 1.0]
        if item >= 0:
            index.append(len(nodes) + item)
            value.append(1.0)
        starts.append(len(index))
    index += [row[0], row[capacity]]
    value += [1.0, -1.0]
    starts.append(len(index))
    model.row_lower_, model.row_upper_ = lower, upper
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.asarray(starts, dtype=np.int32)
    model.a_matrix_.index_ = np.asarray(index, dtype=np.int32)
    model.a_matrix_.value_ = np.asarray(value)
    model.integrality_ = [highspy.HighsVarType.kInteger] * columns
    solver.passModel(model)
    solver.run()
    info = solver.getInfo()
    solved = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    bound = info.mip_dual_bound
    load = by_first_fit(of, seconds).bound
    whole = max(load, int(bound + 1 - 1e-6)) if np.isfinite(bound) else load
    return Outcome(round(info.objective_function_value) if solved else None, whole, 0.0)


WAYS: dict[str, Callable[[Problem, float], Outcome]] = {
    "truehang": by_truehang,
    "cp-sat": by_cp_sat,
    "arc-flow": by_arc_flow,
    "first-fit": by_first_fit,
}


def timed(way: Callable[[Problem, float], Outcome], of: Problem, seconds: float) -> Outcome:
    """The outcome with the processor seconds it took."""
    start = time.process_time()
    found = way(of, seconds)
    return Outcome(found.bins, found.bound, time.process_time() - start)


def report(name: str, way: str, cases: list[Instance], found: list[Outcome], limit: float) -> str:
    """One line of the table."""
    proved = sum(
        out.bins is not None and out.bins <= out.bound and out.seconds <= limit for out in found
    )
    reached = sum(
        case.best is not None and out.bins == case.best
        for case, out in zip(cases, found, strict=True)
    )
    gaps = [1.0 if out.bins is None else (out.bins - out.bound) / out.bins for out in found]
    took = [out.seconds for out in found]
    return (
        f"{name:<16}{way:<10}{len(cases):>6}{proved:>8}{reached:>9}"
        f"{statistics.fmean(gaps):>10.3%}{statistics.median(took):>9.3f}{max(took):>9.2f}"
    )


def main() -> None:
    """Run the sets that are present."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--sets", default=",".join(DEFAULT_SETS), help="file names without .jsonl")
    ask.add_argument("--ways", default=",".join(WAYS), help="truehang, cp-sat, arc-flow, first-fit")
    ask.add_argument("--limit", type=int, default=None, help="only the first N of each set")
    ask.add_argument("--sample", type=int, default=None, help="N of each set, drawn with seed 0")
    ask.add_argument("--seconds", type=float, default=10.0, help="limit for each instance")
    ask.add_argument("--names", action="store_true", help="name what was not proved")
    given = ask.parse_args()
    folder = data_folder("cutting")
    if folder is None:
        print("No published instances here: set TRUEHANG_DATA to their folder. Nothing was run.")
        return
    print(f"{'set':<16}{'way':<10}{'cases':>6}{'proved':>8}{'optimum':>9}"
          f"{'mean gap':>10}{'median s':>9}{'most s':>9}")  # fmt: skip
    totals: Counter[str] = Counter()
    for name in given.sets.split(","):
        file = folder / f"{name}.jsonl"
        if not file.is_file():
            print(f"{name:<16}not here, left out")
            continue
        cases = drawn(list(instances(file)), given.sample)
        cases = cases[: given.limit]
        for way in given.ways.split(","):
            found = [timed(WAYS[way], case.of, given.seconds) for case in cases]
            print(report(name, way, cases, found, given.seconds), flush=True)
            totals[way] += len(cases)
            if given.names:
                for case, out in zip(cases, found, strict=True):
                    if out.bins is None or out.bins > out.bound or out.seconds > given.seconds:
                        print(f"    {case.name}: {out.bins} over {out.bound}, {out.seconds:.1f} s")
    print("Times are processor seconds of one thread.")


if __name__ == "__main__":
    main()
