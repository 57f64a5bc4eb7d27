"""An independent checker of lining layouts: it knows boards, supports and rules, nothing else.

It takes the finished layout apart with Shapely and says what is wrong with it. Rules of the trade
here are common practice, no source, unless a line names one; see `docs/theory/lining.md`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import pytest
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from truehang.lining import BoardSize, FacePlan, LiningPlan, LiningRules

NEAR = 0.5


Faults = Callable[[Sequence[LiningPlan], Sequence[BoardSize], LiningRules], list[str]]


@pytest.fixture(name="faults")
def faults_() -> Faults:
    """The checker."""
    return faults


def faults(
    plans: Sequence[LiningPlan], boards: Sequence[BoardSize], rules: LiningRules
) -> list[str]:
    """Everything that is wrong with these layouts of one wall."""
    faces = [face for plan in plans for face in plan.faces]
    said = " ".join(f"{f.where}: {f.what}" for plan in plans for f in plan.findings)
    found = []
    for face in faces:
        name = face.face.id
        found += [f"{name}: {fault}" for fault in _covered(face, rules)]
        found += [f"{name}: {fault}" for fault in _supported(face, rules)]
        found += [f"{name}: {fault}" for fault in _staggered(face, rules)]
        found += [f"{name}: {fault}" for fault in _no_slivers(face, rules)]
        heavy = [p.id for p in face.pieces if p.mass_kg > rules.people * rules.lift_kg_each + 1e-6]
        found += [f"{name}: {id} is too heavy" for id in heavy]
    for one, two in itertools.combinations(faces, 2):
        if one.face.side == two.face.side and abs(one.face.layer - two.face.layer) == 1:
            told = f"lining.face {one.face.id}: " in said or f"lining.face {two.face.id}: " in said
            if not (told and "in the layer under" in said):
                found += _layers(one, two, rules)
        elif one.face.side != two.face.side:
            told = "both sides fall on the upright" in said
            found += [] if told else _same_stud(one, two)
    for plan in plans:
        found += _cut_from(plan, boards)
    return found


def _surface(face: FacePlan, rules: LiningRules) -> BaseGeometry:
    whole = Polygon(face.face.outline) - unary_union([Polygon(h) for h in face.face.holes])
    x0, z0, x1, z1 = whole.bounds
    return whole & box(x0, z0 + rules.floor_gap_mm, x1, z1)


def _covered(face: FacePlan, rules: LiningRules) -> list[str]:
    shapes = [Polygon(piece.outline) for piece in face.pieces]
    whole = unary_union(shapes)
    found = []
    if whole.symmetric_difference(_surface(face, rules)).area > 1:
        found.append("the pieces are not the face")
    if sum(shape.area for shape in shapes) - whole.area > 1:
        found.append("pieces overlap")
    return found


def _seams(face: FacePlan) -> list[tuple[float, float, float, float]]:
    """Where pieces meet, from their outlines alone: (x0, z0, x1, z1)."""
    found = []
    for a, b in itertools.combinations([Polygon(p.outline) for p in face.pieces], 2):
        shared = a.boundary.intersection(b.boundary)
        for part in getattr(shared, "geoms", [shared]):
            if isinstance(part, LineString) and part.length > 1:
                ends = list(part.coords)
                found += [(*one, *two) for one, two in itertools.pairwise(ends)]
    return [(min(a, c), min(b, d), max(a, c), max(b, d)) for a, b, c, d in found]


def _upright(seam: tuple[float, float, float, float]) -> bool:
    return seam[2] - seam[0] < NEAR


def _supported(face: FacePlan, rules: LiningRules) -> list[str]:
    wide = [s.x_mm for s in face.face.supports if s.width_mm >= 30]
    corners = [corner for hole in face.face.holes for corner in hole]
    found = []
    for seam in _seams(face):
        x0, z0, _, z1 = seam
        if _upright(seam):
            if min(abs(x0 - x) for x in wide) > NEAR:
                found.append(f"the joint at x {x0:.1f} is on no support")
            near = [x for x, z in corners if z0 - 100 <= z <= z1 + 100]
            if any(abs(x0 - x) < rules.corner_clear_mm - NEAR for x in near):
                found.append(f"the joint at x {x0:.1f} is in line with a corner")
        elif any(abs(z0 - z) < rules.corner_clear_mm - NEAR for _, z in corners):
            found.append(f"the joint at z {z0:.1f} is in line with a corner")
    return found


def _staggered(face: FacePlan, rules: LiningRules) -> list[str]:
    """Where two upright joints of one face meet end to end, or nearly."""
    if face.lay != "across":
        return []
    places = sorted({s.x_mm for s in face.face.supports})
    gaps = sorted(b - a for a, b in itertools.pairwise(places) if b - a > 1)
    middle = len(gaps) // 2
    median = gaps[middle] if len(gaps) % 2 else (gaps[middle - 1] + gaps[middle]) / 2
    shift = median if rules.stagger_mm is None else rules.stagger_mm
    uprights = [seam for seam in _seams(face) if _upright(seam)]
    return [
        f"joints at x {a[0]:.1f} and {b[0]:.1f} of neighbouring courses"
        for a, b in itertools.combinations(uprights, 2)
        if (abs(a[3] - b[1]) < NEAR or abs(b[3] - a[1]) < NEAR) and abs(a[0] - b[0]) < shift - 1
    ]


def _no_slivers(face: FacePlan, rules: LiningRules) -> list[str]:
    """No joint leaves a piece narrower or lower than the rules say."""
    found = []
    seams = _seams(face)
    for piece in face.pieces:
        x0, z0, x1, z1 = Polygon(piece.outline).bounds
        beside = [
            s for s in seams
            if _upright(s) and min(s[3], z1) - max(s[1], z0) > 1
            and min(abs(s[0] - x0), abs(s[0] - x1)) < NEAR
        ]  # fmt: skip
        level = [
            s for s in seams
            if not _upright(s) and min(s[2], x1) - max(s[0], x0) > 1
            and min(abs(s[1] - z0), abs(s[1] - z1)) < NEAR
        ]  # fmt: skip
        if beside and x1 - x0 < rules.least_piece_mm - NEAR:
            found.append(f"{piece.id} is {x1 - x0:.1f} wide")
        if level and z1 - z0 < rules.least_course_mm - NEAR:
            found.append(f"{piece.id} is {z1 - z0:.1f} high")
    return found


def _layers(one: FacePlan, two: FacePlan, rules: LiningRules) -> list[str]:
    """Joints of one layer that run along those of the next."""
    found = []
    for a, b in itertools.product(_seams(one), _seams(two)):
        if _upright(a) != _upright(b):
            continue
        at, along = (0, 1) if _upright(a) else (1, 0)
        overlap = min(a[along + 2], b[along + 2]) - max(a[along], b[along])
        if overlap > 1 and abs(a[at] - b[at]) < rules.layer_shift_mm - 1:
            found.append(f"{one.face.id} and {two.face.id} share the joint at {a[at]:.1f}")
    return found


def _same_stud(one: FacePlan, two: FacePlan) -> list[str]:
    a, b = ({s[0] for s in _seams(face) if _upright(s)} for face in (one, two))
    return [
        f"{one.face.id} and {two.face.id} have joints on the stud at {x:.1f}"
        for x, y in itertools.product(a, b)
        if abs(x - y) < 29
    ]


def _cut_from(plan: LiningPlan, boards: Sequence[BoardSize]) -> list[str]:
    """Each piece is cut once, from a board that is bought, beside the others on it."""
    sold = {board.id: board for board in boards}
    pieces = {piece.id: piece for face in plan.faces for piece in face.pieces}
    cut = [placed.piece for sheet in plan.sheets for placed in sheet.pieces]
    found = [] if sorted(cut) == sorted(pieces) else ["the pieces cut are not those on the wall"]
    counts = {item.board: item.count for item in plan.boards}
    for id, count in counts.items():
        if sum(sheet.board == id for sheet in plan.sheets) != count:
            found.append(f"{id}: not as many are cut as are bought")
    for sheet in plan.sheets:
        whole = box(0, 0, sold[sheet.board].length_mm, sold[sheet.board].width_mm).buffer(0.1)
        shapes = [Polygon(placed.outline) for placed in sheet.pieces]
        if not all(whole.contains(shape) for shape in shapes):
            found.append(f"board {sheet.number}: a piece hangs over")
        # Sizes to cut are rounded to a tenth of a millimetre.
        if sum(shape.area for shape in shapes) - unary_union(shapes).area > 0.1 * sheet.length_mm:
            found.append(f"board {sheet.number}: pieces overlap")
        for placed in sheet.pieces:
            piece = pieces.get(placed.piece)
            if piece is None:
                continue
            if abs(Polygon(placed.outline).area - Polygon(piece.outline).area) > 5 * piece.along_mm:
                found.append(f"{piece.id}: what is cut is not what hangs")
    return found
