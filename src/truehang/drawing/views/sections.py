"""What lies behind what? Plan and vertical sections through the wall, whole and as details."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft, Edge
from truehang.drawing.scene import Box, Layer, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import (
    framing_keys,
    level_line_note,
    made_sizes,
    service_notes,
    up_dimensions,
)
from truehang.drawing.views.setout import marks
from truehang.drawing.views.site import DRAWN_THERE, HeadOver, Site, drawn_as
from truehang.drawing.views.window import RIM, Window
from truehang.drawing.views.zones import Zone
from truehang.members import Member
from truehang.shapes import line_between

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Leaf, Pocket, Service
    from truehang.fit.model import Layer as WallLayer

BESIDE = 160.0
"""How much wall is drawn beside the rough opening, mm."""
ABOVE = 120.0
"""How much wall is drawn above the rough head, mm."""
SLAB = 40.0
"""How much floor is drawn below its surface, mm."""
TRIM = (66.0, 11.0)
"""Width and thickness that trim is drawn with on a step's picture; nothing is set out from it."""


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


def plan_section(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    site: Site | None = None,
    zones: Sequence[Zone] = (),
) -> Scene:
    """The whole wall cut level through the leaves, seen from above, side A at the bottom.

    `zones` are those that no fixing may reach; they are drawn as deep as the wall is barred.
    """
    low, high = arrangement.rough.low - BESIDE, arrangement.rough.high + BESIDE
    window, here = Window(x0=low, x1=high), site or Site()

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        plan_geometry(draft, arrangement, here, window)
        _barred_plan(draft, arrangement, zones, window)
        _plan_dimensions(draft, arrangement, sheet)
        keys = [
            (Layer.FRAME, sheet.word("frame, ribs, studs")),
            (Layer.LEAF, sheet.word("leaf, closed")),
            (Layer.HIDDEN, sheet.word("leaf, open")),
            (Layer.LINING, sheet.word("lining")),
            *_barred_key(zones, sheet),
            *framing_keys(here, sheet),
        ]
        if jambs := old_jambs(here):
            keys.append((Layer.OLD, sheet.word("old opening as measured")))
            left, right = jambs
            told, plain = sheet.between(left, right), sheet.style == "mm"
            draft.dimension("below", left, right, told, sheet.word("old opening"), plain)
        notes = [sheet.word("Side A is at the bottom. Details of this section follow.")]
        if inside := [one for one in here.services if low < one.x < high]:
            keys.append((Layer.SERVICE, sheet.word("service, runs up (dot) or down (cross)")))
            for number, one in enumerate(here.services, 1):
                if one in inside:
                    x0, y0, x1, y1 = service_box(arrangement, one)
                    draft.label(f"S{number}", ((x0 + x1) / 2, (y0 + y1) / 2))
            notes += service_notes(arrangement, sheet, here.services, (low, high))
        title = sheet.word("Plan section")
        return draft.close("plan-section", title, keys=keys, notes=notes, bar=sheet.bar(scale))

    return largest(build, sheet, (high - low, arrangement.wall.thickness), finest=5)


def plan_details(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    site: Site | None = None,
    zones: Sequence[Zone] = (),
) -> tuple[Scene, ...]:
    """Details of the plan section: each mouth, each back stud, and where the leaf closes."""
    wanted = [
        detail for pocket in arrangement.pockets for detail in _of_pocket(arrangement, pocket)
    ]
    if len(arrangement.leaves) == 2:
        meet = (arrangement.leaves[0].closed.high + arrangement.leaves[1].closed.low) / 2
        window = _range(meet - 120.0, meet + 120.0)
        wanted.append(_Detail("plan-meeting", "Plan detail: meeting edges", window))
    elif arrangement.closing_jamb is not None:
        jamb = arrangement.closing_jamb
        right = jamb.middle > arrangement.centre
        edge = arrangement.rough.high + 80.0 if right else arrangement.rough.low - 80.0
        inner = jamb.low - 130.0 if right else jamb.high + 130.0
        wanted.append(_Detail("plan-jamb", "Plan detail: closing jamb", _range(edge, inner)))
    here = site or Site()
    return tuple(_plan_detail(arrangement, sheet, here, detail, zones) for detail in wanted)


