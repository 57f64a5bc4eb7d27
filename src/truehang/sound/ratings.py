"""What single number does a spectrum get? Rw(C;Ctr) by ISO 717-1 and STC by ASTM E413.

Both shift a reference curve in whole steps until the sum of the deficits just stays within 32 dB
(and for STC no single one over 8 dB). The sum of deficits over a shift s is the largest of
k s - (sum of the k smallest values of R - reference), so the greatest shift allowed is the least
of (32 + that sum) / k: exact, and the same line rates one spectrum or two thousand.
"""

from __future__ import annotations

import numpy as np

from truehang.sound.bands import CENTRES, Floats, decibels, power
from truehang.sound.result import Curve, CurveKind, Rating

RW_BANDS = slice(CENTRES.index(100), CENTRES.index(3150) + 1)
STC_BANDS = slice(CENTRES.index(125), CENTRES.index(4000) + 1)

RW_REFERENCE: Floats = np.array(
    [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56], dtype=float
)
"""ISO 717-1 table 3, third octaves 100-3150 Hz; its value at 500 Hz is 52."""

STC_REFERENCE: Floats = np.array(
    [-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4], dtype=float
)
"""ASTM E413 contour, 125-4000 Hz, relative to its value at 500 Hz."""

SPECTRUM_1: Floats = np.array(
    [-29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9], dtype=float
)
"""ISO 717-1 table 4: spectrum no. 1 (for C), dB."""

SPECTRUM_2: Floats = np.array(
    [-20, -20, -18, -16, -15, -14, -13, -12, -11, -9, -8, -9, -10, -11, -13, -15], dtype=float
)
"""ISO 717-1 table 4: spectrum no. 2 (for Ctr), dB."""

MOST_DEFICITS = 32.0
MOST_DEFICIT = 8.0

_TINY = 1e-9
"""Guards the rounding down against the noise of binary fractions."""


def _greatest_shift(above: Floats) -> Floats:
    """The largest shift whose deficits add up to 32 dB; `above` is R - reference, last axis."""
    lowest_first = np.cumsum(np.sort(above, axis=-1), axis=-1)
    counts = np.arange(1, above.shape[-1] + 1)
    return np.asarray(np.min((MOST_DEFICITS + lowest_first) / counts, axis=-1))


def _tenths(values: Floats) -> Floats:
    """Rounded half up to 0.1 dB, as both standards ask of a measured spectrum."""
    return np.asarray(np.floor(values * 10 + 0.5 + _TINY) / 10)


def weighted(reduction: Floats, step: float = 1.0) -> Floats:
    """Rw of spectra over 100-3150 Hz (last axis 16), in steps of 1 or 0.1 dB."""
    shift = _greatest_shift(_tenths(reduction) - RW_REFERENCE)
    return np.asarray(np.floor(shift / step + _TINY) * step + 52.0)


def adapted(reduction: Floats, spectrum: Floats) -> Floats:
    """X_A of ISO 717-1: -10 lg of the spectrum's energy that gets through, not rounded."""
    return np.asarray(-decibels(np.sum(power(spectrum - _tenths(reduction)), axis=-1)))


def transmission_class(reduction: Floats) -> int:
    """STC of a spectrum over 125-4000 Hz (16 values), each first rounded to a whole dB."""
    above = np.floor(reduction + 0.5 + _TINY) - STC_REFERENCE
    shift = min(float(_greatest_shift(above)), float(np.min(above)) + MOST_DEFICIT)
    return int(np.floor(shift + _TINY))


def rate(reduction: Floats) -> Rating:
    """All single numbers of one spectrum over `CENTRES` (24 values) or `BANDS` (21)."""
    thirds = np.asarray(reduction, dtype=float)[RW_BANDS]
    rw, rw_tenths = (float(weighted(thirds, step)) for step in (1.0, 0.1))
    with_c, with_ctr = (float(adapted(thirds, spec)) for spec in (SPECTRUM_1, SPECTRUM_2))
    return Rating(
        rw=int(rw),
        c=int(np.floor(with_c + 0.5)) - int(rw),
        ctr=int(np.floor(with_ctr + 0.5)) - int(rw),
        rw_tenths=round(rw_tenths, 1),
        c_tenths=round(with_c - rw_tenths, 1),
        ctr_tenths=round(with_ctr - rw_tenths, 1),
        stc=transmission_class(np.asarray(reduction, dtype=float)[STC_BANDS]),
    )


def rw_curve(reduction: Floats, kind: CurveKind = "Rw") -> Curve:
    """The spectrum against the shifted reference curve of ISO 717-1 (`kind` Rw or DnT,w)."""
    thirds = _tenths(np.asarray(reduction, dtype=float)[RW_BANDS])
    value = int(weighted(thirds))
    return _curve(kind, RW_BANDS, thirds, RW_REFERENCE - 52, value)


def stc_curve(reduction: Floats) -> Curve:
    """The spectrum, in whole dB, against the shifted contour of ASTM E413."""
    thirds = np.floor(np.asarray(reduction, dtype=float)[STC_BANDS] + 0.5 + _TINY)
    return _curve("STC", STC_BANDS, thirds, STC_REFERENCE, transmission_class(thirds))


def _curve(
    kind: CurveKind, bands: slice, predicted: Floats, reference_shape: Floats, value: int
) -> Curve:
    reference = reference_shape + value
    return Curve(
        kind=kind,
        frequencies=CENTRES[bands],
        predicted=tuple(round(float(r), 1) for r in predicted),
        reference=tuple(float(r) for r in reference),
        deficits=tuple(round(float(d), 1) for d in np.maximum(reference - predicted, 0)),
        value=value,
    )
