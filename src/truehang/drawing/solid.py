"""What stands where in the wall? Every part of the build as plain blocks, for a model in space.

Nothing is set out from a model: what the plan does not give (how far a plate stands off the wall,
how wide a hanger is) is drawn at a size that shows it, named below.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from truehang.drawing.views.elevation import HANDLE_INSET
from truehang.members import standing
from truehang.plan.wall import ceiling_of, run_of
from truehang.shapes import Block, box, line_between

if TYPE_CHECKING:
    from truehang.drawing.scene import Point
    from truehang.fit import Arrangement, Service
    from truehang.fit.model import Leaf
    from truehang.members import Member
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
class Solid:
    """One part. `group` is what it belongs to, `name` is its own in the whole model.

    `blocks` are where it stands with the leaves closed. A leaf moves by `travel` mm along x to
    open (negative to the left); a part that `rides` moves with the leaf of that name. `role` is
    what it does: that of a member, "track", "floor", "flooring", "service"; "" for the rest.
    """

    name: str
    group: str
    kind: Kind
    blocks: tuple[Block, ...]
    travel: float = 0.0
    rides: str = ""
    role: str = ""

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
        *_members(plan),
        _track(made),
        *_leaves(made),
        *_linings(plan, made),
        *_services(plan, made),
    )
    return tuple(part for part in parts if part.blocks)


def extent(plan: Plan, made: Arrangement) -> tuple[float, float]:
    """From where to where the wall is shown, x in mm: some wall beside every piece of it."""
    new = (member.x for member in standing(plan.members) if member.origin == "new")
    spans = (made.rough, *made.infill, *new)
    run = run_of(plan.job, plan.measured)
    low = max(min(span.low for span in spans) - BESIDE, min(0.0, made.rough.low))
    return low, min(max(span.high for span in spans) + BESIDE, max(run, made.rough.high))


# ---------------------------------------------------------------- floor, framing, frame


def _stations(plan: Plan) -> tuple[Point, ...]:
    floor = plan.measured.floor
    return tuple((x, z) for x, z, _ in floor.stations) if floor else ()


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

    yield Solid("floor as it is", "floor", "floor", strip(low, high, near, far, 0.0), role="floor")
    if to_come > LEAST:
        wall = made.wall.thickness
        laid = (
            *strip(low, high, near, 0.0, to_come),
            *strip(made.opening.low, made.opening.high, 0.0, wall, to_come),
            *strip(low, high, wall, far, to_come),
        )
        yield Solid("flooring to come", "floor", "floor", laid, role="flooring")


def _members(plan: Plan) -> Iterator[Solid]:
    """Every piece that is there when the work is done; one whose depth nobody knows is left out."""
    made = plan.arrangement
    assert made is not None
    low, high = extent(plan, made)
    for member in standing(plan.members):
        solid = tuple(b for b in member.blocks if max(b.top) - min(b.bottom) > LEAST)
        if member.origin == "there already":
            shown = (replace(b, x0=max(b.x0, low), x1=min(b.x1, high)) for b in solid)
            solid = tuple(b for b in shown if b.x1 - b.x0 > LEAST)
        yield Solid(member.name, *_kind(member), solid, role=member.role)


def _kind(member: Member) -> tuple[str, Kind]:
    """What a piece belongs to, and of which material it is shown."""
    if member.role == "packers":
        return "packers", "packer"
    if member.key.startswith("frame."):
        return "frame", "frame"
    return "framing", "metal" if str(member.label).startswith("steel") else "timber"


def _track(made: Arrangement) -> Solid:
    heights = made.heights
    low = min((p.inside.low for p in made.pockets), default=made.opening.low)
    high = max((p.inside.high for p in made.pockets), default=made.opening.high)
    leaf_a, leaf_b = _leaf_faces(made)
    half = min(TRACK, (leaf_b - leaf_a) / 2)
    middle = (leaf_a + leaf_b) / 2
    return Solid(
        "track", "frame", "metal",
        (box(min(low, made.opening.low), max(high, made.opening.high), middle - half,
             middle + half, heights.track_bottom, heights.track_top),),
        role="track",
    )  # fmt: skip


def _leaf_faces(made: Arrangement) -> tuple[float, float]:
    """y of the leaf's two faces."""
    layer = next(layer for layer in made.pocket_section if layer.kind == "leaf")
    return layer.y0, layer.y1


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
    top = max(ceiling_of(plan.job, plan.measured), heights.rough_head)
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
    top = max(ceiling_of(plan.job, plan.measured), made.heights.rough_head)
    for name, service in _named(plan.services):
        x0, x1 = service.x - service.width / 2, service.x + service.width / 2
        z0 = max(service.z - service.height / 2, foot)
        z1 = min(service.z + service.height / 2, top)
        if x0 < low or x1 > high or z1 - z0 < LEAST:
            continue
        y = (-PLATE, 0.0) if service.face == "A" else (wall, wall + PLATE)
        moved = f", to be moved by the {movers[service.name]}" if service.name in movers else ""
        yield Solid(f"service {name} on side {service.face}{moved}", "services", "service",
                    (box(x0, x1, *y, z0, z1),), role="service")  # fmt: skip


def _named(services: Iterable[Service]) -> Iterator[tuple[str, Service]]:
    """Each service by a name of its own."""
    seen: set[str] = set()
    for number, service in enumerate(services, 1):
        name = service.name if service.name not in seen else f"{service.name} ({number})"
        seen.add(service.name)
        yield name, service
