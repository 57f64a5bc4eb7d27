"""How sure is the prediction? Seeded draws of gaps and surface densities, all at once.

Gaps vary by their own standard deviation, the mass of every panel by a common coefficient of
variation, and the method itself by one offset. A leak through mass scales as m^-2 (one leaf,
studs) or m^-4 (two leaves), so no draw needs the panel worked out again.
"""

from __future__ import annotations

import numpy as np

from truehang.catalogue.seals import Seal
from truehang.sound.bands import BANDS, Floats, decibels
from truehang.sound.given import SoundInput
from truehang.sound.ratings import RW_BANDS, weighted
from truehang.sound.result import Band, Uncertainty
from truehang.sound.slits import leak_table
from truehang.sound.ways import Gap, Way, gap_leak

NARROWEST = 0.2
"""No gap is drawn narrower than this (mm)."""

REACH = 4.0
"""Gaps are drawn within this many standard deviations."""

GRID = 25
SHOWN = len(BANDS)

Tables = dict[tuple[float, float, float, str, Seal | None], Floats]
"""Leaks over a grid of widths, for gaps that are alike."""


def spread(given: SoundInput, ways: tuple[Way, ...], to_level_difference: float) -> Uncertainty:
    """The band of the composite, Rw and D_nT,w over `given.draws` draws.

    `to_level_difference` is D_nT - R' (dB), the same in every band.
    """
    random = np.random.default_rng(given.seed)
    total = np.zeros((given.draws, SHOWN))
    tables: Tables = {}
    for way in ways:
        normal = random.standard_normal(given.draws)
        if isinstance(way, Gap):
            total += _gap_draws(way, normal, tables)
        else:
            lighter = np.exp(-2 * given.surface_density_cv * normal)[:, None]
            total += lighter * (way.single[:SHOWN] + lighter * way.double[:SHOWN])
    method = given.model_sd * random.standard_normal(given.draws)[:, None]
    reduction = method - decibels(total / given.wall_area)
    low, high = np.percentile(reduction, (5, 95), axis=0)
    thirds = reduction[:, RW_BANDS]
    return Uncertainty(
        reduction_low=tuple(round(float(r), 1) for r in low),
        reduction_high=tuple(round(float(r), 1) for r in high),
        rw=_band(weighted(thirds, 0.1)),
        dntw=_band(weighted(thirds + to_level_difference, 0.1)),
        draws=given.draws,
        seed=given.seed,
    )


def _gap_draws(gap: Gap, normal: Floats, tables: Tables) -> Floats:
    lowest = max(gap.width - REACH * gap.width_sd, NARROWEST)
    highest = max(gap.width + REACH * gap.width_sd, lowest + 1e-6)
    key = (lowest, highest, gap.depth, gap.place, gap.seal)
    grid = np.linspace(lowest, highest, GRID)
    if key not in tables:
        tables[key] = gap_leak(grid, gap.depth, gap.place, gap.seal)[:, :SHOWN]
    widths = np.clip(gap.width + gap.width_sd * normal, lowest, highest)
    return leak_table(widths, grid, tables[key]) * (gap.length / 1000)


def _band(values: Floats) -> Band:
    low, middle, high = (round(float(v), 1) for v in np.percentile(values, (5, 50, 95)))
    return Band(low, middle, high)
