"""Which packers are usually on the van, and how may they be stacked?"""

from __future__ import annotations

from functools import cache
from typing import Annotated

from pydantic import Field

from truehang.catalogue._read import Entry, table
from truehang.catalogue.fasteners import Sizes


class Packers(Entry):
    """Plastic packers: thicknesses (mm), most pieces in a stack, thickest stack (mm)."""

    range: Sizes
    sizes: Annotated[
        tuple[Annotated[float, Field(gt=0, le=50)], ...], Field(min_length=1, max_length=30)
    ]
    pieces_most: Annotated[int, Field(ge=1, le=6)]
    total_most: Annotated[float, Field(gt=0, le=100)]
    step: Annotated[float, Field(gt=0, le=5)]
    """Stacks are made exact to this, mm."""
    tolerance: Annotated[float, Field(ge=0, le=2)]
    """How far a stack may be off where none is exact, mm."""


@cache
def packers() -> tuple[Packers, ...]:
    """The usual sets on the van: common practice, no source."""
    return tuple(Packers.model_validate(entry) for entry in table("packers")["packers"])
