"""Source: lmfit (an independent least-squares library over MINPACK, with its own covariance) and
SciPy's least_squares, on the same readings written down a second time in plain geometry here, with
straight sides; and Monte Carlo coverage of the 95 % bounds and ellipses (definition of a confidence
region). The readings are invented.
"""

from __future__ import annotations

import math

import lmfit
import numpy as np
import pytest
from scipy import stats
from scipy.optimize import least_squares, linprog

from truehang.measure import Adjustment, Reading, adjust

TRUE = {"bl": (0.0, 0.0), "br": (3460.0, -4.0), "tr": (3463.0, 2518.0), "tl": (2.0, 2521.0)}
LEVEL = 2000.0


def computed(corners: dict[str, tuple[float, float]]) -> dict[str, float]:
    """What each of the nine readings is for these corners: school geometry."""

    def lean(foot: str, top: str) -> float:
        (x0, z0), (x1, z1) = corners[foot], corners[top]
        return (x1 - x0) * LEVEL / (z1 - z0)

    return {
        "width-bottom": math.dist(corners["bl"], corners["br"]),
        "width-top": math.dist(corners["tl"], corners["tr"]),
        "height-left": math.dist(corners["bl"], corners["tl"]),
        "height-right": math.dist(corners["br"], corners["tr"]),
        "diagonal-rising": math.dist(corners["bl"], corners["tr"]),
        "diagonal-falling": math.dist(corners["br"], corners["tl"]),
        "level-base": corners["br"][1] - corners["bl"][1],
        "plumb-left": lean("bl", "tl"),
        "plumb-right": lean("br", "tr"),
    }


SIGMA = {name: 1.0 if name.startswith(("level", "plumb")) else 1.5 for name in computed(TRUE)}


def readings(noise: np.ndarray | None = None, **slips: float) -> list[Reading]:
    rows = []
    for index, (name, value) in enumerate(computed(TRUE).items()):
        kind, place = name.split("-")
        error = SIGMA[name] * noise[index] if noise is not None else 0.0
        value += error + slips.get(name.replace("-", "_"), 0.0)
        over = LEVEL if kind == "plumb" else None
        rows.append(Reading(name, kind, value, place, over=over, sigma=SIGMA[name]))
    return rows


def misfits(unknowns: np.ndarray, given: list[Reading]) -> np.ndarray:
    br, tr, tl = unknowns.reshape(3, 2)
    there = computed({"bl": (0.0, 0.0), "br": tuple(br), "tr": tuple(tr), "tl": tuple(tl)})
    return np.array([(reading.value - there[reading.id]) / SIGMA[reading.id] for reading in given])


def corners_of(opening: Adjustment) -> np.ndarray:
    names = ("bottom-right", "top-right", "top-left")
    return np.array([(opening.corner(n).x, opening.corner(n).z) for n in names]).ravel()


START = np.array([3400.0, 0.0, 3400.0, 2500.0, 0.0, 2500.0])


