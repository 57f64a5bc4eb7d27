"""Is every task on the chart, where its time is, and inside the paper?"""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from tests.programme.requests import after, request, task

from truehang.drawing import Sheet, programme_bars, svg
from truehang.drawing.metrics import width
from truehang.drawing.scene import Polygon, Text
from truehang.programme.make import programme

TASKS = [task(f"task number {n:02}", 3 + n % 5, "own" if n % 3 else "painter") for n in range(60)]
MADE = programme(
    request(TASKS, [after(a.key, b.key, 24 if n % 7 == 0 else None)
                    for n, (a, b) in enumerate(pairwise(TASKS))], effort=0.0)
).programme  # fmt: skip
SHEET = Sheet()


def test_every_task_is_on_one_sheet_by_its_name() -> None:
    scenes = programme_bars(MADE, SHEET)
    assert len(scenes) > 1
    said = [item.text for scene in scenes for item in scene.items if isinstance(item, Text)]
    for row in MADE.rows:
        assert said.count(row.title) == 1
    assert len({scene.key for scene in scenes}) == len(scenes)


def test_bars_begin_and_end_in_the_order_of_time() -> None:
    found = []
    for scene in programme_bars(MADE, SHEET):
        bars = [
            i for i in scene.items if isinstance(i, Polygon) and i.hatch in ("solid", "diagonal")
        ]
        found += [min(x for x, _ in bar.points) for bar in bars if bar.points[0][0] >= 84]
    assert found == sorted(found)
    assert len(found) == len(MADE.rows)


def test_nothing_leaves_the_paper() -> None:
    for scene in programme_bars(MADE, SHEET):
        assert SHEET.holds(scene.paper)
        for item in scene.items:
            if isinstance(item, Polygon):
                assert all(scene.low[0] <= x <= scene.high[0] for x, _ in item.points)
            elif isinstance(item, Text) and item.across == "left":
                assert item.at[0] + width(item.text, item.height, item.bold) <= scene.high[0]
        assert svg(scene).count("<text") >= len(scene.items) // 8


def test_nothing_planned_is_no_chart() -> None:
    assert programme_bars(programme(request([])).programme, SHEET) == ()
    assert MADE.begin == date(2026, 3, 2)
