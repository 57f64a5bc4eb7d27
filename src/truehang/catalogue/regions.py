"""How do a place's money, tax, sizes, rules and words differ? One region profile per data file."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Annotated, Literal

from pydantic import Field, PositiveFloat

from truehang.catalogue._read import Entry
from truehang.lengths import LengthStyle


class UnknownRegion(ValueError):
    """A region that no profile describes. The message names those there are."""


class Tax(Entry):
    """The tax on top of a price. `rate` is a fraction: 0.10 is 10 %."""

    name: str
    rate: Annotated[Decimal, Field(ge=0, lt=1)]
    included_by_habit: bool
    """True where a price told to a householder includes the tax."""
    note: str


class TimberSizes(Entry):
    """Sections (thickness, depth), stud centres and stock lengths that are sold, mm."""

    stud_sections: Annotated[tuple[tuple[PositiveFloat, PositiveFloat], ...], Field(min_length=1)]
    stud_spacings: Annotated[tuple[PositiveFloat, ...], Field(min_length=1)]
    stock_lengths: Annotated[tuple[PositiveFloat, ...], Field(min_length=1)]


class BoardSizes(Entry):
    """Lining boards that are sold, mm."""

    thicknesses: Annotated[tuple[PositiveFloat, ...], Field(min_length=1)]
    widths: Annotated[tuple[PositiveFloat, ...], Field(min_length=1)]
    lengths: Annotated[tuple[PositiveFloat, ...], Field(min_length=1)]


class Region(Entry):
    """One place's profile.

    `access_rules` is the id of an accessibility rule set, `timber_code` the design code of the
    preliminary sizing, `hazard_year` the year before which asbestos or lead paint is looked for
    first (common practice, no source). `words` gives this place's word for ours.
    """

    id: str
    name: str
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    lengths: LengthStyle
    paper: Literal["A4"]
    date_style: Literal["day-month-year", "month-day-year"]
    access_rules: str
    timber_code: Literal["AS 1720.1", "EN 1995-1-1", "NDS"]
    sheet_lining_code: str
    hazard_year: int
    licence_note: str
    tax: Tax
    timber: TimberSizes
    boards: BoardSizes
    words: Mapping[str, str]


@cache
def regions() -> tuple[Region, ...]:
    """Every profile, by id."""
    folder = resources.files(__package__) / "data" / "regions"
    files = sorted(
        (file for file in folder.iterdir() if file.name.endswith(".toml")), key=lambda f: f.name
    )
    return tuple(
        Region.model_validate(tomllib.loads(file.read_text(encoding="utf-8"))) for file in files
    )


def find(id: str, among: Iterable[Region]) -> Region:
    """The profile with this id. Raises UnknownRegion, naming the nearest."""
    known = {profile.id: profile for profile in among}
    if id in known:
        return known[id]
    close = difflib.get_close_matches(id.lower(), known, n=1)
    hint = f"did you mean {close[0]!r}?" if close else f"choose one of {', '.join(known)}"
    raise UnknownRegion(f"no region {id!r}; {hint}")
