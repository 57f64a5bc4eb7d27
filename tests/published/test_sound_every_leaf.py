"""Every leaf of the catalogue and every wall of the shipped jobs beside published ratings.

Doors: Bies, Hansen and Howard, *Engineering Noise Control* (2017), Table 7.6, read in a
transcription: 54 mm, 20 kg/m2 Rw 27; flush 44 mm, 25 kg/m2 27; panelled 50 mm, 25 kg/m2 30; 43 mm,
28 kg/m2, with cracks, 29. *Introduction to Acoustics*, Table 11.4, read in a transcription: hollow
leaf 44 mm STC 19, its 9 kg/m2 common practice, no source. Seven inner doors bought for a test,
paper and chipboard cores, measured by CSN ISO 10140-2 with a threshold: 17 to 23, read in a report
of it that gives no masses.
Panes: from memory, EN 12758, float 10 mm Rw 33, laminated 6 mm 32, 8 mm 33, 10 mm 34: check its
table 1. Another published table: 6 mm 29.
Walls: *Introduction to Acoustics*, Table 11.4: half-inch board on timber studs, empty STC 33, with
50 mm of insulation 37; NRC Canada IR-761, from memory: the same on 38 x 89 studs at 406, empty 34,
filled 34; a public design table for it, 33 to 35.

A door or wall of another mass is carried to it by the mass law, 20 lg of the ratio. A leaf in glass
and timber has no figure of its own: its pane and its frame have, and add by area (ISO 12354-1).
What is no longer alike by thickness is said in the row. No published figure was found for a pocket.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import log10
from pathlib import Path

import numpy as np
import pytest

from truehang import demo
from truehang.catalogue.leaves import leaves
from truehang.catalogue.materials import materials
from truehang.job import load, starter
from truehang.plan.hear import leaf_made, wall_beside
from truehang.sound import Construction, DoublePanel, Layer, Panel, SoundInput
from truehang.sound.bands import decibels
from truehang.sound.panels import leaf_of, single_leaf, transmitted
from truehang.sound.ratings import rate
from truehang.sound.result import Rating

STOCK = {material.key: material for material in materials()}
LEAVES = {leaf.id: leaf for leaf in leaves()}
PAGE = Path(__file__).parents[2] / "docs/theory/sound.md"
BAND = 1.645 * 2.0
"""Half the width of the band of 90 % of a method with a standard error of 2 dB."""


@dataclass(frozen=True)
class Lab:
    """A published rating, least and most where several were published, of so many kg/m2."""

    least: float
    most: float
    mass: float | None = None

    def carried(self, mass: float) -> tuple[float, float]:
        by = 20 * log10(mass / self.mass) if self.mass else 0.0
        return self.least + by, self.most + by


def beside(share: float, pane: float, frame: float) -> float:
    """Pane and frame add by area."""
    return -10 * log10(share * 10 ** (-pane / 10) + (1 - share) * 10 ** (-frame / 10))


FRAME_KG = (20 - 0.62 * 6.38 * 2.5) / 0.38
"""kg/m2 of the frame of the glazed leaf: what 62 % of 6.38 mm of glass leaves of 20."""
FRAME = 30 + 20 * log10(FRAME_KG / 25)

LEAF_LAB = {
    "hollow-35": Lab(19, 19, 9),
    "solid-35": Lab(27, 27, 20),
    "solid-40": Lab(29, 29, 28),
    "mdf-38": Lab(27, 30, 25),
    "timber-40": Lab(30, 30, 25),
    "glazed-40": Lab(beside(0.62, 29, FRAME), beside(0.62, 32, FRAME)),
    "glass-10": Lab(33, 33, 25),
}
EMPTY, FILLED = Lab(33, 35, 8.2), Lab(34, 37, 8.2)
"""Half-inch board, 8.2 kg/m2, on each side of timber studs 89 deep."""
WALL_LAB = {
    "plasterboard 10 / plasterboard 10, cavity 90": EMPTY,
    "plasterboard 10 / plasterboard-wet 10, cavity 90": EMPTY,
    "plasterboard 10 / ceramic-tile 6 + fibre-cement 6, cavity 70": EMPTY,
    "lath-plaster 25 / plasterboard 12.5, cavity 95": EMPTY,
    "plasterboard 12.7 / plasterboard 12.7, cavity 88.9": EMPTY,
    "plasterboard 13 / plasterboard 13, cavity 70": EMPTY,
    "plasterboard 13 / plasterboard 13, cavity 90": EMPTY,
    "plasterboard 13 / plasterboard-wet 13, cavity 90": EMPTY,
    "plasterboard 13 / plasterboard 13, cavity 90, filled": FILLED,
    "plasterboard 13 / plasterboard 13, cavity 120, filled": FILLED,
    "plasterboard 13 / plasterboard-wet 13, cavity 70, filled": FILLED,
    "plasterboard 13 / plasterboard-wet 13, cavity 90, filled": FILLED,
}


def rated(construction: Construction) -> Rating:
    return rate(-decibels(transmitted(construction, STOCK).tau))


def shipped_walls() -> Iterator[DoublePanel]:
    """The wall beside the pockets in every job that ships, the starter's too."""
    texts = [text for name in demo.names() for _, text in demo.files(name)]
    for text in (*texts, starter()):
        wall = wall_beside(load(text))
        assert isinstance(wall, DoublePanel)
        yield wall


