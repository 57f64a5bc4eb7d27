"""ASTM E413, sound transmission class: contour, 32 dB sum, 8 dB in one band, whole-dB data.

Worked example: the README of the public library `pyacoustics-stc`, a wall with STC 29 whose
contour is printed there. E413's rule that data are first rounded to whole dB is confirmed by a
public note on STC, MTC and Rw that quotes E413-87; the example's answer is the same either way.
The 8 dB rule is checked against a plain scan over all contours, written here on purpose in
another way than the product's closed form.
"""

import numpy as np
import pytest

from truehang.sound.ratings import STC_BANDS, rate, stc_curve, transmission_class

EXAMPLE = (11.66, 13.303, 14.825, 20.861, 22.868, 24.943, 26.881, 28.889)
EXAMPLE += (30.964, 32.902, 34.84, 36.984, 38.923, 40.861, 27.557, 30.67)
EXAMPLE_CONTOUR = (13, 16, 19, 22, 25, 28, 29, 30, 31, 32, 33, 33, 33, 33, 33, 33)


def whole(thirds: tuple[float, ...]) -> np.ndarray:
    spectrum = np.full(24, 99.0)
    spectrum[STC_BANDS] = thirds
    return spectrum


def scan(values: np.ndarray) -> int:
    """STC by trying every contour from the top down."""
    shape = np.array(EXAMPLE_CONTOUR) - 29
    for number in range(120, -60, -1):
        below = [max(0, number + s - v) for s, v in zip(shape, values, strict=True)]
        if sum(below) <= 32 and max(below) <= 8:
            return number
    raise AssertionError("no contour fits")


def test_readme_example() -> None:
    assert transmission_class(np.array(EXAMPLE)) == 29
    assert rate(whole(EXAMPLE)).stc == 29
    assert stc_curve(whole(EXAMPLE)).reference == EXAMPLE_CONTOUR


def test_readme_example_deficits() -> None:
    # Printed there: 25.579 dB of deficits in all from the data as given, not rounded.
    below = np.maximum(np.array(EXAMPLE_CONTOUR) - np.array(EXAMPLE), 0)
    assert float(np.sum(below)) == pytest.approx(25.579, abs=5e-4)
    assert sum(stc_curve(whole(EXAMPLE)).deficits) <= 32


def test_one_deep_dip_is_held_by_the_8_dB_rule() -> None:
    wall = np.array(EXAMPLE_CONTOUR, dtype=float)
    wall[10] -= 12.0  # 1250 Hz: the sum alone (with 15 bands level) would allow STC 30
    assert transmission_class(wall) == 29 - 4
    assert max(stc_curve(whole(tuple(wall))).deficits) == 8


def test_against_a_plain_scan() -> None:
    random = np.random.default_rng(413)
    ruled_by_dip = 0
    for roughness in (1.5, 3.0, 6.0):
        for _ in range(80):
            values = np.round(np.array(EXAMPLE_CONTOUR) + random.normal(5, roughness, 16))
            number = transmission_class(values)
            assert number == scan(values)
            next_up = np.maximum(np.array(EXAMPLE_CONTOUR) - 29 + number + 1 - values, 0)
            ruled_by_dip += int(np.sum(next_up) <= 32)
    assert ruled_by_dip > 10
