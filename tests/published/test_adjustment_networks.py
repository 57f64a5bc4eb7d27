"""Source: F. Krumm, "Geodetic Network Adjustment Examples", Geodätisches Institut, Universität
Stuttgart, Rev. 3.5, 20 January 2020: data and published results (coordinates; standard deviations
from the variance of unit weight that each adjustment finds) of

- C. D. Ghilani, "Adjustment Computations", 5th ed., Wiley 2010, example 14.5: two points fixed,
  two free, five distances;
- W. Benning, "Statistik in Geodäsie, Geoinformation und Bauwesen", Wichmann 2011, example 8-8: five
  points fixed, one free, five distances.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from truehang.measure.solver import Matrix, Solution, Vector, least_squares

Distances = Sequence[tuple[str, str, float]]


def adjusted(
    fixed: dict[str, tuple[float, float]],
    free: dict[str, tuple[float, float]],
    distances: Distances,
    sigma: float,
) -> Solution:
    """Adjust a plane network of distances (m)."""
    names = list(free)

    def model(unknowns: Vector) -> tuple[Vector, Matrix]:
        points = fixed | {
            name: (unknowns[2 * i], unknowns[2 * i + 1]) for i, name in enumerate(names)
        }
        misfits, jacobian = np.zeros(len(distances)), np.zeros((len(distances), len(unknowns)))
        for row, (start, end, observed) in enumerate(distances):
            way = np.subtract(points[end], points[start])
            length = np.hypot(*way)
            misfits[row] = (observed - length) / sigma
            for name, sign in ((start, -1.0), (end, 1.0)):
                if name in free:
                    at = 2 * names.index(name)
                    jacobian[row, at : at + 2] = sign * way / length / sigma
        return misfits, jacobian

    return least_squares(model, np.array([value for point in free.values() for value in point]))


def deviations_cm(solution: Solution) -> Vector:
    """Standard deviations from the variance of unit weight found, cm."""
    redundant = len(solution.misfits) - len(solution.parameters)
    variance = float(solution.misfits @ solution.misfits) / redundant
    return 100 * np.sqrt(np.sum(solution.root**2, axis=1) * variance)


def test_ghilani_14_5() -> None:
    solution = adjusted(
        {"Badger": (2410000.0, 390000.0), "Bucky": (2411820.0, 386881.222)},
        {"Wisconsin": (2415776.819, 391043.461), "Campus": (2416892.670, 387603.450)},
        [
            ("Badger", "Wisconsin", 5870.302),
            ("Badger", "Campus", 7297.588),
            ("Wisconsin", "Campus", 3616.434),
            ("Wisconsin", "Bucky", 5742.878),
            ("Campus", "Bucky", 5123.760),
        ],
        0.01,
    )
    # The published example prints 0.1 mm; its deviations 0.001 cm.
    expected = [2415776.9044, 391043.2945, 2416892.6955, 387603.2551]
    np.testing.assert_allclose(solution.parameters, expected, atol=1e-4, rtol=0)
    np.testing.assert_allclose(deviations_cm(solution), [14.879, 22.061, 10.378, 27.054], atol=6e-4)


def test_benning_8_8() -> None:
    solution = adjusted(
        {
            "1": (3000.0, 2000.0),
            "2": (1000.0, 2000.0),
            "3": (3000.0, 2100.0),
            "4": (1000.0, 2100.0),
            "5": (2000.0, 1000.0),
        },
        {"6": (2000.0, 2000.0)},
        [
            ("6", "1", 1000.0),
            ("6", "2", 1000.0),
            ("6", "3", 1005.0),
            ("6", "4", 1005.0),
            ("6", "5", 1000.0),
        ],
        0.02,
    )
    np.testing.assert_allclose(solution.parameters, [2000.0, 1999.9976], atol=1e-4, rtol=0)
    assert deviations_cm(solution)[0] == pytest.approx(0.504, abs=6e-4)
    assert deviations_cm(solution)[1] == pytest.approx(0.996, abs=6e-4)
