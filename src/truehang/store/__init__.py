"""Where are jobs kept? Revisions, photos, issued documents and records, in SQLite or PostgreSQL."""

from truehang.store.backup import BackupDamaged, backup, restore, verify
from truehang.store.devices import Device, device_of, device_seen, devices, new_code, pair, revoke
from truehang.store.files import FileDamaged, FileRefused
from truehang.store.merge import ABSENT
from truehang.store.rack import change_rack, rack, rack_changed
from truehang.store.shelves import DAYS_KEPT, SHELVES, clear, copy, shelf_of, shelve
from truehang.store.store import (
    Conflict,
    Entry,
    Issued,
    Past,
    Photo,
    Pulse,
    Revision,
    Saved,
    Store,
    Summary,
    document_of,
    new_id,
    ready,
)
from truehang.store.troubles import Away, CannotKeep, DatabaseError, NotFound, Refused

__all__ = [
    "ABSENT",
    "DAYS_KEPT",
    "SHELVES",
    "Away",
    "BackupDamaged",
    "CannotKeep",
    "Conflict",
    "DatabaseError",
    "Device",
    "Entry",
    "FileDamaged",
    "FileRefused",
    "Issued",
    "NotFound",
    "Past",
    "Photo",
    "Pulse",
    "Refused",
    "Revision",
    "Saved",
    "Store",
    "Summary",
    "backup",
    "change_rack",
    "clear",
    "copy",
    "device_of",
    "device_seen",
    "devices",
    "document_of",
    "new_code",
    "new_id",
    "pair",
    "rack",
    "rack_changed",
    "ready",
    "restore",
    "revoke",
    "shelf_of",
    "shelve",
    "verify",
]
