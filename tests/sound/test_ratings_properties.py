"""Properties that any wall must have, over many invented walls."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.catalogue.materials import materials
from truehang.sound import DoublePanel, Layer, Panel
from truehang.sound.bands import FREQUENCIES, decibels
from truehang.sound.panels import leaf_of, single_leaf, transmitted
from truehang.sound.ratings import RW_REFERENCE, STC_REFERENCE, transmission_class, weighted
from truehang.sound.slits import banded, leak, leak_table

STOCK = {material.key: material for material in materials()}
SHEETS = st.builds(
    Layer,
    st.sampled_from([key for key, m in STOCK.items() if m.kind not in ("porous", "core")]),
    st.floats(3, 40),
)
SPECTRA = st.lists(st.floats(0, 80), min_size=16, max_size=16).map(np.array)


@settings(max_examples=60, deadline=None)
@given(SPECTRA)
def test_rw_is_the_highest_curve_allowed(spectrum: np.ndarray) -> None:
    rounded = np.floor(spectrum * 10 + 0.5 + 1e-9) / 10
    shape = RW_REFERENCE - 52
    value = float(weighted(spectrum))
    assert np.sum(np.maximum(shape + value - rounded, 0)) <= 32 + 1e-6
    assert np.sum(np.maximum(shape + value + 1 - rounded, 0)) > 32 - 1e-6
    tenths = float(weighted(spectrum, 0.1))
    assert value <= tenths + 1e-9 < value + 1


@settings(max_examples=60, deadline=None)
@given(SPECTRA)
def test_stc_never_lets_one_band_be_8_dB_short(spectrum: np.ndarray) -> None:
    rounded = np.floor(spectrum + 0.5 + 1e-9)
    short = np.maximum(STC_REFERENCE + transmission_class(spectrum) - rounded, 0)
    assert np.max(short) <= 8
    assert np.sum(short) <= 32


@settings(max_examples=40, deadline=None)
@given(SHEETS, st.floats(1.1, 3))
def test_more_mass_of_the_same_stiffness_holds_back_more(sheet: Layer, more: float) -> None:
    light = leaf_of(Panel((sheet,)), STOCK)
    heavy = type(light)(light.mass * more, light.critical, light.loss)
    assert np.all(single_leaf(heavy) > single_leaf(light))


@settings(max_examples=40, deadline=None)
@given(SHEETS, SHEETS, st.floats(20, 200), st.one_of(st.none(), st.floats(300, 900)))
def test_a_wall_transmits_less_than_all_and_filling_it_never_hurts(
    one: Layer, two: Layer, cavity: float, studs: float | None
) -> None:
    empty = DoublePanel(
        face_a=Panel((one,)), face_b=Panel((two,)), cavity=cavity, stud_spacing=studs
    )
    full = DoublePanel(
        face_a=empty.face_a,
        face_b=empty.face_b,
        cavity=cavity,
        stud_spacing=studs,
        infill="glass-wool",
        infill_thickness=cavity,
    )
    bare, filled = transmitted(empty, STOCK).tau, transmitted(full, STOCK).tau
    assert np.all(bare > 0)
    assert np.all(bare <= 1)
    assert np.all(filled <= bare * (1 + 1e-9))


@settings(max_examples=30, deadline=None)
@given(st.floats(0.5, 20), st.floats(10, 150), st.sampled_from(["mid-wall", "edge"]))
def test_a_gap_is_finite_and_the_table_follows_it(width: float, depth: float, place: str) -> None:
    tau = banded(width, depth, place)
    assert np.all(np.isfinite(tau))
    assert np.all(tau > 0)
    grid = np.linspace(width * 0.6, width * 1.4, 25)
    table = leak(grid, depth, place)
    exact = leak(np.array([width]), depth, place)[0]
    drawn = leak_table(np.array([width]), grid, table)[0]
    below_4k = FREQUENCIES < 4000
    error = np.abs(decibels(drawn / exact))[below_4k]
    assert float(np.max(error)) < 0.7
