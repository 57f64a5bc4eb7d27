"""How fast is all of it on this machine? One table of medians and of ratios within the same run.

    python -m benchmarks.run [--quick]

Each row gives the median on the wall and on the processor, and what was aimed at. On a busy
machine the wall counts what others do, so `met` goes by the processor. Nothing here fails: the
tests assert what is computed, not how fast. Cutting and the web app have benchmarks of their own.
"""

from __future__ import annotations

import argparse
import sys
import sysconfig
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import psutil
from benchmarks import beside, price, sound, structure
from benchmarks.clock import Taken, processes, timed
from benchmarks.random_jobs import random_job

from truehang import catalogue, demo
from truehang.catalogue import Catalogue
from truehang.fit import arrange
from truehang.fit import options as fit_options
from truehang.job import Job, load
from truehang.plan import plan
from truehang.plan.readings import measure
from truehang.plan.space import ask

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table. `met` is None where nothing was aimed at."""

    what: str
    taken: Taken | None
    found: str = ""
    aim: str = ""
    met: bool | None = None


def within(what: str, taken: Taken, most: float) -> Row:
    """A row that aims at less than so many milliseconds."""
    return Row(what, taken, "", f"under {most:g} ms", taken.processor < most)


def start_up(rounds: int) -> Iterator[Row]:
    """Cold `--help` beside the least program that Typer makes."""
    ours = str(Path(sysconfig.get_path("scripts")) / "truehang")
    commands = [(ours, "--help"), (sys.executable, str(HERE / "hello.py"), "--help")]
    mine, bare = processes(commands, rounds)
    ratio = mine.processor / bare.processor
    yield Row("truehang --help, cold", mine, f"{ratio:.2f} x bare", "1.5 x", ratio <= 1.5)
    yield Row("a bare Typer program's --help, cold", bare)


def before(quick: bool) -> Iterator[Row]:
    """Start-up, plan and pack beside the commit that they are held against."""
    rows = 0
    for rows, one in enumerate(beside.ratios(quick), start=1):  # noqa: B007
        aim = "" if one.most is None else f"{one.most:g} x"
        met = None if one.most is None else one.ratio <= one.most
        yield Row(one.what, one.taken, f"{one.ratio:.2f}, was {one.before:.2f}", aim, met)
    if not rows:
        yield Row(f"beside {beside.BEFORE}", None, "not in this copy: left out")


def fernhollow() -> Job:
    """The first demo."""
    return load(demo.files("fernhollow")[0][1])


def planning(runs: int) -> Iterator[Row]:
    """The plan of fernhollow, in part and whole, warm."""
    job, bought = fernhollow(), catalogue.load()
    first = timed(lambda: measure_and_fit(job, bought), runs)
    yield within("fernhollow: measure and fit", first, 50)
    yield within("fernhollow: the whole plan", timed(lambda: plan(job, bought), runs), 150)


def measure_and_fit(job: Job, bought: Catalogue) -> object:
    """Readings to the best arrangement with all its marks, as the plan does it first."""
    measured = measure(job)
    asked = ask(job, bought, bought.region(job.job.region), measured)
    if asked is None:
        raise LookupError("the demo's readings give no opening")
    found = fit_options(asked.request, asked.kits, asked.leaves)
    return arrange(asked.request, found.options[0], asked.kits, asked.leaves)


def packing(runs: int) -> Iterator[Row]:
    """Every file of the pack in memory, from a plan."""
    from truehang.pack import build

    made = plan(fernhollow(), catalogue.load())
    yield within("fernhollow: the whole pack", timed(lambda: build(made), runs), 3000)


def rooms() -> Iterator[Row]:
    """Sound and structure by themselves, and the envelope beside two libraries."""
    for what, taken, most in (*sound.rows(), *structure.rows()):
        yield Row(what, taken) if most is None else within(what, taken, most)
    for what, taken, ratio, apart in structure.beside():
        found = f"{ratio:.0f} x ours, {apart:.0e} apart"
        yield Row(what, taken, found)


def many_jobs(count: int) -> Iterator[Row]:
    """Random valid jobs planned one after another: crashes, and memory at marks on the way."""
    bought, process = catalogue.load(), psutil.Process()
    marks = {count // 10: 0.0, count // 2: 0.0, count: 0.0}
    fitted, crashed, spent, wall = 0, [], 0.0, 0.0
    for seed in range(1, count + 1):
        job = random_job(seed)
        start, began = time.process_time(), time.perf_counter()
        try:
            fitted += plan(job, bought).arrangement is not None
        except Exception as broken:  # a crash is what is counted here
            crashed.append(f"{seed} ({type(broken).__name__}: {broken})")
        spent += time.process_time() - start
        wall += time.perf_counter() - began
        if seed in marks:
            marks[seed] = process.memory_info().rss / 2**20
    first, _, last = marks.values()
    each = Taken(1000 * wall / count, 1000 * spent / count)
    yield Row(f"{count} random jobs: one plan, mean", each, f"{fitted} fit")
    said = ", ".join(crashed[:3]) or "none"
    yield Row("  crashes", None, f"{len(crashed)}: {said}" if crashed else "0", "none", not crashed)
    told = ", ".join(f"{memory:.0f} MB at {seed}" for seed, memory in marks.items())
    yield Row("  memory", None, told, "flat", last < 1.15 * first)


def parts(quick: bool) -> list[Callable[[], Iterator[Row]]]:
    """What is measured, in order."""
    return [
        lambda: start_up(5 if quick else 15),
        lambda: before(quick),
        lambda: planning(7 if quick else 25),
        lambda: packing(1 if quick else 5),
        rooms,
        lambda: (within(*row) for row in price.rows(quick)),
        lambda: many_jobs(100 if quick else 1000),
    ]


def main() -> None:
    """Print the table row by row, as it is measured."""
    ask_for = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask_for.add_argument("--quick", action="store_true", help="fewer runs, 100 random jobs")
    quick: bool = ask_for.parse_args().quick
    print(f"{'':52}{'wall ms':>10}{'proc. ms':>10}  {'aim':14}{'met':5}")
    for part in parts(quick):
        for row in part():
            print(line(row), flush=True)


def line(row: Row) -> str:
    """A row of the table as text."""
    took = (row.taken.wall, row.taken.processor) if row.taken else ()
    wall, processor = (f"{value:.1f}" for value in took) if took else ("", "")
    met = {True: "yes", False: "NO", None: ""}[row.met]
    return f"{row.what:52}{wall:>10}{processor:>10}  {row.aim:14}{met:5}{row.found}".rstrip()


if __name__ == "__main__":
    main()
