"""What is on the offcut rack, and who may use it?

A rack is a value: each change gives the next version of it. Numbers are never used again, a piece
leaves once, and a piece that one job holds is not offered to another. Whoever keeps the rack (a
file, a table) writes a change back with `written`, which refuses if someone else wrote first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from truehang.cutting.request import Offcut
from truehang.cutting.result import CuttingPlan

FORMAT = 1
MOST_BYTES = 4_000_000


class RackError(ValueError):
    """A change that can't be made. The message names the piece, the trouble and the mend."""


class RackConflict(RackError):
    """The rack was changed by someone else since it was read."""


@dataclass(frozen=True, slots=True)
class RackPiece:
    """A piece on the rack: where it came from, and the job that holds it ("" for none)."""

    id: str
    section: str
    length_mm: float
    came_from: str = ""
    held_by: str = ""


@dataclass(frozen=True, slots=True)
class Gone:
    """A piece that has left the rack, and the job that used it ("" if thrown away)."""

    id: str
    section: str
    length_mm: float
    job: str


@dataclass(frozen=True, slots=True)
class Rack:
    """All pieces, what has gone, and which cutting plans have been settled."""

    pieces: tuple[RackPiece, ...] = ()
    gone: tuple[Gone, ...] = ()
    settled: tuple[str, ...] = ()
    next_number: int = 1
    version: int = 0

    def piece(self, id: str) -> RackPiece:
        """The piece with this id. RackError if it isn't there."""
        for piece in self.pieces:
            if piece.id == id:
                return piece
        if any(gone.id == id for gone in self.gone):
            raise RackError(f"piece {id} has left the rack already; plan the cutting again")
        raise RackError(f"piece {id} is not on the rack; look at the number written on it")

    def free_for(self, job: str) -> tuple[Offcut, ...]:
        """Pieces that this job may cut: those nobody holds, and its own."""
        return tuple(
            Offcut(piece.id, piece.section, piece.length_mm)
            for piece in self.pieces
            if piece.held_by in ("", job)
        )

    def put(self, pieces: Iterable[tuple[str, float]], came_from: str = "") -> Rack:
        """Hang up offcuts, given as (section, length in mm)."""
        number = self.next_number
        hung: list[RackPiece] = []
        for section, length in pieces:
            if not section:
                raise RackError("a piece has no section; say what it is a piece of")
            if not math.isfinite(length) or length <= 0:
                raise RackError(f"length {length!r} of {section} is not a length; give mm")
            hung.append(RackPiece(f"R{number}", section, float(length), came_from))
            number += 1
        return self._next(pieces=(*self.pieces, *hung), next_number=number)

    def hold(self, ids: Sequence[str], job: str) -> Rack:
        """Keep pieces for a job. RackError, and no change, if another job holds one of them."""
        if not job:
            raise RackError("a piece is held for a job; give the job's name")
        for id in ids:
            holder = self.piece(id).held_by
            if holder not in ("", job):
                raise RackError(f"piece {id} is held by {holder}; plan again without it")
        wanted = set(ids)
        return self._next(
            pieces=tuple(
                replace(piece, held_by=job) if piece.id in wanted else piece
                for piece in self.pieces
            )
        )

    def release(self, job: str) -> Rack:
        """Let go of all that a job holds."""
        return self._next(
            pieces=tuple(
                replace(piece, held_by="") if piece.held_by == job else piece
                for piece in self.pieces
            )
        )

    def take(self, ids: Sequence[str], job: str = "") -> Rack:
        """Take pieces off for a job, or with no job throw them away. Each leaves once."""
        if len(set(ids)) != len(ids):
            raise RackError("a piece is named twice; each leaves the rack once")
        leaving: list[Gone] = []
        for id in ids:
            piece = self.piece(id)
            if piece.held_by not in ("", job):
                raise RackError(f"piece {id} is held by {piece.held_by}; release it first")
            leaving.append(Gone(piece.id, piece.section, piece.length_mm, job))
        names = set(ids)
        return self._next(
            pieces=tuple(piece for piece in self.pieces if piece.id not in names),
            gone=(*self.gone, *leaving),
        )

    def settle(self, plan: CuttingPlan, job: str, *names: str) -> Rack:
        """A cutting plan has been cut: its rack pieces leave and its kept offcuts come in.

        `names` tell what was cut from other work (one for each job that was pooled); a name that
        was settled before is refused, so that nothing is counted twice. What `job` still holds is
        let go.
        """
        if not names or not all(names):
            raise RackError("the cutting plan has no name; give the job's name")
        for name in names:
            if name in self.settled:
                raise RackError(f"{name} has been settled already; nothing was changed")
        used = [line.stock for line in plan.lines if line.source == "rack"]
        kept = [(line.section, line.remainder_mm) for line in plan.lines if line.kept]
        after = self.take(used, job).put(kept, job).release(job)
        return replace(after, settled=(*self.settled, *names), version=self.version + 1)

    def _next(self, **changes: Any) -> Rack:
        return replace(self, version=self.version + 1, **changes)


