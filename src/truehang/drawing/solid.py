"""What stands where in the wall? Every part of the build as plain blocks, for a model in space.

Nothing is set out from a model: what the plan does not give (how far a plate stands off the wall,
how wide a packer is) is drawn at a size that shows it, named below.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from truehang.drawing.views.elevation import HANDLE_INSET, PACK_WIDTH
from truehang.framing.opening import LEAST_INFILL, LEAST_PACKING
from truehang.plan.over_model import stud_top
from truehang.shapes import line_between

if TYPE_CHECKING:
    from truehang.drawing.scene import Point
    from truehang.fit import Arrangement, Service, Span
    from truehang.fit.model import Leaf, Pocket
    from truehang.plan import Plan

Kind = Literal["timber", "frame", "metal", "packer", "leaf", "lining", "floor", "service"]
KINDS: tuple[Kind, ...] = (
    "service", "metal", "packer", "floor", "timber", "frame", "leaf", "lining",
)  # fmt: skip
"""Every kind of material, the darkest first."""

BESIDE = 400.0
"""How much of the wall is shown beside what is built, mm."""
IN_FRONT = 700.0
"""How much floor is shown before each face, mm."""
FLOOR_DEPTH = 40.0
"""How thick the floor is shown, mm."""
PLATE = 8.0
"""How far the plate of a service stands off the face, mm."""
PULL = (40.0, 160.0, 1.0)
"""Width, height and depth of the pull shown on each face of a leaf, mm; only its height is set."""
HANGER = (50.0, 12.0)
"""Along and through the wall, how large a hanger is shown, mm."""
TRACK = 14.0
"""Half the width that a track is shown with, mm, or half the leaf where that is thinner."""
LEAST = 0.05
"""Thinner than this, nothing is there, mm."""


@dataclass(frozen=True, slots=True)
class Block:
    """A block between two x, two y, and a bottom and a top that may slope along x, mm.

    `bottom` and `top` are each (z at x0, z at x1).
    """

    x0: float
    x1: float
    y0: float
    y1: float
    bottom: tuple[float, float]
    top: tuple[float, float]

    @property
    def level(self) -> bool:
        """True where bottom and top are level: the block is a box."""
        return self.bottom[0] == self.bottom[1] and self.top[0] == self.top[1]

    def shifted(self, x: float) -> Block:
        """The same block moved along the wall by `x` mm."""
        return Block(self.x0 + x, self.x1 + x, self.y0, self.y1, self.bottom, self.top)


def box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Block:
    """A block with level bottom and top, mm."""
    return Block(x0, x1, y0, y1, (z0, z0), (z1, z1))


@dataclass(frozen=True, slots=True)
class Solid:
    """One part. `group` is what it belongs to, `name` is its own in the whole model.

    `blocks` are where it stands with the leaves closed. A leaf moves by `travel` mm along x to
    open (negative to the left); a part that `rides` moves with the leaf of that name.
    """

    name: str
    group: str
    kind: Kind
    blocks: tuple[Block, ...]
    travel: float = 0.0
    rides: str = ""

    def at(self, opened: float) -> tuple[Block, ...]:
        """The blocks with the leaves `opened` by a share of their travel, 0 to 1."""
        return tuple(block.shifted(opened * self.travel) for block in self.blocks)


def solids(plan: Plan) -> tuple[Solid, ...]:
    """Every part of the chosen arrangement with the wall about it; () where nothing fits."""
    made = plan.arrangement
    if made is None:
        return ()
    parts = (
        *_floor(plan, made),
        *_framing(plan, made),
        *_frame(made),
        *_packers(made),
        *_leaves(made),
        *_linings(plan, made),
        *_services(plan, made),
    )
    return tuple(part for part in parts if part.blocks)


def extent(plan: Plan, made: Arrangement) -> tuple[float, float]:
    """From where to where the wall is shown, x in mm."""
    spans = (made.rough, *made.infill)
    run = plan.measured.run.length if plan.measured.run else plan.job.wall.run
    low = max(min(span.low for span in spans) - BESIDE, min(0.0, made.rough.low))
    return low, min(max(span.high for span in spans) + BESIDE, max(run, made.rough.high))


def _studs(made: Arrangement) -> tuple[float, float]:
    """y of the stud space."""
    return made.wall.lining_a, made.wall.lining_a + made.wall.stud


# ---------------------------------------------------------------- floor and framing


def _stations(plan: Plan) -> tuple[Point, ...]:
    floor = plan.measured.floor
    return tuple((x, z) for x, z, _ in floor.stations) if floor else ()


def _standing(plan: Plan, x: tuple[float, float], made: Arrangement, top: float) -> Block:
    """A piece from the floor as it is there up to `top`, over the whole stud space."""
    ends = line_between(_stations(plan), *x)
    return Block(*x, *_studs(made), (ends[0][1], ends[-1][1]), (top, top))


def _floor(plan: Plan, made: Arrangement) -> Iterator[Solid]:
    stations, to_come = _stations(plan), plan.job.floor.to_come
    low, high = extent(plan, made)
    near, far = -IN_FRONT, made.wall.thickness + IN_FRONT
    bottom = min(z for _, z in line_between(stations, low, high)) - FLOOR_DEPTH

    def strip(x0: float, x1: float, y0: float, y1: float, up: float) -> tuple[Block, ...]:
        """The floor's profile, or what is laid on it `up` mm thick."""
        ends = pairwise(line_between(stations, x0, x1))
        return tuple(
            Block(a, b, y0, y1, (za, zb) if up else (bottom, bottom), (za + up, zb + up))
            for (a, za), (b, zb) in ends
            if b - a > LEAST
        )

    yield Solid("floor as it is", "floor", "floor", strip(low, high, near, far, 0.0))
    if to_come > LEAST:
        wall = made.wall.thickness
        laid = (
            *strip(low, high, near, 0.0, to_come),
            *strip(made.opening.low, made.opening.high, 0.0, wall, to_come),
            *strip(low, high, wall, far, to_come),
        )
        yield Solid("flooring to come", "floor", "floor", laid)


