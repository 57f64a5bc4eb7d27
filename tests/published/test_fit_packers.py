"""Source: HiGHS, through SciPy's `milp` (an independent exact solver), on the packer problem.

Least number of packers with sizes in half millimetres, at most 3 pieces and 20 mm in all, that
make each height from 0 to 24 mm: as an integer programme, against the room's own search.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from truehang.catalogue.packers import packers
from truehang.fit import PackerSet, stack

SHIPPED = packers()[0]
VANS = [
    PackerSet(SHIPPED.sizes, SHIPPED.pieces_most, SHIPPED.total_most, SHIPPED.step),
    PackerSet((1.0, 2.5, 4.0, 7.5), 3, 20.0),
    PackerSet((1.5, 3.0, 5.0, 10.0), 4, 20.0),
]


def _fewest(height: float, van: PackerSet) -> int | None:
    sizes = np.array(van.sizes)
    if height > van.total_most:
        return None
    ones = np.ones_like(sizes)
    found = milp(
        ones,
        constraints=[
            LinearConstraint(sizes * 2, 2 * height, 2 * height),
            LinearConstraint(ones, 0, van.pieces_most),
        ],
        integrality=ones,
        bounds=Bounds(0, van.pieces_most),
    )
    return round(found.fun) if found.status == 0 else None


@pytest.mark.parametrize("van", VANS, ids=["shipped", "coarse", "four-pieces"])
def test_fewest_pieces(van: PackerSet) -> None:
    for halves in range(49):
        height = halves / 2
        mine = stack(height, van)
        least = _fewest(height, van)
        if least is not None:
            assert mine is not None
            assert len(mine) == least, height
            assert sum(mine) == pytest.approx(height)
        elif mine is not None:
            assert 0 < abs(sum(mine) - height) <= van.tolerance + 1e-9
