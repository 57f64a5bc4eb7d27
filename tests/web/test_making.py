"""A pack whose maker died, or of which half is there, is made again by itself and at once."""

from __future__ import annotations

import errno
import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from truehang.pack.files import MANIFEST, manifest, replace_all
from truehang.store import Away
from truehang.web import making
from truehang.web.making import Making, Packs

DIGEST = "a" * 64
PLAN: Any = SimpleNamespace(digest=DIGEST)
FILES = {"site.pdf": b"%PDF site", "drawings/a.svg": b"<svg/>"}
FILES |= {MANIFEST: manifest(FILES, {})}


def _packs(folder: Path) -> Packs:
    return Packs(folder, lambda plan: plan)


@pytest.fixture
def packs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Packs that are quickly made, and how often they were."""

    def write(_plan: object, folder: Path, progress: Callable[[str], object]) -> tuple[Path, ...]:
        made.times += 1
        progress("drawing")
        return replace_all(FILES, folder)

    made = SimpleNamespace(packs=_packs(tmp_path / "made"), times=0, folder=tmp_path / "made")
    monkeypatch.setattr(making, "write", write)
    yield made
    made.packs.close()


def _ready(packs: Packs, ask: Callable[[], Making], seconds: float = 10.0) -> Making:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if (told := ask()).state in ("ready", "failed"):
            return told
        time.sleep(0.02)
    raise AssertionError(ask())


def test_a_pack_is_made_once(packs: Any) -> None:
    packs.packs.start(PLAN)
    told = _ready(packs.packs, lambda: packs.packs.start(PLAN))
    assert set(told.documents) == set(FILES)
    assert packs.packs.documents(DIGEST) == FILES
    assert packs.times == 1
    assert {path.name for path in packs.folder.iterdir()} == {DIGEST, f"{DIGEST}.json"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a copy of itself")
def test_one_whose_maker_was_killed_is_made_again_by_who_looks(packs: Any) -> None:
    reading, writing = os.pipe()
    if (child := os.fork()) == 0:
        making.write = lambda plan, folder, say: (os.write(writing, b"x"), time.sleep(60))
        _packs(packs.folder).start(PLAN)
        time.sleep(60)
    assert os.read(reading, 1) == b"x"  # it is in the midst of it
    assert packs.packs.look(DIGEST).state == "making"
    assert packs.packs.start(PLAN).state == "making"
    assert packs.times == 0
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    assert packs.packs.look(DIGEST).state == "missing"
    assert _ready(packs.packs, lambda: packs.packs.follow(PLAN)).state == "ready"
    assert packs.times == 1


@pytest.mark.parametrize("half", ["gone", "short", "other", "no list", "no note"])
def test_one_that_is_half_there_is_made_again(packs: Any, half: str) -> None:
    packs.packs.start(PLAN)
    _ready(packs.packs, lambda: packs.packs.look(DIGEST))
    folder = packs.folder / DIGEST
    if half == "gone":
        (folder / "site.pdf").unlink()
    elif half == "short":
        (folder / "site.pdf").write_bytes(b"%PDF")
    elif half == "other":
        (folder / "site.pdf").write_bytes(b"%PDF evil")
    elif half == "no list":
        (folder / MANIFEST).unlink()
    else:
        (packs.folder / f"{DIGEST}.json").write_bytes(b'{"state": "rea')
    assert packs.packs.documents(DIGEST) == {}  # so it can't be issued
    assert _ready(packs.packs, lambda: packs.packs.follow(PLAN)).state == "ready"
    assert packs.packs.documents(DIGEST) == FILES
    assert packs.times == 2


def test_one_that_nobody_asked_for_is_not_made_by_looking(packs: Any) -> None:
    assert packs.packs.follow(PLAN).state == "missing"
    assert packs.times == 0


def test_two_servers_make_it_once(packs: Any) -> None:
    other, begin = _packs(packs.folder), threading.Barrier(8)

    def ask(one: Packs) -> None:
        begin.wait()
        one.start(PLAN)

    people = [threading.Thread(target=ask, args=(one,)) for one in (packs.packs, other) * 4]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert _ready(packs.packs, lambda: packs.packs.look(DIGEST)).state == "ready"
    other.close()
    assert packs.times == 1


def test_a_full_disk_is_said_and_it_goes_on_when_there_is_room(
    packs: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: object, **_named: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "write_text", full)
        with pytest.raises(Away, match="the disk is full; nothing was changed"):
            packs.packs.start(PLAN)
    with monkeypatch.context() as patch:
        patch.setattr(making, "write", full)
        packs.packs.start(PLAN)
        told = _ready(packs.packs, lambda: packs.packs.look(DIGEST))
    assert (told.state, "No space left" in told.said) == ("failed", True)
    assert _ready(packs.packs, lambda: packs.packs.start(PLAN)).state == "ready"
