"""What lies behind what? Plan and vertical sections through the wall, whole and as details."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft, Edge
from truehang.drawing.scene import Box, HatchKind, Layer, Point, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import (
    STUD,
    level_line_note,
    up_dimensions,
)
from truehang.drawing.views.over import HeadOver
from truehang.drawing.views.setout import marks
from truehang.drawing.views.zones import Zone
from truehang.shapes import line_between

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Heights, Leaf, Pocket
    from truehang.fit.model import Layer as WallLayer

BESIDE = 160.0
"""How much wall is drawn beside the rough opening, mm."""
ABOVE = 120.0
"""How much wall is drawn above the rough head, mm."""
SLAB = 40.0
"""How much floor is drawn below its surface, mm."""
TRIM = (66.0, 11.0)
"""Width and thickness that trim is drawn with on a step's picture; nothing is set out from it."""
RIM = 0.01


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of world that a detail shows; lines are cut off at its edges."""

    x0: float = -1e9
    y0: float = -1e9
    x1: float = 1e9
    y1: float = 1e9

    def rectangle(
        self,
        draft: Draft,
        layer: Layer,
        box: Box,
        hatch: HatchKind | None = None,
        part: str = "",
    ) -> None:
        """A rectangle cut to the window: an edge that was cut off isn't drawn."""
        x0, y0 = max(box[0], self.x0), max(box[1], self.y0)
        x1, y1 = min(box[2], self.x1), min(box[3], self.y1)
        if x1 - x0 < RIM or y1 - y0 < RIM:
            return
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        whole = (x0, y0, x1, y1) == box
        if whole:
            draft.polygon(layer, corners, hatch, part)
            return
        if hatch:
            draft.polygon(Layer.HATCH, corners, hatch, part, edge=False)
        kept = (y0 == box[1], x1 == box[2], y1 == box[3], x0 == box[0])
        for index, keep in enumerate(kept):
            if keep:
                draft.line(layer, corners[index], corners[(index + 1) % 4], part)

    def holds(self, x: float, y: float) -> bool:
        """Is the point in the window?"""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1


def _layer(section: Iterable[WallLayer], kind: str) -> tuple[WallLayer, ...]:
    return tuple(layer for layer in section if layer.kind == kind)


def _leaf_depth(arrangement: Arrangement) -> tuple[float, float]:
    """y of the leaf's two faces."""
    leaf = _layer(arrangement.pocket_section, "leaf")
    if leaf:
        return leaf[0].y0, leaf[0].y1
    middle = arrangement.wall.thickness / 2
    half = arrangement.leaves[0].thickness / 2
    return middle - half, middle + half


# --- plan section ------------------------------------------------------------------------------


def plan_section(arrangement: Arrangement, sheet: Sheet, *, zones: Sequence[Zone] = ()) -> Scene:
    """The whole wall cut level through the leaves, seen from above, side A at the bottom.

    `zones` are those that no fixing may reach; they are drawn as deep as the wall is barred.
    """
    low, high = arrangement.rough.low - BESIDE, arrangement.rough.high + BESIDE
    window = Window(x0=low, x1=high)

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        plan_geometry(draft, arrangement, window)
        _barred_plan(draft, arrangement, zones, window)
        _plan_dimensions(draft, arrangement, sheet)
        keys = [
            (Layer.FRAME, sheet.word("frame, ribs, studs")),
            (Layer.LEAF, sheet.word("leaf, closed")),
            (Layer.HIDDEN, sheet.word("leaf, open")),
            (Layer.LINING, sheet.word("lining")),
            *_barred_key(zones, sheet),
        ]
        notes = [sheet.word("Side A is at the bottom. Details of this section follow.")]
        title = sheet.word("Plan section")
        return draft.close("plan-section", title, keys=keys, notes=notes, bar=sheet.bar(scale))

    return largest(build, sheet, (high - low, arrangement.wall.thickness), finest=5)


