"""What does work cost? Hours for each task, what an hour, a trade, a tip and a day cost, what is
sold by the tube and the roll, and who sells what.

All that is shipped is invented, a start to put your own in the place of. Hours are low, likely and
high for one unit of the measure; money is in minor units, by region, in the region's currency.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from truehang.catalogue._read import Entry, table

MEASURES = (
    "job", "strip_m2", "pieces_out", "props", "pieces_in", "heads", "supports", "assembly_h",
    "frames", "leaves", "soft_close", "insulation_m2", "lining_m2", "joint_m", "bead_m", "trim_m",
    "skirting_m", "seal_m", "compound_kg", "tape_m", "adhesive_tube", "paint_walls_m2",
    "paint_leaves_m2", "opened_m2", "days",
)  # fmt: skip
"""What a task or a good is counted by: `plan/takings.py` measures each."""
WHEN = (
    "electrician", "plumber", "licensed gas fitter", "ductwork installer", "alarm technician",
    "the licensed trade it belongs to", "old-building", "load", "rated-wall", "over-unknown",
)  # fmt: skip
"""What an allowance is tied to: a service of that trade that must move, or what is not known."""
SECTIONS = ("site", "opening-up", "framing", "frame", "leaves", "lining", "finishing", "others")
"""The parts that a price is told in to a customer, in the order of the work."""

Section = Literal[
    "site", "opening-up", "framing", "frame", "leaves", "lining", "finishing", "others"
]
Fraction = Annotated[Decimal, Field(ge=0, le=1)]


def _in_order(three: tuple[float, float, float]) -> tuple[float, float, float]:
    low, likely, high = three
    if not 0 <= low <= likely <= high:
        raise ValueError(
            f"low {low:g}, likely {likely:g}, high {high:g}: give three that are not below zero "
            "and rise"
        )
    return three


Three = Annotated[tuple[float, float, float], AfterValidator(_in_order)]
"""Low, likely, high."""
Each = Annotated[tuple[int, int, int], AfterValidator(_in_order)]
"""Low, likely and high in minor units."""


class Task(Entry):
    """A task of a crew: `hours` for one unit of its measure."""

    id: str
    name: str
    section: Section
    measure: Literal[MEASURES]  # type: ignore[valid-type]
    crew: str
    hours: Three
    source: str


class Good(Entry):
    """What is used by the metre, the square metre or the kilogram and sold by the piece: `holds` of
    the measure are in one, which costs `price` in a region."""

    id: str
    name: str
    section: Section
    measure: Literal[MEASURES]  # type: ignore[valid-type]
    sold: str
    holds: Annotated[float, Field(gt=0)]
    price: Mapping[str, Annotated[int, Field(ge=0)]]
    supplier: str
    source: str


class Allowance(Entry):
    """A sum that is put in because of a finding, and settled by what it really comes to."""

    id: str
    name: str
    when: Literal[WHEN]  # type: ignore[valid-type]
    price: Mapping[str, Each]
    source: str


class Plant(Entry):
    """What is hired or worn out: so much for one unit of its measure."""

    id: str
    name: str
    section: Section
    measure: Literal[MEASURES]  # type: ignore[valid-type]
    price: Mapping[str, Each]
    source: str


class Waste(Entry):
    """How much a cubic metre of loose rubbish weighs, kg, from the least to the most."""

    id: str
    name: str
    loose: tuple[Annotated[float, Field(gt=0)], Annotated[float, Field(gt=0)]]
    source: str


class Supplier(Entry):
    """Who sells what: the parts of the takeoff that are ordered there."""

    id: str
    name: str
    sells: tuple[str, ...]
    lead_time_days: Annotated[int, Field(ge=0)]
    source: str


class Place(Entry):
    """What money is reckoned with in a region, until the user says his own.

    `hour` is what an hour of each crew goes into the cost at; `spread` what an invented price of
    goods may come to, low, likely, high, times itself; `correlation` that between the tasks of one
    crew; `basis` the risk that the price carries; `tax_way` how its tax is rounded.
    """

    region: str
    hour: Mapping[str, Annotated[int, Field(gt=0)]]
    spread: Three
    day_hours: Annotated[float, Field(gt=0, le=24)]
    vehicle_day: Annotated[int, Field(ge=0)]
    tip_m3: Annotated[int, Field(ge=0)]
    tip_least: Annotated[int, Field(ge=0)]
    correlation: Fraction
    basis: Literal["mean", "p50", "p80", "p95"]
    markup: Annotated[Decimal, Field(ge=0, le=3)]
    deposit: Fraction
    tax_way: Literal["total", "line"]
    valid_days: Annotated[int, Field(gt=0)]
    old_days: Annotated[int, Field(gt=0)]
    """A price of goods that is older is said to be so."""
    source: str


class Published(Entry):
    """A figure that could be read, to hold ours against."""

    task: str
    what: str
    low: float
    high: float
    unit: str
    source: str
    worth: Literal["read", "restated", "own arithmetic", "weak"]


class PriceOf(Entry):
    """What one thing of the catalogue costs, from a price list: by its id, in whole units of the
    currency before tax, on a day, from a supplier."""

    id: str
    price: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)]
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    date: date
    supplier: str = ""
    code: str = ""
    """What the supplier calls it."""

    @property
    def minor(self) -> int:
        """The price in minor units."""
        return int(self.price * 100)


class Rates(Entry):
    """Everything that work is priced from."""

    task: tuple[Task, ...]
    good: tuple[Good, ...]
    allowance: tuple[Allowance, ...]
    plant: tuple[Plant, ...]
    waste: tuple[Waste, ...]
    supplier: tuple[Supplier, ...]
    place: tuple[Place, ...]
    published: tuple[Published, ...]

    @model_validator(mode="after")
    def _once(self) -> Self:
        for kind in ("task", "good", "allowance", "plant", "waste", "supplier"):
            ids = [one.id for one in getattr(self, kind)]
            twice = sorted({id for id in ids if ids.count(id) > 1})
            if twice:
                raise ValueError(f"{kind} {', '.join(twice)}: there are two of that id")
        return self

    def at(self, region: str) -> Place | None:
        """What money is reckoned with in a region; None where nobody has said."""
        return next((place for place in self.place if place.region == region), None)


@cache
def rates() -> Rates:
    """The shipped rates, all invented but what is in `published`."""
    return Rates.model_validate(table("rates"))