@dataclass(frozen=True, slots=True)
class _Detail:
    """A detail of the plan section; `pocket` where the layers of one are named."""

    key: str
    title: str
    window: Window
    pocket: Pocket | None = None


def _of_pocket(arrangement: Arrangement, pocket: Pocket) -> tuple[_Detail, _Detail]:
    """Its mouth and its back."""
    inward = 1.0 if pocket.side == "left" else -1.0
    name = pocket.side
    outer = arrangement.rough.low if name == "left" else arrangement.rough.high
    return (
        _Detail(
            f"plan-mouth-{name}",
            f"Plan detail: mouth of the {name} pocket",
            _range(pocket.mouth - inward * 170.0, pocket.mouth + inward * 90.0),
            pocket,
        ),
        _Detail(
            f"plan-back-{name}",
            f"Plan detail: back of the {name} pocket",
            _range(outer - inward * 80.0, pocket.back + inward * 130.0),
            pocket,
        ),
    )


def _range(a: float, b: float) -> Window:
    return Window(x0=min(a, b), x1=max(a, b))


def _plan_detail(
    arrangement: Arrangement, sheet: Sheet, site: Site, detail: _Detail, zones: Sequence[Zone]
) -> Scene:
    window, pocket = detail.window, detail.pocket
    here = [zone for zone in zones if window.x0 < zone.x1 and zone.x0 < window.x1]

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        plan_geometry(draft, arrangement, site, window)
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
        if detail.key != "plan-meeting":
            draft.dimension(edge, 0.0, wall, sheet.fine(wall), sheet.word("wall"), plain)
        y0, y1 = _leaf_depth(arrangement)
        if pocket is None:
            draft.dimension("right", y0, y1, sheet.fine(y1 - y0), sheet.word("leaf"), plain)
        note = sheet.word("Marks are from the datum. Side A is at the bottom.")
        return draft.close(
            detail.key,
            sheet.word(detail.title),
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


def plan_geometry(draft: Draft, arrangement: Arrangement, site: Site, window: Window) -> None:
    """Everything that the level cut shows, within the window."""
    wall = arrangement.wall
    mouths = sorted(pocket.mouth for pocket in arrangement.pockets)
    jamb = arrangement.closing_jamb
    if jamb is not None:
        mouths = sorted([*mouths, jamb.low if jamb.middle > arrangement.centre else jamb.high])
    ends = (arrangement.rough.low - BESIDE, arrangement.rough.high + BESIDE)
    for y0, y1 in ((0.0, wall.lining_a), (wall.lining_a + wall.stud, wall.thickness)):
        for x0, x1 in ((ends[0], mouths[0]), (mouths[-1], ends[1])):
            window.rectangle(draft, Layer.LINING, (x0, y0, x1, y1), "diagonal", "lining")
    for piece in (*site.pieces(), *site.out):
        if piece.z.low < arrangement.heights.handle < piece.z.high:
            _cut_level(draft, arrangement, piece, window)
    _old_jambs(draft, arrangement, site, window)
    _services_level(draft, arrangement, site, window)
    if "trim" in draft.highlight:
        _trim(draft, arrangement, window)
    y0, y1 = _leaf_depth(arrangement)
    for leaf in arrangement.leaves:
        opened = (leaf.open.low, y0, leaf.open.high, y1)
        window.rectangle(draft, Layer.HIDDEN, opened, part="open-leaf pockets")
        closed = (leaf.closed.low, y0, leaf.closed.high, y1)
        window.rectangle(draft, Layer.LEAF, closed, part="leaves")


OLD_PAST = 25.0
"""How far the old opening's jambs are drawn past the faces, mm."""


def _old_jambs(draft: Draft, arrangement: Arrangement, site: Site, window: Window) -> None:
    """Both jambs of the old opening, through the wall and a little past its faces."""
    for x in old_jambs(site) or ():
        if window.x0 < x < window.x1:
            ends = ((x, -OLD_PAST), (x, arrangement.wall.thickness + OLD_PAST))
            draft.line(Layer.OLD, *ends, "old-opening")


def _services_level(draft: Draft, arrangement: Arrangement, site: Site, window: Window) -> None:
    """What runs inside the wall: where it stands, and which way its cable or pipe goes.

    An arrow as it comes at the eye is a ring with a dot, as it goes a ring with a cross.
    """
    for service in site.services:
        x0, y0, x1, y1 = service_box(arrangement, service)
        x, y = service.x, (y0 + y1) / 2
        if service.runs in ("left", "right"):
            end = window.x0 if service.runs == "left" else window.x1
            end = min(max(end, arrangement.rough.low - BESIDE), arrangement.rough.high + BESIDE)
            start = x0 if service.runs == "left" else x1
            if (end < start) == (service.runs == "left"):
                _arrow_level(draft, (min(max(start, window.x0), window.x1), y), end)
        if not (window.holds(x0, y0) and window.holds(x1, y1)):
            continue
        layer = Layer.HIDDEN if service.hidden else Layer.SERVICE
        draft.rectangle(layer, (x0, y0, x1, y1), part="services")
        if service.runs in ("up", "down"):
            half = min(x1 - x0, y1 - y0) / 3
            draft.circle(Layer.SERVICE, (x, y), half, "services")
            if service.runs == "up":
                draft.circle(Layer.SERVICE, (x, y), half / 4, "services")
            else:
                by = half * 0.7071
                draft.line(Layer.SERVICE, (x - by, y - by), (x + by, y + by), "services")
                draft.line(Layer.SERVICE, (x - by, y + by), (x + by, y - by), "services")


def _arrow_level(draft: Draft, start: tuple[float, float], end: float) -> None:
    """The dashed line of a cable or pipe along the wall, and an arrow half way along it."""
    (x, y), size = start, min(40.0, abs(end - start[0]) / 4)
    if abs(end - x) < 1.0:
        return
    draft.line(Layer.HIDDEN, start, (end, y), "services")
    tip, back = (x + end) / 2, size if end < x else -size
    for turn in (-0.5, 0.5):
        draft.line(Layer.SERVICE, (tip + back, y + turn * size), (tip, y), "services")


BOX_DEEP = 45.0
"""How deep a box on a face is drawn, mm (common practice, no source)."""


def service_box(arrangement: Arrangement, service: Service) -> Box:
    """Where a service stands, seen from above: inside the wall between the linings, or at its
    face."""
    wall, half = arrangement.wall, service.width / 2
    low, high = wall.lining_a, wall.lining_a + wall.stud
    if service.hidden:
        deep = min(service.width, wall.stud)
        y0, y1 = (low + high - deep) / 2, (low + high + deep) / 2
    elif service.face == "A":
        y0, y1 = 0.0, min(low + BOX_DEEP, high)
    else:
        y0, y1 = max(high - BOX_DEEP, low), wall.thickness
    return (service.x - half, y0, service.x + half, y1)


def old_head(site: Site, x: float) -> float | None:
    """z of the old opening's head at x, at its nearer end outside it; None where there is none."""
    if not site.outline:
        return None
    zs = [z for _, z in site.outline]
    high = max(zs) - (max(zs) - min(zs)) / 4  # jambs have points between base and head
    along = sorted((at, z) for at, z in site.outline if z > high)
    at = min(max(x, along[0][0]), along[-1][0])
    return line_between(along, at, at)[0][1]


def old_jambs(site: Site) -> tuple[float, float] | None:
    """The x of the old opening's jambs, where they stand furthest in; None where there is none."""
    if not site.outline:
        return None
    xs = [x for x, _ in site.outline]
    quarter = (max(xs) - min(xs)) / 4  # base and head have points between the jambs
    left = [x for x in xs if x < min(xs) + quarter]
    return max(left), min(x for x in xs if x > max(xs) - quarter)


def _cut_level(draft: Draft, arrangement: Arrangement, piece: Member, window: Window) -> None:
    """An upright piece as the level cut shows it."""
    layer, _, part = drawn_as(piece)
    shape = (piece.x.low, piece.y.low, piece.x.high, piece.y.high)
    if not piece.stands:
        window.rectangle(draft, layer, shape, part=part)
    elif piece.role == "closing jamb":
        window.rectangle(draft, layer, shape, part=part)
        _groove(draft, arrangement, window)
    else:
        window.timber(draft, Layer.OUTLINE if layer is Layer.ROUGH else layer, shape, part)


def _trim(draft: Draft, arrangement: Arrangement, window: Window) -> None:
    """Trim beside each mouth, on both faces, to show where it goes."""
    wide, thick = TRIM
    for pocket in arrangement.pockets:
        outward = -wide if pocket.side == "left" else wide
        x0, x1 = sorted((pocket.mouth, pocket.mouth + outward))
        for y in (-thick, arrangement.wall.thickness):
            window.rectangle(draft, Layer.LINING, (x0, y, x1, y + thick), part="trim")


def _groove(draft: Draft, arrangement: Arrangement, window: Window) -> None:
    """The groove in the closing jamb for the leaf."""
    jamb, groove = arrangement.closing_jamb, arrangement.jamb_groove
    if jamb is None or groove <= 0:
        return
    y0, y1 = _leaf_depth(arrangement)
    slack = (arrangement.jamb_groove_width - (y1 - y0)) / 2
    face = jamb.low if jamb.middle > arrangement.centre else jamb.high
    into = face + groove if face == jamb.low else face - groove
    if window.holds(face, y0):
        points = ((face, y0 - slack), (into, y0 - slack), (into, y1 + slack), (face, y1 + slack))
        draft.polyline(Layer.HIDDEN, points, "closing-jamb frame")


def _plan_dimensions(draft: Draft, arrangement: Arrangement, sheet: Sheet) -> None:
    plain = sheet.style == "mm"

    def want(low: float, high: float, name: str, above: bool) -> None:
        edge: Edge = "above" if above else "below"
        draft.dimension(edge, low, high, sheet.between(low, high), sheet.word(name), plain)

    for span, name in made_sizes(arrangement):
        size = sheet.length(span.length)
        draft.dimension("above", span.low, span.high, size, sheet.word(name), plain)
    want(arrangement.opening.low, arrangement.opening.high, "clear opening", True)
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
    site: Site | None = None,
    zones: Sequence[Zone] = (),
) -> Scene:
    """The wall cut upright through a pocket with its leaf in it, side A at the left."""
    heights, cut, around = arrangement.heights, cut_at(arrangement), site or Site()
    here = _barred_at(zones, cut)

    def build(scale: float) -> Scene:
        draft = Draft(scale)
        upright_geometry(draft, arrangement, around, cut, Window())
        _barred_upright(draft, arrangement, here, Window())
        plain, word = sheet.style == "mm", sheet.word
        up_dimensions(draft, arrangement, sheet)
        wall = arrangement.wall.thickness
        keys = _barred_key(here, sheet)
        if (head := old_head(around, cut.x)) is not None:
            keys.append((Layer.OLD, word("head of the old opening")))
            draft.label(f"z {sheet.length(head)}", (wall + OLD_PAST, head))
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
            keys=keys,
            notes=notes,
            bar=sheet.bar(scale),
            least_width=62.0,
        )

    top = _drawn_to(arrangement, around.over)
    return largest(build, sheet, (arrangement.wall.thickness, top - heights.floor_low), finest=10)