def plan_details(
    arrangement: Arrangement, sheet: Sheet, *, zones: Sequence[Zone] = ()
) -> tuple[Scene, ...]:
    """Details of the plan section: each mouth, each back stud, and where the leaf closes."""
    scenes = []
    for pocket in arrangement.pockets:
        inward = 1.0 if pocket.side == "left" else -1.0
        name = pocket.side
        scenes.append(
            _plan_detail(
                arrangement,
                sheet,
                f"plan-mouth-{name}",
                f"Plan detail: mouth of the {name} pocket",
                _range(pocket.mouth - inward * 170.0, pocket.mouth + inward * 90.0),
                pocket,
                zones,
            )
        )
        outer = arrangement.rough.low if pocket.side == "left" else arrangement.rough.high
        scenes.append(
            _plan_detail(
                arrangement,
                sheet,
                f"plan-back-{name}",
                f"Plan detail: back of the {name} pocket",
                _range(outer - inward * 80.0, pocket.back + inward * 130.0),
                pocket,
                zones,
            )
        )
    if len(arrangement.leaves) == 2:
        meet = (arrangement.leaves[0].closed.high + arrangement.leaves[1].closed.low) / 2
        window = _range(meet - 120.0, meet + 120.0)
        title = "Plan detail: meeting edges"
        scenes.append(_plan_detail(arrangement, sheet, "plan-meeting", title, window, None))
    elif arrangement.closing_jamb is not None:
        jamb = arrangement.closing_jamb
        right = jamb.middle > arrangement.centre
        edge = arrangement.rough.high + 80.0 if right else arrangement.rough.low - 80.0
        inner = jamb.low - 130.0 if right else jamb.high + 130.0
        window = _range(edge, inner)
        title = "Plan detail: closing jamb"
        scenes.append(_plan_detail(arrangement, sheet, "plan-jamb", title, window, None))
    return tuple(scenes)


def _range(a: float, b: float) -> Window:
    return Window(x0=min(a, b), x1=max(a, b))


def _plan_detail(
    arrangement: Arrangement,
    sheet: Sheet,
    key: str,
    title: str,
    window: Window,
    pocket: Pocket | None,
    zones: Sequence[Zone] = (),
) -> Scene:
    here = [zone for zone in zones if window.x0 < zone.x1 and zone.x0 < window.x1]

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        plan_geometry(draft, arrangement, window)
        _barred_plan(draft, arrangement, here, window)
        draft.running("above", _plan_marks(arrangement, sheet, window))
        if pocket is not None:
            rows = [
                (
                    (layer.y0 + layer.y1) / 2,
                    f"{sheet.word(layer.label)} {sheet.fine(layer.y1 - layer.y0)}",
                )
                for layer in arrangement.pocket_section
            ]
            rows += _barred_marks(here, arrangement.wall.thickness, sheet)
            draft.running("right" if pocket.side == "left" else "left", rows)
        wall = arrangement.wall.thickness
        edge: Edge = "left" if pocket is None or pocket.side == "left" else "right"
        plain = sheet.style == "mm"
        if key != "plan-meeting":
            draft.dimension(edge, 0.0, wall, sheet.fine(wall), sheet.word("wall"), plain)
        y0, y1 = _leaf_depth(arrangement)
        if pocket is None:
            draft.dimension("right", y0, y1, sheet.fine(y1 - y0), sheet.word("leaf"), plain)
        note = sheet.word("Marks are from the datum. Side A is at the bottom.")
        return draft.close(
            key,
            sheet.word(title),
            keys=_barred_key(here, sheet),
            notes=[note],
            bar=sheet.bar(scale),
            least_width=110.0,
        )

    size = (window.x1 - window.x0, arrangement.wall.thickness)
    return largest(build, sheet, size, finest=2)


def _plan_marks(arrangement: Arrangement, sheet: Sheet, window: Window) -> list[tuple[float, str]]:
    """The rod's marks along the wall that fall into the window."""
    return marks(sheet, [m for m in arrangement.rod.along if window.x0 < m.at < window.x1])


