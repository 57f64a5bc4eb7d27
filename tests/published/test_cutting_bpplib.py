"""Source: BPPLIB, a library of bin packing and cutting stock instances with known optima:
M. Delorme, M. Iori, S. Martello, *Optimization Letters* 12 (2018), 235-250.

The instances are read from the folder TRUEHANG_DATA, or from ../shared/data beside the project;
where they are absent the tests say so and are skipped. A few of each set are solved here; the whole
sets are for benchmarks/cutting.py.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from truehang.cutting.bins import is_sound, problem
from truehang.cutting.request import Effort
from truehang.cutting.search import solve

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(os.environ.get("TRUEHANG_DATA", ROOT.parent / "shared" / "data")) / "cutting"


def rows(name: str, every: int) -> list[dict[str, Any]]:
    file = FOLDER / f"{name}.jsonl"
    if not file.is_file():
        pytest.skip(f"no {name} instances here: set TRUEHANG_DATA to the folder that holds them")
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()][::every]


@pytest.mark.parametrize(
    ("name", "every"),
    [("falkenauer_u", 8), ("falkenauer_t", 13), ("scholl1", 40), ("scholl2", 40), ("schwerin", 40)],
)
def test_published_optima_are_reached_and_proved(name: str, every: int) -> None:
    for row in rows(name, every):
        sizes, demands = zip(*row["items"], strict=True)
        of = problem(sizes, demands, [row["capacity"]], [1], [None])
        answer = solve(of, Effort())
        assert answer.packing is not None
        assert is_sound(of, answer.packing)
        assert answer.packing.cost == row["best_upper"] == row["best_lower"], row["name"]
        assert answer.proved, row["name"]