def _framing(plan: Plan, made: Arrangement) -> Iterator[Solid]:
    """Studs beside the rough opening, what is filled in beside them, the timber over the frame."""
    low, high = _head_ends(plan, made)
    for side, edge, way, end in (
        ("left", made.rough.low, -1.0, low),
        ("right", made.rough.high, 1.0, high),
    ):
        yield from _beside(plan, made, side, edge, way, end)
    yield from _over(plan, made, low, high)


def _room(made: Arrangement, edge: float) -> float | None:
    """What an old opening has left beside an edge of the rough opening, mm; None in a wall."""
    if made.situation != "fill":
        return None
    return next((span.length for span in made.infill if edge in (span.low, span.high)), 0.0)


def _head_ends(plan: Plan, made: Arrangement) -> tuple[float, float]:
    """From where to where the timber over the frame reaches: as long as the takeoff counts it."""
    stud, rough = plan.job.wall.make_up.studs.width, made.rough
    rooms = (_room(made, rough.low), _room(made, rough.high))
    reach = [stud if room is None else min(stud, room) for room in rooms]
    more = (_item(plan, "head")[1] or rough.length + sum(reach)) - rough.length
    left = more * (reach[0] / sum(reach) if sum(reach) else 0.5)
    return rough.low - left, rough.high + more - left


