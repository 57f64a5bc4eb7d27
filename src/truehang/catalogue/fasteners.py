"""Which screws and nails can be bought, and which rule says how they must hold a board?

Lengths mm, prices in integer minor units of the catalogue's currency. Shipped fasteners are
generic and invented as to box and price; their lengths are common stock lengths.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field

from truehang.catalogue._read import Entry, table

FastenerKind = Literal[
    "board-screw",
    "frame-screw",
    "base-screw",
    "track-screw",
    "trim-nail",
    "masonry-screw",
    "framing-nail",
]
Substrate = Literal["timber", "steel", "concrete"]
Sizes = Literal["metric", "inch"]
"""Which boxes are on the shelf: a region's profile names one of them."""


class Fastener(Entry):
    """A stock screw or nail: overall length, shank diameter, and how far its head stands up."""

    id: str
    name: str
    kind: FastenerKind
    into: Substrate
    range: Sizes
    length: Annotated[float, Field(gt=0, le=300)]
    diameter: Annotated[float, Field(gt=0, le=20)]
    head_height: Annotated[float, Field(ge=0, le=15)]
    """How far the head stands above the surface when driven home; 0 for a sunk head."""
    box_count: Annotated[int, Field(gt=0)]
    box_price_minor: Annotated[int, Field(ge=0)]


class BoardRule(Entry):
    """How board is fixed to supports: most screw spacing on walls, least hold, by rule set."""

    id: str
    spacing: Annotated[float, Field(gt=0)]
    hold: Annotated[float, Field(gt=0)]
    """Least length of screw in timber, mm."""
    hold_glued: Annotated[float, Field(gt=0)]
    """Least length in timber where the board is glued to the support as well, mm."""
    glue_at_openings: Literal["barred", "ask"]
    """May glue stand in for hold beside an opening? `barred`: only screws count there; `ask`: it
    is counted where screws alone can't hold, and said to be in doubt."""
    edge: Annotated[float, Field(gt=0)]
    """From the board's end to the first screw, mm."""
    verified: bool
    source: str
    source_glued: str


class NailingRule(Entry):
    """How framing that carries nothing is nailed, by rule set: nails to an end of a piece, and how
    far apart (mm) they are along two pieces that lie side by side."""

    id: str
    ends: Annotated[int, Field(gt=0, le=8)]
    along: Annotated[float, Field(gt=0)]
    verified: bool
    source: str


@cache
def fasteners() -> tuple[Fastener, ...]:
    """The shipped fasteners, by kind and then length."""
    rows = (one for group in table("fasteners")["fasteners"] for one in _expand(group))
    return tuple(sorted(rows, key=lambda f: (f.kind, f.into, f.length, f.id)))


def _expand(group: dict[str, Any]) -> Iterator[Fastener]:
    """One group of the data file: rows of length, what the box says of it, and price."""
    shared = {key: value for key, value in group.items() if key not in ("rows", "family", "name")}
    for length, size, price in group["rows"]:
        yield Fastener(
            id=f"{group['family']}-{size.replace(' ', '-').replace('/', '_')}",
            name=group["name"].format(size),
            length=length,
            box_price_minor=price,
            **shared,
        )


@cache
def board_rules() -> tuple[BoardRule, ...]:
    """The shipped rule sets for screwing board to supports."""
    return tuple(BoardRule.model_validate(entry) for entry in table("fasteners")["board_rule"])


@cache
def nailing_rules() -> tuple[NailingRule, ...]:
    """The shipped rule sets for nailing framing together."""
    return tuple(NailingRule.model_validate(entry) for entry in table("fasteners")["nailing_rule"])
