"""Which faces are lined, over which supports, with which boards?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from truehang.catalogue import Catalogue
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.job import models
from truehang.lining import (
    BoardSize,
    Face,
    LiningPlan,
    LiningRules,
    PocketZone,
    Support,
    lay_boards,
)
from truehang.lining.model import SupportKind
from truehang.members import Role, standing
from truehang.plan.lined import lies_on, lined_span, screwed_to
from truehang.plan.model import Plan

SAME_THICKNESS = 0.6
"""Boards within this of the layer's thickness will do, mm (10 for 9.5)."""
_KINDS: dict[Role, SupportKind] = {"rib": "rib", "closing jamb": "jamb"}
OTHER_BOARDS = "common practice, no source"


def line(plan: Plan, catalogue: Catalogue) -> tuple[LiningPlan, ...]:
    """The boards of both faces, one layout for each kind of board; empty where nothing fits."""
    fit = plan.arrangement
    if fit is None:
        return ()
    by_board: dict[tuple[str, float], list[Face]] = {}
    for face, layer in _layers(plan, fit):
        by_board.setdefault((layer.material, layer.thickness), []).append(face)
    made: list[LiningPlan] = []
    for number, ((material, thickness), faces) in enumerate(by_board.items()):
        sizes = _sizes(plan, catalogue, material, thickness)
        if not sizes:
            made.append(_not_sold(material, thickness))
            continue
        beside = [face for one in made for face in one.faces]
        laid = lay_boards(faces, sizes, _rules(plan), beside)
        made.append(laid if number == 0 else _numbered(laid, number + 1))
    return tuple(made)


def _layers(plan: Plan, fit: Arrangement) -> Iterator[tuple[Face, models.Layer]]:
    """Each layer of each face, the layer next the studs first."""
    lining, there = plan.job.wishes.lining, plan.job.wall.make_up
    for side, layers in (
        ("A", lining.face_a or there.face_a),
        ("B", lining.face_b or there.face_b),
    ):
        face = _face(plan, fit, side)
        for number, layer in enumerate(reversed(layers), start=1):
            name = side if len(layers) == 1 else f"{side}{number}"
            yield replace(face, id=name, side=side, layer=number), layer


def _face(plan: Plan, fit: Arrangement, side: str) -> Face:
    low, high, top = lined_span(plan.job, plan.measured, fit, plan.members)
    floor, head = fit.heights.floor_high, fit.heights.clear_head
    left, right = fit.opening.low, fit.opening.high
    no_go = plan.fixings.no_go if plan.fixings else ()
    return Face(
        id=side,
        outline=((low, floor), (high, floor), (high, top), (low, top)),
        holes=(((left, floor), (right, floor), (right, head), (left, head)),),
        supports=tuple(sorted(_supports(plan, fit, side, low, high), key=lambda s: s.x_mm)),
        zones=tuple(
            PocketZone(zone.label, zone.x0, zone.x1, zone.z0, zone.z1, zone.longest)
            for zone in no_go
            if zone.face == side
        ),
        mirrored=side == "B",
    )


def _supports(
    plan: Plan, fit: Arrangement, side: str, low: float, high: float
) -> Iterator[Support]:
    """Every upright behind a face, and what the old lining's edge lies on where none stands there.

    Over the clear opening the lining is screwed to the short studs, or where there are none to the
    head, which is timber throughout, at stud centres.
    """
    studs, opening = plan.job.wall.make_up.studs, fit.opening
    beside = screwed_to(plan.members, side, (low, high))
    for piece in beside:
        yield Support(piece.x.middle, _KINDS.get(piece.role, "stud"), piece.x.length)
    for edge in (low, high):
        if not any(lies_on(piece, edge) for piece in beside):
            yield Support(edge, "edge", studs.width)
    over = [
        Support(piece.x.middle, "stud", piece.x.length)
        for piece in standing(plan.members, "short stud")
        if opening.low < piece.x.low and piece.x.high < opening.high
    ]
    bays = 0 if over else math.ceil(opening.length / studs.spacing)
    yield from over
    for bay in range(1, bays):
        yield Support(opening.low + opening.length * bay / bays, "stud", studs.width)


def _sizes(plan: Plan, catalogue: Catalogue, material: str, thickness: float) -> list[BoardSize]:
    longest = plan.job.site.longest or math.inf
    return [
        BoardSize(
            board.code, board.width, board.length, board.thickness, board.kg_per_m2, board.price,
            board.on_hand, board.recessed,
        )
        for board in catalogue.boards_in(plan.region)
        if board.use == "lining"
        and board.material == material
        and abs(board.thickness - thickness) <= SAME_THICKNESS
        and board.length <= longest
    ]  # fmt: skip


def _rules(plan: Plan) -> LiningRules:
    site = plan.job.site
    people = 2 if site.helper or site.crew > 1 else 1
    return LiningRules(people=people, lift_kg_each=site.lift)


def _numbered(laid: LiningPlan, number: int) -> LiningPlan:
    """The same layout with figures whose keys say that it is another board's."""
    return replace(
        laid,
        figures=tuple(
            replace(figure, key=figure.key.replace("lining.", f"lining.{number}.", 1))
            for figure in laid.figures
        ),
    )


def _not_sold(material: str, thickness: float) -> LiningPlan:
    finding = Finding(
        Severity.WARN,
        "lining.boards",
        f"no {material} board {thickness:g} thick is in the catalogue for this region, or none "
        "that can be carried in",
        "lay this lining out by hand, or name another board",
        OTHER_BOARDS,
    )
    return LiningPlan((), (), (), None, 0, True, 0.0, 0, (), (finding,))
