"""ISO 717-1, annex C: the worked example of rating a measured wall, Rw (C; Ctr) = 30 (-2; -3) dB.

The spectrum, the rating and the sum of deficits 31.8 dB are read from a public library's copy of
the annex (phonometry's reference data for ISO 717-1 annex C, table C.1).
"""

import numpy as np
import pytest

from truehang.sound.ratings import (
    RW_BANDS,
    SPECTRUM_1,
    SPECTRUM_2,
    adapted,
    rate,
    rw_curve,
    weighted,
)

ANNEX_C = (20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6)
ANNEX_C += (28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5)


def whole(thirds: tuple[float, ...]) -> np.ndarray:
    """The spectrum with arbitrary values outside 100-3150 Hz, which must not matter."""
    spectrum = np.full(24, 99.0)
    spectrum[RW_BANDS] = thirds
    return spectrum


def test_annex_example() -> None:
    rating = rate(whole(ANNEX_C))
    assert (rating.rw, rating.c, rating.ctr) == (30, -2, -3)
    assert str(rating) == "30 (-2;-3)"


def test_annex_example_deficits() -> None:
    curve = rw_curve(whole(ANNEX_C))
    assert sum(curve.deficits) == pytest.approx(31.8)
    assert curve.value == 30
    assert curve.reference[curve.frequencies.index(500)] == 30
    assert curve.frequencies[0] == 100
    assert curve.frequencies[-1] == 3150


def test_spectra_carry_no_energy_of_their_own() -> None:
    # ISO 717-1, 4.5: both spectra are normalised to 0 dB overall, so a flat R gives X_A = R.
    flat = np.full(16, 40.0)
    assert float(adapted(flat, SPECTRUM_1)) == pytest.approx(40.0, abs=0.05)
    assert float(adapted(flat, SPECTRUM_2)) == pytest.approx(40.0, abs=0.05)


def test_the_reference_curve_itself_rates_52_and_two_dB_lower_keeps_it() -> None:
    # The reference curve has its 500 Hz value, 52 dB, as its own rating; lowered by 2.0 dB in all
    # 16 bands the deficits against it are 32.0 dB, which is still allowed.
    from truehang.sound.ratings import RW_REFERENCE

    assert float(weighted(RW_REFERENCE)) == 54.0  # shifted up by 2 dB: 16 x 2.0 = 32.0
    assert float(weighted(RW_REFERENCE - 2.0)) == 52.0
    assert float(weighted(RW_REFERENCE - 2.1)) == 51.0
    assert float(weighted(RW_REFERENCE - 2.1, 0.1)) == pytest.approx(51.9)
