"""What does one build step look like? A small view with the parts it is about drawn heavy."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Circle, Item, Line, Point, Polygon, Polyline, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import wall_geometry, wall_size
from truehang.drawing.views.sections import cut_at, plan_geometry, upright_geometry
from truehang.drawing.views.site import Site
from truehang.drawing.views.window import Window

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Face

PAPER = (130.0, 95.0)
"""The most paper a picture takes, mm; less where the sheet is smaller."""

PARTS: dict[str, str] = {
    "services": "services",
    "old-opening": "old opening",
    "rough-opening": "rough opening",
    "studs": "studs",
    "comes-out": "comes out",
    "stays": "stays",
    "back-stud": "back stud",
    "closing-jamb": "closing jamb",
    "pockets": "pocket",
    "ribs": "ribs",
    "mouth": "mouth",
    "head": "head",
    "frame": "frame",
    "track": "track",
    "packers": "packers",
    "leaves": "leaf",
    "open-leaf": "leaf, open",
    "hanger": "hanger",
    "handle": "handle",
    "infill": "fill in",
    "lining": "lining",
    "trim": "trim",
    "floor": "floor",
    "level-line": "level line",
}
"""The parts that can be highlighted, and what they are called on the picture."""


def picture(
    arrangement: Arrangement,
    sheet: Sheet,
    view: str,
    highlight: Iterable[str],
    *,
    key: str,
    title: str,
    site: Site | None = None,
) -> Scene:
    """A small picture of a view ("elevation-a", "elevation-b", "frame-set-out", "no-go-a",
    "no-go-b", "plan-section" or "vertical-section") with some of `PARTS` heavy and named.

    Parts that this job or view doesn't have are passed over. Raises KeyError for names that are
    no part, and ValueError for an unknown view. The title is not drawn: the step has it.
    """
    names = {part: sheet.word(PARTS[part]) for part in highlight}
    site = site or Site()
    side: Face = "B" if view.endswith("-b") else "A"
    draw, size = _drawing(arrangement, view, side, site, frozenset(names))

    def build(scale: float) -> Scene:
        draft = Draft(scale, mirror=side == "B", highlight=names)
        draw(draft)
        for part, words in names.items():
            target = _target(draft, part)
            if target is not None:
                draft.label(words, target)
        return draft.close(key, title, headed=False)

    room = (min(PAPER[0], sheet.landscape[0]), min(PAPER[1], sheet.landscape[1]))
    small = Sheet(sheet.style, sheet.words, landscape=room, portrait=room)
    return largest(build, small, size, finest=5)


def _drawing(
    arrangement: Arrangement, view: str, side: Face, site: Site, names: frozenset[str]
) -> tuple[Callable[[Draft], None], Point]:
    """How to draw the view, and its size (mm)."""
    wall, heights = arrangement.wall.thickness, arrangement.heights
    if view == "plan-section":
        pocket = arrangement.pockets[0]
        inward = 1.0 if pocket.side == "left" else -1.0
        ends = sorted((pocket.mouth - inward * 260.0, pocket.mouth + inward * 140.0))
        window = Window(x0=ends[0], x1=ends[1])
        return (lambda draft: plan_geometry(draft, arrangement, site, window)), (400.0, wall)
    if view == "vertical-section":
        cut = cut_at(arrangement)
        low, high = heights.clear_head - 90.0, heights.rough_head + 70.0
        if names & {"packers", "floor", "level-line"}:
            low, high = -1e9, heights.leaf_bottom + 110.0
        window = Window(y0=low, y1=high)
        tall = high - max(low, heights.floor_low)
        return (lambda d: upright_geometry(d, arrangement, site, cut, window)), (wall, tall)
    if view not in ("elevation-a", "elevation-b", "frame-set-out", "no-go-a", "no-go-b"):
        raise ValueError(f"view {view!r} can't be made into a picture")
    bare = view == "frame-set-out"

    def elevation(draft: Draft) -> None:
        wall_geometry(draft, arrangement, side, site.bare if bare else site, leaves=not bare)

    return elevation, wall_size(arrangement, site)


def _points(item: Item) -> Sequence[Point]:
    match item:
        case Line():
            return (item.a, item.b)
        case Polyline() | Polygon():
            return item.points
        case Circle():
            return (item.centre,)
        case _:
            return ()


def _target(draft: Draft, part: str) -> Point | None:
    """Where a leader to the first item of a part ends, as given to the draft (not mirrored)."""
    for item in draft.items:
        if part in getattr(item, "part", "").split():
            points = _points(item)
            xs, ys = [x for x, _ in points], [y for _, y in points]
            if isinstance(item, Polygon) and item.edge and not item.hatch:
                # The middle of the upper right edge: a leader to the middle of a large empty
                # shape would name what lies behind it.
                return (draft.x(max(xs)), min(ys) + 0.7 * (max(ys) - min(ys)))
            return (draft.x((min(xs) + max(xs)) / 2), (min(ys) + max(ys)) / 2)
    return None