@pytest.mark.parametrize("seed", range(5))
def test_corners_and_covariance_agree_with_lmfit(seed: int) -> None:
    given = readings(np.random.default_rng(seed).standard_normal(9))
    parameters = lmfit.Parameters()
    for index, value in enumerate(START):
        parameters.add(f"p{index}", value=value)
    result = lmfit.Minimizer(
        lambda p: misfits(np.array(list(p.valuesdict().values())), given),
        parameters,
        scale_covar=False,
    ).minimize(method="leastsq", ftol=1e-14, xtol=1e-14)
    opening = adjust(given, bow_prior=0.0).as_read
    assert opening is not None
    theirs = np.array(list(result.params.valuesdict().values()))
    np.testing.assert_allclose(corners_of(opening), theirs, atol=1e-4)
    ours = np.array(opening.covariance)
    np.testing.assert_allclose(ours, result.covar, atol=2e-4 * np.abs(ours).max())
    assert opening.global_test is not None
    assert opening.global_test.redundant == result.nfree == 3
    assert opening.global_test.value == pytest.approx(result.chisqr, rel=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_redundancy_and_residuals_agree_with_scipy(seed: int) -> None:
    """r = diagonal of I - J (J'J)^-1 J', w = v / (sigma sqrt r): the textbook's matrices, from
    SciPy's own numerical Jacobian."""
    given = readings(np.random.default_rng(seed).standard_normal(9))
    result = least_squares(
        misfits, START, args=(given,), jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    hat = result.jac @ np.linalg.inv(result.jac.T @ result.jac) @ result.jac.T
    redundancy = 1 - np.diagonal(hat)
    checks = adjust(given, bow_prior=0.0).as_read.readings
    np.testing.assert_allclose([check.redundancy for check in checks], redundancy, atol=1e-5)
    np.testing.assert_allclose(
        [check.w for check in checks], result.fun / np.sqrt(redundancy), atol=1e-4
    )
    assert sum(check.redundancy for check in checks) == pytest.approx(3.0, abs=1e-9)


def test_slip_on_a_diagonal_ties_with_the_height_at_its_corner() -> None:
    """10 mm on the rising diagonal, sigma 1.5: found, sized, and tied with the right height; the
    figures are SciPy's on the same network."""
    given = readings(diagonal_rising=10.0)
    result = least_squares(
        misfits, START, args=(given,), jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    space = np.eye(9) - result.jac @ np.linalg.inv(result.jac.T @ result.jac) @ result.jac.T
    names = [reading.id for reading in given]
    rising, right = names.index("diagonal-rising"), names.index("height-right")
    w = result.fun[rising] / math.sqrt(space[rising, rising])
    correlation = space[rising, right] / math.sqrt(space[rising, rising] * space[right, right])
    assert abs(correlation) > 0.9
    measured = adjust(given, bow_prior=0.0)
    (slip,) = measured.slips
    assert set(slip.suspects) == {"diagonal-rising", "height-right"}
    assert slip.w == pytest.approx(w, abs=1e-3)
    assert slip.size == pytest.approx(10.0, abs=0.05)
    np.testing.assert_allclose(
        corners_of(measured.opening), [3460, -4, 3463, 2518, 2, 2521], atol=1e-3
    )


def test_ellipses_and_bounds_cover_what_they_say() -> None:
    """600 seeded measures of a known opening. A 95 % ellipse must hold the true corner in 95 %
    of them and both lower bounds together must be under the true usable opening in 95 %: binomial
    standard deviation 0.9 %, four of those allowed."""
    truth = adjust(readings(), bow_prior=0.0).as_read
    draws = np.random.default_rng(7).standard_normal((600, 9))
    names = ("bottom-right", "top-right", "top-left")
    inside = dict.fromkeys(names, 0)
    under = 0
    for noise in draws:
        found = adjust(readings(noise), bow_prior=0.0).as_read
        for index, name in enumerate(names):
            corner, true = found.corner(name), truth.corner(name)
            turn = math.radians(corner.ellipse.turn)
            dx, dz = true.x - corner.x, true.z - corner.z
            along = dx * math.cos(turn) + dz * math.sin(turn)
            across = -dx * math.sin(turn) + dz * math.cos(turn)
            size = (along / corner.ellipse.long) ** 2 + (across / corner.ellipse.short) ** 2
            inside[name] += size <= 1
            own = np.array(found.covariance)[2 * index : 2 * index + 2, 2 * index : 2 * index + 2]
            mahalanobis = np.array([dx, dz]) @ np.linalg.inv(own) @ np.array([dx, dz])
            assert (size <= 1) == (mahalanobis <= stats.chi2.isf(0.05, 2))
        under += (
            found.usable.width_low <= truth.usable.width
            and found.usable.height_low <= truth.usable.height
        )
    for count in (*inside.values(), under):
        assert abs(count / 600 - 0.95) < 4 * math.sqrt(0.95 * 0.05 / 600)


@pytest.mark.parametrize("seed", range(8))
def test_usable_opening_is_the_linear_programme_optimum(seed: int) -> None:
    """HiGHS through SciPy on the straight-sided outline: most width plus height, each corner of
    the rectangle inside each side's line."""
    noise = np.random.default_rng(seed).standard_normal(9) * 6
    opening = adjust(readings(noise), bow_prior=0.0).as_read
    corners = {c.name: (c.x, c.z) for c in opening.corners}
    rows, limits = [], []
    ring = ("bottom-left", "bottom-right", "top-right", "top-left")
    for start, end in zip(ring, ring[1:] + ring[:1], strict=True):
        (x0, z0), (x1, z1) = corners[start], corners[end]
        inward_x, inward_z = -(z1 - z0), x1 - x0
        for left in (True, False):
            for base in (True, False):
                row = np.zeros(4)
                row[0 if left else 1] = -inward_x
                row[2 if base else 3] = -inward_z
                rows.append(row)
                limits.append(-(inward_x * x0 + inward_z * z0))
    best = linprog([1, -1, 1, -1], rows, limits, bounds=[(None, None)] * 4, method="highs")
    usable = opening.usable
    np.testing.assert_allclose(
        [usable.left, usable.right, usable.base, usable.head], best.x, atol=1e-3
    )
