"""Which leaf constructions can be ordered: thickness, mass, sizes, price, lead time?

Lengths mm, surface density kg/m2, prices in integer minor units. Shipped data is invented;
surface densities are typical of the construction.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from truehang.catalogue._read import Entry, at_home, table
from truehang.catalogue.kits import Range
from truehang.rule import Rule

MASS = Rule(
    "M = w × h × e/10^6",
    {"M": "mass of one leaf", "w": "leaf width", "h": "leaf height", "e": "surface density"},
)
"""kg, of mm and kg/m2."""

LeafKind = Literal["hollow-core", "solid-core", "mdf", "timber-panelled", "glass"]


GLASS_PER_MM = 2.5
"""kg/m2 for each mm of glass (from memory: 2500 kg/m3; check EN 572-1)."""
FRAMELESS = 0.1
"""A leaf within this part of the mass of glass as thick as itself is glass all through."""


class Glazing(Entry):
    """The glass of a leaf: which, how thick (mm), and its share of the leaf's face (the rest is
    the frame, which weighs what is left)."""

    glass: str = "glass"
    """Key of a material of kind glass."""
    thickness: Annotated[float, Field(gt=0)]
    share: Annotated[float, Field(gt=0, le=1)]


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
    glazing: Glazing | None = None
    """What the glass is; a leaf with glass that leaves it out has glass of unknown thickness,
    unless it is glass all through."""
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
    here: Mapping[str, LeafConstruction] = Field(default_factory=dict, repr=False)
    """The leaf as it is sold in a region, by the region's id, where that differs: a file gives only
    what does."""

    @model_validator(mode="before")
    @classmethod
    def _each_place(cls, entry: Any) -> Any:
        return at_home(entry)

    @model_validator(mode="after")
    def _glazing_fits(self) -> Self:
        if self.glazing is None:
            return self
        thickness, share = self.glazing.thickness, self.glazing.share
        if not self.glass:
            raise ValueError("glazing: of a leaf without glass; write glass = true or take it out")
        if thickness > self.thickness:
            raise ValueError(
                f"glazing.thickness: {thickness:g} is more than the leaf's {self.thickness:g}; "
                "give the pane's own"
            )
        pane = GLASS_PER_MM * thickness * share
        if share < 1 and pane >= self.surface_density:
            raise ValueError(
                f"glazing: the glass alone is {pane:g} kg/m2 of leaf, and the leaf weighs "
                f"{self.surface_density:g}; give a thinner pane or a smaller share"
            )
        if share == 1 and abs(pane / self.surface_density - 1) > FRAMELESS:
            raise ValueError(
                f"glazing: glass all over is {pane:g} kg/m2, and the leaf weighs "
                f"{self.surface_density:g}; give the share that is glass"
            )
        return self

    @property
    def known_glazing(self) -> Glazing | None:
        """The glazing as given, or the leaf itself where its mass says that it is glass all
        through; None where there is no glass or nobody knows how thick it is."""
        if self.glazing is None and self.kind == "glass":
            solid = GLASS_PER_MM * self.thickness
            if abs(self.surface_density / solid - 1) <= FRAMELESS:
                return Glazing(thickness=self.thickness, share=1.0)
        return self.glazing

    def mass(self, width: float, height: float) -> float:
        """Mass (kg) of a leaf of width x height (mm): area times surface density."""
        return MASS(w=width, h=height, e=self.surface_density)


@cache
def leaves() -> tuple[LeafConstruction, ...]:
    """The shipped leaf constructions, all invented."""
    return tuple(LeafConstruction.model_validate(entry) for entry in table("leaves")["leaf"])
