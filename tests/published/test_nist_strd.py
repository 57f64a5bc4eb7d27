"""Source: NIST/ITL Statistical Reference Datasets (StRD), nonlinear regression: data, certified
parameters, certified standard deviations and residual sums of squares of Misra1a and DanWood
(lower difficulty) and Thurber (higher difficulty), and the starting values that NIST gives with
them. www.itl.nist.gov/div898/strd/nls
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from truehang.measure.solver import Matrix, NotSolved, Vector, least_squares


@dataclass(frozen=True)
class Dataset:
    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    starts: tuple[tuple[float, ...], ...]
    certified: tuple[float, ...]
    deviations: tuple[float, ...]
    sum_of_squares: float


MISRA1A = Dataset(
    "Misra1a",
    (77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760),
    (
        10.07,
        14.73,
        17.94,
        23.93,
        29.61,
        35.18,
        40.02,
        44.82,
        50.76,
        55.05,
        61.01,
        66.4,
        75.47,
        81.78,
    ),
    ((500, 0.0001), (250, 0.0005)),
    (2.3894212918e02, 5.5015643181e-04),
    (2.7070075241e00, 7.2668688436e-06),
    1.2455138894e-01,
)
DANWOOD = Dataset(
    "DanWood",
    (1.309, 1.471, 1.490, 1.565, 1.611, 1.680),
    (2.138, 3.421, 3.597, 4.340, 4.882, 5.660),
    ((1, 5), (0.7, 4)),
    (7.6886226176e-01, 3.8604055871e00),
    (1.8281973860e-02, 5.1726610913e-02),
    4.3173084083e-03,
)
# fmt: off
THURBER = Dataset(
    "Thurber",
    (-3.067, -2.981, -2.921, -2.912, -2.840, -2.797, -2.702, -2.699, -2.633, -2.481, -2.363,
     -2.322, -1.501, -1.460, -1.274, -1.212, -1.100, -1.046, -0.915, -0.714, -0.566, -0.545,
     -0.400, -0.309, -0.109, -0.103, 0.010, 0.119, 0.377, 0.790, 0.963, 1.006, 1.115, 1.572,
     1.841, 2.047, 2.200),
    (80.574, 84.248, 87.264, 87.195, 89.076, 89.608, 89.868, 90.101, 92.405, 95.854, 100.696,
     101.060, 401.672, 390.724, 567.534, 635.316, 733.054, 759.087, 894.206, 990.785, 1090.109,
     1080.914, 1122.643, 1178.351, 1260.531, 1273.514, 1288.339, 1327.543, 1353.863, 1414.509,
     1425.208, 1421.384, 1442.962, 1464.350, 1468.705, 1447.894, 1457.628),
    ((1000, 1000, 400, 40, 0.7, 0.3, 0.03), (1300, 1500, 500, 75, 1, 0.4, 0.05)),
    (1.2881396800e03, 1.4910792535e03, 5.8323836877e02, 7.5416644291e01, 9.6629502864e-01,
     3.9797285797e-01, 4.9727297349e-02),
    (4.6647963344e00, 3.9571156086e01, 2.8698696102e01, 5.5675370270e00, 3.1333340687e-02,
     1.4984928198e-02, 6.5842344623e-03),
    5.6427082397e03,
)
# fmt: on


def misra1a(x: Vector, b: Vector) -> tuple[Vector, Matrix]:
    fading = np.exp(-b[1] * x)
    return b[0] * (1 - fading), np.stack([1 - fading, b[0] * x * fading], axis=1)


def danwood(x: Vector, b: Vector) -> tuple[Vector, Matrix]:
    power = x ** b[1]
    return b[0] * power, np.stack([power, b[0] * power * np.log(x)], axis=1)


def thurber(x: Vector, b: Vector) -> tuple[Vector, Matrix]:
    powers = x[:, None] ** np.arange(4)
    above, below = powers @ b[:4], 1 + powers[:, 1:] @ b[4:]
    value = above / below
    return value, np.hstack([powers / below[:, None], -powers[:, 1:] * (value / below)[:, None]])


CASES = [
    pytest.param(data, model, start, id=f"{data.name}-{number}")
    for data, model in ((MISRA1A, misra1a), (DANWOOD, danwood), (THURBER, thurber))
    for number, start in enumerate(data.starts, 1)
]


@pytest.mark.parametrize(("data", "model", "start"), CASES)
def test_certified_values(data: Dataset, model, start: tuple[float, ...]) -> None:
    """Certified to 11 digits; nine are asked of the parameters, eight of their deviations."""
    x, y = np.array(data.x), np.array(data.y)

    def misfits(b: Vector) -> tuple[Vector, Matrix]:
        with np.errstate(over="ignore"):
            value, jacobian = model(x, b)
        return y - value, jacobian

    solution = least_squares(misfits, np.array(start, dtype=float))
    total = float(solution.misfits @ solution.misfits)
    variance = total / (len(y) - len(start))
    deviations = np.sqrt(np.sum(solution.root**2, axis=1) * variance)
    np.testing.assert_allclose(solution.parameters, data.certified, rtol=1e-9)
    np.testing.assert_allclose(deviations, data.deviations, rtol=1e-8)
    assert total == pytest.approx(data.sum_of_squares, rel=1e-10)


def test_short_of_rank_is_refused() -> None:
    """Two parameters that only ever appear as their sum can't be told apart (algebra)."""
    with pytest.raises(NotSolved, match="free"):
        least_squares(lambda b: (np.array([1.0, 2.0, 3.0]) - b.sum(), np.ones((3, 2))), np.zeros(2))


def test_too_few_observations_are_refused() -> None:
    """One observation can't fix two parameters (algebra)."""
    with pytest.raises(NotSolved, match="1 observations"):
        least_squares(lambda b: (np.array([b.sum()]), np.ones((1, 2))), np.zeros(2))