def _beside(
    plan: Plan, made: Arrangement, side: str, edge: float, way: float, end: float
) -> Iterator[Solid]:
    """The studs on one side, from the rough opening outwards, and what fills the rest."""
    width, top = plan.job.wall.make_up.studs.width, stud_top(made, plan.over)
    room = _room(made, edge)
    studs = (_item(plan, "jamb-stud")[0] + 1) // 2
    if room is not None:
        studs = min(studs, int(room / width))
    for number in range(studs):
        x = _sorted(edge + way * width * number, edge + way * width * (number + 1))
        which = f" {number + 1}" if studs > 1 else ""
        yield Solid(
            f"stud{which} beside the rough opening, {side}", "framing", "timber",
            (_standing(plan, x, made, top),),
        )  # fmt: skip
    inner = edge + way * width * studs
    beyond = inner if way * (inner - end) > 0 else end
    # Where an old opening leaves no room for a full-height stud, its own jamb is one.
    if _item(plan, "king-stud")[0] and (room is None or way * (beyond - edge) + width <= room):
        inner = beyond + way * width
        king = _standing(plan, _sorted(beyond, inner), made, plan.job.wall.ceiling)
        yield Solid(f"stud to the ceiling, {side}", "framing", "timber", (king,))
    if room is not None:
        yield from _infill(plan, made, side, _sorted(inner, edge + way * room), room)


def _sorted(one: float, other: float) -> tuple[float, float]:
    return min(one, other), max(one, other)


def _item(plan: Plan, key: str) -> tuple[int, float | None]:
    """How many of a part the takeoff counts, and how long each is."""
    items = plan.takeoff.items if plan.takeoff else ()
    return next(((item.count, item.length) for item in items if item.key == key), (0, None))


def _infill(
    plan: Plan, made: Arrangement, side: str, rest: tuple[float, float], room: float
) -> Iterator[Solid]:
    """A narrow rest of the old opening is packed solid, a wide one gets a plate and studs."""
    low, high = rest
    studs, top, (y0, y1) = plan.job.wall.make_up.studs, stud_top(made, plan.over), _studs(made)
    if room < LEAST_INFILL:
        if high - low > LEAST_PACKING:
            whole = _standing(plan, rest, made, top)
            yield Solid(f"infill packed solid, {side}", "framing", "timber", (whole,))
        return
    plate = max(z for _, z in line_between(_stations(plan), low, high)) + studs.width
    yield Solid(
        f"plate of the infill, {side}", "framing", "timber", (_standing(plan, rest, made, plate),)
    )
    # The first stands against the old jamb, the others at even spaces towards the door.
    count = math.ceil(room / studs.spacing)
    step = (high - low) / count
    upright = tuple(
        box(x, x + studs.width, y0, y1, plate, top)
        for n in range(count)
        for x in [low + n * step if side == "left" else high - studs.width - n * step]
    )
    yield Solid(f"studs of the infill, {side}", "framing", "timber", upright)


def _over(plan: Plan, made: Arrangement, low: float, high: float) -> Iterator[Solid]:
    """The timber over the frame: the one sized for load where one is, else what holds the track."""
    sized = plan.head_sizing.cheapest if plan.head_sizing else None
    if sized is not None:
        plies, breadth, depth = sized.plies, sized.breadth / sized.plies, sized.depth
        name = f"head over the frame, {plies} / {sized.section}, preliminary"
    elif plan.track_head is not None:
        member = plan.track_head.member
        plies, breadth, depth = member.plies, member.breadth, member.depth
        name = f"head over the frame, {plies} / {plan.track_head.section}"
    else:
        return
    under = made.heights.rough_head
    first = sum(_studs(made)) / 2 - plies * breadth / 2
    blocks = tuple(
        box(low, high, first + n * breadth, first + (n + 1) * breadth, under, under + depth)
        for n in range(plies)
    )
    yield Solid(name, "framing", "timber", blocks)


# ---------------------------------------------------------------- the frame


