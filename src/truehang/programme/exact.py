"""Which schedule is the best, and how far is it proved? Least finish, then least days on site, then
fewest trips.

The first schedule and the bounds stand before any search: where they meet, nothing is searched.
What is between is left to OR-Tools CP-SAT (one worker, `linearization_level` 0: on networks of this
kind the linear relaxation costs more than it prunes), which is given the first schedule as its
hint, the bound as its floor and each work's window between them, so that the model is as large as
the time between, however long the calendar is. Effort is counted in the solver's own deterministic
time, so that the same network gives the same answer on every machine.

Copies that may be exchanged are put in order, work by work: sorting the starts of the same work
over all copies keeps every link (a wait never ends earlier for what ends later) and every resource.
"""

from __future__ import annotations

import math
import threading
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from importlib.util import find_spec
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from truehang.programme.bounds import bound
from truehang.programme.first import (
    Ends,
    Starts,
    finish_of,
    first_schedule,
    improved,
    tidied,
    windows,
)
from truehang.programme.network import Network

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

DEFAULT_EFFORT = 6.0
"""Deterministic time for the finish, then for days and for trips, about processor seconds."""
LARGE = 120
"""Works; in larger networks small changes of the order find more than a search does."""
ROUNDS, FEW_ROUNDS = 100, 40
"""Small changes of the order that are tried first: for one unit of effort, or in all."""
MOST_DAY_CELLS = 8_000
"""Works times days of their windows: above it, days and trips are left as they come."""


@dataclass(frozen=True, slots=True)
class Visits:
    """Whose days count: `groups` are the works that one trade does at one place, `day_of` is the
    day of each slot, counted in days of the axis."""

    groups: tuple[tuple[int, ...], ...] = ()
    day_of: tuple[int, ...] = ()

    @property
    def first_of_day(self) -> tuple[int, ...]:
        """The first slot of the day of each slot."""
        first: dict[int, int] = {}
        return tuple(first.setdefault(day, slot) for slot, day in enumerate(self.day_of))

    def days(self, network: Network, starts: Starts) -> list[set[int]]:
        """The days on which each group works."""
        return [
            {
                self.day_of[slot]
                for i in group
                for slot in range(starts[i], starts[i] + network.lengths[i])
            }
            for group in self.groups
        ]


@dataclass(frozen=True, slots=True)
class Goal:
    """What was reached for one aim, and what is proved to be the least."""

    value: int
    least: int

    @property
    def proved(self) -> bool:
        """Nothing is better."""
        return self.value <= self.least

    @property
    def gap(self) -> float:
        """How far what was reached may be over the least, as a share of it."""
        return (self.value - self.least) / self.least if self.least else float(self.value > 0)


@dataclass(frozen=True, slots=True)
class Solved:
    """A schedule and what is known of it; `searched` says whether CP-SAT was there to ask."""

    starts: Starts
    finish: Goal
    days: Goal
    trips: Goal
    bound_by: str
    searched: bool


def solver_there() -> bool:
    """Is OR-Tools installed? It is the extra `truehang[programme]`."""
    return find_spec("ortools") is not None


def solve(
    network: Network,
    horizon: int,
    visits: Visits | None = None,
    effort: float = DEFAULT_EFFORT,
    start_from: Starts | None = None,
    seconds: float | None = None,
) -> Solved:
    """The best schedule that is found within the effort.

    Raises Circle or BeyondTheCalendar where there is none. `start_from` is a schedule that is known
    already; it is the first one where it is better. `seconds` ends the search for the least finish
    after so much processor time, whatever the effort: for benchmarks, as no two are then alike.
    """
    visits = visits or Visits()
    until = None if seconds is None else time.process_time() + seconds
    starts = first_schedule(network, horizon)
    if start_from is not None and finish_of(network, start_from) <= finish_of(network, starts):
        starts = start_from
    starts = in_order(network, starts)
    floor = bound(network, finish_of(network, starts))
    finish = Goal(finish_of(network, starts), floor.finish)
    searched = solver_there() and effort > 0
    if searched and not finish.proved:
        rounds = int(min(effort, 4.0) * ROUNDS) if len(network) > LARGE else FEW_ROUNDS
        starts = in_order(network, improved(network, starts, horizon, finish.least, rounds))
        finish = Goal(finish_of(network, starts), finish.least)
    if searched and not finish.proved:
        starts, least = _least_finish(network, starts, finish.least, effort, until)
        finish = Goal(finish_of(network, starts), least)
    days, trips = counted(network, visits, starts)
    if searched and visits.groups:
        starts, days, trips = _least_days(network, visits, starts, effort)
        starts = tidied(network, starts, visits.first_of_day, horizon)
        now_days, now_trips = counted(network, visits, starts)
        days, trips = replace(days, value=now_days.value), replace(trips, value=now_trips.value)
    return Solved(starts, finish, days, trips, floor.why, searched)


