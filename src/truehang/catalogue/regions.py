"""How do a place's money, tax, sizes, rules and words differ? One region profile per data file."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Annotated, Literal

from pydantic import Field, ValidationError, field_validator

from truehang.catalogue._read import CatalogueError, Entry
from truehang.catalogue.fasteners import Sizes
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


class Days(Entry):
    """Whose public holidays hold, by the country's code of ISO 3166-1, and by which clock people
    work: the country's, or that of a part of it."""

    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$")]
    zone: str
    zones: Mapping[str, str] = {}


WORDS = (
    "plasterboard", "architrave", "skirting", "set", "jointing-compound", "noggin", "stud",
    "lintel", "top-plate", "bottom-plate", "outlet", "double-outlet", "switch", "long-level",
    "short-level", "level-over", "insulation-batt", "timber", "tap", "storey-0", "quote", "invoice",
    "electrician", "engineer", "certifier",
)  # fmt: skip
"""What every region has a word for."""


class Region(Entry):
    """One place's profile.

    `paper` is the sheet that a printer here holds, `language` that of its pages, as in "en-AU".
    `access_rules`, `timber_code`, `board_rule` and `nailing_rule` name its accessibility rule set,
    the design code of the preliminary sizing and the rules for screwing board to studs and for
    nailing framing together; `fixings` says in which
    sizes screws, nails and packers are sold in it; timber, mouldings and boards are sold in it
    where they are priced in its `currency`. `hazard_year` is the year before which
    asbestos or lead paint is looked for first (common practice, no source). `words` gives this
    place's word for each of ours.
    """

    id: str
    name: str
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    lengths: LengthStyle
    paper: Literal["A4", "Letter"]
    language: Annotated[str, Field(pattern=r"^[a-z]{2}-[A-Z]{2}$")]
    date_style: Literal["day-month-year", "month-day-year"]
    access_rules: str
    timber_code: str
    board_rule: str
    nailing_rule: str
    fixings: Sizes
    hazard_year: int
    licence_note: str
    tax: Tax
    days: Days
    words: Mapping[str, str]

    @field_validator("words")
    @classmethod
    def _whole(cls, words: Mapping[str, str]) -> Mapping[str, str]:
        missing = [word for word in WORDS if not words.get(word, "").strip()]
        if missing:
            raise ValueError(f"no word for {', '.join(missing)}")
        strange = [word for word in words if word not in WORDS]
        if strange:
            raise ValueError(f"{', '.join(strange)}: nothing asks for that word")
        return words


@cache
def regions() -> tuple[Region, ...]:
    """Every profile, by id. Raises CatalogueError for one that is not whole."""
    folder = resources.files(__package__) / "data" / "regions"
    files = sorted(
        (file for file in folder.iterdir() if file.name.endswith(".toml")), key=lambda f: f.name
    )
    return tuple(profile(file.name, file.read_text(encoding="utf-8")) for file in files)


def profile(name: str, text: str) -> Region:
    """The profile in a file's text. Raises CatalogueError, naming the file and what is missing."""
    try:
        return Region.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"region {name}: not TOML: {error}; mend that line") from None
    except ValidationError as error:
        raise CatalogueError("\n".join(f"region {name}: {line}" for line in lines(error))) from None


def lines(error: ValidationError) -> Iterator[str]:
    """What is wrong with a profile, a line each."""
    for detail in error.errors(include_url=False):
        field = ".".join(map(str, detail["loc"]))
        if detail["type"] == "missing":
            yield f"{field}: missing; add it"
        else:
            yield f"{field}: {detail['msg'].removeprefix('Value error, ')}"


def find(id: str, among: Iterable[Region]) -> Region:
    """The profile with this id. Raises UnknownRegion, naming the nearest."""
    known = {profile.id: profile for profile in among}
    if id in known:
        return known[id]
    close = difflib.get_close_matches(id.lower(), known, n=1)
    hint = f"did you mean {close[0]!r}?" if close else f"choose one of {', '.join(known)}"
    raise UnknownRegion(f"no region {id!r}; {hint}")
