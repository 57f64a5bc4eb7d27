"""What is kept of what was promised? A programme made anew with the fewest changes.

First as many promised days are kept as can be, then the finish is the least. Without the solver
nobody comes before the day that was promised to him, and the rest follows by the rules of the first
schedule.
"""

from __future__ import annotations

from dataclasses import replace

from truehang.programme.blocks import Joined, day_slots
from truehang.programme.bounds import bound
from truehang.programme.exact import Goal, Model, Solved, asked, counted, model_of, solver_there
from truehang.programme.first import Ends, Starts, finish_of, first_schedule, windows
from truehang.programme.network import Network


def keep_promises(made: Joined, effort: float) -> Solved:
    """The schedule that keeps most promised days, and of these one that is done first."""
    network, along = made.network, made.axis
    promised = {
        block.works[0]: day_slots(along, day)
        for block in made.blocks
        if (day := block.tasks[0].promised) is not None
    }
    patient = replace(
        network,
        earliest={
            **network.earliest,
            **{
                work: max(begin, network.earliest.get(work, 0))
                for work, (begin, _) in promised.items()
            },
        },
        alike=(),
    )
    starts = first_schedule(patient, len(along))
    if not promised or not solver_there():
        return _as_it_is(made, starts, searched=False)
    network = replace(network, alike=())
    upper = finish_of(network, starts)
    ends = windows(network, upper)
    lost = _changes(promised, starts)
    if lost:
        found, _, _ = asked(_model(network, ends, promised, None), starts, effort)
        starts, lost = (found, _changes(promised, found)) if found else (starts, lost)
    made_model = _model(network, ends, promised, lost)
    found, _, _ = asked(made_model, starts, effort)
    return _as_it_is(made, found or starts, searched=True)


def _changes(promised: dict[int, tuple[int, int]], starts: Starts) -> int:
    return sum(not begin <= starts[work] < end for work, (begin, end) in promised.items())


def _model(
    network: Network, ends: Ends, promised: dict[int, tuple[int, int]], lost: int | None
) -> Model:
    """Changes are counted: as few as can be, or at most `lost` with the least finish."""
    made = model_of(network, ends, 0, max(ends.last))
    changes = []
    for work, (begin, end) in promised.items():
        changed = made.model.new_bool_var("")
        kept = changed.Not()
        made.model.add(made.starts[work] >= begin).only_enforce_if(kept)
        made.model.add(made.starts[work] < end).only_enforce_if(kept)
        changes.append(changed)
    if lost is None:
        made.model.minimize(sum(changes))
    else:
        made.model.add(sum(changes) <= lost)
        made.model.minimize(made.finish)
    return made


def _as_it_is(made: Joined, starts: Starts, searched: bool) -> Solved:
    finish = finish_of(made.network, starts)
    days, trips = counted(made.network, made.visits, starts)
    floor = bound(made.network, finish)
    return Solved(starts, Goal(finish, floor.finish), days, trips, floor.why, searched)
