"""What does the fit room get: the space, the wall, the floor, the services, the wishes?"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace

from truehang.catalogue import Catalogue
from truehang.catalogue.access import AccessLimits, Site
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.catalogue.regions import Region
from truehang.findings import Change, Finding, Severity
from truehang.fit import (
    ARRANGEMENTS,
    LEAST_PASSAGE,
    FitRequest,
    Floor,
    OldOpening,
    PackerSet,
    Service,
    Span,
    WallMakeup,
    Wishes,
)
from truehang.fit.model import Situation
from truehang.job import Job, models
from truehang.job.models import Layer
from truehang.lengths import TAPE, LengthStyle, on_tape, said
from truehang.measure import Measured
from truehang.plan.carry import evidence
from truehang.plan.floors import floors
from truehang.plan.stud import new_stud
from truehang.plan.wall import ceiling_of, plate_of, run_of
from truehang.structure import bearing
from truehang.words import word

PRACTICE = "common practice, no source"
PULL_ROOM = 60.0
"""What a D-pull takes of the open leaf: 45 from the edge to its bar, half of a 20 bar and 5 clear
of the mouth, mm (common practice, no source)."""
MAKE_UP_OFF = 4.0
"""How far a measured wall may be off its make-up: paint, setting and a crooked stud, mm (common
practice, no source)."""
FLUSH_OFF = 1.0
"""A step between two linings that shows, mm (common practice, no source)."""
_LININGS = {"face_a": "face A", "face_b": "face B"}
SITUATIONS: dict[str, Situation] = {
    "fill-opening": "fill",
    "beside-opening": "beside",
    "new-opening": "new",
    "new-wall": "divide",
}


@dataclass(frozen=True, slots=True)
class Ask:
    """What is asked of the fit room, and what was noticed while asking."""

    region: str
    request: FitRequest
    kits: tuple[Kit, ...]
    leaves: tuple[LeafConstruction, ...]
    findings: tuple[Finding, ...]

    @property
    def given(self) -> Hashable:
        """All that the fit room's answer hangs on: what comes out of a catalogue by its id."""
        kits, leaves = (tuple(one.id for one in these) for these in (self.kits, self.leaves))
        return self.region, self.request, kits, leaves


def ask(
    job: Job, catalogue: Catalogue, region: Region, measured: Measured, studs: int | None = None
) -> Ask | None:
    """The request to the fit room; None where the readings give no space to fit into. `studs` is
    how many new ones stand on each side of an opening that is cut, where that is known."""
    filling = job.wall.situation == "fill-opening"
    old = old_opening(job, measured)
    if old is None and job.wall.situation == "beside-opening":
        return None
    beside = 0.0
    if filling:
        usable = measured.usable
        if usable is None:
            return None
        whole, head = Span(usable.left, usable.right), usable.head
        inputs: tuple[tuple[str, ...], tuple[str, ...]]
        inputs = (("measure.usable_left", "measure.usable_right"), ("measure.usable_head",))
    else:
        run, beside = run_of(job, measured), _studs_beside(job, catalogue, region, studs)
        whole = Span(min(beside, run / 2), max(run - beside, run / 2))
        head = ceiling_of(job, measured) - plate_of(job)
        inputs = (("job:wall.run",), ("job:wall.ceiling",))
    under = [one.z for one in job.wall.over.underside if stays_over(job)]
    if under and min(under) < head:
        head, inputs = min(under), (inputs[0], ("job:wall.over.underside",))
    space, findings = _free(job, whole, head, beside, old)
    if space is None:
        return None
    wishes = _wishes(job)
    width_inputs: tuple[str, ...] = ("job:wishes.clear_width",)
    if old is not None and wishes.clear_width is None:
        wishes = replace(wishes, clear_width=float(math.floor(old.clear.length + 0.25)))
        width_inputs = ("job:wall.old", "measure.usable_left", "measure.usable_right")
    request = FitRequest(
        situation=SITUATIONS[job.wall.situation],
        space=space,
        head_limit=head,
        wall=wall_makeup(job),
        floor=_floor(job, measured),
        services=tuple(map(_service, job.wall.services)),
        wishes=wishes,
        beside=beside,
        access=access_rules(job, catalogue, region),
        packers=_packers(job, catalogue, region),
        currency=region.currency,
        labour_minor_per_hour=_labour(job),
        space_inputs=inputs[0],
        head_inputs=inputs[1],
        width_inputs=width_inputs,
        step=STEPS[region.lengths],
        least_passage=job.wishes.least_passage or LEAST_PASSAGE,
        old=old,
    )  # fmt: skip
    leaves, leaf_findings = _leaves(job, catalogue.leaves_in(region))
    found = (*findings, *_old_findings(job), *_wall_findings(job, measured), *leaf_findings)
    return Ask(region.id, request, catalogue.kits_in(region), leaves, found)


