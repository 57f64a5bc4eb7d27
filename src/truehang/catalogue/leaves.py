"""Which leaf constructions can be ordered: thickness, mass, sizes, price, lead time?

Lengths mm, surface density kg/m2, prices in integer minor units. Shipped data is invented;
surface densities are typical of the construction.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from truehang.catalogue._read import Entry, table
from truehang.catalogue.kits import Range
from truehang.rule import Rule

MASS = Rule(
    "M = w × h × e/10^6",
    {"M": "mass of one leaf", "w": "leaf width", "h": "leaf height", "e": "surface density"},
)
"""kg, of mm and kg/m2."""

LeafKind = Literal["hollow-core", "solid-core", "mdf", "timber-panelled", "glass"]


class StockSize(Entry):
    """A size kept on the shelf, width x height (mm), and its price each."""

    width: Annotated[float, Field(gt=0)]
    height: Annotated[float, Field(gt=0)]
    price_minor: Annotated[int, Field(ge=0)]


class LeafConstruction(Entry):
    """How a leaf is made. Stock sizes come first; made to size where `made_to_size` says so."""

    id: str
    name: str
    note: str
    kind: LeafKind
    glass: bool
    timber: bool
    """True where screws hold in the edges and the leaf may be planed to fit."""
    thickness: Annotated[float, Field(gt=0)]
    surface_density: Annotated[float, Field(gt=0)]
    """kg/m2 of leaf face, all of the thickness."""
    width: Range
    height: Range
    made_to_size: bool
    price_minor_per_m2: Annotated[int, Field(ge=0)]
    price_least_minor: Annotated[int, Field(ge=0)]
    """Least charge for one leaf made to size."""
    lead_time_days: Annotated[int, Field(ge=0)]
    stock: tuple[StockSize, ...] = ()
    stock_lead_time_days: Annotated[int, Field(ge=0)] = 0
    trim_height_most: Annotated[float, Field(ge=0)] = 0.0
    """How much may be planed or sawn off a stock leaf's height."""

    def mass(self, width: float, height: float) -> float:
        """Mass (kg) of a leaf of width x height (mm): area times surface density."""
        return MASS(w=width, h=height, e=self.surface_density)


@cache
def leaves() -> tuple[LeafConstruction, ...]:
    """The shipped leaf constructions, all invented."""
    return tuple(LeafConstruction.model_validate(entry) for entry in table("leaves")["leaf"])
