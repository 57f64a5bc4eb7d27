"""How fast is money? Sums of lines, a price after one change, a long price list."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from benchmarks.clock import Taken, timed

from truehang import catalogue, demo
from truehang.catalogue.pricelist import Remembered, read_list
from truehang.cli.catalogue import names
from truehang.job import load
from truehang.plan import Store, answered, plan
from truehang.plan.priced import priced
from truehang.pricing import Uncertain
from truehang.pricing.spread import worked_out

LINES, DRAWS, LISTED = 120, 100_000, 20_000


def rows(quick: bool) -> Iterator[tuple[str, Taken, float]]:
    """What, how long it took, and the most that it should, ms."""
    runs = 3 if quick else 15
    threes = np.sort(np.random.default_rng(1).uniform(0, 100, (LINES, 3)), axis=1)
    lines = tuple(Uncertain(str(n), *map(float, one), "us") for n, one in enumerate(threes))
    work = worked_out.__wrapped__  # what is kept is left out
    taken = timed(lambda: work(lines, 0.0, 1, DRAWS), runs)
    yield f"price: P50, P80, P95 of {LINES} independent lines", taken, 20
    taken = timed(lambda: work(lines, 0.4, 1, DRAWS), runs)
    yield f"price: {DRAWS:,} correlated draws of {LINES} lines", taken, 200
    yield "price after one change of terms, planned again, warm", _changed(runs), 150
    yield f"a price list of {LISTED:,} lines read", _listed(max(1, runs // 5)), 3000


def _changed(runs: int) -> Taken:
    bought, store = catalogue.load(), Store()
    job = load(demo.files("millrace-cottage")[0][1])
    markup = iter(range(1, 1000))

    def change() -> object:
        prices = job.prices.model_copy(update={"markup_percent": float(next(markup))})
        made = plan(job.model_copy(update={"prices": prices}), bought, store)
        return priced(answered(made, bought, "cutting"), bought)

    return timed(change, runs)


def _listed(runs: int) -> Taken:
    known = tuple(names(catalogue.load()))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        lines = (f"C{n},{n % 90}.50" for n in range(LISTED))
        path.write_text("\n".join(["code,price", *lines, "solid-35,200"]))
        return timed(lambda: read_list(path, known, Remembered()), runs)
