"""What does the structure room get: the evidence, the head over the leaves, the loads on it?"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.catalogue.timber import Grade, Section
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.hardware import LeafHardware
from truehang.job import Job
from truehang.members import standing
from truehang.plan.frame import frame_of
from truehang.plan.stud import new_stud
from truehang.structure import (
    PRELIMINARY,
    AreaLoad,
    BearingHead,
    EngineerRecord,
    Evidence,
    HeadMember,
    HeadMovement,
    HeadSizing,
    HungLeaf,
    MouthRibs,
    NamedLoads,
    OpeningUpRecord,
    TrackHead,
    TrackHeadChoice,
    Unlined,
    described,
    drop_after_hanging,
    head_movement,
    named_loads,
    size_head,
    track_head_choices,
    unlined,
)
from truehang.words import word

PRACTICE = "common practice, no source"
_ROOF: dict[str, Literal["trusses", "propped", "rafters", "floor-over", "unknown"]] = {
    "trussed": "trusses",
    "propped": "propped",
    "cut": "rafters",
    "none-above": "floor-over",
    "unknown": "unknown",
}
_LINTELS: dict[bool | None, Literal["heavy", "none-seen", "unknown"]] = {
    True: "heavy",
    False: "none-seen",
    None: "unknown",
}
LINING_MASS = 12.0
"""Lining, trim and track on the head, kg per metre (common practice, no source)."""
LEAST_HEAD = 70.0
"""Depth under which no timber is put in as a head, mm (common practice, no source)."""
MOST_TRIED = 20
"""How many of the sections that keep the deflection limit are looked at in full."""


def evidence(job: Job) -> Evidence:
    """The evidence of load in the structure room's words. A lintel seen counts as a heavy one,
    which is the safer reading."""
    given = job.wall.evidence
    opened, engineer = given.opened_up, given.engineer
    return Evidence(
        joists=given.joists,
        joints_over=given.joint_over,
        roof=_ROOF[given.roof],
        wall_over=given.wall_over,
        wall_under=given.wall_under,
        lintels=_LINTELS[given.lintel],
        opened_up=OpeningUpRecord(opened.finding, opened.who, opened.when, opened.photo)
        if opened
        else None,
        engineer=EngineerRecord(engineer.who, engineer.when, engineer.document)
        if engineer
        else None,
    )


@dataclass(frozen=True, slots=True)
class HungHead:
    """The head that the track is fixed to, how it moves, and what to know of it.

    `choice` is None where nothing sold keeps the limit; the movement is then of the stiffest.
    """

    choice: TrackHeadChoice | None
    depth: float
    movement: HeadMovement
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]
    props: bool
    """The mouths are propped until both faces are lined."""


def track_head(
    arrangement: Arrangement,
    catalogue: Catalogue,
    region: Region,
    hardware: tuple[LeafHardware, ...],
    room: float,
) -> HungHead:
    """A new timber over the clear opening that the frame's head is screwed up to: the lightest sawn
    section on edge that keeps the limits and is no deeper than `room` (mm). The frame's own head
    counts for nothing, which is on the safe side; over the pockets the ribs carry the track."""
    opening = arrangement.opening
    span = (opening.low, opening.high)
    found = lightest(arrangement, catalogue, region, hardware, span, (room, None))
    if found is not None:
        choice, movement, member = found.choice, found.movement, found.choice.member
        timber = found.timber
    else:
        choice = None
        timber, sections = framing(catalogue, region, arrangement.wall.stud)
        member = _member(timber, sections[-1], 2)
        movement = head_movement(track_head_of(arrangement, hardware, member, span))
    figure = Figure(
        key="structure.track_head",
        label=f"{word('timber')} that the track hangs from",
        value=member.name,
        unit="",
        rule="lightest sawn section on edge that keeps the limits of deflection, now and in time",
        inputs=("fit.opening", "job:job.region"),
        source=PRACTICE,
    )
    held = track_head_of(arrangement, hardware, member, span)
    bare = bare_head(arrangement, catalogue, region, held, timber)
    return HungHead(
        choice=choice,
        depth=member.depth,
        movement=movement,
        findings=(*bare.findings, *(() if choice else (_too_soft(member),))),
        figures=(figure, *bare.figures),
        props=bare.props,
    )


@dataclass(frozen=True, slots=True)
class Lightest:
    """The lightest section sold that holds the track over a span, and how it moves. `holds`: it
    keeps the leaves true, in time too."""

    choice: TrackHeadChoice
    movement: HeadMovement
    timber: Grade

    @property
    def holds(self) -> bool:
        """True where nothing of its movement is more than a note."""
        return keeps_true(self.movement)


def lightest(
    arrangement: Arrangement,
    catalogue: Catalogue,
    region: Region,
    hardware: tuple[LeafHardware, ...],
    span: tuple[float, float],
    most: tuple[float, float | None] = (math.inf, None),
) -> Lightest | None:
    """The lightest sawn section no deeper and no thicker through the wall than `most` (mm; None:
    than the studs) that holds the track from support to support (x, mm); where none
    keeps the leaves true in time, the lightest that keeps the limit of deflection. None where none
    sold does."""
    room, breadth = most
    if room < LEAST_HEAD:
        return None
    timber = catalogue.timber_in(region)
    choices = track_head_choices(
        span,
        _hung(arrangement, hardware),
        region.timber_code,
        timber,
        lining=LINING_MASS,
        most=(room, arrangement.wall.stud + 0.5 if breadth is None else breadth),
    )
    grade_of = {section.code: timber.grade(section.grade) for section in timber.sawn}
    made = (
        Lightest(
            one,
            head_movement(track_head_of(arrangement, hardware, one.member, span)),
            grade_of[one.section],
        )
        for one in choices[:MOST_TRIED]
    )
    first: Lightest | None = None
    for one in made:
        if one.holds:
            return one
        first = first or one
    return first


def moved_by(
    arrangement: Arrangement,
    hardware: tuple[LeafHardware, ...],
    member: HeadMember,
    span: tuple[float, float],
) -> HeadMovement:
    """How a given member moves under the leaves from support to support (x, mm)."""
    return head_movement(track_head_of(arrangement, hardware, member, span))


def track_head_of(
    arrangement: Arrangement,
    hardware: tuple[LeafHardware, ...],
    member: HeadMember,
    span: tuple[float, float],
) -> TrackHead:
    """A member that holds the track from support to support (x, mm)."""
    return TrackHead(*span, member, _hung(arrangement, hardware), lining=LINING_MASS)


def bare_head(
    arrangement: Arrangement,
    catalogue: Catalogue,
    region: Region,
    held: TrackHead,
    timber: Grade,
    studs: tuple[float, float] | None = None,
) -> Unlined:
    """The head as `held` before the lining is on, when the ribs at the mouths may not hold it: it
    rests on the back studs then, or on what else stands at `studs` (x, mm)."""
    studs = studs or _between_back_studs(arrangement)
    ribs = _mouth_ribs(arrangement, catalogue, region)
    code = catalogue.timber_in(region).code(region.timber_code)
    return unlined(held, studs, ribs, timber, code)


def _between_back_studs(arrangement: Arrangement) -> tuple[float, float]:
    """Where the head rests while no rib can be trusted: the back studs, and the closing jamb."""
    ends = [piece.x for piece in standing(frame_of(arrangement), "back stud", "closing jamb")]
    low, high = sorted(ends, key=lambda span: span.low)
    return low.high, high.low


def _mouth_ribs(arrangement: Arrangement, catalogue: Catalogue, region: Region) -> MouthRibs | None:
    """The ribs at one mouth, in the region's basic timber; None where they are folded steel."""
    kit = catalogue.kit_in(region, arrangement.kit_id)
    if kit.frame == "steel":
        return None
    basic, _ = framing(catalogue, region, arrangement.wall.stud)
    rib = next(piece for piece in standing(frame_of(arrangement), "rib") if piece.at_mouth)
    return MouthRibs(
        width=rib.x.length,
        thickness=rib.y.length,
        length=rib.length,
        modulus=basic.modulus,
    )


