"""How long do a plan and a pack take in a process that has done both before? Prints JSON.

Runs in this tree and in an older one alike (PYTHONPATH says which), so it asks for no more than
both have: processor milliseconds, the median of so many runs.

    python benchmarks/warm.py RUNS
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable

from truehang import catalogue, demo
from truehang.job import load
from truehang.pack import build
from truehang.plan import plan


def median(work: Callable[[], object], runs: int) -> float:
    """Processor milliseconds of the middle one of so many runs, after one to warm up."""
    work()
    taken = []
    for _ in range(runs):
        began = time.process_time()
        work()
        taken.append(time.process_time() - began)
    return 1000 * statistics.median(taken)


def main() -> None:
    """Time the first demo."""
    runs = int(sys.argv[1])
    job, bought = load(demo.files("fernhollow")[0][1]), catalogue.load()
    made = plan(job, bought)
    print(
        json.dumps(
            {
                "plan": median(lambda: plan(job, bought), runs),
                "pack": median(lambda: build(made), max(1, runs // 3)),
            }
        )
    )


if __name__ == "__main__":
    main()
