"""The solver on small networks whose answer can be seen, and on a conversion of many openings."""

from __future__ import annotations

import itertools

import pytest
from tests.programme.checker import faults
from tests.programme.lofts import conversion

from truehang.programme.bounds import bound
from truehang.programme.exact import Visits, asked, in_order, model_of, solve
from truehang.programme.first import first_schedule, windows
from truehang.programme.network import BeyondTheCalendar, Circle, Link, Network, Taken

NIGHT = tuple(16 * -(-end // 16) for end in range(401))
"""A wait over night, on an axis of days of 16 slots: what ends on a day goes on the next."""


def chain(*lengths: int, **given: object) -> Network:
    links = tuple(Link(a, a + 1) for a in range(len(lengths) - 1))
    needs = tuple(((0, 1),) for _ in lengths)
    return Network(lengths, needs, (1,), links, **given)  # type: ignore[arg-type]


def by_trying_all(network: Network) -> int:
    """The least finish of a small network with one resource of one: every order, left-justified."""
    best = 10**9
    for order in itertools.permutations(range(len(network))):
        at, ends = 0, dict[int, int]()
        for work in order:
            least = at
            for link in network.before[work]:
                if link.before not in ends:
                    break
                least = max(least, network.may_start(link, ends[link.before]))
            else:
                ends[work] = at = least + network.lengths[work]
                continue
            break
        else:
            best = min(best, at)
    return best


def test_a_wait_over_night_moves_what_follows_to_the_next_day() -> None:
    two = Network((4, 3), (((0, 1),), ((0, 1),)), (1,), (Link(0, 1, 0, 0),), (NIGHT,))
    answer = solve(two, 400)
    assert answer.starts == (0, 16)
    assert answer.finish.proved


def test_one_crew_works_at_another_opening_while_a_coat_dries() -> None:
    links = (Link(0, 1, 0, 0), Link(2, 3, 0, 0), Link(4, 5, 0, 0))
    needs = tuple(((0, 1),) for _ in range(6))
    three = Network((6, 5, 9, 2, 7, 8), needs, (1,), links, (NIGHT,))
    answer = solve(three, 400)
    assert not faults(three, answer.starts)
    assert answer.finish.value == answer.finish.least == by_trying_all(three)


def test_leave_and_fixed_days_are_kept() -> None:
    friday = ((1 << 16) - 1) << 64
    network = chain(8, 4, 8, allowed={1: friday >> 3 & friday}, taken=(Taken(0, 70, 80, 1),))
    answer = solve(network, 400)
    assert answer.starts == (0, 64, 80)
    assert not faults(network, answer.starts)


def test_fewest_days_then_fewest_trips_at_the_least_finish() -> None:
    # A painter with two short visits that may stand together, beside a long job of the crew.
    lengths = (60, 2, 2)
    needs = (((0, 1),), ((1, 1),), ((1, 1),))
    apart = Network(lengths, needs, (1, 1), earliest={2: 20})
    visits = Visits(((0,), (1, 2)), tuple(slot // 16 for slot in range(400)))
    answer = solve(apart, 400, visits)
    assert answer.finish.value == 60
    assert (answer.days.value, answer.days.least) == (5, 5)
    assert (answer.trips.value, answer.trips.least) == (2, 2)


def test_a_circle_is_named_in_its_order() -> None:
    ring = Network((1, 1, 1, 1), ((),) * 4, (), (Link(0, 1), Link(1, 2), Link(2, 3), Link(3, 1)))
    with pytest.raises(Circle) as raised:
        solve(ring, 100)
    assert raised.value.works == (1, 2, 3)


def test_what_finds_no_place_is_named() -> None:
    with pytest.raises(BeyondTheCalendar) as raised:
        solve(chain(4, 90), 80)
    assert raised.value.work == 1


def test_many_openings_are_a_schedule_within_a_proved_gap() -> None:
    network, horizon, _ = conversion()
    starts = first_schedule(network, horizon, tries=6)
    assert not faults(network, starts)
    finish = max(s + d for s, d in zip(starts, network.lengths, strict=True))
    least = bound(network, finish).finish
    energy = sum(d for d, n in zip(network.lengths, network.needs, strict=True) if n[0][0] == 0) / 3
    assert energy <= least <= finish <= 1.1 * least


def test_copies_in_order_are_still_a_schedule_of_the_same_finish() -> None:
    network, horizon, _ = conversion(openings=8, kinds=2)
    starts = first_schedule(network, horizon, tries=6)
    ordered = in_order(network, starts)
    assert not faults(network, ordered)
    assert sorted(ordered) == sorted(starts)
    for one, other in itertools.pairwise(network.alike[0]):
        assert all(ordered[a] <= ordered[b] for a, b in zip(one, other, strict=True))


def test_no_model_grows_with_the_calendar() -> None:
    sizes = set()
    for days in (200, 800):
        network, horizon, _ = conversion(openings=8, kinds=2, days=days)
        starts = first_schedule(network, horizon, tries=6)
        finish = max(s + d for s, d in zip(starts, network.lengths, strict=True))
        made = model_of(network, windows(network, finish), 0, finish)
        sizes.add(len(str(made.model.proto)))
    assert len(sizes) == 1


def test_the_same_network_gives_the_same_answer() -> None:
    network, horizon, visits = conversion(openings=4, kinds=2)
    once, again = (solve(network, horizon, visits, effort=0.5) for _ in range(2))
    assert once == again
    assert not faults(network, once.starts)


def test_what_the_solver_finds_keeps_waits_through_nights() -> None:
    # Its own model, not the hint: a short chain of one opening, with nothing but waits to keep.
    network, horizon, _ = conversion(openings=2, kinds=2)
    starts = first_schedule(network, horizon, tries=2)
    late = tuple(start + 32 for start in starts)
    finish = max(s + d for s, d in zip(late, network.lengths, strict=True))
    made = model_of(network, windows(network, finish), 0, finish)
    made.model.minimize(made.finish)
    found, _, _ = asked(made, late, 2.0)
    assert found is not None
    assert not faults(network, found)
