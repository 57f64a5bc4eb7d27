"""What hangs on the rack of this store, and how is it changed by one writer at a time?

The rack is one for all jobs. Its version counts the changes: a change goes in only on the version
it was made from, so that of two processes that want the same piece one is refused.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, insert, select, update

from truehang.cutting import Gone, Rack, RackPiece
from truehang.cutting.rack import written
from truehang.store import tables as t
from truehang.store.database import reading, writing
from truehang.store.operations import begun, done, insert_new
from truehang.store.store import Store

_ID = 1
"""There is one rack."""


def rack(store: Store) -> Rack:
    """What hangs there now."""
    with reading(store.engine) as db:
        if store.engine.dialect.name == "postgresql":  # one moment of all three tables
            db.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        return _read(db)


def change_rack(
    store: Store, make: Callable[[Rack], Rack], seen: int | None = None, op: str = ""
) -> Rack:
    """The rack after `make` (a `Rack.put`, `hold`, `release`, `take` or `settle`), kept.

    `seen` is the version that the change was planned on: RackConflict where the rack has another
    by now. Raises RackError as `make` does. Nothing changes where it raises, nor where the change
    of this `op` was done before.
    """
    with writing(store.engine) as db:
        if op and begun(db, "", "rack", op, store.now()) is not None:
            return _read(db)
        insert_new(db, t.rack, id=_ID, version=0, next_number=1)
        # The row is locked where the database can, so that two writers wait for each other.
        db.execute(select(t.rack.c.id).where(t.rack.c.id == _ID).with_for_update())
        before = _read(db)
        after = written(before, make(before), before.version if seen is None else seen)
        db.execute(
            update(t.rack)
            .where(t.rack.c.id == _ID)
            .values(version=after.version, next_number=after.next_number)
        )
        _write(db, before, after)
        return after


def rack_changed(store: Store, op: str) -> bool:
    """Whether the change of this `op` was done."""
    with reading(store.engine) as db:
        return done(db, "", "rack", op) is not None


def _read(db: Connection) -> Rack:
    row = db.execute(select(t.rack).where(t.rack.c.id == _ID)).mappings().first()
    if row is None:
        return Rack()
    pieces = list(db.execute(select(t.rack_pieces).order_by(t.rack_pieces.c.order)).mappings())
    settled = db.scalars(select(t.rack_settled.c.name).order_by(t.rack_settled.c.order))
    return Rack(
        tuple(
            RackPiece(p["id"], p["section"], p["length_mm"], p["came_from"], p["held_by"])
            for p in pieces
            if not p["gone"]
        ),
        tuple(
            Gone(p["id"], p["section"], p["length_mm"], p["used_by"]) for p in pieces if p["gone"]
        ),
        tuple(settled),
        row["next_number"],
        row["version"],
    )


def _write(db: Connection, before: Rack, after: Rack) -> None:
    """What differs: pieces that came, that someone holds now or no more, that left; names."""
    known = {piece.id: piece for piece in before.pieces}
    number = len(before.pieces) + len(before.gone)
    for piece in after.pieces:
        if piece.id not in known:
            db.execute(insert(t.rack_pieces).values(**_row(piece, number)))
            number += 1
        elif piece != known[piece.id]:
            _update(db, piece.id, held_by=piece.held_by)
    left = {gone.id for gone in before.gone}
    for gone in after.gone:
        if gone.id not in left:
            _update(db, gone.id, gone=True, held_by="", used_by=gone.job)
    for place, name in enumerate(after.settled):
        if name not in before.settled:
            db.execute(insert(t.rack_settled).values(name=name, order=place))


def _row(piece: RackPiece, number: int) -> dict[str, Any]:
    return {
        "id": piece.id, "order": number, "section": piece.section, "length_mm": piece.length_mm,
        "came_from": piece.came_from, "held_by": piece.held_by, "gone": False, "used_by": "",
    }  # fmt: skip


def _update(db: Connection, id: str, **values: Any) -> None:
    db.execute(update(t.rack_pieces).where(t.rack_pieces.c.id == id).values(**values))
