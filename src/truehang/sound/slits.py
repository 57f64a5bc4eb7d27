"""How much sound slips through a gap?

The straight-edged slit in a rigid wall of finite depth: Gomperts & Kihlman (1967), in the form of
Hopkins, *Sound Insulation* (2007), equations 4.99-4.101. No air friction, so a gap under about
1 mm lets through less than is said here.
"""

from __future__ import annotations

import numpy as np

from truehang.sound.bands import AIR_SPEED, FREQUENCIES, Floats, power, thirds_of

EULER = 0.57722
DIFFUSE = 8.0
POSITION = {"mid-wall": 1.0, "edge": 0.5}

WIDEST = 2.0
"""Above k w = 2 the theory (slit narrow against the wave) ends: sound goes straight through."""

_WITHIN = 10 ** ((np.arange(5) - 2) / 50)
"""Five frequencies in each third octave, so that no sharp resonance is missed or overrated."""


def transmission(
    frequency: Floats, width: Floats | float, depth: float, place: str = "mid-wall"
) -> Floats:
    """Transmission coefficient of a slit of `width` and `depth` (mm); arrays broadcast.

    It may be over 1 at a resonance, because a slit draws in sound from beside it.
    """
    w = np.asarray(width, dtype=float) / 1000
    n = POSITION[place]
    k = 2 * np.pi * np.asarray(frequency, dtype=float) / AIR_SPEED
    kw, kd = k * w, k * depth / 1000
    end = kw * np.maximum((np.log(8 / kw) - EULER) / np.pi, 0.0)
    across = np.cos(end) ** 2
    reach = np.sin(kd + 2 * end) ** 2 / across
    loss = kw**2 / (2 * n**2) * (1 + np.cos(kd) * np.cos(kd + 2 * end))
    tau = DIFFUSE * kw * across / (2 * n**2 * (reach + loss))
    return np.asarray(np.where(kw > WIDEST, 1.0, tau))


def resonances(width: float, depth: float, count: int = 3) -> tuple[float, ...]:
    """Frequencies (Hz) where depth plus both ends are whole half waves: dips of the reduction."""
    found = []
    for order in range(1, count + 1):
        frequency = order * AIR_SPEED / (2 * depth / 1000)
        for _ in range(50):
            kw = 2 * np.pi * frequency / AIR_SPEED * width / 1000
            end = max((np.log(8 / kw) - EULER) / np.pi, 0.0) * width / 1000
            frequency = order * AIR_SPEED / (2 * (depth / 1000 + 2 * end))
        found.append(float(frequency))
    return tuple(found)


def banded(width: Floats | float, depth: float, place: str = "mid-wall") -> Floats:
    """Mean transmission in each third octave: shape (len(CENTRES),) or (widths, len(CENTRES))."""
    frequency = FREQUENCIES[:, None] * _WITHIN
    widths = np.asarray(width, dtype=float)
    tau = transmission(frequency, widths[..., None, None], depth, place)
    return np.asarray(tau.mean(axis=-1))


def leak(
    width: Floats,
    depth: float,
    place: str = "mid-wall",
    seal: tuple[float, ...] | None = None,
    seal_max_gap: float = 0.0,
) -> Floats:
    """What gets through one metre of gap, m2 (transmission times open area), by band.

    A seal (octave values of its reduction index per metre) lets through its own share, and what
    is wider than it can close stays an open slit beside it. A seal never makes a gap leakier.
    """
    widths = np.asarray(width, dtype=float)
    opened = banded(np.maximum(widths, 1e-3), depth, place) * widths[..., None] / 1000
    if seal is None:
        return np.asarray(opened)
    rest = np.maximum(widths - seal_max_gap, 0.0)
    beside = banded(np.maximum(rest, 1e-3), depth, place) * rest[..., None] / 1000
    return np.asarray(np.minimum(opened, power(-thirds_of(seal)) + beside))


def leak_table(widths: Floats, grid: Floats, table: Floats) -> Floats:
    """`leak` for many widths by straight lines in a table of `grid` widths (evenly spaced)."""
    place = (widths - grid[0]) / (grid[1] - grid[0])
    index = np.clip(place.astype(int), 0, len(grid) - 2)
    part = (place - index)[:, None]
    return np.asarray(table[index] * (1 - part) + table[index + 1] * part)