def _service(one: models.Service) -> Service:
    """A service as the fit room sees it."""
    hidden = one.face == "inside"
    return Service(
        one.id, one.kind, one.x, one.z, "A" if one.face == "inside" else one.face, one.width,
        one.height, one.runs, hidden, one.stays is True,
    )  # fmt: skip


STEPS: dict[LengthStyle, float] = {"mm": 1.0, "feet-inches": 25.4 / 16}
"""Leaves are ordered and frames placed in whole steps of this, by how lengths are told in the
region, mm: a millimetre, 1/16 inch (common practice, no source)."""
USUAL_LINING, BEHIND_LINING = 20.0, 10.0
"""How thick a door's jamb lining is, and what is packed behind it, mm (common practice, no
source)."""


def old_opening(job: Job, measured: Measured) -> OldOpening | None:
    """The old opening that a pocket goes in beside, as it was read; None where there is none, or
    its size was not read."""
    usable, given = measured.usable, job.wall.old
    if job.wall.situation != "beside-opening" or usable is None:
        return None
    lined = (USUAL_LINING if given.lining is None else given.lining) + BEHIND_LINING
    read = Span(usable.left, usable.right)
    if given.read == "linings":
        return OldOpening(Span(read.low - lined, read.high + lined), read, usable.head + lined)
    clear = Span(read.low + lined, read.high - lined)
    return OldOpening(read, clear if clear.length > 0 else read, usable.head)


def stays_over(job: Job) -> bool:
    """Does what is over the opening stay there? A head or lintel of an old opening that a pocket
    goes in beside spans that opening only, and comes out; nobody hangs from what isn't there."""
    kind = job.wall.over.kind
    if job.wall.situation == "beside-opening":
        return kind in ("beam", "steel")
    return kind != "nothing"


def _old_findings(job: Job) -> Iterator[Finding]:
    """What is not known of an old opening that a pocket goes in beside."""
    if job.wall.situation != "beside-opening":
        return
    if job.wall.old.read is None:
        yield Finding(
            Severity.WARN,
            "wall.old.read",
            "nobody wrote what the old opening was read between: it is taken from stud to stud, "
            f"with linings of {said(job.wall.old.lining or USUAL_LINING)} and "
            f"{said(BEHIND_LINING)} behind them inside it",
            "look where the tape touched, and write read: studs or read: linings",
            PRACTICE,
        )
    if not {reading.kind for reading in job.measure.readings} & {"mark", "clear"}:
        yield Finding(
            Severity.HOLD,
            "measure.readings",
            "where the old opening stands along the run was not read: every mark along the wall "
            "is reckoned as if its left jamb stood at the datum",
            "read the mark of a bottom corner from the datum (kind: mark) before anything is "
            "marked, cut or ordered",
            PRACTICE,
            before="order",
        )


def _studs_beside(job: Job, catalogue: Catalogue, region: Region, studs: int | None) -> float:
    """Width (mm) of the new studs on each side of a rough opening that is cut or built: one, and
    one more under a head that carries load until it is known how many stand there."""
    carries = job.wall.is_cut and bearing(evidence(job)).bears
    return (studs or (2 if carries else 1)) * new_stud(job, catalogue, region).breadth


def wall_makeup(job: Job) -> WallMakeup:
    """The wall as it will be: the linings wished for, else those that are there."""
    lining, there = job.wishes.lining, job.wall.make_up
    return WallMakeup(
        stud=there.studs.depth,
        lining_a=sum(layer.thickness for layer in lining.face_a or there.face_a),
        lining_b=sum(layer.thickness for layer in lining.face_b or there.face_b),
    )