def _frame(made: Arrangement) -> Iterator[Solid]:
    heights, frame, (y0, y1) = made.heights, made.frame, _studs(made)
    base, under = heights.frame_bottom, heights.head_underside
    yield Solid(
        "head member", "frame", "frame",
        (box(frame.low, frame.high, y0, y1, under, heights.head_top),),
    )  # fmt: skip
    for pocket in made.pockets:
        stud = pocket.back_stud
        yield Solid(
            f"back stud, {pocket.side}", "frame", "frame",
            (box(stud.low, stud.high, y0, y1, base, under),),
        )  # fmt: skip
        yield from _ribs(made, pocket)
    if made.closing_jamb is not None:
        yield Solid("closing jamb", "frame", "frame", tuple(_jamb(made, made.closing_jamb)))
    low = min((p.inside.low for p in made.pockets), default=made.opening.low)
    high = max((p.inside.high for p in made.pockets), default=made.opening.high)
    leaf_a, leaf_b = _leaf_faces(made)
    half = min(TRACK, (leaf_b - leaf_a) / 2)
    middle = (leaf_a + leaf_b) / 2
    yield Solid(
        "track", "frame", "metal",
        (box(min(low, made.opening.low), max(high, made.opening.high), middle - half,
             middle + half, heights.track_bottom, heights.track_top),),
    )  # fmt: skip


def _ribs(made: Arrangement, pocket: Pocket) -> Iterator[Solid]:
    """The ribs of a pocket on both faces, on a base batten where the frame is made on site."""
    base, under, half = made.heights.frame_bottom, made.heights.head_underside, pocket.rib_width / 2
    batten = any(part.key == "base" for part in made.parts)
    foot = base + pocket.rib_width if batten else base
    for face, layer in zip("AB", (x for x in made.pocket_section if x.kind == "rib"), strict=True):
        for number, centre in enumerate(pocket.rib_centres, 1):
            yield Solid(
                f"rib {number} on side {face}, {pocket.side} pocket", "frame", "frame",
                (box(centre - half, centre + half, layer.y0, layer.y1, foot, under),),
            )  # fmt: skip
        if batten:
            inside = pocket.inside
            yield Solid(
                f"base batten on side {face}, {pocket.side} pocket", "frame", "frame",
                (box(inside.low, inside.high, layer.y0, layer.y1, base, foot),),
            )  # fmt: skip


def _jamb(made: Arrangement, jamb: Span) -> Iterator[Block]:
    """The closing jamb, as three blocks about the groove that the leaf runs into."""
    (y0, y1), (leaf_a, leaf_b) = _studs(made), _leaf_faces(made)
    z = (made.heights.frame_bottom, made.heights.head_underside)
    if made.jamb_groove < LEAST:
        yield box(jamb.low, jamb.high, y0, y1, *z)
        return
    right = jamb.middle > made.centre
    floor = jamb.low + made.jamb_groove if right else jamb.high - made.jamb_groove
    cheek = (jamb.low, floor) if right else (floor, jamb.high)
    behind = (floor, jamb.high) if right else (jamb.low, floor)
    air = (made.jamb_groove_width - (leaf_b - leaf_a)) / 2
    yield box(*cheek, y0, leaf_a - air, *z)
    yield box(*cheek, leaf_b + air, y1, *z)
    if behind[1] - behind[0] > LEAST:
        yield box(*behind, y0, y1, *z)


def _leaf_faces(made: Arrangement) -> tuple[float, float]:
    """y of the leaf's two faces."""
    layer = next(layer for layer in made.pocket_section if layer.kind == "leaf")
    return layer.y0, layer.y1


def _packers(made: Arrangement) -> Iterator[Solid]:
    y0, y1 = _studs(made)
    for pack in made.packs:
        if pack.height > LEAST:
            # Under the frame and nowhere else: never out in the clear opening or beside the frame.
            left = pack.x < made.centre
            room = (made.frame.low, made.opening.low) if left else (
                made.opening.high, made.frame.high)  # fmt: skip
            low = max(pack.x - PACK_WIDTH / 2, room[0])
            high = min(pack.x + PACK_WIDTH / 2, room[1])
            yield Solid(
                f"packers, {pack.label}", "packers", "packer",
                (box(low, high, y0, y1, pack.floor, pack.floor + pack.height),),
            )  # fmt: skip


# ---------------------------------------------------------------- leaves


