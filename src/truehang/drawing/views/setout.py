"""Where does every part of the frame stand, from one datum, and what goes under it?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import framing_keys, name_old, wall_geometry, wall_size
from truehang.drawing.views.site import Site
from truehang.shapes import line_between

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Pack, RodMark

STEEPER = 10.0
"""How many times heights are drawn on the packers drawing, so that millimetres can be seen."""
_NOT_OF_THE_FRAME = ("leaf", "handle", "clear-head")


def marks(sheet: Sheet, rows: Sequence[RodMark]) -> list[tuple[float, str]]:
    """Running marks as (place, text); marks at one place share a line. Heights are called z."""
    shared: dict[float, list[str]] = {}
    for mark in rows:
        shared.setdefault(round(mark.at, 2), []).append(sheet.word(mark.label))
    z = "z " if rows and rows[0].axis == "z" else ""
    return [(at, f"{z}{sheet.length(at)}  {'; '.join(words)}") for at, words in shared.items()]


def _of_frame(rows: Sequence[RodMark]) -> list[RodMark]:
    return [mark for mark in rows if not any(name in mark.key for name in _NOT_OF_THE_FRAME)]


def frame_set_out(arrangement: Arrangement, sheet: Sheet, *, site: Site | None = None) -> Scene:
    """The bare frame from side A with running marks along and up from the datum."""
    word, here = sheet.word, replace(site or Site(), services=())
    keys = framing_keys(here, sheet)
    if here.outline:
        keys.append((Layer.OLD, word("old opening as measured")))

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        wall_geometry(draft, arrangement, "A", here, leaves=False)
        name_old(draft, here, sheet)
        draft.running("below", marks(sheet, _of_frame(arrangement.rod.along)))
        draft.running("left", marks(sheet, _of_frame(arrangement.rod.up)))
        notes = [
            word("Running marks: x from the datum, z from the level datum. Never add them up.")
        ]
        return draft.close(
            "frame-set-out",
            word("Frame set-out from side A"),
            keys=keys,
            notes=notes,
            bar=sheet.bar(scale),
            page=sheet,
        )

    return largest(build, sheet, wall_size(arrangement, here), finest=5, around=(40.0, 45.0))


def packers(arrangement: Arrangement, sheet: Sheet, *, site: Site | None = None) -> Scene:
    """Floor, level line, packers and the leaf's gap, with heights drawn ten times as large."""
    heights, word = arrangement.heights, sheet.word
    low, high = arrangement.rough.low - 100.0, arrangement.rough.high + 100.0
    here = site or Site()
    surface = line_between(here.floor, low, high)
    lowest = min(z for _, z in surface)
    tall = (heights.leaf_bottom - lowest) * STEEPER

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        steep = [(x, z * STEEPER) for x, z in surface]
        bottom = lowest * STEEPER - 60.0
        for a, b in pairwise(steep):
            corners = (a, b, (b[0], bottom), (a[0], bottom))
            draft.polygon(Layer.HATCH, corners, "diagonal", "floor", edge=False)
        draft.polyline(Layer.FLOOR, steep, "floor")
        to_come = arrangement.floor_to_come
        if to_come:
            finished = [(x, z + to_come * STEEPER) for x, z in steep]
            draft.polyline(Layer.CENTRE, finished, "floor")
        line = heights.level_line * STEEPER
        draft.line(Layer.CENTRE, (low, line), (high, line), "level-line")
        for stack in here.pieces("packers"):
            x, z = stack.x, stack.z
            box = (x.low, z.low * STEEPER, x.high, z.high * STEEPER)
            draft.rectangle(Layer.PACKER, box, "cross", "packers")
        left = min(min(leaf.open.low, leaf.closed.low) for leaf in arrangement.leaves)
        right = max(max(leaf.open.high, leaf.closed.high) for leaf in arrangement.leaves)
        under = heights.leaf_bottom * STEEPER
        draft.line(Layer.LEAF, (left, under), (right, under), "leaves")
        draft.running("below", [(pack.x, _pack_words(pack, sheet)) for pack in arrangement.packs])
        draft.running(
            "right",
            [
                (line, f"{word('level line')} z {sheet.length(heights.level_line)}"),
                (under, f"{word('leaf bottom')} z {sheet.length(heights.leaf_bottom)}"),
            ],
        )
        draft.running("above", _gap_marks(arrangement, sheet))
        title = f"{word('Packers and floor gap')} ({word('heights drawn')} {STEEPER:g} x)"
        notes = [word("z is from the level datum. Packs go from the floor up to the level line.")]
        notes += [
            word(f"{gap.leaf}: {gap.on_stacks}.") for gap in arrangement.floor_gaps if gap.on_stacks
        ]
        return draft.close(
            "packers", title, notes=notes, bar=sheet.bar(scale), to_scale=False, page=sheet
        )

    return largest(build, sheet, (high - low, tall), finest=5, around=(20.0, 50.0))


def _pack_words(pack: Pack, sheet: Sheet) -> str:
    if pack.pieces is None:
        height = sheet.between(pack.floor, pack.floor + pack.height)
        stack = f"{height}, {sheet.word('plane, or tapered plate')}"
    elif pack.pieces:
        stack = " + ".join(sheet.piece(piece) for piece in pack.pieces)
    else:
        stack = sheet.word("none")
    return f"{sheet.word(pack.label)}: {stack}"


def _gap_marks(arrangement: Arrangement, sheet: Sheet) -> list[tuple[float, str]]:
    """Least and most gap under each leaf, where they are."""
    rows = []
    for gap in arrangement.floor_gaps:
        name = sheet.word(gap.leaf)
        least = _now_and_down(gap.least_now, gap.least, sheet)
        most = _now_and_down(gap.most_now, gap.most, sheet)
        rows.append((gap.least_at, f"{name} {sheet.word('least gap')} {least}"))
        if abs(gap.most - gap.least) > 0.05:
            rows.append((gap.most_at, f"{name} {sheet.word('most gap')} {most}"))
    return rows


def _now_and_down(now: float, down: float, sheet: Sheet) -> str:
    """A floor gap in print: one figure, or two while a floor is to come."""
    if abs(now - down) < 0.05:
        return sheet.length(down)
    floor = sheet.word("when the floor is down")
    return f"{sheet.length(now)} {sheet.word('now')}, {sheet.length(down)} {floor}"