def _wall_findings(job: Job, measured: Measured) -> tuple[Finding, ...]:
    """Is the wall as thick as its make-up says, and does the new lining meet the old one flush?"""
    made = []
    wish, there = job.wishes.lining, job.wall.make_up
    old = {face: _thick(getattr(there, face)) for face in _LININGS}
    if measured.thickness is not None and all(old.values()):
        whole = there.studs.depth + sum(old.values())
        off = measured.thickness.mean - whole
        if abs(off) > MAKE_UP_OFF:
            made.append(
                Finding(
                    Severity.WARN,
                    "wall.make_up",
                    f"the wall reads {said(measured.thickness.mean, 1)} thick, its make-up adds up "
                    f"to {said(whole, 1)}: studs or lining are not what is written",
                    "open the lining or drill a pilot hole, measure the studs, and mend "
                    "wall.make_up before a kit is ordered",
                    PRACTICE,
                )
            )
    if job.wall.situation != "new-wall":
        for face, label in _LININGS.items():
            new = _thick(getattr(wish, face))
            if new and old[face] and abs(new - old[face]) >= FLUSH_OFF:
                made.append(
                    Finding(
                        Severity.NOTE,
                        f"wishes.lining.{face}",
                        f"the new lining on {label} is {said(new, 1)}, the old one beside it "
                        f"{said(old[face], 1)}: the faces do not meet flush",
                        "line with the old thickness, pack out, or cover the step with the trim",
                        "geometry",
                    )
                )
    return tuple(made)


def _thick(layers: Sequence[Layer]) -> float:
    return float(sum(layer.thickness for layer in layers))


def access_rules(job: Job, catalogue: Catalogue, region: Region) -> AccessLimits | None:
    """The accessibility figures that the job asks for, in its building; None where it asks for
    none. Every limit that is checked, said or drawn comes from here."""
    wished = job.wishes.accessible
    if wished == "none":
        return None
    id = region.access_rules if wished == "region" else wished
    there = job.building
    site = Site(there.kind, there.work, there.approach, there.corridor)
    rules = catalogue.access_rule(id)
    return rules.limits(site) if rules else None


def access_not_wished(job: Job, catalogue: Catalogue, region: Region) -> tuple[Finding, ...]:
    """A building that is no dwelling, and no rule set wished for: nothing is checked, and said."""
    if job.wishes.accessible != "none" or job.building.kind != "other":
        return ()
    here = catalogue.access_rule(region.access_rules)
    title = here.title if here else "an accessibility rule"
    return (
        Finding(
            Severity.NOTE,
            "wishes.accessible",
            f"no accessibility rule is wished for, so none is checked; in a building other than a "
            f"dwelling {title} may be called for",
            f"ask the {word('certifier')}; write accessible: region to have it checked",
            PRACTICE,
        ),
    )


def _free(
    job: Job, whole: Span, head: float, beside: float, old: OldOpening | None
) -> tuple[Span | None, tuple[Finding, ...]]:
    """The part of the run that no obstacle takes: the one wished for, else the longest."""
    cuts = sorted(
        (max(o.from_x, whole.low), min(o.to_x, whole.high), o.id)
        for o in job.wall.obstacles or ()
        if o.to_x > whole.low and o.from_x < whole.high and o.from_z < head and o.to_z > 0
    )
    cuts = sorted([*cuts, *_staying(job, whole, beside)])
    gaps, at = [], whole.low
    for low, high, _ in cuts:
        if low > at:
            gaps.append(Span(at, low))
        at = max(at, high)
    if at < whole.high:
        gaps.append(Span(at, whole.high))
    if not gaps:
        return None, ()
    place = job.wishes.place
    centre = None if old is None else old.hole.middle
    if place is not None:
        centre = place.centre if place.centre is not None else (place.from_x + place.to_x) / 2
    wished = [gap for gap in gaps if centre is not None and gap.low <= centre <= gap.high]
    best = wished[0] if wished else max(gaps, key=lambda gap: gap.length)
    if len(gaps) == 1 and not cuts:
        return best, ()
    return best, (
        Finding(
            Severity.NOTE,
            "wall.obstacles",
            f"{', '.join(id for _, _, id in cuts)} leave{'s' if len(cuts) == 1 else ''} "
            f"{said(best.length)} of run to fit into, from {said(best.low)} to {said(best.high)}",
            "clear an obstacle, or give wishes.place, to use another part of the run",
            PRACTICE,
        ),
    )


def _staying(job: Job, whole: Span, beside: float) -> Iterator[tuple[float, float, str]]:
    """Studs that may not come out, nor be cut: no frame goes where they stand, and no new stud."""
    usual = job.wall.make_up.studs.width
    for stud in job.wall.framing.studs or ():
        half = (stud.width or usual) / 2 + beside
        low, high = stud.x - half, stud.x + half
        if stud.stays and high > whole.low and low < whole.high:
            yield max(low, whole.low), min(high, whole.high), stud.id


