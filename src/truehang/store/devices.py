"""Which phones may talk to this server? One-time codes, and a secret for each paired device.

Only hashes of codes and secrets are kept. A code is spent by its first use and dies of age.
"""

from __future__ import annotations

import hashlib
import secrets
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import count

from sqlalchemy import Connection, RowMapping, bindparam, delete, insert, select, update

from truehang.store import tables as t
from truehang.store.database import reading, writing
from truehang.store.store import Store, new_id
from truehang.store.troubles import Away, NotFound, Refused

CODE_LIFE = timedelta(minutes=10)
SEEN_EVERY = timedelta(minutes=5)
_PAIRED = select(t.devices).where(
    t.devices.c.token == bindparam("token", type_=t.Asked()), t.devices.c.revoked.is_(None)
)  # made once: every request asks it


@dataclass(frozen=True, slots=True)
class Device:
    """A paired device; `revoked` is when its access was taken away, None while it has it; `seen`
    is when it was last here, to some minutes, None where it never was."""

    id: str
    name: str
    paired: str
    revoked: str | None
    seen: str | None


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()


def new_code(store: Store) -> str:
    """A one-time pairing code, good for ten minutes."""
    code = secrets.token_urlsafe(16)
    now = datetime.fromisoformat(store.now())
    with writing(store.engine) as db:
        db.execute(delete(t.codes).where(t.codes.c.expires < now.isoformat()))
        db.execute(insert(t.codes).values(hash=_hash(code), expires=(now + CODE_LIFE).isoformat()))
    return code


def pair(store: Store, code: str, name: str) -> tuple[Device, str]:
    """Spend a code: the new device and its secret. Raises Refused for a wrong or spent code.

    The name is written beside what the device changes, so a taken one gets a number.
    """
    secret, now = secrets.token_urlsafe(32), store.now()
    device = Device(new_id(), "", now, None, None)
    with writing(store.engine) as db:
        spent = db.execute(
            delete(t.codes).where(
                t.codes.c.hash == _hash(code),
                t.codes.c.expires >= datetime.fromisoformat(now).isoformat(),
            )
        )
        if spent.rowcount == 1:
            device = replace(device, name=_free(db, name))
            db.execute(
                insert(t.devices).values(
                    id=device.id, name=device.name, token=_hash(secret), paired=now
                )
            )
    if spent.rowcount != 1:
        raise Refused("this pairing code is wrong, spent or too old; show a new one and scan it")
    return device, secret


def _free(db: Connection, name: str) -> str:
    wanted = "".join(filter(str.isprintable, name)).strip()[:80] or "a device"
    taken = set(db.scalars(select(t.devices.c.name)))
    numbered = (f"{wanted} {number}" for number in count(2))
    return wanted if wanted not in taken else next(n for n in numbered if n not in taken)


def device_of(store: Store, secret: str) -> Device | None:
    """The device with this secret, None where there is none or it was revoked."""
    with reading(store.engine) as db:
        row = db.execute(_PAIRED, {"token": _hash(secret)}).mappings().first()
    return _device(row) if row is not None else None


def device_seen(store: Store, secret: str) -> Device | None:
    """The same of one that is here now, which is noted every few minutes."""
    device = device_of(store, secret)
    if device is None or (device.seen and not _long_ago(device.seen, store.now())):
        return device
    with suppress(Away), writing(store.engine) as db:  # it may come in all the same
        db.execute(update(t.devices).where(t.devices.c.id == device.id).values(seen=store.now()))
    return device


def _long_ago(then: str, now: str) -> bool:
    return datetime.fromisoformat(now) - datetime.fromisoformat(then) > SEEN_EVERY


def _device(row: RowMapping) -> Device:
    return Device(row["id"], row["name"], row["paired"], row["revoked"], row["seen"])


def devices(store: Store) -> tuple[Device, ...]:
    """All devices ever paired, the newest first."""
    query = select(t.devices).order_by(t.devices.c.paired.desc(), t.devices.c.id)
    with reading(store.engine) as db:
        return tuple(_device(row) for row in db.execute(query).mappings())


def revoke(store: Store, device: str) -> None:
    """Take a device's access away at once. Raises NotFound."""
    with writing(store.engine) as db:
        changed = db.execute(
            update(t.devices).where(t.devices.c.id == device).values(revoked=store.now())
        )
    if changed.rowcount != 1:
        raise NotFound(f"no device {device!r}")
