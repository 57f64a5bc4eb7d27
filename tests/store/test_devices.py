"""Is a pairing code good once and for a while, and a revoked device out at once?"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from truehang.store import Refused, Store, device_of, device_seen, devices, new_code, pair, revoke


def test_a_code_pairs_one_device_once(store: Store) -> None:
    code = new_code(store)
    device, secret = pair(store, code, "  phone ")
    assert device.name == "phone"
    assert device_of(store, secret) == device
    assert device_of(store, secret + "x") is None
    with pytest.raises(Refused, match="spent"):
        pair(store, code, "second phone")


def test_a_revoked_device_is_out(store: Store) -> None:
    device, secret = pair(store, new_code(store), "phone")
    revoke(store, device.id)
    assert device_of(store, secret) is None
    assert devices(store)[0].revoked is not None


def test_an_old_code_is_dead(new_url: Callable[[], str], tmp_path: Path) -> None:
    clock = ["2026-03-02T09:00:00.000+00:00"]
    store = Store.open(new_url(), tmp_path / "files", now=lambda: clock[0])
    code = new_code(store)
    clock[0] = "2026-03-02T09:10:01.000+00:00"
    with pytest.raises(Refused, match="too old"):
        pair(store, code, "phone")
    store.engine.dispose()


def test_a_device_says_when_it_was_last_here(new_url: Callable[[], str], tmp_path: Path) -> None:
    clock = ["2026-03-02T09:00:00.000+00:00"]
    store = Store.open(new_url(), tmp_path / "files", now=lambda: clock[0])
    _, secret = pair(store, new_code(store), "phone")
    assert devices(store)[0].seen is None
    for now, seen in (("09:00:10", "09:00:10"), ("09:04:00", "09:00:10"), ("09:06:00", "09:06:00")):
        clock[0] = f"2026-03-02T{now}.000+00:00"
        assert device_seen(store, secret) is not None
        assert devices(store)[0].seen == f"2026-03-02T{seen}.000+00:00"
    assert device_seen(store, "another") is None
    revoke(store, devices(store)[0].id)
    assert device_seen(store, secret) is None
    store.engine.dispose()


def test_what_is_kept_is_for_this_user_only(tmp_path: Path) -> None:
    old = os.umask(0)  # however careless the shell is
    try:
        store = Store.open(f"sqlite:///{tmp_path / 'jobs.db'}", tmp_path / "kept/files")
        new_code(store)
        sha256 = store.files.keep(b"a paper")
        (tmp_path / "late").mkdir(mode=0o777)
        (tmp_path / "late/jobs.db").touch(mode=0o666)  # from before there was such a rule
        late = Store.open(f"sqlite:///{tmp_path / 'late/jobs.db'}", tmp_path / "late")
    finally:
        os.umask(old)
    files = [tmp_path / "late/jobs.db", store.files.path(sha256), *tmp_path.glob("jobs.db*")]
    assert len(files) > 2
    assert {path.stat().st_mode & 0o777 for path in files} == {0o600}
    folders = [tmp_path / "kept/files", store.files.path(sha256).parent, tmp_path / "late"]
    assert {path.stat().st_mode & 0o777 for path in folders} == {0o700}
    store.engine.dispose()
    late.engine.dispose()
