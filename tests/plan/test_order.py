"""Are a plan's own rooms asked in an order that holds? Each after what it needs, seeing no more
than that, and none forgotten."""

from __future__ import annotations

from pathlib import Path

import pytest

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import Store, order
from truehang.plan.entry import Asked, Entry, NotAsked, needed, walk
from truehang.plan.given import Given

BOUGHT = catalogue.load()


def given(name: str) -> Given:
    return Given.of(load(demo.files(name)[0][1]), BOUGHT, Store().over(BOUGHT))


def test_every_question_stands_once_after_all_that_it_needs() -> None:
    asked = [one for one in vars(order).values() if isinstance(one, Entry)]
    assert sorted(map(id, asked)) == sorted(map(id, order.ORDER))
    for at, one in enumerate(order.ORDER):
        assert set(one.needs) <= set(order.ORDER[:at]), one.name
    assert len({one.name for one in order.ORDER}) == len(order.ORDER)


def test_no_question_names_a_need_that_it_does_not_look_at() -> None:
    """Over the demos each answer that an entry may see is looked at by it at least once."""
    looked: set[tuple[str, str]] = set()

    class Watched(dict):  # type: ignore[type-arg]
        def __init__(self, name: str, seen: dict) -> None:  # type: ignore[type-arg]
            super().__init__(seen)
            self.name = name

        def __getitem__(self, key: Entry) -> object:  # type: ignore[type-arg]
            looked.add((self.name, key.name))
            return super().__getitem__(key)

        def get(self, key: Entry, default: object = None) -> object:  # type: ignore[type-arg]
            looked.add((self.name, key.name))
            return super().get(key, default)

    for name in ("quarry-house", "fernhollow"):
        answers: dict = {}  # type: ignore[type-arg]
        for one in order.ORDER:
            seen = Watched(one.name, {need: answers[need] for need in one.needs})
            answers[one] = one.ask(Asked(given(name), seen))
    idle = {(o.name, n.name) for o in order.ORDER for n in o.needs} - looked
    assert not idle


def test_what_is_not_needed_is_not_seen() -> None:
    first = Entry("first", lambda _asked: 1)
    second = Entry("second", lambda asked: asked.of(first))
    with pytest.raises(NotAsked, match="first was not asked"):
        walk(given("quarry-house"), (first, second), first)
    third = Entry("third", lambda asked: asked.of(first) + 1, (first,))
    assert walk(given("quarry-house"), (first, second, third)[::2], first).of(third) == 2
    assert needed(third, (first, second, third)) == (first, third)


def test_where_nothing_fits_only_what_needs_no_fit_is_asked() -> None:
    nothing: Entry[int | None] = Entry("nothing", lambda _asked: None)
    built = Entry("built", lambda _asked: 1, fits=True)
    last = Entry("last", lambda asked: asked.get(built), (built,))
    asked = walk(given("quarry-house"), (nothing, built, last), nothing)
    assert asked.get(built) is None
    assert asked.of(last) is None


def test_the_joiner_names_no_trade_room() -> None:
    """Which rooms there are is told in the declared order, not where they are walked."""
    text = (Path(order.__file__).parent / "join.py").read_text(encoding="utf-8")
    assert "from truehang.plan import order" in text
    trade = ("fit", "structure", "hardware", "sound", "fixings", "lining", "takeoff", "measure")
    assert not [room for room in trade if f"truehang.{room}" in text]
