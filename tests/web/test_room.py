"""No room on the disk: said in one sentence, nothing lost, and it goes on when there is room.

A real full disk is tried by `make faults TRIALS=disk`, form by form and command by command.
"""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest

from truehang import cli
from truehang.store.files import Files


def _full(*_given: object, **_named: object) -> Any:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_an_upload_that_finds_no_room_on_its_way_in(
    phone: httpx.Client, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    large = {"photo": ("p.jpg", os.urandom(2_000_000), "image/jpeg")}
    token = phone.headers["X-CSRF-Token"]
    with monkeypatch.context() as patch:
        patch.setattr("tempfile._io.open", _full, raising=False)
        patch.setattr("tempfile.TemporaryFile", _full)
        for path in (f"/api/jobs/{job}/photos", f"/jobs/{job}/photos"):
            answer = phone.post(path, files=large, data={"csrf": token})
            assert answer.status_code == 503, path
            assert "The disk is full; nothing was changed." in answer.text
            assert answer.headers["Retry-After"]
    answer = phone.post(f"/api/jobs/{job}/photos", files=large)
    assert answer.status_code == 415  # not a picture, but it came in


def test_a_photo_that_can_t_be_kept(
    phone: httpx.Client, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.store.test_store import picture

    with monkeypatch.context() as patch:
        patch.setattr("truehang.store.private.os.fsync", _full)
        answer = phone.post(f"/api/jobs/{job}/photos", files={"photo": ("p.png", picture())})
    assert answer.status_code == 503
    assert "No space left" in answer.text
    assert phone.get(f"/api/jobs/{job}/photos").json() == []
    answer = phone.post(f"/api/jobs/{job}/photos", files={"photo": ("p.png", picture())})
    assert answer.status_code == 201


def test_nothing_of_a_file_that_found_no_room_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("truehang.store.private.os.fsync", _full)
    with pytest.raises(Exception, match="No space left"):
        Files(tmp_path).keep(b"x")
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_command_that_finds_no_room_says_so_and_ends_with_4(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _ended(monkeypatch, "new", str(tmp_path / "job.yaml")) == 0
    capsys.readouterr()
    monkeypatch.setattr("tempfile.mkdtemp", _full)  # the fonts of the papers lie there for a while
    assert _ended(monkeypatch, "pack", str(tmp_path / "job.yaml"), "-o", str(tmp_path / "p")) == 4
    said = capsys.readouterr().err.strip().splitlines()
    assert "the disk is full" in said[-1]
    assert not any("Traceback" in line for line in said)


def _ended(monkeypatch: pytest.MonkeyPatch, *words: str) -> object:
    monkeypatch.setattr(sys, "argv", ["truehang", *words])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    return ended.value.code or 0
