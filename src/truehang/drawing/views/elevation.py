"""What does the wall look like from one side, opened up, with every size that matters?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft, Edge
from truehang.drawing.scene import Box, Layer, Point, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.site import DRAWN_THERE, Site, drawn_as
from truehang.drawing.views.window import Window
from truehang.members import Member
from truehang.shapes import Span, line_between

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Face, Leaf, Service

FLOOR_DEPTH = 45.0
"""How much of the floor is drawn below its surface, mm."""
BESIDE = 160.0
"""How much wall is drawn beside the opening, mm."""
HANDLE_INSET = 60.0
"""Where the handle is drawn from the leading edge, mm; only its height is set out."""
SERVICE_ABOVE = 60.0
"""How far above the rough head a tall service is drawn, mm."""
ABOVE = 60.0
"""How much of the short studs over a head is drawn, mm."""
INFILL_NAMED = 60.0
"""Narrower infill is drawn but not named, mm."""
LEAST = 0.05
"""Thinner than this, nothing is drawn, mm."""


def elevation(
    arrangement: Arrangement,
    sheet: Sheet,
    *,
    side: Face = "A",
    site: Site | None = None,
) -> Scene:
    """The dimensioned elevation from side A, or B (mirrored, x to the left).

    Heights are dimensioned from the level line and say so.
    """
    here = site or Site()
    size = wall_size(arrangement, here)
    return largest(
        lambda scale: _elevation(arrangement, sheet, side, here, scale),
        sheet,
        size,
        finest=5,
        around=(42.0, 44.0),
    )


def wall_size(arrangement: Arrangement, site: Site) -> Point:
    """Width and height of the wall as it is drawn, mm."""
    low, high = _ends(arrangement, site)
    return (high - low, _top(arrangement, site) - arrangement.heights.floor_low)


def _top(arrangement: Arrangement, site: Site) -> float:
    over = site.over
    drawn = [over.high] if over is not None else []
    drawn += [piece.z.low + ABOVE for piece in site.pieces("short stud")]
    return max([arrangement.heights.rough_head, *drawn, *(z for _, z in site.outline)])


def _ends(arrangement: Arrangement, site: Site) -> tuple[float, float]:
    xs = [x for x, _ in site.outline] + [arrangement.rough.low, arrangement.rough.high]
    return min(xs) - BESIDE, max(xs) + BESIDE


def _elevation(
    arrangement: Arrangement, sheet: Sheet, side: Face, site: Site, scale: float
) -> Scene:
    draft = Draft(scale, mirror=side == "B")
    wall_geometry(draft, arrangement, side, site)
    over, ends = site.over, _ends(arrangement, site)
    if over is not None:
        left, right = max(over.left, ends[0]), min(over.right, ends[1])
        middle = ((left + right) / 2, (over.low + over.high) / 2)
        draft.label(sheet.word(over.label), middle, (left, over.low, right, over.high))
    _along(draft, arrangement, sheet)
    up_dimensions(draft, arrangement, sheet)
    _names(draft, arrangement, sheet, site.services, ends)
    word = sheet.word
    keys = [
        (Layer.FRAME, word("frame")),
        (Layer.LEAF, word("leaf, closed")),
        (Layer.HIDDEN, word("leaf open, ribs")),
        (Layer.CENTRE, word("level line, centres")),
    ]
    keys += framing_keys(site, sheet)
    if site.outline:
        keys.append((Layer.OLD, word("old opening as measured")))
    name_old(draft, site, sheet)
    return draft.close(
        f"elevation-{side.lower()}",
        word(f"Elevation from side {side}"),
        keys=keys,
        notes=[
            *service_notes(arrangement, sheet, site.services, ends),
            level_line_note(arrangement, sheet),
        ],
        bar=sheet.bar(scale),
        page=sheet,
    )


def level_line_note(arrangement: Arrangement, sheet: Sheet) -> str:
    """From where the heights with arrows are taken, and where that is."""
    word = sheet.word
    return (
        f"{word('x is from the datum, z from the level datum. Line +: from the level line, the')} "
        f"{word('underside of the frame, at z')} {sheet.length(arrangement.heights.level_line)}."
    )


def up_dimensions(draft: Draft, arrangement: Arrangement, sheet: Sheet) -> None:
    """Dimensions up the wall: heights from the level line say so; the leaf and frame are sizes."""
    heights, word = arrangement.heights, sheet.word
    line = heights.level_line
    wanted: tuple[tuple[Edge, float, str], ...] = (
        ("left", heights.handle, "handle"),
        ("left", heights.clear_head, "clear head"),
        ("right", heights.head_underside, "head underside"),
        ("right", heights.head_top, "top of frame"),
        ("right", heights.rough_head, "rough head"),
    )
    plain = sheet.style == "mm"
    for edge, at, name in wanted:
        words = f"{word(name)}, {word('line +')}"
        draft.dimension(edge, line, at, sheet.between(line, at), words, plain)
    leaf = arrangement.leaves[0].height
    draft.dimension(
        "left", heights.leaf_bottom, heights.leaf_top, sheet.length(leaf), word("leaf"), plain
    )


def service_notes(
    arrangement: Arrangement,
    sheet: Sheet,
    services: Sequence[Service],
    ends: tuple[float, float],
) -> list[str]:
    """One note for each service that the drawing calls S1, S2, ...; `ends` are its own in x."""
    trades = {clash.service.name: clash for clash in arrangement.clashes}
    notes = []
    for index, service in enumerate(services, 1):
        note = (
            f"S{index}: {service.name}, "
            f"{'inside the wall' if service.hidden else f'side {service.face}'}, "
            f"x {sheet.length(service.x)}, z {sheet.length(service.z)}{_way(service)}"
        )
        clash = trades.get(service.name)
        if clash is not None:
            note += f"; stands in the {clash.where}, to be moved by the {sheet.word(clash.trade)}"
        if not ends[0] < service.x < ends[1]:
            note += ", beyond this drawing"
        notes.append(f"{note}.")
    return notes


def _way(service: Service) -> str:
    """Which way its cable or pipe goes, in words."""
    if service.runs in ("up", "down"):
        return f", runs {service.runs}"
    if service.runs in ("left", "right"):
        return f", runs {service.runs} seen from side A"
    if service.runs == "unknown" and service.hidden:
        return ", which way it runs is not known"
    return ""


def wall_geometry(
    draft: Draft,
    arrangement: Arrangement,
    side: Face,
    site: Site,
    *,
    leaves: bool = True,
) -> None:
    """The wall as it will stand behind its lining, seen from a side. No sizes, no words."""
    heights = arrangement.heights
    low, high = _ends(arrangement, site)
    bottom = surface(draft, site, Span(low, high))
    if site.outline:
        draft.polygon(Layer.OLD, tuple(site.outline), part="old-opening")
    _opening(draft, arrangement)
    window = Window(x0=low, x1=high, y1=_top(arrangement, site))
    wall_pieces(draft, (*site.pieces(), *site.out), window)
    _frame(draft, arrangement)
    for leaf in arrangement.leaves if leaves else ():
        _leaf(draft, leaf, heights.handle)
    for service in site.services:
        if low < service.x < high:
            _service(draft, service, (low, bottom, high, heights.rough_head + SERVICE_ABOVE), side)
    draft.line(Layer.CENTRE, (low, heights.level_line), (high, heights.level_line), "level-line")


def surface(draft: Draft, site: Site, ends: Span) -> float:
    """The floor along a stretch, with some of what is under it; gives how far down it is drawn."""
    line = line_between(site.floor, ends.low, ends.high)
    draft.polyline(Layer.FLOOR, line, "floor")
    bottom = min(z for _, z in line) - FLOOR_DEPTH
    for (x0, z0), (x1, z1) in pairwise(line):
        corners = ((x0, z0), (x1, z1), (x1, bottom), (x0, bottom))
        draft.polygon(Layer.HATCH, corners, "diagonal", "floor", edge=False)
    return bottom


def old_opening(draft: Draft, site: Site, sheet: Sheet) -> None:
    """The old opening as it was measured, with its name."""
    if site.outline:
        draft.polygon(Layer.OLD, tuple(site.outline), part="old-opening")
    name_old(draft, site, sheet)


def name_old(draft: Draft, site: Site, sheet: Sheet) -> None:
    """The name of the old opening, at its head."""
    if not site.outline:
        return
    xs, zs = [x for x, _ in site.outline], [z for _, z in site.outline]
    at = ((min(xs) + max(xs)) / 2, max(zs))
    draft.label(sheet.word("old opening"), at)


def framing_keys(site: Site, sheet: Sheet) -> list[tuple[Layer, str]]:
    """The kinds of line for what is there and what comes out, where there is any."""
    drawn = {drawn_as(one)[0] for one in site.found}
    kinds = ((Layer.THERE, "there, stays"), (Layer.OUT, "comes out"))
    return [(layer, sheet.word(name)) for layer, name in kinds if layer in drawn]


def _opening(draft: Draft, arrangement: Arrangement) -> None:
    """The rough opening, and what of an old one is filled in beside it."""
    heights = arrangement.heights
    floor, rough = heights.floor_low, arrangement.rough
    draft.polyline(
        Layer.ROUGH,
        (
            (rough.low, floor),
            (rough.low, heights.rough_head),
            (rough.high, heights.rough_head),
            (rough.high, floor),
        ),
        "rough-opening",
    )
    for span in arrangement.infill:
        draft.rectangle(
            Layer.ROUGH, (span.low, floor, span.high, heights.rough_head), "dots", "infill"
        )


def wall_pieces(
    draft: Draft, pieces: Sequence[Member], window: Window, *, shaded: bool = False
) -> None:
    """Every piece of framing as far up as the wall is drawn, each place once: what stands behind
    another is not drawn again. `shaded`: new timber is, so that it stands out."""
    seen: set[tuple[Layer, Box]] = set()
    for piece in pieces:
        layer, hatch, part = drawn_as(piece)
        x, z = piece.x, piece.z
        if shaded and piece.origin == "new":
            layer, hatch = Layer.FRAME, "dots"
        if piece.role in ("rib", "base batten", "head strip"):
            layer = Layer.HIDDEN
        if piece.origin != "new" and piece.role == "head" and z.length < DRAWN_THERE:
            z = Span(z.low, z.low + DRAWN_THERE)
        shape = (x.low, z.low, x.high, z.high)
        if z.length > LEAST and (layer, shape) not in seen:
            seen.add((layer, shape))
            window.rectangle(draft, layer, shape, hatch, part)


def _frame(draft: Draft, arrangement: Arrangement) -> None:
    """Mouths, the foot of each pocket, the track, and where the lining ends over the opening."""
    heights = arrangement.heights
    base, under = heights.frame_bottom, heights.head_underside
    for pocket in arrangement.pockets:
        draft.line(Layer.FRAME, (pocket.mouth, base), (pocket.mouth, under), "mouth pockets frame")
        draft.line(Layer.FRAME, (pocket.inside.low, base), (pocket.inside.high, base), "frame")
    inside = [p.inside for p in arrangement.pockets]
    left = min([s.low for s in inside] + [arrangement.opening.low])
    right = max([s.high for s in inside] + [arrangement.opening.high])
    track = (left, heights.track_bottom, right, heights.track_top)
    draft.rectangle(Layer.FRAME, track, part="track")
    opening = arrangement.opening
    draft.line(
        Layer.LINING, (opening.low, heights.clear_head), (opening.high, heights.clear_head), "trim"
    )


def _leaf(draft: Draft, leaf: Leaf, handle: float) -> None:
    opened = (leaf.open.low, leaf.bottom, leaf.open.high, leaf.top)
    draft.rectangle(Layer.HIDDEN, opened, part="open-leaf pockets")
    closed = (leaf.closed.low, leaf.bottom, leaf.closed.high, leaf.top)
    draft.rectangle(Layer.LEAF, closed, part="leaves")
    leads_right = leaf.pocket == "left"
    edge = leaf.closed.high - HANDLE_INSET if leads_right else leaf.closed.low + HANDLE_INSET
    draft.circle(Layer.OUTLINE, (edge, handle), 22.0, "handle")


def _service(draft: Draft, service: Service, window: Box, side: Face) -> None:
    """A crossed box, dashed where the service shows on the other side or stands inside the wall,
    and its cable or pipe inside the wall as far as the drawing goes, with its way."""
    half, tall = service.width / 2, service.height / 2
    x0, z0 = max(service.x - half, window[0]), max(service.z - tall, window[1])
    x1, z1 = min(service.x + half, window[2]), min(service.z + tall, window[3])
    if z1 <= z0:
        return
    seen = service.face == side and not service.hidden
    layer = Layer.SERVICE if seen else Layer.HIDDEN
    _run(draft, service, (x0, z0, x1, z1), window)
    draft.rectangle(layer, (x0, z0, x1, z1), part="services")
    draft.line(layer, (x0, z0), (x1, z1), "services")
    draft.line(layer, (x0, z1), (x1, z0), "services")


ARROW = 40.0
"""Half of the head of an arrow that shows which way a service runs, mm."""


def _run(draft: Draft, service: Service, body: Box, window: Box) -> None:
    """The dashed line of a cable or pipe inside the wall, and an arrow half way along it."""
    x, z = service.x, (body[1] + body[3]) / 2
    ends = {
        "up": ((x, body[3]), (x, window[3])),
        "down": ((x, body[1]), (x, window[1])),
        "left": ((body[0], z), (window[0], z)),
        "right": ((body[2], z), (window[2], z)),
    }.get(service.runs)
    if ends is None:
        return
    (x0, z0), (x1, z1) = ends
    long = abs(x1 - x0) + abs(z1 - z0)
    if long < 1.0:
        return
    draft.line(Layer.HIDDEN, (x0, z0), (x1, z1), "services")
    along = ((x1 - x0) / long, (z1 - z0) / long)
    tip = ((x0 + x1) / 2, (z0 + z1) / 2)
    size = min(ARROW, long / 4)
    for turn in (-0.5, 0.5):
        back = (
            tip[0] - size * (along[0] - turn * along[1]),
            tip[1] - size * (along[1] + turn * along[0]),
        )
        draft.line(Layer.SERVICE, back, tip, "services")


def made_sizes(arrangement: Arrangement) -> Iterator[tuple[Span, str]]:
    """What is cut or bought to a size along the wall. It has one size wherever it is printed, which
    the difference of two rounded marks is not."""
    for pocket in arrangement.pockets:
        yield pocket.inside, "pocket"
        yield pocket.back_stud, "back stud"
    if arrangement.closing_jamb is not None:
        yield arrangement.closing_jamb, "closing jamb"
    yield arrangement.frame, "frame"


def _along(draft: Draft, arrangement: Arrangement, sheet: Sheet) -> None:
    """Dimensions along the wall."""
    word, plain = sheet.word, sheet.style == "mm"

    def want(edge: Edge, low: float, high: float, name: str) -> None:
        draft.dimension(edge, low, high, sheet.between(low, high), word(name), plain)

    for span, name in made_sizes(arrangement):
        size = sheet.length(span.length)
        draft.dimension("above", span.low, span.high, size, word(name), plain)
    want("above", arrangement.opening.low, arrangement.opening.high, "clear opening")
    want("above", arrangement.rough.low, arrangement.rough.high, "rough opening")
    for leaf in arrangement.leaves:
        size = sheet.length(leaf.width)
        draft.dimension("below", leaf.closed.low, leaf.closed.high, size, word("leaf"), plain)
    passage = arrangement.passage
    if abs(passage.length - arrangement.opening.length) > 0.05:
        want("below", passage.low, passage.high, "clear passage")


def _clear_of_open(leaf: Leaf) -> Span:
    """The part of a closed leaf that no edge of the open one is drawn across."""
    closed, opened = leaf.closed, leaf.open
    if leaf.pocket == "left":
        return Span(max(closed.low, opened.high), closed.high)
    return Span(closed.low, min(closed.high, opened.low))


def _names(
    draft: Draft,
    arrangement: Arrangement,
    sheet: Sheet,
    services: Sequence[Service],
    ends: tuple[float, float],
) -> None:
    heights, word = arrangement.heights, sheet.word
    size = sheet.length
    for leaf in arrangement.leaves:
        shown = _clear_of_open(leaf)
        middle = (shown.middle, (leaf.bottom + leaf.top) / 2)
        region = (shown.low, leaf.bottom, shown.high, leaf.top)
        measure = f"{size(leaf.width)} x {size(leaf.height)} x {sheet.fine(leaf.thickness)}"
        draft.label(word(leaf.name), middle, region, bold=True)
        draft.label(measure, middle, region)
    for pocket in arrangement.pockets:
        inside = pocket.inside
        region = (inside.low, heights.leaf_bottom, inside.high, heights.leaf_top)
        draft.label(word(f"{pocket.side} pocket"), (inside.middle, 1200.0), region)
    low, high = ends
    for index, service in enumerate(services, 1):
        if low < service.x < high:
            at = (service.x, min(service.z, heights.rough_head))
            draft.label(f"S{index}", at, bold=True)
    for span in arrangement.infill:
        if span.length < INFILL_NAMED:
            continue
        draft.label(word("fill in"), (span.middle, heights.rough_head * 0.7))
