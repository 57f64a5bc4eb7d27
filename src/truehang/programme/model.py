"""What does a programme take in and hand back? Tasks with reasons and people; rows with times."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.programme.calendars import Calendar

Kind = Literal["work", "delivery", "hold", "answer"]
Three = tuple[float, float, float]
"""Low, likely, high."""


@dataclass(frozen=True, slots=True)
class Wait:
    """Hours by the clock, nights included. Setting is chemical and by the bag; drying goes by
    temperature and damp; bond is adhesive."""

    hours: float
    kind: Literal["setting", "drying", "bond"]
    source: str


@dataclass(frozen=True, slots=True)
class Precedence:
    """`after` begins when `before` is done and the wait is over, because of `reason`."""

    before: str
    after: str
    reason: str
    wait: Wait | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something to be done, or waited for. `hours` are working hours of those who come, (0, 0, 0)
    for what takes nobody's time; `hold` must be recorded before what follows begins."""

    key: str
    job: str
    place: str
    title: str
    trade: str
    hours: Three = (0.0, 0.0, 0.0)
    people: int = 1
    kind: Kind = "work"
    noisy: bool = False
    hold: str = ""
    recorded: bool = False
    not_before: date | None = None
    why_not: str = ""
    """Why it can't begin before that day."""
    begun: datetime | None = None
    ended: datetime | None = None
    promised: date | None = None
    bring: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Trade:
    """Who comes: how many crews of them at once, and when, within the hours of the site."""

    key: str
    word: str
    crews: int = 1
    people: int = 99
    """How many people one crew is, those who come to lift included."""
    calendar: Calendar | None = None


@dataclass(frozen=True, slots=True)
class Leave:
    """So many crews of a trade are away from one day to another, both included."""

    trade: str
    begin: date
    end: date
    crews: int = 1


@dataclass(frozen=True, slots=True)
class Place:
    """A site: when nobody may work there, and when no noise is made."""

    key: str
    open: Calendar | None = None
    noise: Calendar | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """Everything that a programme is made from. `open` are the hours of all sites together."""

    tasks: tuple[Task, ...]
    precedences: tuple[Precedence, ...]
    trades: tuple[Trade, ...]
    open: Calendar
    begin: date
    zone: str
    places: tuple[Place, ...] = ()
    leave: tuple[Leave, ...] = ()
    deadline: date | None = None
    slot: int = 30
    seed: int = 1
    correlation: float = 0.4
    effort: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One task with its time. `float_hours` are working hours that it may slip without the finish
    moving; `chain` says that it has none. `blocked` names holds before it that nobody recorded."""

    key: str
    job: str
    place: str
    title: str
    trade: str
    word: str
    kind: Kind
    begin: datetime
    end: datetime
    hours: Three
    people: int
    float_hours: float
    chain: bool
    hold: str
    recorded: bool
    blocked: tuple[str, ...]
    bring: tuple[str, ...]
    promised: date | None
    done: bool = False


@dataclass(frozen=True, slots=True)
class Waiting:
    """A wait as it falls: nobody is needed."""

    after: str
    kind: str
    begin: datetime
    end: datetime
    source: str


@dataclass(frozen=True, slots=True)
class Reached:
    """What was reached for one aim, what is proved to be the least, and in what it is counted."""

    value: float
    least: float
    unit: str

    @property
    def proved(self) -> bool:
        """Nothing is better."""
        return self.value <= self.least


@dataclass(frozen=True, slots=True)
class Chance:
    """The chance to be done by the end of a day."""

    day: date
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """Who comes when. `finish` is the end of the last row; `chain` says in words what it hangs on.

    `length` is in working slots, `days` and `trips` are those of all trades at all places.
    """

    rows: tuple[Row, ...]
    waiting: tuple[Waiting, ...]
    begin: date
    finish: datetime
    zone: str
    length: Reached
    days: Reached
    trips: Reached
    chain: tuple[str, ...]
    chances: tuple[Chance, ...]
    promise: date | None
    """A day that is kept with a chance of 80 % or more."""
    searched: bool
    bound_by: str
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]

    def of(self, key: str) -> Row:
        """The row of a task. StopIteration where there is none."""
        return next(row for row in self.rows if row.key == key)

    @property
    def trades(self) -> tuple[str, ...]:
        """The trades that come, in the order of their first day."""
        return tuple(dict.fromkeys(r.trade for r in self.rows if r.kind == "work" and not r.done))
