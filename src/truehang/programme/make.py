"""Who comes when? A request becomes a programme: joined on an axis, solved, told, weighed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.programme.answer import chain_of, rows_of, said_day, waits_of
from truehang.programme.blocks import Joined, NobodyCanDo, joined
from truehang.programme.calendars import Axis, NoFreeHour, axis
from truehang.programme.chance import DRAWS, FEW_DRAWS, chances, sure_day
from truehang.programme.exact import Goal, Solved, solve, solver_there
from truehang.programme.first import Starts, forward, squeezed
from truehang.programme.model import Programme, Reached, Request, Row
from truehang.programme.network import BeyondTheCalendar, Circle
from truehang.programme.promises import keep_promises

A_DAY = 8.0
"""What comes and could slip by less than so many working hours is what the finish waits for: the
nights before a wait are over hide a few hours."""
FIRST_DAYS, MOST_DAYS = 400, 1600
"""How far the axis reaches: so many days, and where that is too short twice as many, up to this."""


@dataclass(frozen=True)
class Made:
    """A programme with the network and the starts that it was told from."""

    programme: Programme
    joined: Joined | None
    starts: Starts


def programme(request: Request, like: Made | None = None) -> Made:
    """The programme of a request; `like` is one that is known already, which is kept to where it
    does no harm. What can't be planned is a finding, and the programme has no rows."""
    try:
        made, solved = _solved(request, like)
    except Circle as wrong:
        return _nothing(request, _circle(request, wrong))
    except NobodyCanDo as wrong:
        return _nothing(
            request,
            _hold(
                "programme.trades",
                f"{wrong.task.title} of {wrong.task.job} {wrong.why}",
                wrong.mend,
            ),
        )
    except NoFreeHour as wrong:
        return _nothing(
            request,
            _hold(
                "programme.hours",
                f"the site has no working hour in {wrong.days} days from {said_day(wrong.begin)}",
                "give programme.days and programme.hours in which somebody works",
            ),
        )
    except _TooLong as wrong:
        return _nothing(
            request,
            _hold(
                "programme.days",
                f"{wrong.title} finds no place within {MOST_DAYS} days",
                "look at who is away, not_on, and the days and hours of programme.trades",
            ),
        )
    return Made(_told(made, solved), made, solved.starts)


def axis_of(request: Request, days: int) -> Axis:
    """The axis of a request."""
    first = min([request.begin, *(t.ended.date() for t in request.tasks if t.ended)])
    return axis(request.open, first, days, request.zone, request.slot)


class _TooLong(ValueError):
    def __init__(self, title: str) -> None:
        super().__init__(title)
        self.title = title


def _solved(request: Request, like: Made | None) -> tuple[Joined, Solved]:
    days = FIRST_DAYS
    while True:
        along = axis_of(request, days)
        made = joined(request, along)
        try:
            if any(task.promised for task in request.tasks):
                return made, keep_promises(made, request.effort)
            known = _known(made, like) if like else None
            return made, solve(made.network, len(along), made.visits, request.effort, known)
        except BeyondTheCalendar as wrong:
            if 2 * days > MOST_DAYS:
                block = next(b for b in made.blocks if wrong.work in b.works)
                raise _TooLong(block.tasks[0].title) from None
            days *= 2


def _known(made: Joined, like: Made) -> Starts | None:
    """The order of a known programme, taken over: each work where it first fits in that order."""
    if like.joined is None:
        return None
    old = like.joined.block_of
    keys = []
    for block in made.blocks:
        before = old.get(block.tasks[0].key)
        at = like.starts[before.works[0]] if before else 0
        keys += [at + number for number in range(len(block.works))]
    return squeezed(made.network, forward(made.network, keys, len(made.axis)), len(made.axis))


def _told(made: Joined, solved: Solved) -> Programme:
    request, along = made.request, made.axis
    rows = rows_of(made, solved.starts)
    found = chances(made, solved.starts, DRAWS if request.effort else FEW_DRAWS)
    finish = max((row.end for row in rows), default=along.begin_of(0))
    days, trips = solved.days, solved.trips
    return Programme(
        rows=rows,
        waiting=waits_of(made, rows),
        begin=min((r.begin.date() for r in rows if r.kind == "work"), default=request.begin),
        finish=finish,
        zone=request.zone,
        length=Reached(
            solved.finish.value * request.slot / 60, solved.finish.least * request.slot / 60,
            "working hours",
        ),
        days=Reached(days.value, days.least, "days on site"),
        trips=Reached(trips.value, trips.least, "trips"),
        chain=chain_of(made, solved.starts),
        chances=found,
        promise=sure_day(found),
        searched=solved.searched,
        bound_by=solved.bound_by,
        findings=(*_late(request, rows, finish), *_not_searched(solved)),
        figures=_figures(made, solved, finish, sure_day(found)),
    )  # fmt: skip


