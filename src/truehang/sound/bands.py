"""Which frequencies are there, and how do levels in them add up?

Everything is computed in the third octaves 50-10 000 Hz, so that the 8 kHz octave of speech is
whole; what is shown ends at 5000 Hz.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CENTRES: tuple[int, ...] = (
    *(50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000),
    *(2500, 3150, 4000, 5000, 6300, 8000, 10000),
)
"""Nominal third-octave centre frequencies, Hz (ISO 266)."""

BANDS = CENTRES[:21]
"""The bands that are shown: 50-5000 Hz."""

OCTAVES: tuple[int, ...] = (63, 125, 250, 500, 1000, 2000, 4000, 8000)

FREQUENCIES: Floats = np.array(CENTRES, dtype=float)

AIR_SPEED = 343.0
"""Speed of sound in air at 20 C, m/s."""

A_OCTAVE: Floats = np.array([-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1])
"""A-weighting at the octave centres 63-8000 Hz, dB (IEC 61672-1, table 3)."""


def decibels(power: Any) -> Floats:
    """10 lg of a power ratio; nothing at all is -inf without a warning."""
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(power), dtype=float)


def power(level: Any) -> Floats:
    """The power ratio of a level in dB."""
    return np.asarray(10 ** (np.asarray(level, dtype=float) / 10), dtype=float)


def energy_sum(levels: Any) -> float:
    """The level of several levels together, dB."""
    return float(decibels(np.sum(power(levels))))


def octaves_of(tau: Floats) -> Floats:
    """Transmission in octaves from that in thirds (last axis 24 -> 8), each third alike strong."""
    return np.asarray(tau.reshape(*tau.shape[:-1], 8, 3).mean(axis=-1))


def thirds_of(octave_values: Any) -> Floats:
    """Values given in octaves (dB) read at the third-octave centres, straight in lg f."""
    values = np.asarray(octave_values, dtype=float)
    return np.asarray(np.interp(np.log(FREQUENCIES), np.log(OCTAVES), values), dtype=float)
