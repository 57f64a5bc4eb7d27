"""Slits: Gomperts & Kihlman (1967) in Hopkins, *Sound Insulation*, equations 4.99-4.101.

Numbers were computed with the public library phonometry 3.3.0 at single frequencies (its equation
is the one printed there). Vigran, *Building Acoustics*, 9.2.1, says that resonances give reduction
indexes "of the order -5 to -10 dB"; that is checked on gaps under doors.
"""

import numpy as np
import pytest

from truehang.sound.bands import CENTRES, decibels
from truehang.sound.slits import banded, leak, resonances, transmission

FREQUENCY = np.array([100.0, 250, 500, 1000, 2000, 4000])


@pytest.mark.parametrize(
    ("width", "depth", "place", "expected", "dips"),
    [
        (10, 35, "edge", (-12.182, -8.969, -6.762, -5.264, -6.356, -6.823), (3637.5, 8166.9)),
        (4, 35, "mid-wall", (-5.187, -1.662, 0.850, 2.828, 2.583, -11.176), (4093.9, 8573.0)),
        (6, 95, "mid-wall", (0.209, 3.607, 5.275, 2.924, -1.937, -1.324), (1597.1, 3278.0)),
        (1, 50, "mid-wall", (1.397, 5.210, 7.885, 9.748, 7.752, 1.778), (3251.1, 6557.6)),
    ],
)
def test_slits(
    width: float, depth: float, place: str, expected: tuple[float, ...], dips: tuple[float, ...]
) -> None:
    assert -decibels(transmission(FREQUENCY, width, depth, place)) == pytest.approx(
        expected, abs=0.002
    )
    assert resonances(width, depth, 2) == pytest.approx(dips, abs=0.1)


@pytest.mark.parametrize(("width", "depth"), [(4, 35), (6, 40), (8, 40), (3, 44)])
def test_resonance_of_a_door_gap(width: float, depth: float) -> None:
    lowest = float(np.min(-decibels(banded(width, depth))[: CENTRES.index(6300)]))
    assert -11.0 < lowest < -4.0


def test_an_edge_doubles_what_comes_at_low_frequency() -> None:
    # n = 1/2 at an edge: four times the transmission where the slit is small against the wave.
    low = np.array([50.0])
    ratio = transmission(low, 5, 35, "edge") / transmission(low, 5, 35)
    assert float(ratio[0]) == pytest.approx(4.0, rel=0.2)


def test_a_deeper_gap_is_quieter_at_low_frequency_and_a_wider_one_louder() -> None:
    index = CENTRES.index(250)
    assert leak(np.array(4.0), 70)[index] < leak(np.array(4.0), 35)[index]
    assert leak(np.array(8.0), 35)[index] > leak(np.array(4.0), 35)[index]
