"""Is what differs between two states of a job said as its pages say it?"""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from truehang import demo
from truehang.job import load
from truehang.store import ABSENT, document_of
from truehang.web.differences import differences, of_values
from truehang.web.forms import Form

DOCUMENT = document_of(load(demo.files("fernhollow")[0][1]))


def changed(*path: Any, to: Any) -> dict[str, Any]:
    """The demo job with one value changed; None takes it out."""
    document = deepcopy(DOCUMENT)
    at: Any = document
    for name in path[:-1]:
        at = at[name]
    if to is None:
        del at[path[-1]]
    else:
        at[path[-1]] = to
    return document


@pytest.mark.parametrize(
    ("path", "to", "line"),
    [
        (("wall", "ceiling"), 2650, "Wall, ceiling: 2700 mm → 2650 mm"),
        (("wall", "fire_rated"), True, "Wall, fire rated: no → yes"),
        (("job", "title"), "Ward", f"Job, title: {DOCUMENT['job']['title']} → Ward"),
        (
            ("wall", "services", 0, "z"), 1200,
            "Wall, services, outlet-post, z up: 430 mm → 1200 mm",
        ),
    ],
)  # fmt: skip
def test_a_change_is_said_in_labels_and_units(path: tuple[Any, ...], to: Any, line: str) -> None:
    lines = [one.line for one in differences(Form(), DOCUMENT, changed(*path, to=to))]
    assert len(lines) == 1
    assert line in lines[0]


def test_a_reading_is_said_by_its_place_and_in_the_jobs_style() -> None:
    readings = deepcopy(DOCUMENT["measure"]["readings"])
    gone = readings.pop()
    after = changed("measure", "readings", to=readings)
    (one,) = differences(Form("feet-inches"), DOCUMENT, after)
    assert one.after == "nothing"
    assert one.line == "Ceiling (ceiling-5): x along the wall 20' 0 5/32\", 8' 10 3/8\" → nothing"
    assert gone["value"] == 2702


def test_nothing_differs_from_itself() -> None:
    assert differences(Form(), DOCUMENT, deepcopy(DOCUMENT)) == ()


def test_a_value_is_told_by_its_path_and_where_its_row_is_gone_too() -> None:
    path = ("measure", "readings", "width-top")
    row = next(r for r in DOCUMENT["measure"]["readings"] if r["id"] == "width-top")
    (one,) = of_values(Form(), DOCUMENT, path, row, {**row, "value": 3400})
    assert one.line == f"Top width: {row['value']:g} mm → 3400 mm"
    (one,) = of_values(Form(), DOCUMENT, path, row, ABSENT)
    assert one.after == "nothing"
    (one,) = of_values(Form(), {"measure": {"readings": "?"}}, path, row, ABSENT)
    assert one.where == "measure, readings, width-top"