def sheets(panel: Panel) -> str:
    return " + ".join(f"{layer.material} {layer.thickness:g}" for layer in panel.layers)


def called(wall: DoublePanel) -> str:
    one, two = sorted(
        (sheets(wall.face_a), sheets(wall.face_b)), key=lambda face: (len(face), face)
    )
    return f"{one} / {two}, cavity {wall.cavity:g}{', filled' if wall.infill else ''}"


WALLS = {called(wall): wall for wall in shipped_walls()}


def mean_mass(wall: DoublePanel) -> float:
    return sum(leaf_of(face, STOCK).mass for face in (wall.face_a, wall.face_b)) / 2


def leaf_row(id: str) -> tuple[float, float, float]:
    """Predicted (STC where the figure is one, else Rw), and the least and most published."""
    leaf = LEAVES[id]
    made = rated(leaf_made(leaf, materials()))
    least, most = LEAF_LAB[id].carried(leaf.surface_density)
    return (made.stc if id == "hollow-35" else made.rw_tenths), least, most


def wall_row(name: str) -> tuple[float, float, float]:
    wall = WALLS[name]
    return rated(wall).stc, *WALL_LAB[name].carried(mean_mass(wall))


def off(row: tuple[float, float, float]) -> float:
    """By how much a prediction lies outside what was published; 0 inside."""
    predicted, least, most = row
    return predicted - min(max(predicted, least), most)


def test_every_leaf_is_compared() -> None:
    assert set(LEAF_LAB) == set(LEAVES)


def test_every_wall_is_compared() -> None:
    assert set(WALL_LAB) == set(WALLS)


@pytest.mark.parametrize("id", LEAVES)
def test_each_leaf(id: str) -> None:
    assert abs(off(leaf_row(id))) <= 2


@pytest.mark.parametrize("name", WALLS)
def test_each_wall(name: str) -> None:
    assert abs(off(wall_row(name))) <= 2


def test_the_hollow_leaf_is_among_doors_bought_for_a_test() -> None:
    assert 17 <= rated(leaf_made(LEAVES["hollow-35"], materials())).rw_tenths <= 23


def test_the_band_is_no_narrower_than_the_scatter() -> None:
    """What is seen over all rows, root mean square, is not more than the error that every
    prediction is drawn with, and none is outside the band."""
    errors = [off(row) for row in (*map(leaf_row, LEAF_LAB), *map(wall_row, WALL_LAB))]
    drawn = SoundInput.__dataclass_fields__["model_sd"].default
    assert float(np.sqrt(np.mean(np.square(errors)))) <= drawn
    assert max(map(abs, errors)) <= BAND


@pytest.mark.parametrize(("thickness", "rw"), [(6.38, 32), (8.38, 33), (10.38, 34)])
def test_laminated_panes(thickness: float, rw: int) -> None:
    leaf = leaf_of(Panel((Layer("glass-laminated", thickness),)), STOCK)
    assert abs(rate(single_leaf(leaf)).rw_tenths - rw) <= 1


def test_the_frame_is_not_counted_as_glass() -> None:
    """20 kg/m2 of glass would be a pane of 8 mm; the leaf has one of 6.38 mm: 9.9."""
    glazed = LEAVES["glazed-40"]
    as_glass = rate(single_leaf(leaf_of(Panel((Layer("glass", 8.0),)), STOCK)))
    made = rated(leaf_made(glazed, materials()))
    pane = rate(single_leaf(leaf_of(Panel((Layer("glass-laminated", 6.38),)), STOCK)))
    assert made.rw_tenths < min(as_glass.rw_tenths, pane.rw_tenths)
    thinner = glazed.glazing.model_copy(update={"thickness": 4.0})  # type: ignore[union-attr]
    changed = glazed.model_copy(update={"glazing": thinner})
    assert rated(leaf_made(changed, materials())) != made


def test_the_page_says_the_same() -> None:
    rows = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if len(cells) == 5 and re.fullmatch(r"-?\d+(\.\d)?", cells[1]):
            rows[cells[0].strip("`")] = cells
    assert set(rows) == set(LEAF_LAB) | set(WALL_LAB)
    for name, cells in rows.items():
        row = leaf_row(name) if name in LEAF_LAB else wall_row(name)
        least, most = (f"{value:.1f}" for value in row[1:])
        assert cells[1] == f"{row[0]:g}"
        assert cells[3] == (least if least == most else f"{least} to {most}")
        assert cells[4] == f"{off(row):+.1f}".replace("+0.0", "0")
