"""Which screws hold a pocket frame together that is made on site? A kit brings its own."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.fixings import Hold, Row, Sheet, spread
from truehang.lengths import said
from truehang.members import Member, standing

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
    ribs = standing(framed, "rib")
    battens = standing(framed, "base batten")
    into = min([deep, *(batten.z.length for batten in battens)])
    if ribs:
        yield _row(
            "frame-ribs", "ends of the ribs, to head member and base batten",
            2 * len(ribs) * (2 if battens else 1), Sheet("end of a rib, at a slant", RIB_SLANT),
            Sheet("head member or batten", into), RIB_HOLD, "board-screw",
            "two at each end, drilled first, at a slant through the edges of the rib, clear of "
            "where the leaf runs; heads sunk",
        )  # fmt: skip
    ends = standing(framed, "back stud", "closing jamb")
    yield _row(
        "frame-corners", "tops of back stud and closing jamb, to the head member", 2 * len(ends),
        Sheet("end of the piece, at a slant", STUD_SLANT), Sheet("head member", max(deep, 35.0)),
        STUD_HOLD, "frame-screw", "one from each face, drilled first, at a slant up; heads sunk",
    )  # fmt: skip
    if len(heads) > 1:
        along = len(spread(heads[0].x.low, heads[0].x.high, APART, END))
        yield _row(
            "frame-head", "pieces of the head member to each other", 2 * along * (len(heads) - 1),
            Sheet("piece of the head member", deep), Sheet("piece under it", deep), PIECES_HOLD,
            "board-screw",
            f"glued, then two side by side every {said(APART)} at most, heads sunk",
        )  # fmt: skip
    if battens:
        yield _row(
            "frame-battens", "back ends of the base battens, to the back stud", 2 * len(battens),
            Sheet("end of a batten, at a slant", RIB_SLANT), Sheet("back stud", 35.0), RIB_HOLD,
            "board-screw", "two at each, drilled first, at a slant; heads sunk",
        )  # fmt: skip


def _row(
    key: str, label: str, count: int, through: Sheet, into: Sheet, hold: Hold, kind: str, note: str
) -> Row:
    return Row(
        key=key, label=label, axis="+z", surface=0.0, places=(), counted=count, through=(through,),
        into=into, cavity=False, hold=hold, kind=kind, note=note, inputs=("fit.frame_width",),
    )  # fmt: skip
