"""What does the user know of days and hours? When there is work, who comes, what has happened."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from truehang.job.fields import Day, Id, Line, Number, Section, Whole

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Stretch = Annotated[
    str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d-(([01]\d|2[0-3]):[0-5]\d|24:00)$")
]
"""Hours of a day: 07:00-12:00."""
Moment = Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d ([01]\d|2[0-3]):[0-5]\d$")]
"""A moment by the place's clock: 2026-04-14 09:30."""
Coat = Literal["base", "second", "finish", "paint", "bond"]
Lead = Literal["kit", "leaf", "timber", "boards", "test", "certifier", "engineer"]


class Away(Section):
    """Days on which somebody does not come."""

    trade: Id = Field(default="own", description="own crew, or a trade: painter")
    begin: Day = Field(description="first day: 2026-04-20")
    end: Day | None = Field(default=None, description="last day; absent = the first alone")
    crews: Whole | None = Field(default=None, ge=1, le=50, description="how many; absent = all")
    why: Line | None = Field(default=None, description="why: leave")


class TradeDays(Section):
    """When another trade comes, within the hours of the site."""

    trade: Id = Field(description="electrician, plumber, painter, setter, floor-layer")
    days: tuple[Weekday, ...] | None = Field(default=None, description="days of the week")
    hours: tuple[Stretch, ...] | None = Field(default=None, description="hours: 07:00-12:00")
    crews: Whole = Field(default=1, ge=0, le=50, description="crews at once")
    begins: Day | None = Field(default=None, description="not before this day")


class Happened(Section):
    """A task that was begun, or done."""

    task: Id = Field(description="task of the programme: line")
    begun: Moment | None = Field(default=None, description="when: 2026-04-14 09:30")
    ended: Moment | None = Field(default=None, description="when; absent = not done yet")


class ProgrammeWish(Section):
    """Days and hours of the work."""

    deadline: Day | None = Field(default=None, description="day by which all is to be done")
    ordered: Day | None = Field(default=None, description="day on which the orders go out")
    place: Line | None = Field(
        default=None, description="state or part of the country whose holidays hold: VIC"
    )
    zone: Line | None = Field(default=None, description="time zone: Australia/Melbourne")
    days: tuple[Weekday, ...] = Field(
        default=("mon", "tue", "wed", "thu", "fri"), description="days of the week with work"
    )
    hours: tuple[Stretch, ...] = Field(
        default=("07:00-12:00", "12:30-15:30"), description="hours of work: 07:00-12:00"
    )
    worked: tuple[Day, ...] = Field(default=(), description="days with work all the same")
    away: tuple[Away, ...] = Field(default=(), description="leave, and other days away")
    not_on: tuple[Weekday, ...] = Field(default=(), description="days without work at this place")
    noise: tuple[Stretch, ...] | None = Field(
        default=None, description="hours in which noise is allowed here; absent = all"
    )
    trades: tuple[TradeDays, ...] = Field(default=(), description="other trades' days and hours")
    jointer: Literal["own", "setter"] = Field(
        default="own", description="who tapes and sets the joints"
    )
    painted: bool = Field(default=True, description="a painter comes within this job")
    coats: dict[Coat, Annotated[Number, Field(ge=0, le=1000)]] = Field(
        default={}, description="hours to wait, from the label: second: 10"
    )
    lead_days: dict[Lead, Annotated[Whole, Field(ge=0, le=365)]] = Field(
        default={}, description="working days from the order: leaf: 15"
    )
    recorded: dict[Id, Day] = Field(
        default={}, description="holds that are recorded, by step: look"
    )
    happened: tuple[Happened, ...] = Field(default=(), description="what was begun and done")
    promised: dict[Id, Day] = Field(
        default={}, description="days that were promised, by task: paint-first"
    )
