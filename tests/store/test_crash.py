"""What was acknowledged is there: after a kill -9 in the midst of writing, and among writers."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from truehang.job import Job
from truehang.store import NotFound, Store, verify

WRITER = Path(__file__).with_name("writer.py")


def _begin(url: str, folder: Path, job: str, name: str, count: int) -> subprocess.Popen[str]:
    command = [sys.executable, str(WRITER), url, str(folder), job, name, str(count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def _there(store: Store, job: str, told: list[tuple[str, str]]) -> set[tuple[str, str]]:
    """Which of these writes stand in the store."""
    entries = {row.op for row in store.entries(job)}
    photos = {row.op for row in store.photos(job)}
    found = set()
    for kind, op in told:
        if kind == "revision":
            with suppress(NotFound):
                store.revision_of(job, op)
                found.add((kind, op))
        elif op in (entries if kind == "entry" else photos):
            found.add((kind, op))
    return found


def _acknowledged(lines: list[str]) -> list[tuple[str, str]]:
    # The last line may be torn by the kill; what is not told whole is not acknowledged.
    pairs = [line.split() for line in lines if line.endswith("\n")]
    return [(kind, op) for kind, op in pairs]


def test_a_killed_writer_loses_nothing_that_was_acknowledged(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    patience = 10
    url, folder = new_url(), tmp_path / "files"
    store = Store.open(url, folder)
    identity = store.create(job, "office").job
    writer = _begin(url, folder, identity, "phone", 100_000)
    assert writer.stdout is not None
    lines = [writer.stdout.readline() for _ in range(patience)]
    writer.send_signal(signal.SIGKILL)
    lines += writer.stdout.readlines()
    writer.wait()
    store.engine.dispose()

    again = Store.open(url, folder)  # as after a restart
    told = _acknowledged(lines)
    assert len(told) >= patience
    assert set(told) - _there(again, identity, told) == set()  # acknowledged and gone
    # What was not acknowledged is there whole or not at all, and the job goes on.
    history = again.history(identity)
    assert [row.number for row in history] == list(range(len(history), 0, -1))
    assert verify(again) == ()
    head = again.head(identity)
    assert again.undo(identity, "office").number == head.number + 1
    again.engine.dispose()


def test_several_processes_on_one_database_lose_no_update(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    url, folder = new_url(), tmp_path / "files"
    store = Store.open(url, folder)
    identity = store.create(job, "office").job
    count = 9
    names = ("ann", "bo", "cy")
    writers = [_begin(url, folder, identity, name, count) for name in names]
    told = []
    for writer in writers:
        out, _ = writer.communicate(timeout=120)
        assert writer.returncode == 0
        told += _acknowledged(out.splitlines(keepends=True))
    assert len(told) == count * len(names)
    assert set(told) - _there(store, identity, told) == set()
    revisions = [op for kind, op in told if kind == "revision"]
    assert len(store.history(identity)) == len(revisions) + 1
    # Each writer's every reading stands in the newest revision, whoever came between.
    ids = {reading.id for reading in store.head(identity).model().measure.readings}
    assert {f"{name}-{number}" for name in names for number in range(0, count, 3)} <= ids
    # Titles clashed; each clash kept both values.
    for conflict in store.conflicts(identity):
        assert conflict.path == ("job", "title")
        assert {str(conflict.theirs).split()[0], str(conflict.mine).split()[0]} <= {*names, "Pair"}
    store.engine.dispose()


def test_processes_that_start_at_once_agree_on_the_tables(
    new_url: Callable[..., str], tmp_path: Path
) -> None:
    url = new_url(bare=True)
    code = (
        "import sys; from pathlib import Path; from truehang.store import Store; "
        "Store.open(sys.argv[1], Path(sys.argv[2]))"
    )
    openers = [
        subprocess.Popen([sys.executable, "-c", code, url, str(tmp_path / "f")]) for _ in range(2)
    ]
    assert [opener.wait(timeout=120) for opener in openers] == [0, 0]
