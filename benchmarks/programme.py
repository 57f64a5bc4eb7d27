"""How often is a schedule proved best, how fast, and how does a plain model do on the same lists?

Solves the published instances of PSPLIB (Kolisch and Sprecher, *EJOR* 96, 1997) that are found
under TRUEHANG_DATA, or in ../shared/data beside the project, and prints for each set: proved,
optimum or best known reached, mean gap, processor seconds. The same instances go, in the same run
and with the same limit, to a plain OR-Tools CP-SAT model with the same setting. Then the demo of 24
openings: the first schedule, the gap after the limit, and a what-if. Nothing is copied from the
data; where it is absent the script says so.

    python -m benchmarks.programme --sets j30,j60-hard --sample 10 --seconds 10
"""

from __future__ import annotations

import argparse
import json
import statistics
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from benchmarks.published import data_folder, drawn

from truehang.programme.exact import Solved, solve
from truehang.programme.first import first_schedule
from truehang.programme.network import Link, Network

SETS = ("j30", "j60", "j60-hard", "j90", "j120")


@dataclass(frozen=True)
class Instance:
    """One published instance, with its published lower and upper bound."""

    name: str
    of: Network
    lower: int
    upper: int


@dataclass(frozen=True)
class Outcome:
    """What one way made of one instance."""

    finish: int | None
    bound: int
    seconds: float

    @property
    def proved(self) -> bool:
        return self.finish is not None and self.finish <= self.bound


def instances(file: Path) -> Iterator[Instance]:
    """The instances of one set."""
    for line in file.read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        of = Network(
            tuple(row["durations"]),
            tuple(tuple((k, a) for k, a in enumerate(need) if a) for need in row["demands"]),
            tuple(row["capacities"]),
            tuple(Link(i, j) for i, after in enumerate(row["successors"]) for j in after),
        )
        known = row.get("optimum")
        lower, upper = (known, known) if known is not None else (row["lb"], row["ub"])
        yield Instance(row["name"], of, lower, upper)


def by_truehang(of: Network, seconds: float) -> Outcome:
    """This project's way."""
    answer: Solved = solve(of, sum(of.lengths) + 1, effort=1e6, seconds=seconds)
    return Outcome(answer.finish.value, answer.finish.least, 0.0)


def by_plain_model(of: Network, seconds: float) -> Outcome:
    """The ten-line model: starts, precedences, a cumulative for each resource."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    horizon = sum(of.lengths)
    starts = [model.new_int_var(0, horizon, "") for _ in of.lengths]
    spans = [
        model.new_fixed_size_interval_var(start, length, "")
        for start, length in zip(starts, of.lengths, strict=True)
    ]
    for link in of.links:
        model.add(starts[link.after] >= starts[link.before] + of.lengths[link.before])
    for resource, capacity in enumerate(of.capacities):
        uses = [(spans[i], a) for i, need in enumerate(of.needs) for r, a in need if r == resource]
        model.add_cumulative([span for span, _ in uses], [a for _, a in uses], capacity)
    finish = model.new_int_var(0, horizon, "")
    model.add_max_equality(finish, [s + d for s, d in zip(starts, of.lengths, strict=True)])
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 0
    over, until = threading.Event(), time.process_time() + seconds

    def watch() -> None:
        while not over.wait(0.05):
            if time.process_time() > until:
                solver.stop_search()
                return

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    status = solver.solve(model)
    over.set()
    watcher.join()
    there = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Outcome(
        round(solver.objective_value) if there else None,
        int(solver.best_objective_bound + 1 - 1e-6), 0.0,
    )  # fmt: skip


WAYS: dict[str, Callable[[Network, float], Outcome]] = {
    "truehang": by_truehang,
    "plain": by_plain_model,
}


def timed(way: Callable[[Network, float], Outcome], of: Network, seconds: float) -> Outcome:
    """The outcome with the processor seconds it took."""
    start = time.process_time()
    found = way(of, seconds)
    return Outcome(found.finish, found.bound, time.process_time() - start)


def report(name: str, way: str, cases: list[Instance], found: list[Outcome]) -> str:
    """One line of the table. A finish under a published bound is a fault, and stops the run."""
    for case, out in zip(cases, found, strict=True):
        if out.bound > case.upper or (out.finish is not None and out.finish < case.lower):
            raise SystemExit(f"{case.name} by {way}: {out} against {case.lower} to {case.upper}")
    reached = sum(
        out.finish is not None and out.finish <= case.upper
        for case, out in zip(cases, found, strict=True)
    )
    gaps = [1.0 if o.finish is None else (o.finish - o.bound) / o.finish for o in found]
    took = [out.seconds for out in found]
    return (
        f"{name:<10}{way:<10}{len(cases):>6}{sum(o.proved for o in found):>8}{reached:>9}"
        f"{statistics.fmean(gaps):>10.2%}{statistics.median(took):>9.2f}{max(took):>9.2f}"
    )


def lofts(seconds: float) -> Iterator[str]:
    """The demo of 24 openings: first schedule, proved gap, a what-if, each in processor seconds."""
    from truehang import catalogue, demo
    from truehang.job import load
    from truehang.plan import plan
    from truehang.plan.own_materials import with_own
    from truehang.plan.programme_tasks import pooled, request
    from truehang.programme.blocks import joined
    from truehang.programme.make import axis_of, programme
    from truehang.programme.what_if import what_if

    bought = catalogue.load()
    plans = [plan(load(text), bought) for _, text in demo.files("tannery-lofts")]
    found = [request(one, with_own(bought, one.job)) for one in plans]
    asked = pooled([(one[0], "") for one in found if one])
    made = joined(asked, axis_of(asked, 400))
    start = time.process_time()
    first_schedule(made.network, len(made.axis))
    yield f"first schedule of {len(made.network)} works: {time.process_time() - start:.3f} s"
    start = time.process_time()
    answer = solve(made.network, len(made.axis), effort=1e6, seconds=seconds)
    yield (
        f"finish {answer.finish.value}, at least {answer.finish.least}: {answer.finish.gap:.2%} "
        f"in {time.process_time() - start:.1f} s"
    )
    known = programme(asked)
    start = time.process_time()
    what_if(asked, known, "painter only mon, wed, fri")
    yield f"a what-if: {time.process_time() - start:.2f} s"


def main() -> None:
    """Run the sets that are present, then the demo."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--sets", default=",".join(SETS), help="file names without .jsonl")
    ask.add_argument("--ways", default=",".join(WAYS), help="truehang, plain")
    ask.add_argument("--sample", type=int, default=None, help="N of each set, drawn with seed 0")
    ask.add_argument("--seconds", type=float, default=10.0, help="limit for each instance")
    given = ask.parse_args()
    folder = data_folder("programme")
    if folder is None:
        print("No published instances here: set TRUEHANG_DATA to their folder.")
    else:
        print(f"{'set':<10}{'way':<10}{'cases':>6}{'proved':>8}{'reached':>9}"
              f"{'mean gap':>10}{'median s':>9}{'most s':>9}")  # fmt: skip
        for name in given.sets.split(","):
            file = folder / f"{name}.jsonl"
            if not file.is_file():
                print(f"{name:<10}not here, left out")
                continue
            cases = drawn(list(instances(file)), given.sample)
            for way in given.ways.split(","):
                found = [timed(WAYS[way], case.of, given.seconds) for case in cases]
                print(report(name, way, cases, found), flush=True)
    for line in lofts(given.seconds):
        print(line, flush=True)
    print("Times are processor seconds, one worker.")


if __name__ == "__main__":
    main()
