"""The `acoustics` library (python-acoustics 0.2.6), an independent implementation of Rw, C and Ctr.

Its STC isn't compared: its loop does not apply the 8 dB rule. Its Rw asks for deficits strictly
under 32 dB, so spectra with exactly 32.0 are left out, and it starts at 20 dB, so all are above.
Only the file with the ratings is loaded: the package as a whole needs an older SciPy.
"""

from importlib.util import find_spec, module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from truehang.sound.ratings import RW_REFERENCE, SPECTRUM_1, SPECTRUM_2, adapted, rate, weighted


@pytest.fixture(scope="module")
def building() -> ModuleType:
    package = find_spec("acoustics")
    assert package is not None, "install the test extra: acoustics==0.2.6"
    assert package.origin is not None
    spec = spec_from_file_location(
        "acoustics_building", Path(package.origin).parent / "building.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def spectra(count: int = 60) -> np.ndarray:
    random = np.random.default_rng(717)
    slope = np.linspace(0, 1, 16) * random.uniform(0, 30, (count, 1))
    rough = random.uniform(30, 50, (count, 1)) + slope + random.normal(0, 3, (count, 16))
    return np.round(rough, 1)


def test_rw_c_ctr_agree(building: ModuleType) -> None:
    compared = 0
    for thirds in spectra():
        ours = float(weighted(thirds))
        if abs(np.sum(np.maximum(RW_REFERENCE - 52 + ours + 1 - thirds, 0)) - 32) < 0.05:
            continue
        if abs(np.sum(np.maximum(RW_REFERENCE - 52 + ours - thirds, 0)) - 32) < 0.05:
            continue
        assert ours == building.rw(thirds)
        assert float(adapted(thirds, SPECTRUM_1)) == pytest.approx(building.rw_c(thirds), abs=1e-9)
        assert float(adapted(thirds, SPECTRUM_2)) == pytest.approx(
            building.rw_ctr(thirds), abs=1e-9
        )
        compared += 1
    assert compared > 50


def test_many_at_once_are_rated_like_one() -> None:
    many = spectra(200)
    together = weighted(many, 0.1)
    for thirds, value in zip(many[:40], together[:40], strict=True):
        padded = np.concatenate([np.zeros(3), thirds, np.zeros(5)])
        assert rate(padded).rw_tenths == pytest.approx(float(value))
