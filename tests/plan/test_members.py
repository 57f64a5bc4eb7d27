"""Do takeoff, model, drawings and lining all show the one framing that the plan has?"""

from __future__ import annotations

from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.job import Job, load
from truehang.members import standing
from truehang.plan import Plan, plan
from truehang.shapes import Span


def job_of(name: str) -> Job:
    texts = {file: text for folder in demo.names() for file, text in demo.files(folder)}
    return load(texts[f"{name}.yaml"])


def with_studs(job: Job, width: float) -> Job:
    studs = job.wall.make_up.studs.model_copy(update={"width": width})
    make_up = job.wall.make_up.model_copy(update={"studs": studs})
    return job.model_copy(update={"wall": job.wall.model_copy(update={"make_up": make_up})})


@cache
def planned(name: str, width: float | None = None) -> Plan:
    job = job_of(name)
    return plan(with_studs(job, width) if width else job, catalogue.load())


@pytest.mark.parametrize("width", [38.0, 45.0])
def test_two_studs_a_side_under_a_load_are_two_studs_everywhere(width: float) -> None:
    # quarry-house carries load: one stud under each end of the head, one past it
    made = planned("quarry-house", width)
    fit = made.arrangement
    assert fit is not None
    assert made.takeoff is not None
    beside = standing(made.members, "jamb stud", "king stud")
    places = sorted((m.x.low, m.x.high) for m in beside)
    low, high = fit.rough.low, fit.rough.high
    assert places == [
        (low - 2 * width, low - width), (low - width, low),
        (high, high + width), (high + width, high + 2 * width),
    ]  # fmt: skip
    counted = {item.key: item.count for item in made.takeoff.items}
    assert (counted["jamb-stud"], counted["king-stud"]) == (2, 2)


def test_parts_that_fit_prices_are_the_pieces_that_stand() -> None:
    # the price of a site-built pocket is reckoned before it is set out; both must be the same frame
    made = planned("tannery-g06")
    assert made.arrangement is not None
    parts = {f"frame.{p.key}": p for p in made.arrangement.parts if p.material == "timber"}
    assert set(parts) == {m.key for m in made.members if m.key.startswith("frame.")}
    for key, part in parts.items():
        pieces = [m for m in made.members if m.key == key]
        assert len(pieces) == part.count, key
        for piece in pieces:
            assert piece.length == pytest.approx(part.length), key
            assert piece.section == pytest.approx(part.section), key


def test_a_kits_frame_is_not_cut_again() -> None:
    made = planned("fernhollow")
    assert made.takeoff is not None
    assert {m.bought_in for m in standing(made.members, "rib", "head member")} == {"frame kit"}
    assert [i.key for i in made.takeoff.group("frame") if i.unit == "m"] == []


def test_what_is_over_an_old_opening_is_there_already() -> None:
    made = planned("fernhollow")
    assert made.over is not None
    (there,) = [m for m in made.members if m.origin == "there already"]
    usable = made.measured.usable
    assert usable is not None
    assert there.x == Span(pytest.approx(usable.left), pytest.approx(usable.right))
    assert there.z.low == made.over.limit
    assert made.takeoff is not None
    assert there.key not in {item.key for item in made.takeoff.items}
