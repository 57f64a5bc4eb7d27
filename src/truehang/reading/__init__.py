"""What was read on site? One frozen `Reading` per number written down, and what each kind is."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.reading.kinds import INSTRUMENT_SIGMA, KINDS, PLACES, Kind, side_name

__all__ = [
    "INSTRUMENT_SIGMA",
    "KINDS",
    "PLACES",
    "Kind",
    "Reading",
    "label_of",
    "side_name",
    "sigma_of",
]


@dataclass(frozen=True, slots=True)
class Reading:
    """One number read on site, mm, in the frame of the run seen from side A.

    What `value` is, by kind and place, stands in `truehang.reading.kinds`. `over` is the length
    of the level, straightedge or blade that it was read over; `at` the x along the run, or how
    high over the base the lower end of a level stood. `sigma` is the standard uncertainty, mm;
    None takes the instrument's usual one.
    """

    id: str
    kind: str
    value: float
    place: str = ""
    at: float | None = None
    over: float | None = None
    sigma: float | None = None
    instrument: str = ""


def label_of(kind: str, place: str) -> str:
    """What the carpenter calls a reading: "width at middle", "rising diagonal"."""
    return KINDS[kind].named(place)


def sigma_of(reading: Reading) -> float:
    """The reading's own standard uncertainty, or its instrument's usual one, mm."""
    if reading.sigma is not None:
        return reading.sigma
    return INSTRUMENT_SIGMA.get(reading.instrument or KINDS[reading.kind].instrument, 1.5)
