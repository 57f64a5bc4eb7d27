"""How far does the head let the leaves down over their whole travel, and do the edges stay
parallel? For a head that carries itself, its lining and the leaves; what the building brings down
after they hang is added at its most, that of mid-span."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.rule import Given, Rule
from truehang.structure.beams import (
    Array,
    Beam,
    moving_deflection,
    rectangle,
    uniform_deflection,
)
from truehang.structure.inputs import HungLeaf, TrackHead
from truehang.structure.results import PRELIMINARY, HeadMovement, LeafMovement

GRAVITY = 9.81
STATIONS = 31
"""Positions of each leaf over its travel. The curve between two of them is smooth: a step is
1/30 of the travel, over which the deflection changes by far less than the reading of a tape."""
ENVELOPE_POINTS = 81
MEANS = {
    "w": "weight of head and lining for each length, N/mm",
    "D": "density, kg/m3",
    "b": "breadth of the head, all plies",
    "h": "depth of the head",
    "l": "lining, trim and track, kg/m",
    "y": "the most that the head may go down",
    "L": "span",
}
PERMANENT = Rule(
    "y = c × (5 × w × L^4/(32 × E × b × h^3) + 3 × w × L^2/(20 × S × b × h))",
    {
        **MEANS,
        "y": "how far the head goes down in the middle, in time",
        "c": "creep",
        "E": "modulus, MPa",
        "S": "shear modulus, MPa",
    },
)
SELF_LOAD = Rule("w = 9.81 × (D × b × h/10^6 + l)/1000", MEANS)
LIMIT = Rule("y = least(L/360, 3)", MEANS)
LIMIT_SOURCE = "common practice, no source: the lesser of span/360 and 3 mm"
PARALLEL_SOURCE = "common practice, no source: meeting edges parallel within 1.5"
BEAM_SOURCE = "closed forms of the simply supported beam, superposed; strength of materials"


@dataclass(frozen=True, slots=True)
class Travel:
    """One leaf's hangers over its travel, in the beam's frame."""

    leaf: HungLeaf
    moved: Array
    hangers: Array
    loads: Array


def head_movement(head: TrackHead) -> HeadMovement:
    """Deflection envelope of the head and what it does to each leaf.

    Both leaves may stand anywhere in their travel independently of each other; every pair of
    positions is looked at. A hanger off the span (in a pocket whose track is carried by other
    supports) does not load the head. Permanent load counts with creep.
    """
    member = head.member
    span = head.right - head.left
    breadth = member.breadth * member.plies
    beam = rectangle(span, breadth, member.depth, member.modulus, member.shear_modulus)
    weight = self_load(head)
    travels = tuple(leaf_travel(leaf, head.left) for leaf in head.leaves)
    leaves = tuple(
        _with_building(_leaf_movement(beam, weight, member.creep, travels, i), head.coming)
        for i in range(len(travels))
    )
    along = np.linspace(0.0, span, ENVELOPE_POINTS)
    envelope = uniform_deflection(beam, weight * member.creep, along)
    for travel in travels:
        envelope = envelope + moving_deflection(beam, travel.loads, travel.hangers, along).max(0)
    movement = HeadMovement(
        span=span,
        deflection=max(leaf.worst for leaf in leaves),
        permanent=PERMANENT(**{name: given.value for name, given in _bending(head).items()}),
        limit=deflection_limit(span),
        out_of_parallel=sum(leaf.closed_tilt for leaf in leaves),
        out_of_parallel_later=sum(leaf.later_tilt for leaf in leaves),
        leaves=leaves,
        x=tuple(float(x) for x in along + head.left),
        envelope=tuple(float(d) for d in envelope),
        figures=(),
        findings=(),
    )
    return HeadMovement(
        **{name: getattr(movement, name) for name in movement.__slots__[:-2]},
        figures=_figures(movement, head),
        findings=tuple(_findings(head, movement)),
    )


def _with_building(leaf: LeafMovement, coming: float) -> LeafMovement:
    """The same once the building over it has come down as well."""
    if coming <= 0.0:
        return leaf
    return replace(leaf, later_drop=leaf.later_drop + coming, least_gap=leaf.least_gap - coming)


def deflection_limit(span: float) -> float:
    """The most a head over hung leaves may go down, mm."""
    return LIMIT(L=span)


def self_load(head: TrackHead) -> float:
    """Weight of head, lining, trim and track for each length, N/mm."""
    member = head.member
    return SELF_LOAD(
        D=member.density, b=member.breadth * member.plies, h=member.depth, l=head.lining
    )


def _bending(head: TrackHead) -> dict[str, Given]:
    """What the head bends under in time, by the rule's symbols."""
    member = head.member
    return {
        "c": Given(member.creep, "catalogue:timber", ""),
        "w": Given(self_load(head), "structure.track_head.self_load", "N/mm"),
        "L": Given(head.right - head.left, ""),
        "E": Given(member.modulus, "catalogue:timber", "MPa"),
        "S": Given(member.shear_modulus, "catalogue:timber", "MPa"),
        "b": Given(member.breadth * member.plies, "catalogue:timber"),
        "h": Given(member.depth, "catalogue:timber"),
    }