def plan_geometry(draft: Draft, arrangement: Arrangement, window: Window) -> None:
    """Everything that the level cut shows, within the window."""
    wall, section = arrangement.wall, arrangement.pocket_section
    studs = (wall.lining_a, wall.lining_a + wall.stud)
    mouths = sorted(pocket.mouth for pocket in arrangement.pockets)
    jamb = arrangement.closing_jamb
    if jamb is not None:
        mouths = sorted([*mouths, jamb.low if jamb.middle > arrangement.centre else jamb.high])
    ends = (arrangement.rough.low - BESIDE, arrangement.rough.high + BESIDE)
    for y0, y1 in ((0.0, wall.lining_a), (studs[1], wall.thickness)):
        for x0, x1 in ((ends[0], mouths[0]), (mouths[-1], ends[1])):
            window.rectangle(draft, Layer.LINING, (x0, y0, x1, y1), "diagonal", "lining")
    rough = arrangement.rough
    for x0, x1 in (
        (rough.low - STUD, rough.low),
        (rough.high, rough.high + STUD),
    ):
        _timber(draft, window, (x0, studs[0], x1, studs[1]), Layer.OUTLINE, "studs")
    for pocket in arrangement.pockets:
        stud = pocket.back_stud
        _timber(
            draft,
            window,
            (stud.low, studs[0], stud.high, studs[1]),
            Layer.FRAME,
            "studs back-stud frame",
        )
        half = pocket.rib_width / 2
        for centre in pocket.rib_centres:
            for rib in _layer(section, "rib"):
                box = (centre - half, rib.y0, centre + half, rib.y1)
                _timber(draft, window, box, Layer.FRAME, "ribs pockets frame")
    if jamb is not None:
        _jamb(draft, arrangement, window)
    if "trim" in draft.highlight:
        _trim(draft, arrangement, window)
    y0, y1 = _leaf_depth(arrangement)
    for leaf in arrangement.leaves:
        opened = (leaf.open.low, y0, leaf.open.high, y1)
        window.rectangle(draft, Layer.HIDDEN, opened, part="open-leaf pockets")
        closed = (leaf.closed.low, y0, leaf.closed.high, y1)
        window.rectangle(draft, Layer.LEAF, closed, part="leaves")


def _trim(draft: Draft, arrangement: Arrangement, window: Window) -> None:
    """Trim beside each mouth, on both faces, to show where it goes."""
    wide, thick = TRIM
    for pocket in arrangement.pockets:
        outward = -wide if pocket.side == "left" else wide
        x0, x1 = sorted((pocket.mouth, pocket.mouth + outward))
        for y in (-thick, arrangement.wall.thickness):
            window.rectangle(draft, Layer.LINING, (x0, y, x1, y + thick), part="trim")


def _timber(draft: Draft, window: Window, box: Box, layer: Layer, part: str) -> None:
    """A cut piece of timber: outline and the cross of a cut end."""
    window.rectangle(draft, layer, box, part=part)
    x0, y0, x1, y1 = box
    if window.holds(x0, y0) and window.holds(x1, y1):
        draft.line(Layer.HATCH, (x0, y0), (x1, y1), part)
        draft.line(Layer.HATCH, (x0, y1), (x1, y0), part)


def _jamb(draft: Draft, arrangement: Arrangement, window: Window) -> None:
    """The closing jamb over the whole stud depth, with its groove for the leaf."""
    jamb, wall = arrangement.closing_jamb, arrangement.wall
    assert jamb is not None
    low, high = wall.lining_a, wall.lining_a + wall.stud
    window.rectangle(
        draft, Layer.FRAME, (jamb.low, low, jamb.high, high), part="closing-jamb frame"
    )
    groove = arrangement.jamb_groove
    if groove > 0:
        y0, y1 = _leaf_depth(arrangement)
        slack = (arrangement.jamb_groove_width - (y1 - y0)) / 2
        face = jamb.low if jamb.middle > arrangement.centre else jamb.high
        into = face + groove if face == jamb.low else face - groove
        if not window.holds(face, y0):
            return
        points = ((face, y0 - slack), (into, y0 - slack), (into, y1 + slack), (face, y1 + slack))
        draft.polyline(Layer.HIDDEN, points, "closing-jamb frame")


