"""Do the promises of docs/theory/measure.md hold on a small seeded sample? The whole tables are
`python -m benchmarks.trust coverage chance blame along alarms`.

The openings are made by benchmarks/trust/openings.py, which asks nothing of the program: sides are
dense lines, readings are distances between their points, the truth is read off them. Binomial
standard deviations are allowed three times.
"""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.trust import measure as trust
from benchmarks.trust.openings import SETS, opening

from truehang.measure import adjust
from truehang.measure.blame import likeliest


def test_made_up_openings_are_what_they_say() -> None:
    """Without bow, the usable width is the least of the four corners' x, by school geometry."""
    true = opening(np.random.default_rng(3), 0.0)
    width, height = true.usable
    inner = max(true.left[0, 0], true.left[-1, 0]), min(true.right[0, 0], true.right[-1, 0])
    assert width == pytest.approx(inner[1] - inner[0], abs=0.1)
    low, high = max(true.base[0, 1], true.base[-1, 1]), min(true.head[0, 1], true.head[-1, 1])
    assert height == pytest.approx(high - low, abs=0.1)


@pytest.mark.parametrize("names", ["every reading", "no bows, no middles"])
@pytest.mark.parametrize("bow", [0.0, 4.0])
def test_both_bounds_hold_together(names: str, bow: float) -> None:
    """95 % of 60: 57, standard deviation 1.7."""
    held = sum(trust.said((names, bow, seed)).held for seed in range(60))
    assert held >= 52


def test_less_reading_makes_the_bounds_less_sure() -> None:
    """The same opening read fully and poorly: the poor set must not be surer."""
    low = {}
    for names in SETS:
        gaps = []
        for seed in range(8):
            rng = np.random.default_rng((seed, 1))
            true = opening(rng, 2.0)
            usable = adjust(trust.read(true, SETS[names], rng)).usable
            gaps.append(usable.width - usable.width_low)
        low[names] = float(np.mean(gaps))
    order = [low["every reading"], low["no bows"], low["no bows, no middles"]]
    assert order == sorted(order)
    assert low["one width, one height"] > low["no bows, no middles"]


def test_said_chances_come_true() -> None:
    """60 frames that may just go in: as many go in as was said, to three standard deviations."""
    told = [trust.said(("every reading", 2.0, seed)) for seed in range(60)]
    expected = sum(one.chance for one in told)
    spread = sum(one.chance * (1 - one.chance) for one in told) ** 0.5
    assert abs(sum(one.went_in for one in told) - expected) < 3 * spread + 3


@pytest.mark.parametrize(
    ("names", "off", "seeds", "found_at_least"),
    [("every reading", 11.0, (5,), 0.7), ("no bows", 11.0, (5,), 0.7),
     ("every reading", 8.0, (4, 5), 0.5)],
)  # fmt: skip
def test_the_true_one_is_among_the_named(
    names: str, off: float, seeds: tuple[int, ...], found_at_least: float
) -> None:
    """Each reading off in turn: 97 % of those found at 8, 99 % at 11, so at most one may be missed
    here. Seen red with those named that hold the truth with half of the chance only: at 8 seven of
    the readings are then left out, for the likeliest is another."""
    found = [trust.with_slip((names, name, off, seed)) for seed in seeds for name in SETS[names]]
    hits = [one for one in found if one.count]
    assert len(hits) > found_at_least * len(found)
    assert sum(not one.named for one in hits) <= 1
    assert np.mean([one.count for one in hits]) <= trust.MOST_NAMES


def test_so_many_are_named_as_hold_the_truth() -> None:
    """By hand: 60, 34, 5 and 1 in a hundred add up to 94, then 99: three of them for 97. Of two
    that are foretold alike both are named."""
    assert likeliest(np.log([5.0, 60.0, 34.0, 1.0])) == [1, 2, 0]
    assert sorted(likeliest(np.zeros(2))) == [0, 1]
    assert likeliest(np.log([97.5, 2.5])) == [0]


def test_a_sound_job_is_left_alone() -> None:
    """1 % of 100 jobs: more than 4 come once in 280 tries."""
    assert sum(trust.without_slip((2.0, 1.0, seed)).blamed for seed in range(100)) <= 4


def test_noise_twice_what_was_said_is_not_blamed_on_readings_alone() -> None:
    """Of the jobs that are blamed for something, nearly all are told of the instrument too."""
    blamed = [one for seed in range(30) if (one := trust.without_slip((2.0, 2.0, seed))).blamed]
    assert len(blamed) >= 12
    assert sum(one.worse for one in blamed) >= 0.75 * len(blamed)
