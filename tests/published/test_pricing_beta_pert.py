"""Beta-PERT and its sums, held against SciPy's beta distribution and a worked example.

Sources: SciPy (scipy.stats.beta), an independent implementation; the four-task example of a project
manual (2/3/5, 5/8/14, 3/4/6, 1/2/3: mean 17.83), with the quantiles of the sum worked out by itself
(sd 1.872, P50 17.74, P80 19.47, P90 20.37).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import beta as published

from truehang.pricing import Uncertain, spread
from truehang.pricing import beta as own
from truehang.pricing.spread import draw

FOUR = [
    Uncertain(key, *three)
    for key, three in {"a": (2, 3, 5), "b": (5, 8, 14), "c": (3, 4, 6), "d": (1, 2, 3)}.items()
]


def _published(low: float, likely: float, high: float) -> object:
    width = high - low
    return published(
        1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, low, width
    )  # fmt: skip


def test_one_line() -> None:
    made = spread([Uncertain("one", 1, 2, 6)])
    by_scipy = _published(1, 2, 6)
    assert made.p50 == pytest.approx(2.383361, abs=1e-6)
    assert made.p80 == pytest.approx(3.251293, abs=1e-6)
    assert made.p95 == pytest.approx(by_scipy.ppf(0.95), abs=1e-6)  # type: ignore[attr-defined]


@pytest.mark.parametrize("three", [(1, 2, 6), (0, 0, 1), (3, 9, 9), (0, 5, 10), (100, 101, 400)])
def test_mean_and_variance(three: tuple[float, float, float]) -> None:
    by_scipy = _published(*three)
    assert own.mean(*three) == pytest.approx(by_scipy.mean())  # type: ignore[attr-defined]
    assert own.variance(*three) == pytest.approx(by_scipy.var())  # type: ignore[attr-defined]
    usual = ((three[2] - three[0]) / 6) ** 2
    assert (three == (0, 5, 10)) or abs(own.variance(*three) / usual - 1) > 0.01


@pytest.mark.parametrize("alpha", [1.0, 1.001, 2.2, 3.0, 4.75, 5.0])
def test_incomplete_beta(alpha: float) -> None:
    x = np.linspace(0, 1, 201)
    assert own.below(x, alpha, 6 - alpha) == pytest.approx(
        published.cdf(x, alpha, 6 - alpha), abs=1e-12
    )


def test_four_tasks() -> None:
    made = spread(FOUR)
    assert made.mean == pytest.approx(17.83, abs=0.005)
    assert made.sd == pytest.approx(1.872, abs=0.0005)
    assert made.p50 == pytest.approx(17.74, abs=0.005)
    assert made.p80 == pytest.approx(19.47, abs=0.005)
    assert made.method.startswith("convolution")


def test_convolution_and_draws_agree_within_three_standard_errors() -> None:
    crew = [Uncertain(one.key, one.low, one.likely, one.high, "us") for one in FOUR]
    exact, draws = spread(FOUR), 100_000
    drawn = draw(crew, 0.0, np.random.default_rng(7), draws) + sum(one.low for one in FOUR)
    for share, at in ((0.5, exact.p50), (0.8, exact.p80), (0.95, exact.p95)):
        error = math.sqrt(share * (1 - share) / draws)
        assert abs(float((drawn <= at).mean()) - share) < 3 * error
    assert abs(drawn.mean() - exact.mean) < 3 * exact.sd / math.sqrt(draws)


def test_draws_by_scipy_agree_with_many_lines() -> None:
    random = np.random.default_rng(11)
    threes = np.sort(random.uniform(0, 100, (40, 3)), axis=1)
    lines = [Uncertain(str(n), *map(float, three)) for n, three in enumerate(threes)]
    exact, draws = spread(lines), 40_000
    total = sum(
        _published(*three).rvs(draws, random_state=random)  # type: ignore[attr-defined]
        for three in threes
    )
    for share, at in ((0.5, exact.p50), (0.8, exact.p80), (0.95, exact.p95)):
        assert abs(float((total <= at).mean()) - share) < 3 * math.sqrt(share * (1 - share) / draws)


def test_correlated_tasks_have_the_variance_that_is_told() -> None:
    crew = [Uncertain(one.key, one.low, one.likely, one.high, "us") for one in FOUR]
    made, apart = spread(crew, 0.6, seed=3), spread(crew, 0.0)
    drawn = draw(crew, 0.6, np.random.default_rng(5), 200_000)
    assert made.sd > 1.3 * apart.sd
    assert drawn.std() == pytest.approx(made.sd, rel=0.01)
    assert sum(one.share for one in made.shares) == pytest.approx(1)
    assert made == spread(crew, 0.6, seed=3)
    assert made.p80 != spread(crew, 0.6, seed=4).p80
