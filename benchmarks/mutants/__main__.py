"""How many small faults do the tests see? `make mutants`, or with a room and a number:

python -m benchmarks.mutants --rooms plan fit --number 60 --seed 7 --jobs 2
"""

from __future__ import annotations

import argparse
import queue
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import yaml
from benchmarks.mutants.make import ROOMS, Mutant, sample
from benchmarks.mutants.reach import TESTS, Reach, asked, kept
from benchmarks.mutants.trial import Tree

ROOT = Path(__file__).parents[2]
AT = ROOT / "build" / "mutants"
HARMLESS = Path(__file__).with_name("harmless.yaml")
AIM = 0.85

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of a mutant: killed, survived, or harmless for a reason that is written down."""

    mutant: Mutant
    ended: str


class Workers:
    """Copies of the tree, one for each worker."""

    def __init__(self, number: int) -> None:
        self._number = number
        self._free: queue.SimpleQueue[Tree] = queue.SimpleQueue()
        for n in range(number):
            self._free.put(Tree(ROOT, AT / f"tree-{n}"))

    def each(self, work: Callable[[Tree, T], None], of: Sequence[T]) -> None:
        """`work` with a tree and one of these, until none is left."""

        def one(item: T) -> None:
            tree = self._free.get()
            try:
                work(tree, item)
            finally:
                self._free.put(tree)

        with ThreadPoolExecutor(self._number) as pool:
            list(pool.map(one, of))


def tried(tree: Tree, mutant: Mutant, reach: Reach, budget: float) -> str:
    """Put the fault in, run the tests that reach it, take it out."""
    files = reach.of(mutant, budget)
    if not files:
        return "survived: no test runs the line"
    file = tree.at / "src" / mutant.path
    sound = file.read_text()
    file.write_text(mutant.code)
    try:
        outcome = tree.run(files, 4 * sum(reach.seconds[f] for f in files) + 20)
    finally:
        file.write_text(sound)
    return "survived" if outcome.passed else "killed"


def harmless() -> dict[tuple[str, str, str, str], str]:
    """The survivors that no test need kill, each with its reason."""
    listed = yaml.safe_load(HARMLESS.read_text()) or []
    return {(e["path"], e["in"], e["was"], e["becomes"]): e["why"] for e in listed}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rooms", nargs="+", default=ROOMS, choices=ROOMS)
    parser.add_argument("--number", type=int, default=30, help="faults a room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2, help="copies of the tree at work at once")
    parser.add_argument(
        "--budget", type=float, default=30, help="seconds of tests a fault may take"
    )
    parser.add_argument("--tests", nargs="+", default=TESTS, help="folders and files of tests")
    parser.add_argument("--show", action="store_true", help="only list the faults")
    options = parser.parse_args()

    mutants = [
        m for r in options.rooms for m in sample(ROOT / "src", r, options.number, options.seed)
    ]
    if options.show:
        print(*mutants, sep="\n")
        return 0
    workers, start = Workers(options.jobs), time.monotonic()
    reach, stale = kept(AT / "reach.json", ROOT, options.tests)
    if stale:
        say(f"{len(stale)} test files are asked which lines they run")
        asked(AT / "reach.json", ROOT, reach, stale, workers.each)
        say(f"{time.monotonic() - start:.0f} s")

    known, verdicts = harmless(), list[Verdict]()

    def one(tree: Tree, mutant: Mutant) -> None:
        ended = tried(tree, mutant, reach, options.budget)
        if ended != "killed" and mutant.key in known:
            ended = f"harmless: {known[mutant.key]}"
        verdicts.append(Verdict(mutant, ended))
        if ended != "killed":
            say(f"{ended.partition(':')[0]} {mutant}")

    workers.each(one, mutants)
    return report(verdicts, options.rooms, time.monotonic() - start)


def report(verdicts: Sequence[Verdict], rooms: Sequence[str], seconds: float) -> int:
    """A line a room, the survivors, and whether the aim is met."""
    print(f"\n{'room':<10} made  killed  harmless  survived  killed of those that do harm")
    met = True
    for room in rooms:
        ends = [v.ended.partition(":")[0] for v in verdicts if v.mutant.room == room]
        killed, passed, lived = (ends.count(end) for end in ("killed", "harmless", "survived"))
        share = killed / max(1, killed + lived)
        met &= share >= AIM
        print(f"{room:<10} {len(ends):4}  {killed:6}  {passed:8}  {lived:8}  {share:.0%}")
    for ended in ("survived", "harmless"):
        for verdict in verdicts:
            if verdict.ended.startswith(ended):
                print(f"\n{verdict.ended}\n  {verdict.mutant}")
    print(f"\naim {AIM:.0%} in each room: {'met' if met else 'NOT met'}; {seconds:.0f} s")
    return 0 if met else 1


def say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
