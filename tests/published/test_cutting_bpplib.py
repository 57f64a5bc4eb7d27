"""Source: BPPLIB, a library of bin packing and cutting stock instances with known optima:
M. Delorme, M. Iori, S. Martello, *Optimization Letters* 12 (2018), 235-250.

A few instances of each set stand in data/bpplib_sample.jsonl (numbers only), so that a plain clone
skips nothing; the whole sets are for benchmarks/cutting.py.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from truehang.cutting.bins import is_sound, problem
from truehang.cutting.request import Effort
from truehang.cutting.search import solve

SAMPLE = Path(__file__).parent / "data" / "bpplib_sample.jsonl"
ROWS: list[dict[str, Any]] = [
    json.loads(line) for line in SAMPLE.read_text(encoding="utf-8").splitlines()
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["name"]))
def test_published_optima_are_reached_and_proved(row: dict[str, Any]) -> None:
    sizes, demands = zip(*row["items"], strict=True)
    of = problem(sizes, demands, [row["capacity"]], [1], [None])
    answer = solve(of, Effort())
    assert answer.packing is not None
    assert is_sound(of, answer.packing)
    assert answer.packing.cost == row["best_upper"] == row["best_lower"]
    assert answer.proved