def in_order(network: Network, starts: Starts) -> Starts:
    """The same schedule with the copies that may be exchanged in order."""
    sorted_starts = list(starts)
    for group in network.alike:
        for same in zip(*group, strict=True):
            for work, start in zip(same, sorted(starts[i] for i in same), strict=True):
                sorted_starts[work] = start
    return tuple(sorted_starts)


def trips_of(days: set[int]) -> int:
    """How often somebody comes: runs of days without a day of the axis between."""
    return sum(day - 1 not in days for day in days)


def counted(network: Network, visits: Visits, starts: Starts) -> tuple[Goal, Goal]:
    """Days and trips as they are, with the least that is seen without a search."""
    days = visits.days(network, starts)
    most = max(Counter(visits.day_of).values(), default=1)
    least = [_least_of(network, group, most) for group in visits.groups]
    return (
        Goal(sum(map(len, days)), sum(least)),
        Goal(sum(map(trips_of, days)), sum(map(bool, least))),
    )


def _least_of(network: Network, group: tuple[int, ...], slots_a_day: int) -> int:
    """Days that a group takes at the least, all its crews at work from morning to evening."""
    capacity = max((network.capacities[r] for i in group for r, _ in network.needs[i]), default=1)
    return -(-sum(network.lengths[i] for i in group) // (capacity * slots_a_day))


@dataclass(frozen=True, slots=True)
class Model:
    """A CP-SAT model of a network: its start variables and the finish."""

    model: cp_model.CpModel
    starts: list[Any]
    finish: Any


def model_of(network: Network, ends: Ends, floor: int, finish: int) -> Model:
    """Windows, links, waits, resources, the order of copies."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    lengths = network.lengths
    starts = [
        model.new_int_var_from_domain(_domain(network, i, ends, cp_model), "")
        for i in range(len(network))
    ]
    for link in network.links:
        before, after = starts[link.before] + lengths[link.before], starts[link.after]
        model.add(after >= before + link.lag)
        if link.wait is not None:
            _wait(model, network, link, ends, starts)
    spans = [
        model.new_fixed_size_interval_var(start, length, "")
        for start, length in zip(starts, lengths, strict=True)
    ]
    for resource, capacity in enumerate(network.capacities):
        _cumulative(model, network, resource, capacity, spans)
    for group in network.alike:
        for one, other in pairwise(group):
            for a, b in zip(one, other, strict=True):
                model.add(starts[a] <= starts[b])
    end = model.new_int_var(floor, finish, "")
    for i in range(len(network)):
        if not network.after[i]:
            model.add(end >= starts[i] + lengths[i])
    return Model(model, starts, end)


def _domain(network: Network, work: int, ends: Ends, cp_model: Any) -> Any:
    low, high = ends.first[work], ends.last[work] - network.lengths[work]
    mask = network.allowed.get(work)
    if mask is None:
        return cp_model.Domain(low, high)
    slots = [slot for slot in range(low, high + 1) if mask >> slot & 1]
    return cp_model.Domain.from_values(slots)


def _wait(model: Any, network: Network, link: Any, ends: Ends, starts: list[Any]) -> None:
    """after >= table[end of before], over the window of `before` alone."""
    low = ends.first[link.before] + network.lengths[link.before]
    table = network.waits[link.wait][low : ends.last[link.before] + 1]
    lags = [ready - low - at for at, ready in enumerate(table)]
    if max(lags) <= 0:
        return
    if min(lags) == max(lags):
        model.add(
            starts[link.after] >= starts[link.before] + network.lengths[link.before] + lags[0]
        )
        return
    ready = model.new_int_var(table[0], table[-1], "")
    model.add_element(starts[link.before] - ends.first[link.before], list(table), ready)
    model.add(starts[link.after] >= ready)


def _cumulative(
    model: Any, network: Network, resource: int, capacity: int, spans: list[Any]
) -> None:
    uses = [
        (spans[i], amount)
        for i, need in enumerate(network.needs)
        for r, amount in need
        if r == resource and amount and network.lengths[i]
    ]
    if not uses:
        return
    for gone in network.taken:
        if gone.resource == resource and gone.end > gone.begin:
            span = model.new_fixed_size_interval_var(gone.begin, gone.end - gone.begin, "")
            uses.append((span, min(gone.amount, capacity)))
    if all(2 * amount > capacity for _, amount in uses):
        model.add_no_overlap([span for span, _ in uses])
    else:
        model.add_cumulative([span for span, _ in uses], [amount for _, amount in uses], capacity)


def _least_finish(
    network: Network, starts: Starts, floor: int, effort: float, until: float | None
) -> tuple[Starts, int]:
    """A better schedule where there is one, and the least finish that is proved."""
    upper = finish_of(network, starts)
    made = model_of(network, windows(network, upper), floor, upper)
    made.model.minimize(made.finish)
    found, least, _ = asked(made, starts, effort, until)
    return (found or starts), max(floor, least)


def asked(
    made: Model, hint: Starts, effort: float, until: float | None = None
) -> tuple[Starts | None, int, bool]:
    """The best starts, the bound on the aim, and whether the model has an answer at all."""
    from ortools.sat.python import cp_model

    for variable, value in zip(made.starts, hint, strict=True):
        made.model.add_hint(variable, value)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 0
    solver.parameters.max_deterministic_time = effort
    solver.parameters.random_seed = 1
    over = threading.Event()

    def watch(end: float) -> None:
        while not over.wait(0.05):
            if time.process_time() > end:
                solver.stop_search()
                return

    if until is not None:
        threading.Thread(target=watch, args=(until,), daemon=True).start()
    status = solver.solve(made.model)
    over.set()
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, round(solver.best_objective_bound), status != cp_model.INFEASIBLE
    found = tuple(solver.value(variable) for variable in made.starts)
    return found, math.ceil(solver.best_objective_bound - 1e-6), True


def _least_days(
    network: Network, visits: Visits, starts: Starts, effort: float
) -> tuple[Starts, Goal, Goal]:
    """Fewest days on site at that finish, then fewest trips at that many days."""
    days, trips = counted(network, visits, starts)
    ends = windows(network, finish_of(network, starts))
    cells = sum(
        visits.day_of[ends.last[i] - 1] - visits.day_of[ends.first[i]] + 1
        for group in visits.groups
        for i in group
        if network.lengths[i]
    )
    if cells > MOST_DAY_CELLS:
        return starts, days, trips
    made, used = _with_days(network, visits, ends, finish_of(network, starts))
    if not days.proved:
        made.model.minimize(sum(used_day for group in used for used_day in group.values()))
        found, least, _ = asked(made, starts, effort / 2)
        starts = found or starts
        days, trips = counted(network, visits, starts)
        days = replace(days, least=max(days.least, least))
    if not trips.proved:
        made, used = _with_days(network, visits, ends, finish_of(network, starts))
        made.model.add(sum(day for group in used for day in group.values()) <= days.value)
        made.model.minimize(sum(_trips(made.model, group) for group in used))
        found, least, _ = asked(made, starts, effort / 2)
        starts = found or starts
        days = replace(counted(network, visits, starts)[0], least=days.least)
        trips = replace(counted(network, visits, starts)[1], least=max(trips.least, least))
    return starts, days, trips


def _with_days(
    network: Network, visits: Visits, ends: Ends, finish: int
) -> tuple[Model, list[dict[int, Any]]]:
    """A model with a truth value for each group and each day that it may work on."""
    made = model_of(network, ends, finish, finish)
    begin: dict[int, int] = {}
    for slot in range(finish):
        begin.setdefault(visits.day_of[slot], slot)
    stop = {day: begin.get(day + 1, finish) for day in begin}
    used: list[dict[int, Any]] = []
    for group in visits.groups:
        days = _Days(visits.day_of, begin, stop, {})
        for i in group:
            if network.lengths[i]:
                _touches(made, network, i, ends, days)
        used.append(days.used)
    return made, used


@dataclass(frozen=True, slots=True)
class _Days:
    """The days of a group: which day a slot is of, the slots that each day begins and stops at, and
    the truth value of each that it may work on."""

    of: Sequence[int]
    begin: Mapping[int, int]
    stop: Mapping[int, int]
    used: dict[int, Any]


def _touches(
    made: Model,
    network: Network,
    work: int,
    ends: Ends,
    days: _Days,
) -> None:
    """A day is used, or the work is over before it, or begins after it."""
    model, start, length = made.model, made.starts[work], network.lengths[work]
    low, high = ends.first[work], ends.last[work]
    for day in range(days.of[low], days.of[high - 1] + 1):
        if day not in days.used:
            days.used[day] = model.new_bool_var("")
        ways = [days.used[day]]
        if low + length <= days.begin[day]:
            over = model.new_bool_var("")
            model.add(start + length <= days.begin[day]).only_enforce_if(over)
            ways.append(over)
        if high - length >= days.stop[day]:
            later = model.new_bool_var("")
            model.add(start >= days.stop[day]).only_enforce_if(later)
            ways.append(later)
        model.add_bool_or(ways)


def _trips(model: Any, days: dict[int, Any]) -> Any:
    """How many runs of used days a group has."""
    firsts = []
    for day, used in days.items():
        if day - 1 not in days:
            firsts.append(used)
            continue
        first = model.new_bool_var("")
        model.add_bool_or([first, days[day - 1], used.Not()])
        firsts.append(first)
    return sum(firsts)
