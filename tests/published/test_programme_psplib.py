"""Source: PSPLIB, a library of project scheduling instances with proven optima: R. Kolisch and
A. Sprecher, *European Journal of Operational Research* 96 (1997), 205-216.

A few instances of the sets j30, j60 and j90 stand in data/psplib_sample.jsonl (numbers only), so
that a plain clone skips nothing; the whole sets are for benchmarks/programme.py.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.programme.checker import faults

from truehang.programme import exact
from truehang.programme.bounds import bound
from truehang.programme.exact import solve
from truehang.programme.first import first_schedule
from truehang.programme.network import Link, Network

SAMPLE = Path(__file__).parent / "data" / "psplib_sample.jsonl"
ROWS: list[dict[str, Any]] = [
    json.loads(line) for line in SAMPLE.read_text(encoding="utf-8").splitlines()
]


def network(row: dict[str, Any]) -> Network:
    """A published instance as a network."""
    return Network(
        lengths=tuple(row["durations"]),
        needs=tuple(
            tuple((resource, amount) for resource, amount in enumerate(need) if amount)
            for need in row["demands"]
        ),
        capacities=tuple(row["capacities"]),
        links=tuple(
            Link(before, after)
            for before, successors in enumerate(row["successors"])
            for after in successors
        ),
    )


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["name"]))
def test_published_optima_are_reached_and_proved(row: dict[str, Any]) -> None:
    of = network(row)
    answer = solve(of, sum(of.lengths) + 1)
    assert not faults(of, answer.starts)
    assert answer.finish.value == answer.finish.least == row["optimum"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["name"]))
def test_no_bound_is_over_a_published_optimum_and_no_schedule_under_it(row: dict[str, Any]) -> None:
    of = network(row)
    starts = first_schedule(of, sum(of.lengths) + 1)
    finish = max(s + d for s, d in zip(starts, of.lengths, strict=True))
    assert not faults(of, starts)
    assert bound(of, finish).finish <= row["optimum"] <= finish


def test_without_the_solver_the_first_schedule_stands_with_its_bound(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(exact, "find_spec", lambda name: None)
    of = network(ROWS[0])
    answer = solve(of, sum(of.lengths) + 1)
    assert not answer.searched
    assert not faults(of, answer.starts)
    assert answer.finish.least <= ROWS[0]["optimum"] <= answer.finish.value


def test_the_checker_sees_what_is_wrong() -> None:
    of = network(ROWS[0])
    starts = list(first_schedule(of, sum(of.lengths) + 1))
    early = [max(0, start - 3) for start in starts]
    assert faults(of, early)
    assert faults(replace(of, capacities=tuple(c // 2 for c in of.capacities)), starts)
