"""Floats beside a CPM worked by hand, chains in words, what-ifs, promises, and what is refused."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from tests.programme.requests import ZONE, after, request, task

from truehang.programme import exact
from truehang.programme.make import moved, programme
from truehang.programme.model import Trade
from truehang.programme.what_if import NotUnderstood, what_if

EIGHT_CREWS = tuple(Trade(key=f"crew-{name}", word=name) for name in "abcdef")
NETWORK = {  # hours, what it waits for; worked by hand below
    "a": (3, ""), "b": (4, "a"), "c": (2, "a"), "d": (5, "b"), "e": (1, "c"), "f": (2, "de"),
}  # fmt: skip
BY_HAND = {"a": 0, "b": 0, "c": 6, "d": 0, "e": 6, "f": 0}
"""Early: a 0-3, b 3-7, c 3-5, d 7-12, e 5-6, f 12-14. Late, from 14 back: f 12-14, d 7-12, e 11-12,
b 3-7, c 9-11, a 0-3. Total float is late less early: c 9 - 3 = 6, e 11 - 5 = 6, all else 0."""


def test_floats_are_those_of_a_cpm_worked_by_hand() -> None:
    tasks = [task(name, hours, f"crew-{name}") for name, (hours, _) in NETWORK.items()]
    links = [after(before, name) for name, (_, waits) in NETWORK.items() for before in waits]
    made = programme(request(tasks, links, trades=EIGHT_CREWS, effort=0)).programme
    assert {row.key: row.float_hours for row in made.rows} == BY_HAND
    assert {row.key for row in made.rows if row.chain} == set("abdf")
    assert made.length.value == made.length.least == 14


def test_the_chain_is_told_from_the_end_with_its_reasons() -> None:
    tasks = [task("frame", 8), task("paint", 4, "painter"), task("trim", 2), task("tidy", 1)]
    links = [after("frame", "paint"), after("paint", "trim", 16), after("frame", "tidy")]
    made = programme(request(tasks, links)).programme
    assert made.chain[0].startswith("All is done on Wed 4 Mar 09:00, with trim")
    assert "paint is done (drying, 16 h)" in made.chain[1]
    assert "frame is done" in made.chain[2]
    assert made.chain[-1] == "frame begins on Mon 2 Mar 07:00: nothing holds it up."


def test_a_hold_blocks_until_it_is_recorded() -> None:
    look = task("look", 1, hold="what the wall carries is recorded")
    asked = request([look, task("cut", 2)], [after("look", "cut")])
    assert programme(asked).programme.of("cut").blocked == (
        "look: what the wall carries is recorded",
    )
    known = replace(asked, tasks=(replace(look, recorded=True), asked.tasks[1]))
    assert programme(known).programme.of("cut").blocked == ()


def two_trades():
    leaves = task("leaves", 0, "", kind="delivery", not_before=date(2026, 3, 4))
    tasks = [
        task("frame", 8),
        leaves,
        task("power", 2, "electrician"),
        task("hang", 3),
        task("line", 6),
    ]
    links = [after("frame", "hang"), after("leaves", "hang"), after("frame", "power"),
             after("power", "line"), after("hang", "line")]  # fmt: skip
    return request(tasks, links)


def test_what_if_the_leaves_come_late() -> None:
    asked = two_trades()
    known = programme(asked)
    late = what_if(asked, known, "the leaves come 6 days late").made.programme
    assert late.of("hang").begin.date() == date(2026, 3, 10)
    assert (late.finish.date() - known.programme.finish.date()).days == 6
    assert {new.key for _, new, _ in moved(known.programme, late)} >= {"leaves", "hang", "line"}


def test_what_if_the_electrician_can_only_come_on_friday() -> None:
    asked = two_trades()
    known = programme(asked)
    friday = what_if(asked, known, "electrician can only come Friday").made.programme
    assert friday.of("power").begin.date() == date(2026, 3, 6)
    assert friday.of("line").begin >= friday.of("power").end


@pytest.mark.parametrize(
    ("said", "key", "day"),
    [
        ("electrician away 2026-03-02 to 2026-03-05", "power", date(2026, 3, 6)),
        ("not on mon, tue", "frame", date(2026, 3, 4)),
        ("frame takes 20 hours", "power", date(2026, 3, 4)),
    ],
)
def test_other_what_ifs(said: str, key: str, day: date) -> None:
    asked = two_trades()
    made = what_if(asked, programme(asked), said).made.programme
    assert made.of(key).begin.date() == day


@pytest.mark.parametrize(
    "said", ["rain", "the glazier only fri", "electrician only someday", "doors 3 days late"]
)
def test_a_what_if_that_says_nothing_is_refused(said: str) -> None:
    asked = two_trades()
    with pytest.raises(NotUnderstood):
        what_if(asked, programme(asked), said)


def test_a_what_if_takes_less_than_a_second() -> None:
    asked = two_trades()
    known = programme(asked)
    start = time.process_time()
    what_if(asked, known, "leaves 6 days late")
    assert time.process_time() - start < 1.0


def test_planned_anew_from_what_happened_the_fewest_promises_are_broken() -> None:
    zone = ZoneInfo(ZONE)
    begun, ended = datetime(2026, 3, 2, 7, tzinfo=zone), datetime(2026, 3, 5, 15, 30, tzinfo=zone)
    frame = replace(task("frame", 8), begun=begun, ended=ended)
    power = task("power", 2, "electrician", promised=date(2026, 3, 3))  # can't be kept any more
    paint = task(
        "paint", 4, "painter", promised=date(2026, 3, 12)
    )  # can, though sooner is possible
    asked = request(
        [frame, power, paint, task("hang", 3)],
        [after("frame", "power"), after("frame", "hang"), after("hang", "paint")],
        begin=date(2026, 3, 6),
    )
    made = programme(asked).programme
    assert made.of("paint").begin.date() == date(2026, 3, 12)
    assert made.of("power").begin.date() == date(2026, 3, 6)
    assert made.of("frame").done
    assert made.of("hang").begin.date() == date(2026, 3, 6)


def test_a_circle_is_printed() -> None:
    tasks = [task(name, 1) for name in "abc"]
    asked = request(tasks, [after("a", "b"), after("b", "c"), after("c", "b")])
    found = programme(asked).programme.findings[0]
    assert "b -> c -> b" in found.what


def test_a_task_that_nobody_can_do_is_named() -> None:
    asked = request([task("glaze", 2, "glazier")])
    found = programme(asked).programme.findings[0]
    assert "glaze of one needs the trade glazier" in found.what
    alone = replace(
        request([task("lift", 2, people=2)]), trades=(Trade(key="own", word="own", people=1),)
    )
    assert "takes 2 people, and only 1 come" in programme(alone).programme.findings[0].what


def test_a_deadline_before_the_lead_time_says_by_how_many_days() -> None:
    made = programme(replace(two_trades(), deadline=date(2026, 3, 3))).programme
    found = made.findings[0]
    assert "2 days after the deadline" in found.what
    assert "leaves" in found.what
    assert "2 days sooner" in found.mend
    on_time = programme(replace(two_trades(), deadline=date(2026, 3, 5))).programme
    assert not on_time.findings


def test_without_the_solver_the_programme_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = two_trades()
    crowded = replace(
        asked, tasks=(*asked.tasks, task("paint", 3, "painter"), task("oil", 3, "painter"))
    )
    assert not programme(crowded).programme.findings
    monkeypatch.setattr(exact, "find_spec", lambda name: None)
    made = programme(crowded).programme
    assert made.rows
    assert not made.searched
    assert made.days.proved or "truehang[programme]" in made.findings[0].mend
