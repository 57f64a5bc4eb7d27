"""What does the sound room answer? Spectra, ratings, the weakest path, what to buy, and how sure.

Every spectrum is a tuple over `BANDS` (third octaves, 50-5000 Hz), in dB.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from truehang.figures import Figure
from truehang.findings import Finding
from truehang.money import Money

Spectrum = tuple[float, ...]

PathKind = Literal["wall", "pocket", "leaf", "slit", "opening"]

CurveKind = Literal["Rw", "STC", "DnT,w"]

NOTE = "Prediction, not a field test."


@dataclass(frozen=True, slots=True)
class Rating:
    """Single numbers of one spectrum: ISO 717-1 in whole dB and tenths, ASTM E413 in whole dB."""

    rw: int
    c: int
    ctr: int
    rw_tenths: float
    c_tenths: float
    ctr_tenths: float
    stc: int

    def __str__(self) -> str:
        return f"{self.rw} ({self.c};{self.ctr})"


@dataclass(frozen=True, slots=True)
class Path:
    """One way through: its area (m2), reduction index by band, and share of what gets through.

    `share` (0-1) is the part of the A-weighted sound energy that comes this way, for the chosen
    source. `reduction` of a slit is per its own open area.
    """

    name: str
    kind: PathKind
    area: float
    reduction: Spectrum
    rating: Rating
    share: float


@dataclass(frozen=True, slots=True)
class Heard:
    """What arrives in the other room: octaves 63-8000 Hz, dB(A), SII (0-1) and plain words."""

    octave_levels: tuple[float, ...]
    level_a: float
    background_a: float
    sii: float
    words: str


@dataclass(frozen=True, slots=True)
class State:
    """The whole wall in one state (open; closed as designed; closed with upgrades)."""

    name: str
    reduction: Spectrum
    level_difference: Spectrum
    """D_nT by band."""
    rating: Rating
    """Rw(C;Ctr) and STC of the composite."""
    dntw: Rating
    """The same ratings of D_nT: `dntw.rw` is D_nT,w."""
    heard: Heard
    paths: tuple[Path, ...]
    """Largest share first."""


@dataclass(frozen=True, slots=True)
class Band:
    """5 %, 50 % and 95 % of the seeded draws."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """How sure: composite by band, Rw and D_nT,w (in tenths of a dB), over `draws` draws."""

    reduction_low: Spectrum
    reduction_high: Spectrum
    rw: Band
    dntw: Band
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class Gain:
    """What one upgrade buys: alone, and in the order in which to buy (`rank` from 1).

    `gain` is the rise of D_nT,w in tenths of a dB when only this is bought; `step_gain` the rise
    on top of everything ranked before it, for `step_cost`, which is less than `cost` when it takes
    the place of `instead_of` (the label of an alternative bought before); `total` is D_nT,w by
    then. `cost_per_db` is minor units of `step_cost` per dB, None where nothing is gained.
    `advised` is true down to the last change that raises D_nT,w.
    """

    key: str
    label: str
    cost: Money
    gain: float
    rank: int
    step_gain: float
    step_cost: Money
    instead_of: str | None
    total: float
    cost_per_db: float | None
    advised: bool


@dataclass(frozen=True, slots=True)
class Curve:
    """For plotting: the predicted curve against the shifted reference curve, 100-3150 Hz.

    `kind` says which rating the reference belongs to; `deficits` are how far below it each band is.
    """

    kind: CurveKind
    frequencies: tuple[int, ...]
    predicted: Spectrum
    reference: Spectrum
    deficits: Spectrum
    value: int


@dataclass(frozen=True, slots=True)
class SoundResult:
    """How quiet it will be: `before` is the open archway, `after` the closed wall."""

    bands: tuple[int, ...]
    before: State
    after: State
    pocket_leaf_in: tuple[Path, ...]
    """The pocket zones with the leaf slid in (door open), for comparison; `share` is 0."""
    weakest: str
    weakest_share: float
    uncertainty: Uncertainty
    gains: tuple[Gain, ...]
    """In the order to buy: best gain for money first."""
    upgraded: State | None
    """With every upgrade that pays; None when none was offered or none helps."""
    curves: tuple[Curve, ...]
    note: str
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]
