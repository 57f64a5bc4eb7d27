"""Is a pack written whole or not at all?"""

from __future__ import annotations

import json
import os
import re
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from truehang.pack import swap
from truehang.pack.files import MANIFEST, PackError, clear_left, manifest, replace_all


def _files(**parts: bytes) -> dict[str, bytes]:
    files = {name.replace("__", "/"): data for name, data in parts.items()}
    files[MANIFEST] = manifest(files, {"job": "x"})
    return files


def _tree(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_writes_every_file_and_leaves_no_scaffolding(tmp_path: Path) -> None:
    files = _files(pack=b"one", drawings__plan=b"two")
    paths = replace_all(files, tmp_path / "new" / "pack")
    assert _tree(tmp_path / "new" / "pack") == files
    assert [path.read_bytes() for path in paths] == list(files.values())


def test_manifest_holds_the_sha256_of_each_file() -> None:
    listed = json.loads(manifest({"a": b"abc"}, {}))["files"]
    # SHA-256 of "abc": the first example of FIPS 180-4 (values published by NIST).
    known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert listed == [{"file": "a", "bytes": 3, "sha256": known}]


def test_new_pack_takes_away_what_the_old_one_left_but_nothing_else(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(b"the carpenter's own")
    replace_all(_files(pack=b"1", gone=b"1"), tmp_path)
    newer = _files(pack=b"2")
    replace_all(newer, tmp_path)
    assert _tree(tmp_path) == {**newer, "photo.jpg": b"the carpenter's own"}


def test_a_failure_while_staging_leaves_the_old_pack_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = _files(pack=b"old")
    replace_all(old, tmp_path)

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PackError):
        replace_all(_files(pack=b"new"), tmp_path)
    assert _tree(tmp_path) == old


def test_a_file_in_the_way_of_the_folder_is_named(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(PackError, match=r"taken.*can't be written"):
        replace_all(_files(pack=b"1"), tmp_path / "taken")


def test_a_folder_in_the_way_of_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "pack").mkdir()
    with pytest.raises(PackError, match="pack is a folder"):
        replace_all(_files(pack=b"1"), tmp_path)
    assert _tree(tmp_path) == {}


@pytest.mark.parametrize(
    "text", ["", "[]", '{"files": [{"file": "../../out"}, {"file": "/x"}, 3]}']
)
def test_a_strange_manifest_never_removes_what_is_elsewhere(tmp_path: Path, text: str) -> None:
    outside = tmp_path / "out"
    outside.write_text("keep")
    inside = tmp_path / "a" / "pack"
    inside.mkdir(parents=True)
    (inside / MANIFEST).write_text(text)
    replace_all(_files(pack=b"1"), inside)
    assert outside.read_text() == "keep"


_STEPS = ("replace", "rename", "link", "mkdir", "unlink", "fsync", "rmdir")


@contextmanager
def _at_step(number: int, act: Callable[[], object]) -> Iterator[list[int]]:
    """Something happens before the given step that changes anything on the disk."""
    done = [0]

    def before(real: Callable[..., object]) -> Callable[..., object]:
        def step(*given: object, **named: object) -> object:
            done[0] += 1
            if done[0] == number:
                act()
            return real(*given, **named)

        return step

    with pytest.MonkeyPatch.context() as patch:
        for name in _STEPS:
            # What is on the disk for good is another question, and takes long.
            real = getattr(os, name) if name != "fsync" else lambda _handle: None
            patch.setattr(os, name, before(real))
        patch.setattr(swap, "_exchange_names", before(swap._exchange_names))
        yield done


@pytest.fixture(params=["exchanged", "one by one"])
def folder(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with an older pack and a file that is not ours, in both ways of changing it."""
    if request.param == "one by one":
        monkeypatch.setattr(swap, "_possible", lambda _where: False)
    where = tmp_path / "pack"
    where.mkdir()
    (where / "drawings").mkdir()
    (where / "drawings/own.txt").write_bytes(b"the carpenter's own")
    replace_all(OLD, where)
    return where


OLD = _files(pack=b"old", stale=b"old", same=b"old", drawings__plan=b"old")
NEW = _files(pack=b"new", extra=b"new", same=b"old", drawings__plan=b"new", more__of__it=b"new")
OWN = {"drawings/own.txt": b"the carpenter's own"}


def _full() -> None:
    raise OSError(28, "No space left on device")


def test_a_full_disk_at_any_step_leaves_the_old_pack_whole(folder: Path) -> None:
    failed = 0
    for number in range(1, 200):
        said = ""
        with _at_step(number, _full) as done:
            try:
                replace_all(NEW, folder)
            except PackError as told:
                said = str(told)
        clear_left(folder)  # where there was no room to tidy up
        if said:
            failed += 1
            assert re.search("No space left on device.*nothing there was changed", said)
            assert _tree(folder) == OLD | OWN
        else:
            assert _tree(folder) == NEW | OWN
            replace_all(OLD, folder)
        if done[0] < number:
            break
    assert failed > 10
    assert {path.name for path in folder.parent.iterdir()} == {"pack"}


def _die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a copy of itself")
def test_killed_before_any_step_it_is_all_old_or_all_new(folder: Path) -> None:
    by_itself = swap._possible(folder)
    old = new = 0
    for number in range(1, 200):
        if (child := os.fork()) == 0:
            with _at_step(number, _die):
                replace_all(NEW, folder)
            os._exit(0)
        killed = os.waitpid(child, 0)[1] != 0
        if not by_itself:  # half of it may lie there until somebody looks
            clear_left(folder)
        there = _tree(folder)
        assert there in (OLD | OWN, NEW | OWN), number
        old, new = old + (there == OLD | OWN), new + (there != OLD | OWN)
        replace_all(OLD, folder)
        assert _tree(folder) == OLD | OWN
        assert {path.name for path in folder.parent.iterdir()} == {"pack"}  # nothing is left over
        if not killed:
            break
    assert (old > 10, new > 1) == (True, True)


def test_who_stands_in_the_folder_goes_on_standing_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace_all(OLD, tmp_path)
    monkeypatch.chdir(tmp_path)
    replace_all(NEW, Path("."))
    assert _tree(Path.cwd()) == NEW == _tree(tmp_path)


def test_what_another_maker_works_on_is_left_to_it(folder: Path) -> None:
    with (
        swap.room(folder.parent, swap.beside(folder)) as beside,
        swap.room(folder, ".pack-") as in_it,
    ):
        replace_all(NEW, folder)
        assert beside.is_dir()
        assert in_it.is_dir() or swap._possible(folder)  # a whole folder takes what is in it along


def test_the_folder_keeps_its_rights(folder: Path) -> None:
    folder.chmod(0o750)
    replace_all(NEW, folder)
    assert folder.stat().st_mode & 0o777 == 0o750


def test_a_link_to_a_folder_stays_one(tmp_path: Path, folder: Path) -> None:
    (tmp_path / "to-it").symlink_to(folder)
    replace_all(NEW, tmp_path / "to-it")
    assert (tmp_path / "to-it").is_symlink()
    assert _tree(folder) == NEW | OWN
