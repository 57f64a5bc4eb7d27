"""Which rules of a place warn a person about money? Deposits, cooling-off, what a bill must state.

Law changes, and this program is no lawyer: each rule says where and when it was read, and every
page that shows one says "check current law". Rules warn; they block nothing.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from truehang.catalogue._read import Entry, table

CHECK = "check current law"
"""What stands beside every rule of a place."""
Part = Annotated[Decimal, Field(ge=0, le=1)]


class Cap(Entry):
    """The most that a deposit may be of a price from `least` (whole units, tax in it) to under
    `below`; `off_site` is the higher one where more than half is made off site."""

    least: Annotated[int, Field(ge=0)] = 0
    below: Annotated[int, Field(gt=0)] | None = None
    most: Part
    off_site: Part | None = None


class PlaceRule(Entry):
    """One rule of a place: `place` is a state or the whole region ("" means all of it)."""

    id: str
    region: str
    place: str = ""
    kind: Literal["deposit", "cooling-off", "tax-rounding", "invoice", "claim", "tax"]
    what: str
    caps: tuple[Cap, ...] = ()
    source: str
    worth: Literal["read", "restated"]
    captured: date


@cache
def place_rules() -> tuple[PlaceRule, ...]:
    """Every rule that could be read, in the order of the data file."""
    return tuple(PlaceRule.model_validate(row) for row in table("law")["rule"])
