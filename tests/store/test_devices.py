"""Is a pairing code good once and for a while, and a revoked device out at once?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from truehang.store import Refused, Store, device_of, devices, new_code, pair, revoke


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