def _plan_dimensions(draft: Draft, arrangement: Arrangement, sheet: Sheet) -> None:
    plain = sheet.style == "mm"

    def want(low: float, high: float, name: str, above: bool) -> None:
        edge: Edge = "above" if above else "below"
        draft.dimension(edge, low, high, sheet.between(low, high), sheet.word(name), plain)

    for pocket in arrangement.pockets:
        want(pocket.inside.low, pocket.inside.high, "pocket", True)
        want(pocket.back_stud.low, pocket.back_stud.high, "back stud", True)
    if arrangement.closing_jamb is not None:
        want(arrangement.closing_jamb.low, arrangement.closing_jamb.high, "closing jamb", True)
    want(arrangement.opening.low, arrangement.opening.high, "clear opening", True)
    want(arrangement.frame.low, arrangement.frame.high, "frame", True)
    want(arrangement.rough.low, arrangement.rough.high, "rough opening", True)
    for leaf in arrangement.leaves:
        for span, name in ((leaf.closed, "leaf closed"), (leaf.open, "leaf open")):
            size = sheet.length(leaf.width)
            draft.dimension("below", span.low, span.high, size, sheet.word(name), plain)
    want(arrangement.passage.low, arrangement.passage.high, "clear passage", False)
    wall = arrangement.wall.thickness
    draft.dimension("left", 0.0, wall, sheet.fine(wall), sheet.word("wall"), plain)


# --- what no fixing may reach --------------------------------------------------------------------


def _barred_key(zones: Sequence[Zone], sheet: Sheet) -> list[tuple[Layer, str]]:
    return [(Layer.NOGO, sheet.word("no-go zone: a fixing ends before it"))] if zones else []


def _depths(zones: Sequence[Zone], thickness: float) -> tuple[float | None, float | None]:
    """y where fixings from face A, and from face B, must have ended; None where not barred."""
    longest = {
        face: min((zone.longest for zone in zones if zone.face == face), default=None)
        for face in ("A", "B")
    }
    a, b = longest["A"], longest["B"]
    return a, None if b is None else thickness - b


def _barred(zones: Sequence[Zone], arrangement: Arrangement) -> tuple[float, float]:
    """From which y to which y is the wall barred; where one face only is, to the other lining."""
    wall = arrangement.wall
    a, b = _depths(zones, wall.thickness)
    return (wall.lining_a if a is None else a, wall.thickness - wall.lining_b if b is None else b)


def _barred_marks(zones: Sequence[Zone], thickness: float, sheet: Sheet) -> list[tuple[float, str]]:
    """Running marks through the wall: the longest fixing from each face ends here."""
    words = sheet.word("fixing")
    ends = zip(("A", "B"), _depths(zones, thickness), strict=True)
    return [
        (y, f"{words} {face} {sheet.most(y if face == 'A' else thickness - y)}")
        for face, y in ends
        if y is not None
    ]


def _barred_plan(
    draft: Draft, arrangement: Arrangement, zones: Sequence[Zone], window: Window
) -> None:
    """Each zone as deep as it is in the wall; zones of both faces over one stretch are one."""
    stretches: dict[tuple[float, float], list[Zone]] = {}
    for zone in zones:
        stretches.setdefault((zone.x0, zone.x1), []).append(zone)
    for (x0, x1), found in stretches.items():
        y0, y1 = _barred(found, arrangement)
        window.rectangle(draft, Layer.NOGO, (x0, y0, x1, y1), part="no-go")


def _barred_at(zones: Sequence[Zone], cut: Cut) -> list[Zone]:
    """The zones that an upright cut goes through."""
    return [zone for zone in zones if zone.x0 - RIM <= cut.x <= zone.x1 + RIM]