def keeps_true(movement: HeadMovement) -> bool:
    """Nothing of this movement is more than a note."""
    return all(finding.severity < Severity.WARN for finding in movement.findings)


def _too_soft(member: HeadMember) -> Finding:
    return Finding(
        Severity.HOLD,
        "head",
        f"no sawn {word('timber')} that is sold here, and goes in here, keeps the leaves true; "
        f"{member.name} was reckoned, and none is ordered",
        "narrow the clear width, take lighter leaves, or have an engineered head designed",
        PRACTICE,
        before="order",
    )


def framing(catalogue: Catalogue, region: Region, stud: float) -> tuple[Grade, tuple[Section, ...]]:
    """The region's basic grade and its sections that go into the wall, shallowest first; where the
    wall is thinner than any of them, all. A whole region sells some."""
    by_code = {grade.code: grade for grade in catalogue.timber_grades}
    sold = [s for s in catalogue.timber_in(region).sawn if s.depth >= LEAST_HEAD]
    sections = [section for section in sold if section.breadth <= stud + 0.5] or sold
    basic = min((by_code[section.grade] for section in sections), key=lambda g: g.modulus)
    mine = [section for section in sections if section.grade == basic.code]
    return basic, tuple(sorted(mine, key=lambda s: (s.depth, s.breadth)))


def _member(grade: Grade, section: Section, plies: int) -> HeadMember:
    times = f"{plies} x " if plies > 1 else ""
    return HeadMember(
        name=f"{times}{section.depth:g} x {section.breadth:g} {grade.code} on edge",
        breadth=section.breadth,
        depth=section.depth,
        modulus=grade.modulus,
        shear_modulus=grade.shear_modulus,
        density=grade.density,
        plies=plies,
    )


