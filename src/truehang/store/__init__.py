"""Where are jobs kept? Revisions, photos, issued documents and records, in SQLite or PostgreSQL."""

from truehang.store.backup import BackupDamaged, backup, restore, verify
from truehang.store.database import DatabaseError
from truehang.store.devices import Device, device_of, devices, new_code, pair, revoke
from truehang.store.files import FileDamaged, FileRefused
from truehang.store.merge import ABSENT
from truehang.store.rack import change_rack, rack
from truehang.store.store import (
    Conflict,
    Entry,
    Issued,
    NotFound,
    Photo,
    Pulse,
    Refused,
    Revision,
    Saved,
    Store,
    Summary,
    document_of,
    new_id,
)

__all__ = [
    "ABSENT",
    "BackupDamaged",
    "Conflict",
    "DatabaseError",
    "Device",
    "Entry",
    "FileDamaged",
    "FileRefused",
    "Issued",
    "NotFound",
    "Photo",
    "Pulse",
    "Refused",
    "Revision",
    "Saved",
    "Store",
    "Summary",
    "backup",
    "change_rack",
    "device_of",
    "devices",
    "document_of",
    "new_code",
    "new_id",
    "pair",
    "rack",
    "restore",
    "revoke",
    "verify",
]