def _figures(
    made: Joined, solved: Solved, finish: datetime, sure: date | None
) -> tuple[Figure, ...]:
    source = "least finish by CP-SAT between bounds by chains and energy; docs/theory/programme.md"

    def figure(key: str, label: str, value: float | str, unit: str, rule: str) -> Figure:
        return Figure(f"programme.{key}", label, value, unit, rule, (), source)

    def proof(goal: Goal) -> str:
        return "proved the least" if goal.proved else f"no better is known; at least {goal.least}"

    return (
        figure("finish", "day on which all is done", finish.date().isoformat(), "",
               "the end of the last task of the schedule"),
        figure("days", "days on site, all trades", solved.days.value, "",
               f"days on which each trade works, at that finish: {proof(solved.days)}"),
        figure("trips", "trips, all trades", solved.trips.value, "",
               f"runs of such days, at that many days: {proof(solved.trips)}"),
        figure("promise", "day kept with a chance of 80 % or more",
               sure.isoformat() if sure else "not known", "",
               "2000 draws of beta-PERT times through the planned order"),
    )  # fmt: skip


def _hold(where: str, what: str, mend: str) -> Finding:
    return Finding(Severity.HOLD, where, what, mend, "logic of the programme")


def _circle(request: Request, wrong: Circle) -> Finding:
    titles = [request.tasks[work].title for work in (*wrong.works, wrong.works[0])]
    return _hold(
        "programme.after",
        f"these wait for each other in a circle: {' -> '.join(titles)}",
        "take one of these links out",
    )


def _late(request: Request, rows: tuple[Row, ...], finish: datetime) -> tuple[Finding, ...]:
    """Is the deadline before the finish? By how many days, and what would mend it?"""
    if request.deadline is None or finish.date() <= request.deadline:
        return ()
    by = (finish.date() - request.deadline).days
    goods = [
        row
        for row in rows
        if row.kind in ("delivery", "answer")
        and row.float_hours < A_DAY
        and row.end.date() > request.begin
    ]
    last = max(goods, key=lambda row: row.end, default=None)
    mend = f"move programme.deadline by {by} days, or begin as much sooner"
    what = (
        f"all is done on {said_day(finish.date())}, {by} days after the deadline of "
        f"{said_day(request.deadline)}"
    )
    if last is not None:
        what += f"; it waits for {last.title}, on {said_day(last.end.date())}"
        mend = (
            f"have it {by} days sooner (order sooner, or choose what is there sooner: "
            f"{last.title}), or {mend}"
        )
    return (_hold("programme.deadline", what, mend),)


def _not_searched(solved: Solved) -> tuple[Finding, ...]:
    every = solved.finish.proved and solved.days.proved and solved.trips.proved
    if every or solver_there():
        return ()
    return (
        Finding(
            Severity.NOTE,
            "programme",
            "the first schedule is shown, with its bound: the solver is not installed",
            "install truehang[programme] to search for a better one and prove it",
            "docs/programme.md",
        ),
    )


def _nothing(request: Request, finding: Finding) -> Made:
    start = datetime.combine(request.begin, time(), ZoneInfo(request.zone))
    none = Reached(0, 0, "")
    empty = Programme(
        rows=(), waiting=(), begin=request.begin, finish=start, zone=request.zone, length=none,
        days=none, trips=none, chain=(), chances=(), promise=None, searched=False, bound_by="",
        findings=(finding,), figures=(),
    )  # fmt: skip
    return Made(empty, None, ())


def moved(before: Programme, after: Programme) -> tuple[tuple[Row, Row, timedelta], ...]:
    """The tasks that begin at another time in one programme than in another."""
    old = {row.key: row for row in before.rows}
    return tuple(
        (old[row.key], row, row.begin - old[row.key].begin)
        for row in after.rows
        if row.key in old and row.begin != old[row.key].begin
    )
