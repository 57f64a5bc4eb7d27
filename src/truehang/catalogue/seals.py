"""What closes a gap, what else makes an opening quieter, and what does it cost?"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from truehang.catalogue._read import Entry, table
from truehang.catalogue.kits import Range

Positive = Annotated[float, Field(gt=0)]


def _not_negative(force: Range) -> Range:
    if force.least < 0:
        raise ValueError(f"least {force.least:g} is below zero; give N per metre")
    return force


Force = Annotated[Range, AfterValidator(_not_negative)]

GapKind = Literal["floor", "jamb", "meeting", "head", "mouth"]
"""Under a leaf, at the closing jamb, where a pair meets, over a leaf, in the mouth of a pocket."""


class Seal(Entry):
    """A seal for a gap.

    `reduction` is the sound reduction index of the sealed joint per metre (ISO 10140-1 annex J,
    reference length 1 m) in the octaves 63-8000 Hz, dB; `max_gap` the widest gap it closes, mm;
    `price` minor units per metre; `suits` the kinds of gap it is made for. `drag` is the force it
    holds a moving leaf back with and `press` what it takes to press it home as the leaf closes,
    both N per metre from the least to the most.
    """

    key: str
    name: str
    kind: Literal["brush", "drop", "compression"]
    suits: tuple[GapKind, ...]
    max_gap: Positive
    reduction: tuple[float, float, float, float, float, float, float, float]
    price: Annotated[int, Field(ge=0)]
    drag: Force
    press: Force = Range(least=0.0, most=0.0)
    drag_source: str
    source: str


class SoundOffer(Entry):
    """A change that can be bought to make an opening quieter.

    `changes` says what it touches; `layers` are (material key, thickness mm) of a new leaf or of
    the extra sheet on each face; `infill` is (porous material key, thickness mm); `seals` pairs a
    kind of gap with a seal key; `rebate_depth` (mm) is the depth of the path through a rebated
    meeting edge and `rebate_gap` its width (mm). `price` is minor units per `unit`.
    """

    key: str
    label: str
    changes: Literal["leaf", "seals", "rebate", "infill", "skins", "lining"]
    unit: Literal["leaf", "metre", "metre of seal", "m2 of leaf", "m2 of pocket", "m2 of wall"]
    price: Annotated[int, Field(ge=0)]
    layers: tuple[tuple[str, Positive], ...] = ()
    infill: tuple[str, Positive] | None = None
    seals: tuple[tuple[GapKind, str], ...] = ()
    rebate_depth: Positive | None = None
    rebate_gap: Positive | None = None
    source: str


@cache
def seals() -> tuple[Seal, ...]:
    """Every seal of the catalogue, in the order of the data file."""
    return tuple(Seal.model_validate(row) for row in table("seals")["seal"])


@cache
def sound_offers() -> tuple[SoundOffer, ...]:
    """Every change that can be offered, in the order of the data file."""
    return tuple(SoundOffer.model_validate(row) for row in table("seals")["offer"])
