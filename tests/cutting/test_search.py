"""The search behind cutting plans: instances with provable optima, and an independent solver."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from truehang.cutting.best import Answer
from truehang.cutting.bins import (
    Problem,
    best_fill,
    best_tail,
    first_fit_decreasing,
    is_sound,
    load_bound,
    martello_toth_bound,
    packing,
    problem,
)
from truehang.cutting.master import Clock, Master, checked_bound
from truehang.cutting.request import Effort
from truehang.cutting.search import solve


def solved(of: Problem) -> Answer:
    answer = solve(of, Effort())
    assert answer.packing is not None
    assert is_sound(of, answer.packing)
    assert answer.bound <= answer.packing.cost
    return answer


def one_kind(sizes: list[int], capacity: int) -> Problem:
    return problem(sizes, [1] * len(sizes), [capacity], [1], [None])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_triplets_are_packed_perfectly(seed: int) -> None:
    # Provable optimum: 3n items of a quarter to half of the bin that come in n exact triples fill n
    # bins to the brim (the construction of Falkenauer, Journal of Heuristics 2, 1996).
    draw = random.Random(seed)
    sizes = []
    for _ in range(30):
        first = draw.randint(380, 490)
        second = draw.randint(250, 1000 - first - 250)
        sizes += [first, second, 1000 - first - second]
    answer = solved(one_kind(sizes, 1000))
    assert answer.packing is not None
    assert answer.packing.cost == 30
    assert answer.proved


@pytest.mark.parametrize("seed", [4, 5])
def test_lengths_cut_up_at_random_go_back_together(seed: int) -> None:
    # Provable optimum: full bins cut into pieces need as many bins again.
    draw = random.Random(seed)
    sizes: list[int] = []
    for _ in range(25):
        cuts = sorted(draw.sample(range(120, 880), 3))
        sizes += list(np.diff([0, *cuts, 1000]))
    answer = solved(one_kind([int(size) for size in sizes], 1000))
    assert answer.packing is not None
    assert answer.packing.cost == 25
    assert answer.proved


def test_items_over_half_need_a_bin_each() -> None:
    answer = solved(one_kind([600] * 7 + [501] * 4, 1000))
    assert answer.packing is not None
    assert answer.packing.cost == 11
    assert answer.proved


def independent(of: Problem) -> int | None:
    """Least cost by CP-SAT on the assignment model, each bin its own variables."""
    model = cp_model.CpModel()
    total = sum(of.demands)
    cost: list[cp_model.LinearExpr] = []
    made: list[list[cp_model.IntVar]] = [[] for _ in of.sizes]
    for kind, capacity in enumerate(of.capacities):
        limit = of.limits[kind]
        for _ in range(total if limit is None else min(limit, total)):
            used = model.new_bool_var("")
            held = [model.new_int_var(0, demand, "") for demand in of.demands]
            load = sum(size * n for size, n in zip(of.sizes, held, strict=True))
            model.add(load <= capacity * used)
            cost.append(of.costs[kind] * used)
            for item, n in enumerate(held):
                made[item].append(n)
    for item, demand in enumerate(of.demands):
        model.add(sum(made[item]) == demand)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    return round(solver.objective_value) if status == cp_model.OPTIMAL else None


@settings(max_examples=25, deadline=None)
@given(
    sizes=st.lists(st.integers(2, 30), min_size=1, max_size=7),
    bins=st.lists(
        st.tuples(st.integers(30, 60), st.integers(0, 40), st.sampled_from([None, None, 0, 1, 2])),
        min_size=1,
        max_size=3,
    ),
)
def test_small_problems_agree_with_an_independent_solver(
    sizes: list[int], bins: list[tuple[int, int, int | None]]
) -> None:
    of = problem(sizes, [1] * len(sizes), *(list(column) for column in zip(*bins, strict=True)))
    expected = independent(of)
    answer = solve(of, Effort(dives=4, nodes=500))
    if expected is None:
        assert answer.packing is None
        return
    assert answer.packing is not None
    assert is_sound(of, answer.packing)
    assert answer.packing.cost == expected
    assert answer.proved


@settings(max_examples=40, deadline=None)
@given(sizes=st.lists(st.integers(1, 100), min_size=1, max_size=9))
def test_bounds_stay_under_and_fills_stay_sound(sizes: list[int]) -> None:
    of = one_kind(sizes, 100)
    tail = best_tail(of, of.demands, of.limits)
    assert tail is not None
    exact = packing(of, tail)
    assert is_sound(of, exact)
    assert martello_toth_bound(of) <= exact.cost
    assert load_bound(of) <= exact.cost
    for fill in (first_fit_decreasing(of), best_fill(of)):
        assert fill is not None
        found = packing(of, fill)
        assert is_sound(of, found)
        assert found.cost >= exact.cost
    assert solved(of).packing == exact or solved(of).bound == exact.cost


@settings(max_examples=40, deadline=None)
@given(
    sizes=st.lists(st.integers(5, 40), min_size=1, max_size=7),
    prices=st.lists(st.floats(0, 50), min_size=7, max_size=7),
)
def test_the_checked_bound_holds_for_any_prices(sizes: list[int], prices: list[float]) -> None:
    of = problem(sizes, [1] * len(sizes), [40, 60], [7, 9], [2, None])
    tail = best_tail(of, of.demands, of.limits)
    assert tail is not None
    bound = checked_bound(of, np.asarray(prices[: len(of.sizes)]))
    assert bound <= packing(of, tail).cost


def test_the_linear_programme_of_a_textbook_case() -> None:
    # By hand: bins of 10, three of 6 and four of 4: patterns 6+4 and 4+4, so 3 + 1/2.
    of = problem([6, 4], [3, 4], [10], [1], [None])
    value, _, duals, _, done = Master(of).generate(50, Clock(None))
    assert done
    assert value == pytest.approx(3.5)
    assert float(checked_bound(of, duals)) == pytest.approx(3.5)


def test_ten_thousand_parts_are_within_one_percent_of_the_bound() -> None:
    draw = random.Random(7)
    sizes = [draw.randint(300, 2700) for _ in range(10_000)]
    answer = solved(
        problem(sizes, [1] * 10_000, [3000, 4800, 6000], [3000, 4848, 6120], [None] * 3)
    )
    assert answer.packing is not None
    assert answer.packing.cost <= 1.01 * answer.bound
