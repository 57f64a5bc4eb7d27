"""Source: four tasks of 2/3/5, 5/8/14, 3/4/6 and 1/2/3 in a row, a worked PERT example with the
mean 17.83 (read); by the sum of four beta-PERT times P80 is 19.47 and P90 20.37 (own convolution).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from tests.programme.requests import ZONE, after, request, task

from truehang.programme.blocks import joined
from truehang.programme.calendars import Calendar, Hours, axis, week
from truehang.programme.chance import chances, finishes, sure_day
from truehang.programme.exact import solve

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
FOUR = [(2.0, 3.0, 5.0), (5.0, 8.0, 14.0), (3.0, 4.0, 6.0), (1.0, 2.0, 3.0)]


def test_four_tasks_in_a_row_have_the_published_mean_and_shares() -> None:
    tasks = [replace(task(name, 1), hours=hours) for name, hours in zip("abcd", FOUR, strict=True)]
    round_the_clock = Calendar(week(DAYS, (Hours(0, 1440),)))
    asked = request(
        tasks, [after(a, b) for a, b in ("ab", "bc", "cd")], open=round_the_clock, slot=5,
        correlation=0.0,
    )  # fmt: skip
    made = joined(asked, axis(round_the_clock, date(2026, 3, 2), 9, ZONE, 5))
    starts = solve(made.network, len(made.axis), effort=0).starts
    hours = finishes(made, starts, 20_000) * 5 / 60
    assert hours.mean() == pytest.approx(17.83, abs=0.08)
    assert np.quantile(hours, 0.8) == pytest.approx(19.47, abs=0.1)
    assert np.quantile(hours, 0.9) == pytest.approx(20.37, abs=0.12)
    found = chances(made, starts)
    assert [one.day for one in found] == sorted(one.day for one in found)
    assert found[-1].chance == pytest.approx(1.0)
    # 24 h a day: done on the first day but for what takes longer than 24 h, which none can.
    assert sure_day(found) == date(2026, 3, 2)


def test_tasks_that_go_badly_together_spread_wider() -> None:
    tasks = [replace(task(name, 1), hours=hours) for name, hours in zip("abcd", FOUR, strict=True)]
    spread = []
    for correlation in (0.0, 0.6):
        asked = request(
            tasks, [after(a, b) for a, b in ("ab", "bc", "cd")], correlation=correlation
        )
        made = joined(asked, axis(asked.open, date(2026, 3, 2), 60, ZONE))
        spread.append(finishes(made, solve(made.network, len(made.axis), effort=0).starts).std())
    assert spread[1] > 1.2 * spread[0]


def test_two_in_parallel_end_with_the_later_of_them() -> None:
    # The chance that both uniform-like times are done is the product of each alone.
    tasks = [
        replace(task("a", 1, "own"), hours=(2.0, 5.0, 8.0)),
        replace(task("b", 1, "painter"), hours=(2.0, 5.0, 8.0)),
    ]
    round_the_clock = Calendar(week(DAYS, (Hours(0, 1440),)))
    asked = request(tasks, open=round_the_clock, slot=5, correlation=0.0)
    made = joined(asked, axis(round_the_clock, date(2026, 3, 2), 9, ZONE, 5))
    starts = solve(made.network, len(made.axis), effort=0).starts
    hours = finishes(made, starts, 20_000) * 5 / 60
    # beta(3, 3) on 2 to 8 is symmetric: each is done at 5 h with a chance of one half.
    assert float((hours <= 5 + 1e-9).mean()) == pytest.approx(0.25, abs=0.02)
