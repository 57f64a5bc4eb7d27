"""Plain walls on single timber studs against laboratory ratings.

From memory: STC of 38 x 89 studs at 406 mm with gypsum board, NRC Canada IR-761 (1998) and the
table of the National Building Code of Canada drawn from it; to be checked against them. A public
design table for the same wall (12.7 mm a side, empty) gives STC 33-35. The 3 dB `STUD_FIT` was set
on these walls, so that part holds a fit, not a forecast.

Read in a transcription: *Introduction to Acoustics*, Table 11.4, half-inch board on timber studs:
33 empty, 37 with 50 mm of insulation, 41 with two sheets a side. The stud spacing is not given
there; 406 mm is taken. These were not fitted to.
"""

import numpy as np
import pytest

from truehang.catalogue.materials import materials
from truehang.sound import DoublePanel, Layer, Panel
from truehang.sound.bands import decibels
from truehang.sound.panels import transmitted
from truehang.sound.ratings import rate

STOCK = {material.key: material for material in materials()}
THIN = Layer("plasterboard", 12.7, 8.2)
THICK = Layer("plasterboard-fire", 15.9, 11.2)

MEASURED_FOR_FIT = [
    ((THIN,), (THIN,), 0, 34),
    ((THIN,), (THIN,), 89, 34),
    ((THICK,), (THICK,), 0, 34),
    ((THICK,), (THICK,), 89, 36),
    ((THICK,), (THICK, THICK), 89, 38),
]
NOT_FITTED = [
    ((THIN,), (THIN,), 0, 33),
    ((THIN,), (THIN,), 50, 37),
    ((THIN, THIN), (THIN, THIN), 0, 41),
]
WALLS = MEASURED_FOR_FIT + NOT_FITTED


def predicted(one: tuple[Layer, ...], two: tuple[Layer, ...], infill: float) -> int:
    wall = DoublePanel(
        face_a=Panel(one),
        face_b=Panel(two),
        cavity=89,
        stud_spacing=406,
        infill="glass-wool" if infill else None,
        infill_thickness=infill,
    )
    return rate(-decibels(transmitted(wall, STOCK).tau)).stc


@pytest.mark.parametrize(("one", "two", "infill", "measured"), WALLS)
def test_each_wall(
    one: tuple[Layer, ...], two: tuple[Layer, ...], infill: float, measured: int
) -> None:
    assert abs(predicted(one, two, infill) - measured) <= 2


def test_scatter_over_all() -> None:
    errors = np.array([predicted(one, two, infill) - stc for one, two, infill, stc in WALLS])
    assert abs(float(np.mean(errors))) <= 1.0
    assert float(np.std(errors)) <= 1.5
