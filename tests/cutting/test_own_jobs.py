"""A carpenter's own case, generated: proved, sound at a saw, and no other solver does better.

Source: OR-Tools CP-SAT as an independent solver (it knows only parts, stock and rules)."""

from __future__ import annotations

import pytest
from benchmarks.cutting_jobs import cost_by_cp_sat, request, sawn

from truehang.cutting import cut_lengths


@pytest.mark.parametrize("seed", [0, 38, 44, 83, 94, 126, 145, 189])
def test_jobs_that_took_long_are_proved_and_sound_at_the_saw(seed: int) -> None:
    # Seeds whose plans, with several prices and a rack, were once left with a gap.
    asked = request(seed)
    plan = cut_lengths(asked.parts, asked.stocks, asked.rack, asked.rules)
    assert plan.proved
    assert not sawn(asked, plan)


def test_the_saw_finds_a_fault() -> None:
    asked = request(0)
    plan = cut_lengths(asked.parts[1:], asked.stocks, asked.rack, asked.rules)
    assert sawn(asked, plan)


@pytest.mark.parametrize("seed", [3, 22, 40, 64])
def test_another_solver_comes_to_the_same_cost(seed: int) -> None:
    asked = request(seed)
    plan = cut_lengths(asked.parts, asked.stocks, asked.rack, asked.rules)
    assert plan.total is not None
    cost, sure = cost_by_cp_sat(asked, plan.total.minor, 2.0)
    assert cost is None or cost >= plan.total.minor
    if sure:
        assert cost == plan.total.minor