def leaf_travel(leaf: HungLeaf, left: float) -> Travel:
    moved = np.linspace(0.0, leaf.travel, STATIONS)
    closed = np.asarray(leaf.hangers) - left
    return Travel(leaf, moved, closed[None, :] + moved[:, None], np.asarray(leaf.loads))


def _leaf_movement(
    beam: Beam, weight: float, creep: float, travels: tuple[Travel, ...], index: int
) -> LeafMovement:
    """Own positions run over axis 0, the other leaf's over axis 1, the two hangers over axis 2."""
    mine = travels[index]
    dead = uniform_deflection(beam, weight, mine.hangers)
    down = (moving_deflection(beam, mine.loads, mine.hangers, mine.hangers) + dead)[:, None, :]
    for other in travels[:index] + travels[index + 1 :]:
        by_other = moving_deflection(beam, other.loads, other.hangers, mine.hangers.reshape(1, -1))
        down = down + by_other.reshape(STATIONS, STATIONS, 2).transpose(1, 0, 2)
    as_hung = down[0, 0, :]
    aged = down + ((creep - 1.0) * dead)[:, None, :]
    worst = aged.max(axis=(1, 2))
    later = _edge_drops(mine.leaf, aged - as_hung)
    lever = mine.leaf.height / abs(mine.leaf.leading - mine.leaf.trailing)
    hung = [float(drop) for drop in _edge_drops(mine.leaf, as_hung)]
    return LeafMovement(
        name=mine.leaf.name,
        worst=float(worst.max()),
        at=float(mine.moved[int(worst.argmax())]),
        hung_drop=(hung[0], hung[1]),
        closed_tilt=(hung[0] - hung[1]) * lever,
        later_drop=max(float(edge.max()) for edge in later),
        later_tilt=float(later[0][0, 0] - later[1][0, 0]) * lever,
        least_gap=mine.leaf.floor_gap - max(0.0, *(float(edge.max()) for edge in later)),
    )


def _edge_drops(leaf: HungLeaf, down: Array) -> tuple[Array, Array]:
    """The leaf is stiff: its edges lie on the straight line through its two hangers."""
    first, second = leaf.hangers
    slope = (down[..., 1] - down[..., 0]) / (second - first)
    leading: Array = down[..., 0] + slope * (leaf.leading - first)
    trailing: Array = down[..., 0] + slope * (leaf.trailing - first)
    return leading, trailing


def _figures(movement: HeadMovement, head: TrackHead) -> tuple[Figure, ...]:
    return (
        *_under_itself(movement, head),
        *_under_leaves(movement),
        *(
            figure
            for number, leaf in enumerate(movement.leaves)
            for figure in _of_leaf(number, leaf, coming=head.coming > 0.0)
        ),
    )


def _under_itself(movement: HeadMovement, head: TrackHead) -> tuple[Figure, ...]:
    return (
        SELF_LOAD.figure(
            "structure.track_head.self_load",
            "Head and lining, per length",
            {
                "D": Given(head.member.density, "catalogue:timber", "kg/m3"),
                "b": Given(head.member.breadth * head.member.plies, "catalogue:timber"),
                "h": Given(head.member.depth, "catalogue:timber"),
                "l": Given(head.lining, "job:wall", "kg/m"),
            },
            "statics",
            unit="N/mm",
        ),
        PERMANENT.figure(
            "structure.track_head.permanent",
            "Head down under its own load, in time",
            _bending(head),
            BEAM_SOURCE,
            behind=("fit.opening",),
        ),
        LIMIT.figure(
            "structure.track_head.limit",
            "Most the head may go down",
            {"L": Given(movement.span, "")},
            LIMIT_SOURCE,
        ),
    )


