"""How much does a sheet, a leaf or a double wall hold back?

Single leaf: field-incidence mass law, coincidence after Cremer and Sharp (Sharp 1978; Bies &
Hansen, *Engineering Noise Control*). Double leaf: mass-air-mass resonance and the London/Sharp
regions, with the bridging of studs (Sharp's line connection) and the loss of an empty cavity.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from truehang.catalogue.materials import Material
from truehang.sound.bands import AIR_SPEED, FREQUENCIES, Floats, decibels, power
from truehang.sound.given import Construction, DoublePanel, Panel, SideBySide

EMPTY_CAVITY = 0.15
"""Absorption of a cavity with nothing in it (from memory: bare board and timber; check
against measured empty walls)."""

STUD_FIT = 3.0
"""Taken off Sharp's line connection, dB, so that walls on single timber studs meet their measured
ratings (from memory: STC 32-36 with one sheet a side: check NRC Canada IR-761). Three walls
of another table, not fitted to, come out within 2 dB."""

Stock = Mapping[str, Material]


@dataclass(frozen=True, slots=True)
class Leaf:
    """A panel as sound meets it: mass (kg/m2), critical frequency (Hz; inf if limp), damping."""

    mass: float
    critical: float
    loss: float


@dataclass(frozen=True, slots=True)
class Transmitted:
    """Transmission by band split by how it grows with mass: `single` as m^-2, `double` as m^-4."""

    single: Floats
    double: Floats

    @property
    def tau(self) -> Floats:
        """All that gets through, as a coefficient."""
        return np.asarray(self.single + self.double)


def leaf_of(panel: Panel, stock: Stock) -> Leaf:
    """Mass, critical frequency and damping of a panel, sheets bonded or only screwed together."""
    masses, stiffnesses, losses = [], [], []
    for layer in panel.layers:
        material = stock[layer.material]
        mass = layer.surface_density or material.surface_density(layer.thickness)
        assert mass is not None  # `check` has asked for it
        density = material.density or mass / (layer.thickness / 1000)
        masses.append(mass)
        losses.append(material.loss_factor)
        stiffnesses.append(density * (material.wave_speed or 0.0) ** 2)
    total = sum(masses)
    loss = sum(m * n for m, n in zip(masses, losses, strict=True)) / total
    thicknesses = [layer.thickness / 1000 for layer in panel.layers]
    if panel.bonded:
        critical = critical_frequency(total, laminate_stiffness(thicknesses, stiffnesses))
    else:
        critical = min(
            critical_frequency(m, e * t**3 / 12)
            for m, e, t in zip(masses, stiffnesses, thicknesses, strict=True)
        )
    return Leaf(mass=total, critical=critical, loss=loss)


def laminate_stiffness(thicknesses: list[float], moduli: list[float]) -> float:
    """Bending stiffness per width (N m) of bonded sheets about their common neutral plane.

    `thicknesses` in m, plate moduli rho cL^2 in Pa. Shear of a soft core is left out, so a
    honeycomb leaf is taken as stiffer than it is at high frequency.
    """
    edges = np.cumsum([0.0, *thicknesses])
    middles = (edges[1:] + edges[:-1]) / 2
    t, e = np.array(thicknesses), np.array(moduli)
    if not np.any(e * t > 0):
        return 0.0
    neutral = np.sum(e * t * middles) / np.sum(e * t)
    return float(np.sum(e * (t**3 / 12 + t * (middles - neutral) ** 2)))


def critical_frequency(mass: float, stiffness: float) -> float:
    """fc = c^2/(2 pi) sqrt(m/B), which is c^2/(1.8 cL h) for one sheet; inf for a limp one."""
    if stiffness <= 0:
        return float("inf")
    return float(AIR_SPEED**2 / (2 * np.pi) * np.sqrt(mass / stiffness))


def mass_law(mass: float, frequency: Floats = FREQUENCIES) -> Floats:
    """Field-incidence mass law, R = 20 lg(m f) - 47.4 dB."""
    return np.asarray(20 * np.log10(mass * frequency) - 47.4)


def single_leaf(leaf: Leaf, frequency: Floats = FREQUENCIES) -> Floats:
    """Reduction index of one leaf by frequency, dB.

    Below fc/2 the mass law; at and above fc 20 lg(m f) + 10 lg(2 eta f/(pi fc)) - 42.4, never
    above the normal-incidence mass law; a straight line in lg f between.
    """
    lower = mass_law(leaf.mass, frequency)
    if not np.isfinite(leaf.critical):
        return lower
    fc = leaf.critical
    normal = 20 * np.log10(leaf.mass * frequency) - 42.4
    upper = normal + np.minimum(decibels(2 * leaf.loss * frequency / (np.pi * fc)), 0.0)
    ends = (
        float(mass_law(leaf.mass, np.array(fc / 2))),
        20 * np.log10(leaf.mass * fc) + 10 * np.log10(2 * leaf.loss / np.pi) - 42.4,
    )
    between = np.interp(np.log(frequency), [np.log(fc / 2), np.log(fc)], ends)
    return np.asarray(np.where(frequency < fc / 2, lower, np.where(frequency < fc, between, upper)))


@lru_cache(maxsize=512)
def leaf_bands(leaf: Leaf) -> Floats:
    """`single_leaf` in every band; kept, because the same leaves come again and again."""
    bands = single_leaf(leaf)
    bands.setflags(write=False)
    return bands


def resonance(mass_1: float, mass_2: float, cavity: float) -> float:
    """Mass-air-mass resonance f0 = 60 sqrt((m1 + m2)/(m1 m2 d)), Hz; `cavity` in mm."""
    return float(60 * np.sqrt((mass_1 + mass_2) / (mass_1 * mass_2 * cavity / 1000)))


def cavity_absorption(construction: DoublePanel) -> float:
    """Absorption (0-1) in a cavity: half filled is as good as full (common practice, no source)."""
    filled = min(1.0, construction.infill_thickness / (0.5 * construction.cavity))
    return EMPTY_CAVITY + (1 - EMPTY_CAVITY) * (filled if construction.infill else 0.0)


def through_cavity(one: Leaf, two: Leaf, cavity: float, absorption: float) -> Floats:
    """Reduction index of two unconnected leaves (London/Sharp regions), dB.

    Below f0 the mass law of both together; up to 55/d the two leaves plus 20 lg(f d) - 29; above,
    plus 6. An empty cavity loses 10 lg(absorption) against a filled one. The resonance of a real
    wall is damped: never worse than the better leaf alone (from memory: check NRC Canada
    IR-761).
    """
    depth = cavity / 1000
    gain = np.minimum(20 * np.log10(FREQUENCIES * depth) - 29, 6.0)
    alone = leaf_bands(one), leaf_bands(two)
    apart = np.maximum(sum(alone) + gain + float(decibels(absorption)), np.maximum(*alone))
    together = mass_law(one.mass + two.mass)
    below = resonance(one.mass, two.mass, cavity) > FREQUENCIES
    return np.asarray(np.where(below, together, apart))


def through_studs(one: Leaf, two: Leaf, spacing: float) -> Floats:
    """Reduction index of what studs carry across (Sharp's line connection), dB.

    R = 20 lg m1 + 10 lg(b fc2) + 20 lg f + 20 lg(1 + m2 sqrt(fc1) / (m1 sqrt(fc2))) - 72, fc2 the
    higher, less `STUD_FIT`; above half the critical frequency it takes the coincidence dip of the
    worse leaf.
    """
    first, second = sorted((one, two), key=lambda leaf: leaf.critical)
    if not np.isfinite(second.critical):
        return np.full_like(FREQUENCIES, np.inf)
    ratio = second.mass / first.mass * np.sqrt(first.critical / second.critical)
    smooth = (
        20 * np.log10(first.mass * FREQUENCIES)
        + 10 * np.log10(spacing / 1000 * second.critical)
        + 20 * np.log10(1 + ratio)
        - 72
        - STUD_FIT
    )
    dips = np.minimum(*(leaf_bands(leaf) - mass_law(leaf.mass) for leaf in (one, two)))
    return np.asarray(smooth + np.minimum(dips, 0.0))


def transmitted(construction: Construction, stock: Stock) -> Transmitted:
    """What a construction lets through, by band."""
    nothing = np.zeros_like(FREQUENCIES)
    if isinstance(construction, Panel):
        return Transmitted(_tau(leaf_bands(leaf_of(construction, stock))), nothing)
    if isinstance(construction, SideBySide):
        by_area = [
            share * _tau(leaf_bands(leaf_of(panel, stock))) for share, panel in construction.parts
        ]
        return Transmitted(np.asarray(np.sum(by_area, axis=0)), nothing)
    one, two = leaf_of(construction.face_a, stock), leaf_of(construction.face_b, stock)
    air = _tau(through_cavity(one, two, construction.cavity, cavity_absorption(construction)))
    below = resonance(one.mass, two.mass, construction.cavity) > FREQUENCIES
    if construction.stud_spacing is None:
        return Transmitted(np.where(below, air, 0.0), np.where(below, 0.0, air))
    bridged = np.where(below, air, _tau(through_studs(one, two, construction.stud_spacing)))
    by_air = np.where(below, 0.0, air)
    return Transmitted(np.minimum(bridged, 1 - by_air), by_air)


def _tau(reduction: Floats) -> Floats:
    """A transmission coefficient, never over 1."""
    return np.minimum(power(-reduction), 1.0)
