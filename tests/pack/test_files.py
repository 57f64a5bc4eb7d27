"""Is a pack written whole or not at all?"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from truehang.pack.files import MANIFEST, PackError, manifest, replace_all


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


@pytest.mark.parametrize("fail_at", range(1, 9))
def test_a_failure_at_any_step_leaves_the_old_pack_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fail_at: int
) -> None:
    old = _files(pack=b"old", stale=b"old", same=b"old")
    replace_all(old, tmp_path)
    real, calls = os.replace, 0

    def breaks(source: object, target: object) -> None:
        nonlocal calls
        calls += 1
        if calls == fail_at:
            raise OSError(28, "No space left on device")
        real(source, target)  # type: ignore[arg-type]

    newer = _files(pack=b"new", extra=b"new", same=b"new")
    monkeypatch.setattr(os, "replace", breaks)
    if fail_at <= 5:  # four files in, one stale file out
        with pytest.raises(PackError, match=r"No space left on device.*nothing there was changed"):
            replace_all(newer, tmp_path)
        assert _tree(tmp_path) == old
    else:
        replace_all(newer, tmp_path)
        assert _tree(tmp_path) == newer


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