def _barred_upright(
    draft: Draft, arrangement: Arrangement, zones: Sequence[Zone], window: Window
) -> None:
    heights: dict[tuple[float, float], list[Zone]] = {}
    for zone in zones:
        heights.setdefault((zone.z0, zone.z1), []).append(zone)
    for (z0, z1), found in heights.items():
        y0, y1 = _barred(found, arrangement)
        window.rectangle(draft, Layer.NOGO, (y0, z0, y1, z1), part="no-go")


# --- vertical section --------------------------------------------------------------------------


def vertical_section(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    floor: Sequence[Point] = (),
    zones: Sequence[Zone] = (),
    over: HeadOver | None = None,
) -> Scene:
    """The wall cut upright through a pocket with its leaf in it, side A at the left."""
    heights = arrangement.heights
    cut = cut_at(arrangement)
    top = _drawn_to(arrangement, over)
    here = _barred_at(zones, cut)

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        upright_geometry(draft, arrangement, floor, cut, Window(), over)
        _barred_upright(draft, arrangement, here, Window())
        plain, word = sheet.style == "mm", sheet.word
        up_dimensions(draft, arrangement, sheet)
        wall = arrangement.wall.thickness
        draft.dimension("below", 0.0, wall, sheet.fine(wall), word("wall"), plain)
        notes = [
            f"{word('Cut through the')} {word(cut.side + ' pocket')}, "
            f"{word('leaf open. Side A is at the left.')}",
            level_line_note(arrangement, sheet),
        ]
        title = word("Vertical section")
        return draft.close(
            "vertical-section",
            title,
            keys=_barred_key(here, sheet),
            notes=notes,
            bar=sheet.bar(scale),
            least_width=62.0,
        )

    return largest(build, sheet, (arrangement.wall.thickness, top - heights.floor_low), finest=10)


def vertical_details(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    floor: Sequence[Point] = (),
    zones: Sequence[Zone] = (),
    over: HeadOver | None = None,
) -> tuple[Scene, Scene]:
    """Head and foot of the vertical section at a larger scale."""
    heights, cut, word = arrangement.heights, cut_at(arrangement), sheet.word
    length, plain = sheet.length, sheet.style == "mm"
    wall = arrangement.wall.thickness
    ground = line_between(floor, cut.x, cut.x)[0][1]
    section = [
        ((layer.y0 + layer.y1) / 2, f"{word(layer.label)} {sheet.fine(layer.y1 - layer.y0)}")
        for layer in arrangement.pocket_section
    ]
    here = _barred_at(zones, cut)
    section += _barred_marks(here, wall, sheet)
    keys = _barred_key(here, sheet)
    head_shown = max(heights.rough_head + 70.0, over.high + 20.0 if over is not None else 0.0)

    def head(scale: float) -> Scene:
        draft = Draft(scale)
        window = Window(y0=heights.clear_head - 90.0, y1=head_shown)
        upright_geometry(draft, arrangement, floor, cut, window, over)
        _barred_upright(draft, arrangement, here, window)
        for low, high, name in (
            (heights.leaf_top, heights.head_underside, "leaf to head"),
            (heights.head_underside, heights.head_top, "head"),
            (heights.head_top, heights.rough_head, "clearance"),
        ):
            draft.dimension("left", low, high, sheet.between(low, high), word(name), plain)
        draft.running(
            "right",
            _shared(
                (at, name)
                for at, name in (
                    (heights.clear_head, word("clear head, under trim")),
                    (heights.leaf_top, word("top of leaf")),
                    (heights.track_bottom, word("underside of track")),
                    (heights.head_underside, word("underside of head")),
                    (heights.head_top, word("top of frame")),
                    (heights.rough_head, word("rough head")),
                    *_over_marks(over, sheet),
                )
            ),
        )
        draft.running("below", section)
        draft.dimension("above", 0.0, wall, sheet.fine(wall), word("wall"), plain)
        title = word("Vertical section: head")
        return draft.close(
            "section-head",
            title,
            keys=keys,
            notes=[note],
            bar=sheet.bar(scale),
            least_width=100.0,
        )

    def foot(scale: float) -> Scene:
        draft = Draft(scale)
        window = Window(y1=heights.leaf_bottom + 110.0)
        upright_geometry(draft, arrangement, floor, cut, window)
        _barred_upright(draft, arrangement, here, window)
        gap = sheet.between(ground, heights.leaf_bottom)
        to_come = arrangement.floor_to_come
        name = word("gap here now") if to_come else word("gap here")
        draft.dimension("left", ground, heights.leaf_bottom, gap, name, plain)
        if to_come:
            draft.dimension(
                "left",
                ground + to_come,
                heights.leaf_bottom,
                sheet.between(ground + to_come, heights.leaf_bottom),
                word("gap when the floor is down"),
                plain,
            )
        draft.dimension(
            "left",
            ground,
            heights.level_line,
            sheet.between(ground, heights.level_line),
            word("packers here"),
            plain,
        )
        draft.running(
            "right",
            _shared(
                (
                    (ground, word("floor here")),
                    *([(ground + to_come, word("floor to come, top"))] if to_come else []),
                    (heights.level_line, word("level line, underside of frame")),
                    (heights.leaf_bottom, word("bottom of leaf")),
                )
            ),
        )
        draft.running("above", section)
        draft.dimension("below", 0.0, wall, sheet.fine(wall), word("wall"), plain)
        title = word("Vertical section: foot")
        return draft.close(
            "section-foot",
            title,
            keys=keys,
            notes=[note],
            bar=sheet.bar(scale),
            least_width=100.0,
        )

    def _shared(rows: Iterable[tuple[float, str]]) -> list[tuple[float, str]]:
        marks: dict[float, list[str]] = {}
        for at, name in rows:
            marks.setdefault(round(at, 2), []).append(name)
        return [(at, f"z {length(at)}  {'; '.join(names)}") for at, names in marks.items()]

    note = (
        f"{word('Cut at x')} {length(cut.x)}. "
        f"{word('Side A is at the left. Running heights, z, are from the level datum.')}"
    )
    tall = head_shown - heights.clear_head + 90.0
    return (
        largest(head, sheet, (wall, tall), finest=2),
        largest(foot, sheet, (wall, 110.0 + SLAB), finest=2),
    )