def written(stored: Rack, changed: Rack, read_version: int) -> Rack:
    """What to store: `changed`, if what is stored is still what was read.

    RackConflict if another change came between: read again, and make the change again.
    """
    if stored.version != read_version:
        raise RackConflict(
            f"the rack is at version {stored.version}, but version {read_version} was read; "
            "read it again and make the change again"
        )
    return replace(changed, version=read_version + 1)


class _PieceRow(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
    id: str = Field(min_length=1)
    section: str = Field(min_length=1)
    length_mm: float = Field(gt=0)
    came_from: str = ""
    held_by: str = ""


class _GoneRow(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
    id: str = Field(min_length=1)
    section: str = Field(min_length=1)
    length_mm: float = Field(gt=0)
    job: str = ""


class _RackFile(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
    format: int = Field(ge=1, le=FORMAT)
    version: int = Field(ge=0)
    next_number: int = Field(ge=1)
    pieces: list[_PieceRow] = []
    gone: list[_GoneRow] = []
    settled: list[str] = []

    @model_validator(mode="after")
    def _each_once(self) -> _RackFile:
        ids = [row.id for row in self.pieces] + [row.id for row in self.gone]
        twice = sorted({id for id in ids if ids.count(id) > 1})
        if twice:
            raise ValueError(f"{', '.join(twice)} is there twice; each piece has its own number")
        taken = [int(id[1:]) for id in ids if id.startswith("R") and id[1:].isdigit()]
        if taken and max(taken) >= self.next_number:
            raise ValueError(f"next_number must be more than {max(taken)}")
        return self


def to_text(rack: Rack) -> str:
    """The rack as the YAML text of a rack file."""
    rows = {
        "format": FORMAT,
        "version": rack.version,
        "next_number": rack.next_number,
        "pieces": [asdict(piece) for piece in rack.pieces],
        "gone": [asdict(piece) for piece in rack.gone],
        "settled": list(rack.settled),
    }
    return yaml.safe_dump(rows, sort_keys=False, allow_unicode=True)


def from_text(text: str) -> Rack:
    """The rack in the text of a rack file, YAML or JSON. RackError names what is wrong in it."""
    if len(text.encode()) > MOST_BYTES:
        raise RackError(f"the rack file is over {MOST_BYTES} bytes; is it the right file?")
    try:
        rows = yaml.safe_load(text)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f" in line {mark.line + 1}" if mark else ""
        raise RackError(f"the rack file can't be read{place}; mend the YAML there") from None
    except RecursionError:
        raise RackError("the rack file is nested too deep; it is not a rack file") from None
    if not isinstance(rows, dict):
        raise RackError("the rack file has no rows; it begins with `format: 1`")
    try:
        file = _RackFile.model_validate(rows)
    except ValidationError as error:
        said = "; ".join(
            f"{'.'.join(str(place) for place in detail['loc']) or 'rack'}: {detail['msg']}"
            for detail in error.errors()
        )
        raise RackError(f"the rack file is wrong: {said}") from None
    return Rack(
        tuple(RackPiece(**row.model_dump()) for row in file.pieces),
        tuple(Gone(**row.model_dump()) for row in file.gone),
        tuple(file.settled),
        file.next_number,
        file.version,
    )
