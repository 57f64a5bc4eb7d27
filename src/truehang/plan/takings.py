"""How much is there to do? What tasks and goods are counted by, and what is thrown away."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from truehang.catalogue import Catalogue
from truehang.catalogue.rates import Waste
from truehang.job import Job
from truehang.job.models import Layer
from truehang.members import Member
from truehang.plan.lined import lined_span
from truehang.plan.model import Plan
from truehang.plan.stays import staying

OLD_TRIM = 0.1
"""How wide old trim and jamb linings are taken to be, m (common practice, no source)."""
TIMBER = 500.0
"""Mass of framing timber, kg/m3 (common practice, no source)."""
UNKNOWN_LAYER = 800.0
"""Mass of a lining that nobody weighed, kg/m3 (common practice, no source)."""
WOODEN = ("pine", "timber", "ply", "tongue", "hardwood")
RUBBLE = ("tile", "plaster", "lath", "brick", "masonry", "render", "concrete", "cement")


@dataclass(frozen=True, slots=True)
class Thrown:
    """One kind of rubbish: its mass (kg) and its loose volume (m3), from the least to the most."""

    kind: str
    label: str
    mass: float
    least: float
    most: float
    source: str


def measures(plan: Plan, catalogue: Catalogue) -> Mapping[str, float]:
    """The measures that tasks and goods are counted by, but for the days."""
    fit, job = plan.arrangement, plan.job
    assert fit is not None
    count = _counts(plan.members)
    taken = _taken(plan)
    kit = catalogue.kit_in(plan.region, fit.kit_id)
    frames = len(fit.pockets)
    return {
        "job": 1.0,
        "strip_m2": _stripped(plan),
        "opened_m2": 0.0 if job.wall.situation == "new-wall" else _stripped(plan),
        "pieces_out": count["out"],
        "props": float(_props(plan)),
        "pieces_in": count["in"],
        "heads": count["heads"],
        "supports": float(len(fit.packs)),
        "assembly_h": kit.assembly_hours * frames,
        "frames": float(frames),
        "leaves": float(len(fit.leaves)),
        "soft_close": taken.get("frame.soft-close", 0.0),
        "insulation_m2": taken.get("insulation", 0.0),
        "lining_m2": taken.get("lining-a", 0.0) + taken.get("lining-b", 0.0),
        "joint_m": taken.get("tape", 0.0),
        "bead_m": sum(amount for key, amount in taken.items() if "bead" in key),
        "trim_m": sum(amount for key, amount in taken.items() if key.startswith("trim-")),
        "skirting_m": sum(amount for key, amount in taken.items() if key.startswith("skirting-")),
        "seal_m": sum(amount for key, amount in taken.items() if key.startswith("seal-")),
        "compound_kg": taken.get("compound", 0.0),
        "tape_m": taken.get("tape", 0.0),
        "adhesive_tube": taken.get("adhesive", 0.0),
        "paint_walls_m2": taken.get("paint-walls", 0.0) if job.prices.paint is not False else 0.0,
        "paint_leaves_m2": taken.get("paint-leaves", 0.0) if job.prices.paint is not False else 0.0,
    }


def _taken(plan: Plan) -> dict[str, float]:
    return {item.key: item.quantity for item in plan.takeoff.items} if plan.takeoff else {}


def _counts(members: Iterable[Member]) -> dict[str, float]:
    """Pieces of framing that come out and go in; heads by themselves."""
    every = tuple(members)
    new = [m for m in every if m.origin == "new" and not m.bought_in and m.role != "packers"]
    heads = [m for m in new if m.role == "head"]
    return {
        "out": float(sum(m.origin == "comes out" for m in every)),
        "in": float(sum(not m.key.startswith("frame.") for m in new) - len(heads)),
        "heads": float(len(heads)),
    }


def _props(plan: Plan) -> int:
    sizing = plan.head_sizing
    if sizing is None or sizing.props is None:
        return 0
    return sizing.props.rows * sizing.props.per_row


def _stripped(plan: Plan) -> float:
    """Lining that comes off, both faces, and the old trim round an old opening, m2."""
    job, fit = plan.job, plan.arrangement
    assert fit is not None
    if job.wall.situation == "new-wall":
        return 0.0
    low, high, top = lined_span(job, plan.measured, fit, plan.members)
    height = top - fit.heights.floor_high
    face = (high - low) * height / 1e6
    faces = 1 if staying(job) else 2
    usable = plan.measured.usable
    if not job.wall.has_old or usable is None:
        return face * faces
    old = usable.width * usable.height / 1e6
    trim = (2 * usable.height + usable.width) / 1000 * OLD_TRIM
    return faces * (max(face - old, 0.0) + trim)


def thrown(plan: Plan, catalogue: Catalogue) -> tuple[Thrown, ...]:
    """What goes to the tip: old lining and framing, and what is cut off the new."""
    mass: dict[str, float] = {}
    for kind, kg in (*_old_lining(plan, catalogue), *_offcuts(plan, catalogue)):
        mass[kind] = mass.get(kind, 0.0) + kg
    by_id = {one.id: one for one in catalogue.rates.waste}
    return tuple(_loose(by_id[kind], kg) for kind, kg in mass.items() if kg > 0)


def _loose(kind: Waste, kg: float) -> Thrown:
    light, heavy = kind.loose
    return Thrown(kind.id, kind.name, kg, kg / heavy, kg / light, kind.source)


def _old_lining(plan: Plan, catalogue: Catalogue) -> list[tuple[str, float]]:
    job, there = plan.job, plan.job.wall.make_up
    stays = staying(job)
    faces = [face for name, face in (("A", there.face_a), ("B", there.face_b)) if name != stays]
    each = _stripped(plan) / len(faces)
    found = [
        (_kind_of(layer), each * _mass_of(layer, job, catalogue)) for face in faces
        for layer in face
    ]  # fmt: skip
    timber = sum(_volume(m) for m in plan.members if m.origin == "comes out") * TIMBER
    return [*found, ("timber", timber)]


def _kind_of(layer: Layer) -> str:
    if layer.material.startswith("plasterboard"):
        return "board"
    if any(word in layer.material for word in RUBBLE):
        return "rubble"
    return (
        "timber"
        if any(w in layer.material for w in ("pine", "timber", "ply", "tongue", "hardwood"))
        else "mixed"
    )


def _mass_of(layer: Layer, job: Job, catalogue: Catalogue) -> float:
    own = next((one for one in job.materials if one.id == layer.material), None)
    if own is not None:
        return float(own.mass)
    known = next((one for one in catalogue.materials if one.key == layer.material), None)
    mass = known.surface_density(layer.thickness) if known else None
    return UNKNOWN_LAYER * layer.thickness / 1000 if mass is None else mass


def _volume(member: Member) -> float:
    """m3 of one piece; nothing where its size is not known."""
    volume = sum(
        (b.x1 - b.x0) * (b.y1 - b.y0) * abs(sum(b.top) / len(b.top) - sum(b.bottom) / len(b.bottom))
        for b in member.blocks
    )
    return max(volume, 0.0) / 1e9


def _offcuts(plan: Plan, catalogue: Catalogue) -> list[tuple[str, float]]:
    boards = {board.code: board for board in catalogue.boards}
    found = []
    for layout in plan.lining:
        heavy = [boards[count.board].kg_per_m2 for count in layout.boards if count.board in boards]
        found.append(("board", layout.waste_m2 * max(heavy, default=0.0)))
    sizes = {
        **{s.code: s.breadth * s.depth for s in catalogue.timber_sections},
        **{m.code: m.thickness * m.width for m in catalogue.mouldings},
    }
    for section in plan.cutting.sections if plan.cutting else ():
        volume = section.waste_mm * sizes.get(section.section, 0.0) / 1e9
        found.append(("timber", volume * TIMBER))
    return [(kind, kg) for kind, kg in found if math.isfinite(kg)]
