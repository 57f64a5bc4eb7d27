"""Source: instance gcut1 of J. E. Beasley, *Journal of the Operational Research Society* 36 (1985),
297-306, as kept in the OR-Library; optimum values, with panels fixed and with panels turned, as
published by G. F. Cintra, F. K. Miyazawa, Y. Wakabayashi and E. C. Xavier (*European Journal of
Operational Research* 191 (2008), 61-85) with their results for gcut1 and gcut1r.

Unlimited copies of ten panels, each worth its area, are cut from one 250 x 250 sheet.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from truehang.cutting.guillotine import Filling, Shape

PANELS = [
    (167, 184), (114, 118), (167, 152), (83, 140), (70, 86),
    (143, 166), (120, 160), (66, 148), (87, 141), (69, 165),
]  # fmt: skip


@pytest.mark.parametrize(("turns", "optimum"), [(False, 56460), (True, 58136)])
def test_the_best_filling_of_a_sheet_has_the_published_worth(turns: bool, optimum: int) -> None:
    shapes = [Shape(w, h, turns) for w, h in PANELS]
    filling = Filling(shapes, [99] * len(shapes), 250, 250)
    worth = np.asarray([w * h for w, h in PANELS], dtype=np.int64)
    assert int(filling.run(worth)[-1, -1]) == optimum
    held = Counter(filling.tree(250, 250).items())
    assert sum(worth[item] * count for item, count in held.items()) == optimum
