"""Which faces are lined, over which supports, with which boards?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from truehang.catalogue import Catalogue
from truehang.catalogue.fasteners import BoardRule
from truehang.catalogue.regions import Region
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement, Span
from truehang.job import Job, models
from truehang.lengths import said
from truehang.lining import (
    BoardSize,
    Face,
    FacePlan,
    LiningPlan,
    LiningRules,
    PocketZone,
    ScrewLine,
    Support,
    Timber,
    bare_lines,
    lay_boards,
)
from truehang.lining.model import SupportKind
from truehang.measure import Measured
from truehang.members import Member, standing
from truehang.plan.faces import behind_groove, board_rule, no_go
from truehang.plan.given import Given
from truehang.plan.lined import lined_span, screwed_to
from truehang.plan.stays import staying
from truehang.plan.store import Store
from truehang.words import word

FLUSH = 1.0
"""Timber within this of the back of a lining holds its screws, mm (common practice, no source)."""
SAME_THICKNESS = 0.6
"""Boards within this of the layer's thickness will do, mm (10 for 9.5)."""
OTHER_BOARDS = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Lined:
    """The boards of both faces, one layout for each kind of board, and where each layer of each
    face is screwed."""

    plans: tuple[LiningPlan, ...]
    screws: tuple[tuple[Face, tuple[ScrewLine, ...]], ...]


def line(given: Given, measured: Measured, fit: Arrangement, framed: tuple[Member, ...]) -> Lined:
    """Which boards line the arrangement, and where they are screwed to its framing."""
    job, catalogue, region = given.job, given.catalogue, given.region
    by_board: dict[tuple[str, float], list[Face]] = {}
    for face, layer in _layers(job, measured, fit, framed):
        by_board.setdefault((layer.material, layer.thickness), []).append(face)
    rules = _rules(job, board_rule(catalogue, region))
    made: list[LiningPlan] = []
    for number, ((material, thickness), faces) in enumerate(by_board.items()):
        sizes = _sizes(job, catalogue, region, material, thickness)
        if not sizes:
            made.append(_not_sold(material, thickness))
            continue
        beside = tuple(face for one in made for face in one.faces)
        laid = _laid(tuple(faces), tuple(sizes), rules, beside, given.store)
        made.append(laid if number == 0 else _numbered(laid, number + 1))
    screwed = {one.face: one.screw_lines for laid in made for one in laid.faces}
    every = (face for faces in by_board.values() for face in faces)
    return Lined(
        tuple(made), tuple((face, screwed.get(face) or bare_lines(face, rules)) for face in every)
    )


def _laid(
    faces: tuple[Face, ...],
    sizes: tuple[BoardSize, ...],
    rules: LiningRules,
    beside: tuple[FacePlan, ...],
    store: Store,
) -> LiningPlan:
    given = (faces, sizes, rules, beside)
    return store.answer("lining", given, lambda: lay_boards(*given))


def _layers(
    job: Job, measured: Measured, fit: Arrangement, framed: tuple[Member, ...]
) -> Iterator[tuple[Face, models.Layer]]:
    """Each layer of each face, the layer next the studs first."""
    lining, there = job.wishes.lining, job.wall.make_up
    sides: tuple[tuple[Literal["A", "B"], tuple[models.Layer, ...]], ...] = (
        ("A", tuple(lining.face_a or there.face_a)),
        ("B", tuple(lining.face_b or there.face_b)),
    )
    stays = staying(job)
    for side, layers in sides:
        if side == stays:
            continue
        face = _face(job, measured, fit, framed, side)
        for number, layer in enumerate(reversed(layers), start=1):
            name = side if len(layers) == 1 else f"{side}{number}-"
            yield replace(face, id=name, side=side, layer=number), layer


def _face(
    job: Job,
    measured: Measured,
    fit: Arrangement,
    framed: tuple[Member, ...],
    side: Literal["A", "B"],
) -> Face:
    low, high, top = lined_span(job, measured, fit, framed)
    floor, head = fit.heights.floor_high, fit.heights.clear_head
    left, right = fit.opening.low, fit.opening.high
    behind = tuple(_behind(framed, fit, side))
    supports = _supports(job, fit, behind, side, (low, high))
    return Face(
        id=side,
        outline=((low, floor), (high, floor), (high, top), (low, top)),
        holes=(((left, floor), (right, floor), (right, head), (left, head)),),
        supports=tuple(sorted(supports, key=lambda s: s.x_mm)),
        zones=tuple(
            PocketZone(zone.label, zone.x0, zone.x1, zone.z0, zone.z1, zone.longest)
            for zone in no_go(fit)
            if zone.face == side
        ),
        mirrored=side == "B",
        timber=tuple(Timber(m.x.low, m.x.high, m.z.low, m.z.high) for m in behind),
    )