def _hung(arrangement: Arrangement, hardware: tuple[LeafHardware, ...]) -> tuple[HungLeaf, ...]:
    leaves = []
    gaps = {gap.leaf: gap.least for gap in arrangement.floor_gaps}
    for leaf, loads in zip(arrangement.leaves, hardware, strict=True):
        low, high = leaf.hangers_closed
        leftward = leaf.pocket == "left"
        leaves.append(
            HungLeaf(
                name=leaf.name,
                leading=leaf.closed.high if leftward else leaf.closed.low,
                trailing=leaf.closed.low if leftward else leaf.closed.high,
                hangers=(high, low) if leftward else (low, high),
                loads=loads.standing,
                travel=-leaf.travel if leftward else leaf.travel,
                height=leaf.height,
                floor_gap=gaps[leaf.name],
            )
        )
    return tuple(leaves)


def area_loads(job: Job) -> tuple[AreaLoad, ...]:
    """What bears on the wall as the job has it, a wall over among it."""
    given = job.wall.evidence
    loads = [
        AreaLoad(load.id, load.kind, load.dead, load.live, load.tributary, load.uplift)
        for load in given.loads
    ]
    if given.wall_load > 0:
        loads.append(AreaLoad("wall over", "wall", given.wall_load, 0.0, 1000.0))
    return tuple(loads)


def named(job: Job) -> NamedLoads:
    """Do the job's loads hold what its evidence names?"""
    return named_loads(evidence(job), [load.kind for load in area_loads(job)])


def bearing_head(
    job: Job,
    arrangement: Arrangement,
    catalogue: Catalogue,
    region: Region,
    hardware: tuple[LeafHardware, ...],
    head_limit: float,
) -> HeadSizing | None:
    """Preliminary sizing of a head that carries load; None where the loads are not known, or leave
    out what the evidence names. It stays under `head_limit` (z, mm)."""
    given, loads = job.wall.evidence, area_loads(job)
    if not loads or not named(job).complete:
        return None
    grade, _ = framing(catalogue, region, arrangement.wall.stud)
    room = head_limit - arrangement.heights.rough_head
    studs = new_stud(job, catalogue, region)
    head = BearingHead(
        clear_span=arrangement.rough.length,
        height=arrangement.heights.rough_head - arrangement.heights.floor_low + job.floor.to_come,
        code=region.timber_code,
        loads=loads,
        stud_grade=grade.code,
        stud_breadth=studs.breadth,
        stud_depth=min(studs.depth, job.wall.make_up.studs.depth),
        leaf_mass=sum(leaf.mass for leaf in hardware),
        depth_room=max(room, 1.0),
        breadth_room=arrangement.wall.stud,
        restrained=given.joists == "across" or given.joint_over is True,
    )
    timber = catalogue.timber_in(region)
    sizing = size_head(head, timber)
    if sizing.cheapest is None:
        return sizing
    figure = Figure(
        key="structure.head.drop",
        label=f"What the head may still come down after hanging ({PRELIMINARY})",
        value=drop_after_hanging(head, timber.code(head.code), sizing.cheapest),
        unit="mm",
        rule="live load, and creep of what lasts, at mid-span of the cheapest head that passes",
        inputs=("structure.head.cheapest",),
        source=f"{PRELIMINARY}; simply supported beam, strength of materials",
    )
    return replace(sizing, figures=(*sizing.figures, figure), drop=figure.number)


def carried_head(
    job: Job,
    arrangement: Arrangement,
    catalogue: Catalogue,
    region: Region,
    hardware: tuple[LeafHardware, ...],
    sizing: HeadSizing,
) -> HungHead | None:
    """The cheapest head that carries load and passes, as what the track hangs from: how it moves
    under the leaves from the middle of its studs to the middle of its studs, and with the building
    once they hang. None where none passes."""
    big = sizing.cheapest
    if big is None:
        return None
    stock = catalogue.timber_in(region)
    timber = stock.grade(big.grade)
    member = HeadMember(
        name=described(big),
        breadth=big.breadth / big.plies,
        depth=big.depth,
        modulus=timber.modulus,
        shear_modulus=timber.shear_modulus,
        density=timber.density,
        plies=big.plies,
        creep=1.0 + stock.code(region.timber_code).creep[0],
    )
    on_studs = big.studs * new_stud(job, catalogue, region).breadth / 2
    ends = (arrangement.rough.low - on_studs, arrangement.rough.high + on_studs)
    held = replace(track_head_of(arrangement, hardware, member, ends), coming=max(sizing.drop, 0.0))
    return HungHead(None, big.depth, head_movement(held), (), (), props=False)