@dataclass(frozen=True, slots=True)
class Cut:
    x: float
    side: str
    leaf: Leaf


def cut_at(arrangement: Arrangement) -> Cut:
    """Where the upright cut goes: the support in a pocket that needs the most packing."""
    pocket = arrangement.pockets[0]
    leaf = next(leaf for leaf in arrangement.leaves if leaf.pocket == pocket.side)
    inside = [
        p for p in arrangement.packs if pocket.inside.low - 1 <= p.x <= pocket.inside.high + 1
    ]
    x = max(inside, key=lambda pack: pack.height).x if inside else pocket.inside.middle
    return Cut(x, pocket.side, leaf)


def _floor_to_come(
    draft: Draft, arrangement: Arrangement, ground: float, ends: tuple[float, float]
) -> None:
    """The flooring still to be laid, up to the linings on both sides."""
    top = ground + arrangement.floor_to_come
    for low, high in ((ends[0], 0.0), (arrangement.wall.thickness, ends[1])):
        draft.rectangle(Layer.OUTLINE, (low, ground, high, top), "dots", "floor")


def upright_geometry(
    draft: Draft,
    arrangement: Arrangement,
    floor: Sequence[Point],
    cut: Cut,
    window: Window,
    over: HeadOver | None = None,
) -> None:
    """Everything that the upright cut shows, within the window. Drawing x is the wall's y."""
    heights, wall = arrangement.heights, arrangement.wall
    ground = line_between(floor, cut.x, cut.x)[0][1]
    studs = (wall.lining_a, wall.lining_a + wall.stud)
    top = _drawn_to(arrangement, over)
    beside = 60.0
    slab = (-beside, ground - SLAB, wall.thickness + beside, ground)
    if window.y0 < ground:
        draft.polygon(
            Layer.HATCH,
            ((slab[0], slab[1]), (slab[2], slab[1]), (slab[2], slab[3]), (slab[0], slab[3])),
            "diagonal",
            "floor",
            edge=False,
        )
        draft.line(Layer.FLOOR, (slab[0], ground), (slab[2], ground), "floor")
        if arrangement.floor_to_come:
            _floor_to_come(draft, arrangement, ground, (slab[0], slab[2]))
        draft.line(
            Layer.CENTRE, (slab[0], heights.level_line), (slab[2], heights.level_line), "level-line"
        )
        pack = (studs[0], ground, studs[1], heights.level_line)
        if pack[3] - pack[1] > RIM:
            draft.rectangle(Layer.PACKER, pack, "cross", "packers")
    for y0, y1 in ((0.0, wall.lining_a), (studs[1], wall.thickness)):
        box = (y0, heights.frame_bottom, y1, top)
        window.rectangle(draft, Layer.LINING, box, "diagonal", "lining")
    for rib in _layer(arrangement.pocket_section, "rib"):
        box = (rib.y0, heights.frame_bottom, rib.y1, heights.head_underside)
        window.rectangle(draft, Layer.FRAME, box, part="ribs pockets frame")
    if window.y1 >= heights.head_top:
        head = (studs[0], heights.head_underside, studs[1], heights.head_top)
        _timber(draft, window, head, Layer.FRAME, "head frame")
        _over_frame(draft, window, studs, heights, top, over)
    y0, y1 = _leaf_depth(arrangement)
    leaf = (y0, heights.leaf_bottom, y1, heights.leaf_top)
    window.rectangle(draft, Layer.LEAF, leaf, part="leaves")
    if window.y1 >= heights.track_top:
        middle = (y0 + y1) / 2
        half = min(14.0, (y1 - y0) / 2)
        track = (middle - half, heights.track_bottom, middle + half, heights.track_top)
        if track[3] - track[1] > RIM:
            draft.rectangle(Layer.FRAME, track, part="track")
        hung = ((middle, heights.leaf_top), (middle, (track[1] + track[3]) / 2))
        draft.line(Layer.OUTLINE, hung[0], hung[1], "hanger")
        draft.circle(Layer.OUTLINE, hung[1], min(8.0, (track[3] - track[1]) / 4 + 1.0), "hanger")


