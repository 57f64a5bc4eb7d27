"""Is the usable opening inside, and does the chance of fitting mean what it says?"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from truehang.lengths import said
from truehang.measure import Reading, adjust, fit_chance
from truehang.measure.network import COLUMN, NAMES
from truehang.measure.results import Profile
from truehang.measure.stations import ROUGH, everywhere, line_of
from truehang.measure.usable import SAMPLES, joint_bounds, rectangle, usable_opening


def figure(width: float = 1000.0, height: float = 2000.0, **changes: float) -> np.ndarray:
    values = dict.fromkeys(NAMES, 0.0)
    values |= {"bottom-right.x": width, "top-right.x": width}
    values |= {"top-right.z": height, "top-left.z": height}
    values |= {key.replace("__", ".").replace("_", "-"): value for key, value in changes.items()}
    return np.array([values[name] for name in NAMES])


def test_true_rectangle_is_itself() -> None:
    np.testing.assert_allclose(rectangle(figure()[None, :])[0], [0, 1000, 0, 2000])


def test_jambs_that_bow_in_hold_and_jambs_that_bow_out_don_t() -> None:
    bowed_in = rectangle(figure(left__bow=6.0, right__bow=4.0)[None, :])[0]
    np.testing.assert_allclose(bowed_in, [6, 996, 0, 2000])
    bowed_out = rectangle(figure(left__bow=-6.0, head__bow=-9.0)[None, :])[0]
    np.testing.assert_allclose(bowed_out, [0, 1000, 0, 2000])


def test_leaning_jamb_takes_its_lean() -> None:
    edges = rectangle(figure(top_left__x=8.0)[None, :])[0]
    np.testing.assert_allclose(edges, [8, 1000, 0, 2000])


def test_leaning_bowed_jamb_holds_at_its_apex() -> None:
    """x(t) = 8 t + 4 t (1 - t) 6 has its greatest value 32^2 / 96 at t = 2/3 (calculus)."""
    edges = rectangle(figure(top_left__x=8.0, left__bow=6.0)[None, :])[0]
    assert edges[0] == pytest.approx(32**2 / 96)


def test_a_hump_in_the_floor_raises_the_base() -> None:
    usable = usable_opening(figure(), (), np.zeros((0, 0)), humps=[(500.0, 7.0, 1e-9)])
    assert usable.base == 7.0
    assert str(usable.held_by[2]) == f"floor at {said(500)}"


def test_one_free_jamb_gives_the_normal_bound() -> None:
    """Only the right jamb's x unsure, both ends alike: width is normal, so its 5 % quantile is
    the mean - 1.645 sigma. Quantile of 2048 draws: standard error about 0.05 sigma."""
    free = [COLUMN["bottom-right.x"], COLUMN["top-right.x"]]
    covariance = np.full((2, 2), 4.0) + np.eye(2) * 1e-9
    usable = usable_opening(figure(), free, covariance)
    assert usable.width_low == pytest.approx(1000 - 1.645 * 2.0, abs=0.3)
    assert usable.sigma_width == pytest.approx(2.0, abs=0.15)
    assert usable.height_low == pytest.approx(2000.0, abs=1e-3)
    assert SAMPLES == 2048


def test_chance_of_fitting_follows_the_normal_law() -> None:
    """A new opening's run of sigma 1.5: the chance is the normal tail, the 99 % clearance is half
    of 2.326 sigma above the least (binomial error of 2048 draws allowed four times)."""
    readings = [
        Reading("run", "run", 3000.0, sigma=1.5),
        Reading("f", "floor", 0.0, at=100.0, sigma=0.05),
        Reading("c", "ceiling", 2700.0, at=100.0, sigma=0.05),
    ]
    measured = adjust(readings)
    for short in (-1.5, 0.0, 1.5, 3.0):
        chance = fit_chance(measured, 2994.0 - short, 2000.0)
        share = norm.cdf(short / 1.5)
        error = 4 * math.sqrt(share * (1 - share) / SAMPLES)
        assert chance.probability == pytest.approx(share, abs=error)
    assert chance.clearance_for_99 == pytest.approx(3.0 + 2.326 * 1.5 / 2, abs=0.3)


def test_chance_falls_as_the_frame_grows(corners, take) -> None:
    measured = adjust(take(corners))
    chances = [fit_chance(measured, w, 2490.0).probability for w in range(3440, 3470, 2)]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] == 1.0
    assert chances[-1] == 0.0


def test_advised_clearance_is_enough_for_99_percent(corners, take) -> None:
    measured = adjust(take(corners))
    first = fit_chance(measured, 3000.0, 2000.0)
    frame = measured.usable.width - 2 * first.clearance_for_99
    again = fit_chance(measured, frame, 2000.0)
    assert again.probability_width == pytest.approx(0.99, abs=0.002)


def test_a_slip_not_settled_lowers_the_chance(corners, take) -> None:
    sound = fit_chance(adjust(take(corners)), 3450.0, 2490.0)
    unsure = fit_chance(adjust(take(corners, width_bottom=-30.0)), 3450.0, 2490.0)
    assert unsure.probability < sound.probability


def test_fit_chance_figures_take_the_given_key(corners, take) -> None:
    chance = fit_chance(adjust(take(corners)), 3440.0, 2490.0, key="measure.fit_chance.2")
    assert [figure.key for figure in chance.figures] == [
        "measure.fit_chance.2",
        "measure.fit_chance.2.side",
        "measure.fit_chance.2.head",
    ]


def test_a_ceiling_read_once_is_not_known_everywhere() -> None:
    """A new opening 2400 high under a ceiling of 2410: the more stations, the surer. One station
    says nothing of the run's ends: a fall of 6 mm a metre and a walk (the stated priors) leave the
    ends of 3 m unsure by sqrt((6 x 1.5)^2 + 0.0125 x 1500) = 10."""
    chances = []
    for count in (1, 2, 4, 13):
        x = [1500.0] if count == 1 else np.linspace(0.0, 3000.0, count)
        floor = [Reading(f"f{n}", "floor", 0.0, at=float(at)) for n, at in enumerate(x)]
        ceiling = [Reading(f"c{n}", "ceiling", 2410.0, at=float(at)) for n, at in enumerate(x)]
        measured = adjust([Reading("run", "run", 3000.0), *floor, *ceiling])
        chances.append(fit_chance(measured, 900.0, 2397.0).probability)
    assert chances == sorted(chances)
    assert chances[0] < 0.5
    assert chances[-1] > 0.9


def test_what_a_line_is_everywhere_is_its_textbook_conditional() -> None:
    """Two exact stations: half way between them a random walk is the mean, with a variance of a
    quarter of what it gathers on the way (Brownian bridge), and nothing more."""
    line = line_of(
        "floor", Profile(((0.0, 0.0, 0.05), (2000.0, 6.0, 0.05)), 3.0, None, (0, 0), (0, 0))
    )
    values, covariance = everywhere(line, 2000.0)
    assert values == pytest.approx([0.0, 3.0, 6.0], abs=0.02)
    assert covariance[1, 1] ** 0.5 == pytest.approx(ROUGH, abs=0.01)
    assert covariance[0, 0] ** 0.5 == pytest.approx(0.05, abs=0.01)


def test_both_bounds_hold_together_not_one_by_one() -> None:
    """Width and height of their own accord: each bound's level is the root, 1 - sqrt 0.95 = 2.53 %,
    so z = -1.955; one and the same number: 5 %, z = -1.645 (normal law, 200 000 draws)."""
    across, up = np.random.default_rng(11).standard_normal((2, 200_000))
    low = joint_bounds(across, up)
    assert low == pytest.approx((norm.ppf(1 - 0.95**0.5),) * 2, abs=0.02)
    assert np.mean((across >= low[0]) & (up >= low[1])) == pytest.approx(0.95, abs=1e-4)
    assert joint_bounds(across, across) == pytest.approx((norm.ppf(0.05),) * 2, abs=0.02)
    assert joint_bounds(across, np.full(200_000, 3.0)) == pytest.approx(
        (norm.ppf(0.05), 3.0), abs=0.02
    )


def test_a_height_is_unsure_above_its_base_wherever_the_datum_is() -> None:
    """An opening of 2000 whose base lies 700 over the datum, its head unsure by 2: the height, not
    the head's place, is what holds to 95 % (mean - 1.645 sigma)."""
    raised = figure(bottom_left__z=700.0, bottom_right__z=700.0, height=2700.0)
    free = [COLUMN["top-right.z"], COLUMN["top-left.z"]]
    covariance = np.full((2, 2), 4.0) + np.eye(2) * 1e-9
    usable = usable_opening(raised, free, covariance)
    assert usable.height == pytest.approx(2000.0)
    assert usable.height_low == pytest.approx(2000 - 1.645 * 2.0, abs=0.3)
    moved = figure(1700.0, bottom_left__x=700.0, top_left__x=700.0)
    across = [COLUMN["bottom-right.x"], COLUMN["top-right.x"]]
    assert usable_opening(moved, across, covariance).width_low == pytest.approx(996.71, abs=0.3)