def _floor(job: Job, measured: Measured) -> Floor:
    under = floors(job)
    if measured.floor is None:
        return Floor(build_up=under.a, rise=under.rise, to_come=under.to_come)
    stations = measured.floor.stations
    return Floor(tuple(x for x, _, _ in stations), tuple(z for _, z, _ in stations),
                 under.a, under.rise, under.to_come)  # fmt: skip


def _wishes(job: Job) -> Wishes:
    wish, place = job.wishes, job.wishes.place
    return Wishes(
        clear_width=wish.clear_width,
        clear_height=wish.clear_height,
        centre=place.centre if place else None,
        place=Span(place.from_x, place.to_x) if place else None,
        arrangements=tuple(a for a in ARRANGEMENTS if wish.arrangement in (a, "any")),
        kit=None if wish.kit == "any" else wish.kit,
        leaf=None if wish.leaf.construction == "any" else wish.leaf.construction,
        glass={"any": None, "none": False}.get(wish.leaf.glass, True),
        soft_close=wish.soft_close == "wanted",
        handle_height=wish.handle_height,
        pull_room=PULL_ROOM if wish.handle == "d-pull" else 0.0,
    )


SAME_LEAF = 0.5
"""Leaves that differ by less are as thick as each other: 35 is 1 3/8 in, mm (common practice, no
source)."""
METRIC_STEP = 0.5
"""What stacks are made exact to where the packers are no tape's own steps, mm."""
USUAL_LABOUR = 8500
"""What an hour costs where the job does not say, minor units (invented)."""


def _labour(job: Job) -> int:
    hour = job.prices.labour_hour
    return USUAL_LABOUR if hour is None else int(hour * 100)


def _packers(job: Job, catalogue: Catalogue, region: Region) -> PackerSet:
    """The packers on the van. Stacks are made exact to what a tape shows where the packers
    themselves are bought so: inch packers make sixteenths, never half millimetres, and a stack of
    them may be the one step off that lies between two sixteenths (common practice, no source)."""
    usual, style = catalogue.packers_in(region), job.job.print or region.lengths
    sizes = job.packers or usual.sizes
    on_it = all(abs(on_tape(size, style) - size) < 1e-6 for size in sizes)
    step = float(TAPE[style]) if on_it else METRIC_STEP
    return PackerSet(
        tuple(sizes), usual.pieces_most, usual.total_most, step,
        tolerance=max(usual.tolerance, step)
        if job.packer_tolerance is None
        else job.packer_tolerance,
        style=style,
    )  # fmt: skip


def _leaves(
    job: Job, leaves: Sequence[LeafConstruction]
) -> tuple[tuple[LeafConstruction, ...], tuple[Finding, ...]]:
    """The leaf constructions in question: of the thickness wished for. A leaf named counts more."""
    thickness = job.wishes.leaf.thickness
    if thickness is None:
        return tuple(leaves), ()
    named = next((leaf for leaf in leaves if leaf.id == job.wishes.leaf.construction), None)
    if named is not None:
        return tuple(leaves), _other_thickness(named, thickness)
    right = tuple(leaf for leaf in leaves if abs(leaf.thickness - thickness) < SAME_LEAF)
    if right:
        return right, ()
    near = min(leaves, key=lambda leaf: (abs(leaf.thickness - thickness), leaf.id))
    return tuple(leaves), (
        Finding(
            Severity.WARN,
            "wishes.leaf.thickness",
            f"no leaf is {said(thickness, 1)} thick",
            f"leave the thickness out: all were tried; the nearest is {near.id} at "
            f"{said(near.thickness, 1)}",
            "catalogue",
            (Change("wishes.leaf.thickness", None),),
        ),
    )


def _other_thickness(named: LeafConstruction, thickness: float) -> tuple[Finding, ...]:
    if abs(named.thickness - thickness) < SAME_LEAF:
        return ()
    return (
        Finding(
            Severity.WARN,
            "wishes.leaf.thickness",
            f"leaf {named.id} is {said(named.thickness, 1)} thick, {said(thickness, 1)} is wished",
            "leave the thickness out: the leaf named was tried",
            "catalogue",
            (Change("wishes.leaf.thickness", None),),
        ),
    )
