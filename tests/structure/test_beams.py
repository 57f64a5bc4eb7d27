"""Closed forms of the beam. The outside checks are in tests/published/test_structure_*; here are
the identities that hold for any load: reciprocity, statics of the moment, and shear."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.structure.beams import (
    Beam,
    moving_deflection,
    point_deflection,
    rectangle,
    uniform_deflection,
    uniform_moment,
)

INSIDE = st.floats(0.01, 0.99)
BEAM = rectangle(2400.0, 45.0, 140.0, 10000.0, 670.0)


@settings(max_examples=60, deadline=None)
@given(INSIDE, INSIDE)
def test_maxwell_reciprocity(a: float, x: float) -> None:
    """Maxwell 1864: what a load at a does at x, the same load at x does at a."""
    a, x = a * BEAM.span, x * BEAM.span
    there = point_deflection(BEAM, 100.0, a, x)
    assert there == pytest.approx(float(point_deflection(BEAM, 100.0, x, a)))
    assert there > 0.0


def test_uniform_load_is_many_point_loads() -> None:
    at = (np.arange(4000) + 0.5) / 4000 * BEAM.span
    x = np.linspace(0.0, BEAM.span, 11)
    summed = point_deflection(BEAM, 0.3 * BEAM.span / 4000, at[None, :], x[:, None]).sum(axis=1)
    np.testing.assert_allclose(summed, uniform_deflection(BEAM, 0.3, x), rtol=1e-5, atol=1e-9)


def test_shear_deflection_follows_the_moment() -> None:
    slender = Beam(BEAM.span, BEAM.bending)
    x = np.linspace(0.0, BEAM.span, 9)
    more = uniform_deflection(BEAM, 0.3, x) - uniform_deflection(slender, 0.3, x)
    np.testing.assert_allclose(more, uniform_moment(BEAM, 0.3, x) / BEAM.shear, atol=1e-12)
    assert more[4] > 0.0
    at = 700.0
    more = point_deflection(BEAM, 90.0, at, x) - point_deflection(slender, 90.0, at, x)
    moment = 90.0 * np.minimum(x, at) * (BEAM.span - np.maximum(x, at)) / BEAM.span
    np.testing.assert_allclose(more, moment / BEAM.shear, atol=1e-12)


def test_loads_and_places_off_the_span_count_nothing() -> None:
    off = np.array([-500.0, 0.0, BEAM.span, 3000.0])
    assert not point_deflection(BEAM, 100.0, off, 1200.0).any()
    assert not point_deflection(BEAM, 100.0, 1200.0, off).any()
    assert not uniform_deflection(BEAM, 0.3, off).any()


def test_shapes_of_a_moving_group() -> None:
    positions = np.array([[600.0, 300.0], [900.0, 600.0], [1200.0, 900.0]])
    down = moving_deflection(BEAM, np.array([200.0, 180.0]), positions, np.array([800.0, 1200.0]))
    assert down.shape == (3, 2)
    by_hand = point_deflection(BEAM, 200.0, 900.0, 800.0) + point_deflection(
        BEAM, 180.0, 600.0, 800.0
    )
    assert down[1, 0] == pytest.approx(float(by_hand))