def _behind(
    framed: tuple[Member, ...], fit: Arrangement, side: Literal["A", "B"]
) -> Iterator[Member]:
    """The timber that the boards of a face lie against: what stands back from it holds no screw."""
    wall = fit.wall
    at = wall.lining_a if side == "A" else wall.thickness - wall.lining_b
    for member in standing(framed):
        if (
            member.role != "packers"
            and min(abs(member.y.low - at), abs(member.y.high - at)) < FLUSH
        ):
            yield member


def _supports(
    job: Job, fit: Arrangement, behind: tuple[Member, ...], side: str, edges: tuple[float, float]
) -> Iterator[Support]:
    """Every upright that the boards lie against. Where none stands at an end of the lining its edge
    is a support by itself; over the clear opening the timber over the frame is screwed to at stud
    centres. On a stud that only stands over the head no board of a pocket may end."""
    stud, opening, (low, high) = job.wall.make_up.studs, fit.opening, edges
    uprights = screwed_to(behind, side, edges)
    over = [
        member
        for member in standing(behind, "short stud")
        if low < member.x.middle < high and not any(_meets(member, one) for one in uprights)
    ]
    for member in (*uprights, *over):
        x = member.x
        if member.role == "closing jamb":
            middle = behind_groove(fit, Span(x.low, x.high)).middle
            yield Support(middle, "jamb", 2 * max(middle - x.low, x.high - middle))
            continue
        kind: SupportKind = "rib" if member.role == "rib" else "stud"
        joint = member.role != "short stud" or opening.low < x.middle < opening.high
        yield Support(x.middle, kind, x.length, joint)
    for end, inwards in ((low, 1.0), (high, -1.0)):
        if not any(m.x.low <= end + inwards * stud.width / 2 <= m.x.high for m in behind):
            yield Support(end, "edge", stud.width)
    if any(opening.low < one.x.middle < opening.high for one in over):
        return
    bays = math.ceil(opening.length / stud.spacing)
    for bay in range(1, bays):
        yield Support(opening.low + opening.length * bay / bays, "stud", stud.width)


def _meets(short: Member, one: Member) -> bool:
    """Do the screws into one upright meet a short stud on their way up?"""
    return short.x.low < one.x.middle < short.x.high


def _sizes(
    job: Job, catalogue: Catalogue, region: Region, material: str, thickness: float
) -> list[BoardSize]:
    longest = job.site.longest or math.inf
    return [
        BoardSize(
            board.code, board.width, board.length, board.thickness, board.kg_per_m2, board.price,
            board.on_hand, board.recessed,
        )
        for board in catalogue.boards_in(region)
        if board.use == "lining"
        and board.material == material
        and abs(board.thickness - thickness) <= SAME_THICKNESS
        and board.length <= longest
    ]  # fmt: skip


def _rules(job: Job, rule: BoardRule) -> LiningRules:
    people = 2 if job.site.helper or job.site.crew > 1 else 1
    return LiningRules(
        people=people, lift_kg_each=job.site.lift, field_mm=rule.spacing,
        edge_distance_mm=rule.edge,
    )  # fmt: skip


def _numbered(laid: LiningPlan, number: int) -> LiningPlan:
    """The same layout with figures whose keys say that it is another board's."""

    def own(key: str) -> str:
        return (
            f"lining.{number}.{key.removeprefix('lining.')}" if key.startswith("lining.") else key
        )

    return replace(
        laid,
        figures=tuple(
            replace(figure, key=own(figure.key), inputs=tuple(map(own, figure.inputs)))
            for figure in laid.figures
        ),
    )


def _not_sold(material: str, thickness: float) -> LiningPlan:
    finding = Finding(
        Severity.WARN,
        "lining.boards",
        f"no {word(material)} board {said(thickness, 1)} thick is in the catalogue for this "
        "region, or none that can be carried in",
        "lay this lining out by hand, or name another board",
        OTHER_BOARDS,
    )
    return LiningPlan((), (), (), None, 0, True, 0.0, 0, (), (finding,))
