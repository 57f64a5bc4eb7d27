"""Which screws hold a pocket frame together that is made on site? A kit brings its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from truehang.fixings import Hold, Row, Sheet, spread
from truehang.lengths import said
from truehang.members import Member, standing
from truehang.message import message

PRACTICE = "common practice, no source"
RIB_SLANT, RIB_HOLD = 20.0, Hold(20.0, PRACTICE)
"""How much of a rib's end a screw driven at a slant passes, and what it holds, mm."""
STUD_SLANT, STUD_HOLD = 40.0, Hold(30.0, PRACTICE)
PIECES_HOLD = Hold(25.0, PRACTICE)
APART, END = 300.0, 100.0
"""How far the screws of pieces laid one on the other are apart, and the first from the end, mm
(common practice, no source)."""


def made_frame_rows(framed: tuple[Member, ...]) -> Iterator[Row]:
    """None where the pieces come with a kit."""
    heads = standing(framed, "head member")
    if not heads or heads[0].bought_in:
        return
    deep = round(min(piece.z.length for piece in heads), 1)
    battens = standing(framed, "base batten")
    yield from _ribs(framed, battens, deep)
    ends = standing(framed, "back stud", "closing jamb")
    yield replace(
        _row("frame-corners", 2 * len(ends)),
        label=message("tops of back stud and closing jamb, to the head member"),
        through=(Sheet("end of the piece, at a slant", STUD_SLANT),),
        into=Sheet("head member", max(deep, 35.0)),
        hold=STUD_HOLD,
        kind="frame-screw",
        note=message("one from each face, drilled first, at a slant up; heads sunk"),
    )
    if len(heads) > 1:
        along = len(spread(heads[0].x.low, heads[0].x.high, APART, END))
        yield replace(
            _row("frame-head", 2 * along * (len(heads) - 1)),
            label=message("pieces of the head member to each other"),
            through=(Sheet("piece of the head member", deep),),
            into=Sheet("piece under it", deep), hold=PIECES_HOLD,
            note=message(f"glued, then two side by side every {said(APART)} at most, heads sunk"),
        )  # fmt: skip
    if battens:
        yield replace(
            _row("frame-battens", 2 * len(battens)),
            label=message("back ends of the base battens, to the back stud"),
            through=(Sheet("end of a batten, at a slant", RIB_SLANT),),
            into=Sheet("back stud", 35.0),
            note=message("two at each, drilled first, at a slant; heads sunk"),
        )


def _ribs(framed: tuple[Member, ...], battens: tuple[Member, ...], deep: float) -> Iterator[Row]:
    ribs = standing(framed, "rib")
    if not ribs:
        return
    yield replace(
        _row("frame-ribs", 2 * len(ribs) * (2 if battens else 1)),
        label=message("ends of the ribs, to head member and base batten"),
        through=(Sheet("end of a rib, at a slant", RIB_SLANT),),
        into=Sheet("head member or batten", min([deep, *(one.z.length for one in battens)])),
        note=message(
            "two at each end, drilled first, at a slant through the edges of the rib, clear of "
            "where the leaf runs; heads sunk"
        ),
    )


def _row(key: str, count: int) -> Row:
    """What these rows share; each says the rest."""
    return Row(
        key=key, label=key, axis="+z", surface=0.0, places=(), counted=count, through=(),
        into=Sheet("timber", 35.0), cavity=False, hold=RIB_HOLD, kind="board-screw",
        inputs=("fit.frame_width",),
    )  # fmt: skip