def vertical_details(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    site: Site | None = None,
    zones: Sequence[Zone] = (),
) -> tuple[Scene, Scene]:
    """Head and foot of the vertical section at a larger scale."""
    cut = cut_at(arrangement)
    ends = _Ends(arrangement, sheet, site or Site(), cut, tuple(_barred_at(zones, cut)))
    wall = arrangement.wall.thickness
    tall = ends.head_shown - arrangement.heights.clear_head + 90.0
    return (
        largest(ends.head, sheet, (wall, tall), finest=2),
        largest(ends.foot, sheet, (wall, 110.0 + SLAB), finest=2),
    )


@dataclass(frozen=True, slots=True)
class _Ends:
    """Head and foot of the upright cut, each a drawing of its own."""

    arrangement: Arrangement
    sheet: Sheet
    site: Site
    cut: Cut
    barred: tuple[Zone, ...]

    @property
    def head_shown(self) -> float:
        """Up to which z the head is drawn."""
        over = self.site.over
        rough = self.arrangement.heights.rough_head + 70.0
        return rough if over is None else max(rough, over.high + 20.0)

    def head(self, scale: float) -> Scene:
        """From under the clear head to over the head that the track hangs from."""
        heights, sheet, word = self.arrangement.heights, self.sheet, self.sheet.word
        draft = self._draft(scale, Window(y0=heights.clear_head - 90.0, y1=self.head_shown))
        for low, high, name in (
            (heights.leaf_top, heights.head_underside, "leaf to head"),
            (heights.head_underside, heights.head_top, "head"),
            (heights.head_top, heights.rough_head, "clearance"),
        ):
            self._left(draft, low, high, word(name))
        rows = (
            (heights.clear_head, word("clear head, under trim")),
            (heights.leaf_top, word("top of leaf")),
            (heights.track_bottom, word("underside of track")),
            (heights.head_underside, word("underside of head")),
            (heights.head_top, word("top of frame")),
            (heights.rough_head, word("rough head")),
            *_over_marks(self.site.over, sheet),
            *self._old_mark(),
        )
        draft.running("right", self._shared(rows))
        return self._close(draft, scale, "head", ("below", "above"))

    def _old_mark(self) -> list[tuple[float, str]]:
        head = old_head(self.site, self.cut.x)
        shown = head is not None and self.arrangement.heights.clear_head - 90.0 < head
        return [(head, self.sheet.word("head of the old opening"))] if shown and head else []

    def _floor_marks(self, ground: float) -> list[tuple[float, str]]:
        """Both sides' floors, as they are and as they will be; one where they are alike."""
        word, site, come = self.sheet.word, self.site, self.arrangement.floor_to_come_a
        other, other_come = ground + site.step_b, site.come_b(come)
        if (site.step_b, other_come) == (0.0, come):
            later = [(ground + come, word("floor to come, top"))] if come else []
            return [(ground, word("floor here")), *later]
        rows = [(ground, word("side A's floor here")), (other, word("side B's floor here"))]
        for side, at, more in (("A", ground, come), ("B", other, other_come)):
            if more:
                rows.append((at + more, word(f"side {side}'s floor to come, top")))
        return rows

    def foot(self, scale: float) -> Scene:
        """From the floor to over the leaf's bottom edge."""
        heights, word = self.arrangement.heights, self.sheet.word
        ground, to_come = self._ground(), self.arrangement.floor_to_come_a
        draft = self._draft(scale, Window(y1=heights.leaf_bottom + 110.0))
        name = word("gap here now") if to_come else word("gap here")
        self._left(draft, ground, heights.leaf_bottom, name)
        if to_come:
            down = word("gap when the floor is down")
            self._left(draft, ground + to_come, heights.leaf_bottom, down)
        self._left(draft, ground, heights.level_line, word("packers here"))
        rows = (
            *self._floor_marks(ground),
            (heights.level_line, word("level line, underside of frame")),
            (heights.leaf_bottom, word("bottom of leaf")),
        )
        draft.running("right", self._shared(rows))
        return self._close(draft, scale, "foot", ("above", "below"))

    def _ground(self) -> float:
        return line_between(self.site.floor, self.cut.x, self.cut.x)[0][1]

    def _draft(self, scale: float, window: Window) -> Draft:
        draft = Draft(scale)
        upright_geometry(draft, self.arrangement, self.site, self.cut, window)
        _barred_upright(draft, self.arrangement, self.barred, window)
        return draft

    def _left(self, draft: Draft, low: float, high: float, name: str) -> None:
        size = self.sheet.between(low, high)
        draft.dimension("left", low, high, size, name, self.sheet.style == "mm")

    def _shared(self, rows: Iterable[tuple[float, str]]) -> list[tuple[float, str]]:
        """Running heights; those at one place share a line."""
        marked: dict[float, list[str]] = {}
        for at, name in rows:
            marked.setdefault(round(at, 2), []).append(name)
        length = self.sheet.length
        return [(at, f"z {length(at)}  {'; '.join(names)}") for at, names in marked.items()]

    def _close(self, draft: Draft, scale: float, end: str, edges: tuple[Edge, Edge]) -> Scene:
        """With the layers along one edge and the wall's thickness along the other."""
        sheet, word, wall = self.sheet, self.sheet.word, self.arrangement.wall.thickness
        layers = [
            ((layer.y0 + layer.y1) / 2, f"{word(layer.label)} {sheet.fine(layer.y1 - layer.y0)}")
            for layer in self.arrangement.pocket_section
        ]
        draft.running(edges[0], [*layers, *_barred_marks(self.barred, wall, sheet)])
        plain = sheet.style == "mm"
        draft.dimension(edges[1], 0.0, wall, sheet.fine(wall), word("wall"), plain)
        note = (
            f"{word('Cut at x')} {sheet.length(self.cut.x)}. "
            f"{word('Side A is at the left. Running heights, z, are from the level datum.')}"
        )
        return draft.close(
            f"section-{end}",
            word(f"Vertical section: {end}"),
            keys=_barred_key(self.barred, sheet),
            notes=[note],
            bar=sheet.bar(scale),
            least_width=100.0,
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


def _floor_beside(
    draft: Draft, ends: tuple[float, float], ground: float, now: float, to_come: float
) -> None:
    """One side's floor up to its lining: as it is, over or under the base, and what comes on it."""
    low, high = ends
    if now < ground - RIM:  # the slab under side A's is cut away there
        draft.line(Layer.FLOOR, (low, now), (high, now), "floor")
    elif now > ground + RIM:
        draft.rectangle(Layer.FLOOR, (low, ground, high, now), "diagonal", "floor")
    if to_come:
        draft.rectangle(Layer.OUTLINE, (low, now, high, now + to_come), "dots", "floor")


def upright_geometry(
    draft: Draft, arrangement: Arrangement, site: Site, cut: Cut, window: Window
) -> None:
    """Everything that the upright cut shows, within the window. Drawing x is the wall's y."""
    heights, wall = arrangement.heights, arrangement.wall
    ground = line_between(site.floor, cut.x, cut.x)[0][1]
    top = _drawn_to(arrangement, site.over)
    if window.y0 < ground:
        _ground(draft, arrangement, site, cut, ground)
    for y0, y1 in ((0.0, wall.lining_a), (wall.lining_a + wall.stud, wall.thickness)):
        lining = (y0, heights.frame_bottom, y1, top)
        window.rectangle(draft, Layer.LINING, lining, "diagonal", "lining")
    for piece in site.pieces("rib", "base batten"):
        if piece.side == cut.side:
            box = (piece.y.low, piece.z.low, piece.y.high, piece.z.high)
            window.rectangle(draft, Layer.FRAME, box, part="ribs pockets frame")
    for piece in site.pieces("head strip"):
        strip = (piece.y.low, piece.z.low, piece.y.high, piece.z.high)
        window.rectangle(draft, Layer.HIDDEN, strip, part="head strips frame")
    if window.y1 >= heights.head_top:
        for piece in site.pieces("head member"):
            head = (piece.y.low, piece.z.low, piece.y.high, piece.z.high)
            window.timber(draft, Layer.FRAME, head, "head frame")
        _over_frame(draft, window, arrangement, site, top)
    head_was = old_head(site, cut.x)
    if head_was is not None and window.y0 < head_was < window.y1:
        ends = ((-OLD_PAST, head_was), (wall.thickness + OLD_PAST, head_was))
        draft.line(Layer.OLD, *ends, "old-opening")
    y0, y1 = _leaf_depth(arrangement)
    leaf = (y0, heights.leaf_bottom, y1, heights.leaf_top)
    window.rectangle(draft, Layer.LEAF, leaf, part="leaves")
    if window.y1 >= heights.track_top:
        _track(draft, arrangement)


def _ground(draft: Draft, arrangement: Arrangement, site: Site, cut: Cut, ground: float) -> None:
    """The floor, what is still to be laid on it, the level line, and the packers up to that."""
    beside, line = 60.0, arrangement.heights.level_line
    x0, x1 = -beside, arrangement.wall.thickness + beside
    wall, beyond = arrangement.wall.thickness, ground + site.step_b
    foot = ground - max(SLAB, SLAB - site.step_b)
    dropped = min(beyond, ground)
    corners = (
        (x0, foot), (x1, foot), (x1, dropped), (wall, dropped), (wall, ground), (x0, ground),
    )  # fmt: skip
    draft.polygon(Layer.HATCH, corners, "diagonal", "floor", edge=False)
    draft.line(Layer.FLOOR, (x0, ground), (x1 if dropped == ground else wall, ground), "floor")
    come = arrangement.floor_to_come_a
    _floor_beside(draft, (x0, 0.0), ground, ground, come)
    _floor_beside(draft, (wall, x1), ground, beyond, site.come_b(come))
    draft.line(Layer.CENTRE, (x0, line), (x1, line), "level-line")
    for stack in site.pieces("packers"):
        if stack.x.low - RIM <= cut.x <= stack.x.high + RIM:
            pack = (stack.y.low, stack.z.low, stack.y.high, stack.z.high)
            draft.rectangle(Layer.PACKER, pack, "cross", "packers")


def _track(draft: Draft, arrangement: Arrangement) -> None:
    """The track, and the hanger that the leaf hangs from."""
    heights, (y0, y1) = arrangement.heights, _leaf_depth(arrangement)
    middle, half = (y0 + y1) / 2, min(14.0, (y1 - y0) / 2)
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
    draft: Draft, window: Window, arrangement: Arrangement, site: Site, top: float
) -> None:
    """The new head over the frame in its plies, what is there, and the packing down from it."""
    wall, heights = arrangement.wall, arrangement.heights
    y0, y1 = wall.lining_a, wall.lining_a + wall.stud
    foot = heights.rough_head
    new = [piece for piece in site.pieces("head") if piece.origin == "new" and piece.z.length > RIM]
    for ply in new:
        solid = (ply.y.low, ply.z.low, ply.y.high, ply.z.high)
        window.timber(draft, Layer.ROUGH, solid, "head")
        foot = ply.z.high
    for there in site.pieces("head"):
        if there.origin != "there already":
            continue
        low = there.z.low
        if not new and low > heights.head_top + RIM:
            packing = (y0, heights.head_top, y1, low)
            window.rectangle(draft, Layer.PACKER, packing, "cross", "packing")
        high = max(there.z.high, min(low + DRAWN_THERE, top))
        window.rectangle(draft, Layer.OLD, (y0, low, y1, high), part="head wall above")
        foot = high
    window.rectangle(draft, Layer.OUTLINE, (y0, foot, y1, top), part="wall above")
