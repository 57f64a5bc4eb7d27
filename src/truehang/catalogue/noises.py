"""What is heard, and over what? Octave-band levels of sources and of quiet rooms."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from truehang.catalogue._read import Entry, table

Level = Annotated[float, Field(ge=-20, le=150)]


class Noise(Entry):
    """Octave-band sound pressure levels, 63-8000 Hz, dB re 20 uPa.

    A `source` is the level in the room where it arises; a `background` that of the room where
    one listens. `speech` marks a source whose talk may be understood.
    """

    key: str
    name: str
    kind: Literal["source", "background"]
    levels: tuple[Level, Level, Level, Level, Level, Level, Level, Level]
    speech: bool = False
    source: str


@cache
def noises() -> tuple[Noise, ...]:
    """Every source and background of the catalogue, in the order of the data file."""
    return tuple(Noise.model_validate(row) for row in table("noises")["noise"])