def _drawn_to(arrangement: Arrangement, over: HeadOver | None) -> float:
    """How far up a section is drawn: some wall over the rough head, and all of what is there."""
    top = arrangement.heights.rough_head + ABOVE
    return top if over is None else max(top, over.high + 20.0)


def _over_marks(over: HeadOver | None, sheet: Sheet) -> list[tuple[float, str]]:
    """The heights of what the track hangs from."""
    if over is None:
        return []
    name = sheet.word(over.label)
    under = (over.low, f"{sheet.word('underside of')} {name}")
    return [under, (over.high, f"{sheet.word('top of')} {name}")] if over.new else [under]


def _over_frame(
    draft: Draft,
    window: Window,
    studs: tuple[float, float],
    heights: Heights,
    top: float,
    over: HeadOver | None,
) -> None:
    """The new head over the frame, or what is there and the packing down from it."""
    if over is None:
        window.rectangle(
            draft, Layer.OUTLINE, (studs[0], heights.rough_head, studs[1], top), part="wall above"
        )
        return
    low = over.low
    if not over.new:
        if low > heights.head_top + RIM:
            packing = (studs[0], heights.head_top, studs[1], low)
            window.rectangle(draft, Layer.PACKER, packing, "cross", "packing")
        window.rectangle(draft, Layer.OLD, (studs[0], low, studs[1], top), part="head wall above")
        return
    # A head thinner than the studs stands in the middle, over the track, as the takeoff says.
    thick = min(over.breadth or studs[1] - studs[0], studs[1] - studs[0])
    first, ply = (studs[0] + studs[1] - thick) / 2, thick / over.plies
    for number in range(over.plies):
        at = first + number * ply
        _timber(draft, window, (at, low, at + ply, over.high), Layer.ROUGH, "head")
    window.rectangle(draft, Layer.OUTLINE, (studs[0], over.high, studs[1], top), part="wall above")
