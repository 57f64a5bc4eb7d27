"""Who sends the quote? The user's business: kept in a file of its own, never in a job file.

Its numbers are checked with python-stdnum: a mistyped one is refused, with the mend. That a number
is well made does not say whose it is.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType
from typing import Annotated

from pydantic import Field, ValidationError, model_validator

from truehang.catalogue._read import CatalogueError, Entry, text
from truehang.catalogue.own import entry_lines

IDS: dict[str, tuple[str, str]] = {
    kind: (one["module"], one["what"])
    for kind, one in tomllib.loads(text("business-numbers"))["numbers"].items()
}
"""The numbers that can be checked: the library's module, and what the number is."""
Line = Annotated[str, Field(min_length=1, max_length=200)]
MOST_BYTES = 200_000


class Bank(Entry):
    """Where money is paid to, as it is printed."""

    name: Line
    account_name: Line
    account: Line
    code: str = ""
    """The bank's or branch's number: BSB, sort code or routing number."""


class Business(Entry):
    """The user's business, as its documents show it. `ids` are its numbers by their kind."""

    name: Line
    address: tuple[Line, ...] = Field(min_length=1)
    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$")]
    ids: Mapping[str, str] = Field(default_factory=dict)
    licence: str = ""
    email: str = ""
    phone: str = ""
    bank: Bank | None = None
    terms: tuple[Line, ...] = ()
    """What a quote says under its price, a paragraph each."""
    exclusions: tuple[Line, ...] = ()
    """What is never in a price of yours."""
    logo: str = ""
    """A picture beside this file: PNG or JPEG."""

    @model_validator(mode="after")
    def _numbers(self) -> Business:
        for kind, number in self.ids.items():
            checked(kind, number)
        return self

    def number(self, kind: str) -> str:
        """One of its numbers as it is written on documents; empty where it has none."""
        given = self.ids.get(kind)
        return checked(kind, given) if given else ""


def checked(kind: str, number: str) -> str:
    """A number as it is written, once it is well made. ValueError with the mend where it is not."""
    if kind not in IDS:
        raise ValueError(f"ids.{kind}: not a number that is known; give one of {', '.join(IDS)}")
    module = _module(kind)
    what = IDS[kind][1]
    if not module.is_valid(number):
        raise ValueError(f"ids.{kind}: {number!r} is no {what}: a digit is wrong or missing; "
                         "read it off the certificate again")  # fmt: skip
    written = getattr(module, "format", module.compact)
    text: str = written(number)
    return text


def _module(kind: str) -> ModuleType:
    from importlib import import_module

    return import_module(IDS[kind][0])


def read_business(path: Path) -> Business:
    """The business in a file (TOML). CatalogueError with everything that is wrong."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise CatalogueError(f"{path.name}: more than {MOST_BYTES:,} bytes; keep only this")
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise CatalogueError(f"{path.name}: {(error.strerror or str(error)).lower()}; look at the "
                             "name and the folder") from None  # fmt: skip
    except UnicodeDecodeError:
        raise CatalogueError(f"{path.name}: not UTF-8 text; save it again as UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"{path.name}: not TOML: {error}; mend that line") from None
    try:
        made = Business.model_validate(given)
    except ValidationError as error:
        told = [f"{path.name}: {text}" for _, text in entry_lines(error, Business)]
        raise CatalogueError("\n".join(told)) from None
    if made.logo and not (path.parent / made.logo).is_file():
        raise CatalogueError(f"{path.name}: logo: {made.logo!r} is not beside this file; put it "
                             "there, or take the line out")  # fmt: skip
    return made
