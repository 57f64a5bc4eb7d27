"""What is kept between requests: made once, bounded, and the same as when it is made afresh."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from truehang import demo
from truehang.job import load
from truehang.store import Store
from truehang.web.app import create_app
from truehang.web.plans import Lately
from truehang.web.settings import Settings


def test_a_thing_is_made_once_however_many_ask_for_it() -> None:
    kept, made, all_there = Lately[object](4), [], threading.Barrier(8)

    def make() -> object:
        made.append(1)
        return object()

    def ask(_: int) -> object:
        all_there.wait(10)
        return kept.of("key", make)

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(ask, range(8)))) == 1
    assert len(made) == 1


def test_no_more_is_kept_than_allowed_and_the_least_lately_asked_for_goes_first() -> None:
    kept, made = Lately[int](3), list[int]()

    def ask(key: int) -> int:
        return kept.of(key, lambda: made.append(key) or key)  # type: ignore[func-returns-value]

    for key in (1, 2, 3, 1, 4):  # 2 is the one that nobody asked for again
        assert ask(key) == key
        assert len(kept) <= 3
    ask(1)
    assert made == [1, 2, 3, 4]
    ask(2)
    assert made == [1, 2, 3, 4, 2]


def test_what_could_not_be_made_is_tried_again() -> None:
    kept = Lately[int](3)

    def fail() -> int:
        raise ValueError("not this time")

    with pytest.raises(ValueError, match="not this time"):
        kept.of("key", fail)
    assert kept.of("key", lambda: 5) == 5


def test_drawings_are_drawn_once_for_a_state_of_a_job_and_again_for_another(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import truehang.drawing

    drawn: list[str] = []
    draw = truehang.drawing.svg

    def counted(scene: Any, **how: Any) -> str:
        drawn.append(scene.key)
        return draw(scene, **how)

    monkeypatch.setattr(truehang.drawing, "svg", counted)
    app = create_app(store, Settings(made=tmp_path / "made", pairing=False))
    text = demo.files("fernhollow")[0][1]
    job = store.create(load(text), "a test").job
    with TestClient(app, base_url="http://127.0.0.1") as client:
        first, second = (client.get(f"/jobs/{job}/choose").text for _ in range(2))
        cards = first.count('class="paper"')
        assert cards > 1
        assert second.count('class="paper"') == cards
        assert len(drawn) == cards
        store.save(job, 1, store.head(job).document | {"wishes": {}}, "a test", "other wishes")
        client.get(f"/jobs/{job}/choose")
        assert len(drawn) > cards