def _leaves(made: Arrangement) -> Iterator[Solid]:
    y0, y1 = _leaf_faces(made)
    for leaf in made.leaves:
        travel = leaf.open.low - leaf.closed.low
        yield Solid(
            leaf.name, "leaves", "leaf",
            (box(leaf.closed.low, leaf.closed.high, y0, y1, leaf.bottom, leaf.top),), travel,
        )  # fmt: skip
        yield Solid(f"pulls of the {leaf.name}", "leaves", "metal",
                    tuple(_pulls(made, leaf)), travel, leaf.name)  # fmt: skip
        yield Solid(f"hangers of the {leaf.name}", "leaves", "metal",
                    tuple(_hangers(made, leaf)), travel, leaf.name)  # fmt: skip


def _pulls(made: Arrangement, leaf: Leaf) -> Iterator[Block]:
    y0, y1 = _leaf_faces(made)
    width, height, deep = PULL
    leads_right = leaf.pocket == "left"
    x = leaf.closed.high - HANDLE_INSET if leads_right else leaf.closed.low + HANDLE_INSET
    z = made.heights.handle
    for face in ((y0 - deep, y0), (y1, y1 + deep)):
        yield box(x - width / 2, x + width / 2, *face, z - height / 2, z + height / 2)


def _hangers(made: Arrangement, leaf: Leaf) -> Iterator[Block]:
    y0, y1 = _leaf_faces(made)
    along, through = HANGER
    middle, top = (y0 + y1) / 2, made.heights.track_bottom
    if top - leaf.top < LEAST:
        return
    for x in leaf.hangers_closed:
        yield box(x - along / 2, x + along / 2, middle - through / 2, middle + through / 2,
                  leaf.top, top)  # fmt: skip


# ---------------------------------------------------------------- lining and services


def _linings(plan: Plan, made: Arrangement) -> Iterator[Solid]:
    """A lining on each face from the level line to the ceiling, with the clear opening cut out."""
    low, high = extent(plan, made)
    opening, heights, wall = made.opening, made.heights, made.wall
    highest = max(z for _, z in line_between(_stations(plan), low, high))
    foot = max(heights.level_line, highest + plan.job.floor.to_come)
    top = max(plan.job.wall.ceiling, heights.rough_head)
    for face, y0, y1 in (
        ("A", 0.0, wall.lining_a),
        ("B", wall.lining_a + wall.stud, wall.thickness),
    ):
        blocks = (
            box(low, opening.low, y0, y1, foot, top),
            box(opening.low, opening.high, y0, y1, heights.clear_head, top),
            box(opening.high, high, y0, y1, foot, top),
        )
        there = tuple(block for block in blocks if block.x1 - block.x0 > LEAST < y1 - y0)
        yield Solid(f"lining {face}", "linings", "lining", there)


def _services(plan: Plan, made: Arrangement) -> Iterator[Solid]:
    """Every service in view, as a plate on the face it shows on: how deep it goes is not known."""
    low, high = extent(plan, made)
    movers = {clash.service.name: clash.trade for clash in made.clashes}
    wall, foot = made.wall.thickness, made.heights.floor_high
    top = max(plan.job.wall.ceiling, made.heights.rough_head)
    for name, service in _named(plan.services):
        x0, x1 = service.x - service.width / 2, service.x + service.width / 2
        z0 = max(service.z - service.height / 2, foot)
        z1 = min(service.z + service.height / 2, top)
        if x0 < low or x1 > high or z1 - z0 < LEAST:
            continue
        y = (-PLATE, 0.0) if service.face == "A" else (wall, wall + PLATE)
        moved = f", to be moved by the {movers[service.name]}" if service.name in movers else ""
        yield Solid(f"service {name} on side {service.face}{moved}", "services", "service",
                    (box(x0, x1, *y, z0, z1),))  # fmt: skip


def _named(services: Iterable[Service]) -> Iterator[tuple[str, Service]]:
    """Each service by a name of its own."""
    seen: set[str] = set()
    for number, service in enumerate(services, 1):
        name = service.name if service.name not in seen else f"{service.name} ({number})"
        seen.add(service.name)
        yield name, service