def _under_leaves(movement: HeadMovement) -> tuple[Figure, ...]:
    """What the worst of all places of the leaves gives: searched, so told in words."""
    masses = tuple(f"hardware.{number}.mass" for number in range(len(movement.leaves)))
    return (
        Figure(
            "structure.track_head.deflection",
            "Most the head goes down at a hanger",
            movement.deflection,
            "mm",
            "permanent + each leaf as two point loads, worst of all positions",
            ("structure.track_head.permanent", *masses),
            BEAM_SOURCE,
        ),
        Figure(
            "structure.track_head.out_of_parallel",
            "Closing edges open towards the floor as first hung; the hanger bolts take out",
            movement.out_of_parallel,
            "mm",
            "slope between the hangers x leaf height, leaves closed",
            ("structure.track_head.deflection",),
            BEAM_SOURCE,
        ),
        Figure(
            "structure.track_head.out_of_parallel_later",
            "Closing edges open further in time; look again after a year, the bolts take out",
            movement.out_of_parallel_later,
            "mm",
            "the same slope from creep of the permanent load alone",
            ("structure.track_head.permanent",),
            BEAM_SOURCE,
        ),
    )


def _of_leaf(number: int, leaf: LeafMovement, *, coming: bool) -> tuple[Figure, ...]:
    building = " - what the building brings down after that" if coming else ""
    from_building = ("structure.head.drop",) if coming else ()
    return (
        Figure(
            f"structure.track_head.{number}.hung_drop",
            f"Head lets {leaf.name} down when first hung (leading edge)",
            leaf.hung_drop[0],
            "mm",
            "deflection at the hangers, leaves closed, carried on to the edge",
            ("structure.track_head.deflection",),
            BEAM_SOURCE,
        ),
        Figure(
            f"structure.track_head.{number}.least_gap",
            f"Least floor gap of {leaf.name} after it is hung and adjusted closed",
            leaf.least_gap,
            "mm",
            f"floor gap - further drop of an edge over the travel and in time{building}",
            (
                f"structure.track_head.{number}.hung_drop",
                f"fit.floor_gap.{number}.least",
                *from_building,
            ),
            BEAM_SOURCE,
        ),
    )


def _of_building(head: TrackHead) -> str:
    if head.coming <= 0.0:
        return ""
    return f" ({said(head.coming, 1)} of it is the building's, under live load and in time; " \
        f"{PRELIMINARY})"  # fmt: skip


def _findings(head: TrackHead, movement: HeadMovement) -> list[Finding]:
    findings = []
    if movement.deflection > movement.limit:
        findings.append(
            Finding(
                Severity.WARN,
                "head",
                f"{head.member.name} goes down {said(movement.deflection, 1)} at a hanger over "
                f"a span of {said(movement.span)}; the limit is {said(movement.limit, 1)} "
                f"({said(movement.permanent, 1)} at most is its own load, in time)",
                "use a deeper or doubled head, fix it up to framing over it, or lighter leaves",
                LIMIT_SOURCE,
            )
        )
    for leaf in movement.leaves:
        if leaf.least_gap < head.least_floor_gap:
            findings.append(
                Finding(
                    Severity.WARN,
                    leaf.name,
                    f"the head's movement leaves "
                    f"{said(leaf.least_gap, limit=head.least_floor_gap)} under the leaf; "
                    f"{said(head.least_floor_gap)} is the least{_of_building(head)}",
                    "ask the engineer for a stiffer head, or order the leaf shorter"
                    if head.coming > 0.0
                    else "stiffen the head, or order the leaf shorter",
                    "common practice, no source: floor gap never under 5",
                )
            )
    if abs(movement.out_of_parallel_later) > head.most_out_of_parallel:
        findings.append(
            Finding(
                Severity.WARN,
                "head",
                f"closed edges will open a further "
                f"{said(movement.out_of_parallel_later, 1)} from top to bottom in time; "
                f"{said(head.most_out_of_parallel, 1)} is the most",
                "stiffen the head",
                PARALLEL_SOURCE,
            )
        )
    elif abs(movement.out_of_parallel) > head.most_out_of_parallel:
        findings.append(
            Finding(
                Severity.NOTE,
                "head",
                f"as first hung the closed edges open {said(movement.out_of_parallel, 1)} from top "
                "to bottom, since the head goes down",
                "hang, close, then adjust the hangers until the edges are parallel; look again "
                "once the lining is on",
                PARALLEL_SOURCE,
            )
        )
    return findings
