"""What would carry this part of the building over the opening? Preliminary sizing of the head, its
jamb studs and the temporary props, for pricing and for the engineer; never an approval.

One limit-state check serves every code; `catalogue.timber.code_sets()` holds what differs. The
whole catalogue is checked at once, for one stud under each end up to the most allowed: arrays are
(studs, candidate).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from truehang.catalogue.timber import CodeSet, Grade, Section, code_sets, grade, grades, sections
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.structure.beams import SHEAR_FORM, Array
from truehang.structure.candidates import Candidates, build
from truehang.structure.inputs import BearingHead, StructureError
from truehang.structure.loads import Combination, LineLoads, line_loads, load_combinations
from truehang.structure.results import PRELIMINARY, CheckedHead, HeadSizing, JambStuds, Props
from truehang.structure.supports import (
    PROP_SOURCE,
    props,
    stud_buckling,
    stud_slenderness,
    stud_utilisation,
)
from truehang.words import word

GRAVITY = 9.81
CHECKS = ("bending", "shear", "bearing", "live deflection", "final deflection", "jamb studs")
LOAD_SOURCE = "statics: area load x tributary width"


@dataclass(frozen=True, slots=True)
class Demand:
    """What the loads ask for, (studs, n): moment N mm, end shear N and the end reaction N, each
    over the duration factor of its combination and the worst of them all."""

    moment: Array
    shear: Array


def size_head(
    head: BearingHead,
    stock: Sequence[Section] | None = None,
    known_grades: Sequence[Grade] | None = None,
) -> HeadSizing:
    """Check every section of the catalogue, single and built up, as the head of `head`.

    `stock` and `known_grades` default to the shipped catalogue; sections whose grade belongs to
    another code are left out. Raises StructureError for sections in several currencies, and
    UnknownTimber for an unknown grade. A span that nothing can carry is a finding, not an error.
    """
    known = tuple(grades() if known_grades is None else known_grades)
    code = code_sets()[head.code]
    stud = _stud_grade(head, known)
    area = affected_area(head)
    tried = build(code, sections() if stock is None else stock, known, head.most_plies, area)
    line = line_loads(head.loads)
    bearing = head.stud_breadth * np.arange(1.0, head.most_studs + 1.0)[:, None]
    need = demand(head, code, line, tried, bearing)
    used = (
        *strength_utilisations(head, code, tried, need, bearing),
        *deflection_utilisations(head, code, line, tried, bearing),
        stud_utilisation(head, code, stud, area, need.shear),
    )
    every = np.stack(np.broadcast_arrays(*used))
    rows = _rows(head, tried, every)
    passing = [row for row in rows if row.passes]
    lightest = min(passing, key=lambda row: (row.mass, row.price), default=None)
    cheapest = min(passing, key=lambda row: (row.price, row.mass), default=None)
    shallowest = min(passing, key=lambda row: (row.depth, row.price), default=None)
    jamb = None
    if cheapest is not None:
        place = (cheapest.studs - 1, rows.index(cheapest))
        jamb = _jamb(head, code, stud, line, cheapest, float(every[-1][place]))
    held = props(head, line)
    return HeadSizing(
        label=PRELIMINARY,
        code=head.code,
        line_dead=line.dead,
        line_live=line.all_live,
        candidates=rows,
        lightest=lightest,
        cheapest=cheapest,
        shallowest=shallowest,
        jamb=jamb,
        props=held,
        figures=_figures(head, code, line, (lightest, cheapest, shallowest), jamb, held),
        findings=_findings(head, code, rows, bool(passing), held),
    )


def affected_area(head: BearingHead) -> float:
    """Floor and roof (m2) that the head's failure would bring down: joists reach twice their
    tributary width, over the clear span."""
    widths = [load.tributary for load in head.loads if load.kind != "wall"]
    return head.clear_span * 2.0 * max(widths, default=0.0) * 1e-6


def demand(
    head: BearingHead, code: CodeSet, line: LineLoads, tried: Candidates, bearing: Array
) -> Demand:
    """Worst moment, shear and reaction of all combinations. The leaf hangs at mid-span for the
    moment and at the support for the shear, both on the safe side."""
    span = head.clear_span + bearing
    own = _own_load(tried)
    leaf = head.leaf_mass * GRAVITY
    moments, shears = [], []
    for combination in load_combinations(code, tuple(line.live)):
        load = _factored(combination, line, own)
        point = combination.dead * leaf
        lasting = code.duration_factor[combination.duration]
        moments.append((load * span**2 / 8.0 + point * span / 4.0) / lasting)
        shears.append((load * span / 2.0 + point) / lasting)
    return Demand(np.max(moments, axis=0), np.max(shears, axis=0))


def _own_load(tried: Candidates) -> Array:
    load: Array = tried.density * tried.breadth * tried.depth * 1e-9 * GRAVITY
    return load


def _factored(combination: Combination, line: LineLoads, own: Array) -> Array:
    live = sum(factor * line.live[kind] for kind, factor in combination.live.items())
    load: Array = combination.dead * (line.dead + own) + live
    return load


def strength_utilisations(
    head: BearingHead, code: CodeSet, tried: Candidates, need: Demand, bearing: Array
) -> tuple[Array, Array, Array]:
    """Bending, shear and bearing across the grain, each (studs, n): stress over strength."""
    modulus = tried.breadth * tried.depth**2 / 6.0
    stable = _lateral_stability(head, tried, bearing)
    bending = need.moment / modulus / (tried.bending * stable)
    shear = 1.5 * need.shear / (tried.crack * tried.breadth * tried.depth) / tried.shear
    seat = np.minimum(bearing + code.bearing_extra, 2.0 * bearing)
    contact = np.minimum(tried.breadth, head.stud_depth) * seat
    return bending, shear, need.shear / contact / tried.bearing


def _lateral_stability(head: BearingHead, tried: Candidates, bearing: Array) -> Array:
    """Factor for a top edge that can move sideways (EN 1995-1-1 6.3.3, for every code); plies
    count singly, which is on the safe side."""
    if head.restrained:
        return np.ones_like(tried.depth)[None, :]
    held = head.clear_span + bearing + 2.0 * tried.depth
    critical = 0.78 * tried.ply_breadth**2 * tried.modulus_low / (tried.depth * held)
    slender = np.sqrt(tried.raw_bending / critical)
    factor: Array = np.where(
        slender <= 0.75, 1.0, np.where(slender <= 1.4, 1.56 - 0.75 * slender, 1.0 / slender**2)
    )
    return factor


def deflection_utilisations(
    head: BearingHead, code: CodeSet, line: LineLoads, tried: Candidates, bearing: Array
) -> tuple[Array, Array]:
    """Live deflection and final deflection with creep over their limits, each (studs, n)."""
    span = head.clear_span + bearing
    per_load, per_point = _flexibility(tried, span)
    creep = code.creep[head.service_class - 1]
    dead = (line.dead + _own_load(tried)) * per_load + head.leaf_mass * GRAVITY * per_point
    live = line.all_live * per_load
    lasting = sum(load * code.long_share[kind] for kind, load in line.live.items()) * per_load
    final = dead * (1.0 + creep) + live + creep * lasting
    return (
        live / np.minimum(span / head.live_ratio, head.most_deflection),
        final / np.minimum(span / head.final_ratio, head.most_deflection),
    )


def drop_after_hanging(head: BearingHead, chosen: CheckedHead) -> float:
    """How far (mm) the middle of the chosen head still comes down once the props are away and the
    leaves hang: all of the live load, and creep of what lasts.

    Turned back from the two utilisations: final = dead (1 + k) + live (1 + k psi).
    """
    code = code_sets()[head.code]
    span = head.clear_span + chosen.studs * head.stud_breadth
    live = chosen.live_deflection * min(span / head.live_ratio, head.most_deflection)
    final = chosen.final_deflection * min(span / head.final_ratio, head.most_deflection)
    creep = code.creep[head.service_class - 1]
    lasting = line_loads(head.loads)
    share = sum(load * code.long_share[kind] for kind, load in lasting.live.items())
    psi = share / lasting.all_live if lasting.all_live > 0 else 0.0
    return final - (final - live * (1.0 + creep * psi)) / (1.0 + creep)


def _flexibility(tried: Candidates, span: Array) -> tuple[Array, Array]:
    """Mid-span deflection from 1 N/mm over the span and from 1 N in the middle, shear included."""
    stiff = tried.modulus * tried.breadth * tried.depth**3 / 12.0
    shear = SHEAR_FORM * tried.shear_modulus * tried.breadth * tried.depth
    uniform = 5.0 * span**4 / (384.0 * stiff) + span**2 / (8.0 * shear)
    point = span**3 / (48.0 * stiff) + span / (4.0 * shear)
    return uniform, point


def _stud_grade(head: BearingHead, known: tuple[Grade, ...]) -> Grade:
    stud = grade(head.stud_grade, known)
    if stud.design_code != head.code:
        raise StructureError(
            f"structure.stud_grade: {stud.code} belongs to {stud.design_code}, the head to "
            f"{head.code}; choose a grade of {head.code}"
        )
    return stud


def _rows(head: BearingHead, tried: Candidates, every: Array) -> tuple[CheckedHead, ...]:
    """Each candidate with the fewest studs that pass, or the studs that come nearest."""
    worst = every.max(axis=0)
    ok = worst <= 1.0
    chosen = np.where(ok.any(axis=0), ok.argmax(axis=0), worst.argmin(axis=0))
    used = np.take_along_axis(every, chosen[None, None, :], axis=1)[:, 0, :].T.tolist()
    rows = []
    for i, (section, timber) in enumerate(zip(tried.sections, tried.grades, strict=True)):
        plies, studs = int(tried.plies[i]), int(chosen[i]) + 1
        length = head.clear_span + 2.0 * studs * head.stud_breadth
        breadth = section.breadth * plies
        bought = min((s for s in section.stock_lengths if s >= length), default=length)
        ratios = used[i]
        rows.append(
            CheckedHead(
                section=section.code,
                grade=section.grade,
                plies=plies,
                breadth=breadth,
                depth=section.depth,
                studs=studs,
                length=length,
                mass=timber.density * breadth * section.depth * length * 1e-9,
                price=math.ceil(section.price_per_metre * plies * bought / 1000.0),
                currency=section.currency,
                bending=ratios[0],
                shear=ratios[1],
                bearing=ratios[2],
                live_deflection=ratios[3],
                final_deflection=ratios[4],
                studs_used=ratios[5],
                governs=CHECKS[ratios.index(max(ratios))],
                why_not=_why_not(head, section, breadth, length, ratios),
            )
        )
    return tuple(rows)


def _why_not(
    head: BearingHead, section: Section, breadth: float, length: float, ratios: list[float]
) -> str:
    reasons = [
        f"{name} at {100.0 * ratio:.0f} %"
        for name, ratio in zip(CHECKS, ratios, strict=True)
        if ratio > 1.0
    ]
    if section.depth > head.depth_room:
        reasons.append(f"{said(section.depth, 1)} deep, room for {said(head.depth_room, 1)}")
    if breadth > head.breadth_room:
        reasons.append(f"{said(breadth, 1)} broad, room for {said(head.breadth_room, 1)}")
    if length > max(section.stock_lengths):
        reasons.append(f"{said(length)} long, sold to {said(max(section.stock_lengths))}")
    return "; ".join(reasons)


def _jamb(
    head: BearingHead,
    code: CodeSet,
    stud: Grade,
    line: LineLoads,
    chosen: CheckedHead,
    utilisation: float,
) -> JambStuds:
    """The studs under the cheapest head, with the heaviest factored load (no duration factor)."""
    span = head.clear_span + chosen.studs * head.stud_breadth
    own = np.array([chosen.mass / chosen.length * GRAVITY])
    heaviest = max(
        float(_factored(each, line, own)[0]) * span / 2.0 + each.dead * head.leaf_mass * GRAVITY
        for each in load_combinations(code, tuple(line.live))
    )
    kept = stud_buckling(head, code, stud)
    return JambStuds(chosen.studs, heaviest, utilisation, stud_slenderness(head), kept)


def _figures(
    head: BearingHead,
    code: CodeSet,
    line: LineLoads,
    best: tuple[CheckedHead | None, CheckedHead | None, CheckedHead | None],
    jamb: JambStuds | None,
    held: Props,
) -> tuple[Figure, ...]:
    source = f"{PRELIMINARY}; {code.source}"
    evidence = ("job:wall.evidence.loads",)
    rows = [
        Figure(
            "structure.head.dead", "Dead load on the head", line.dead, "kN/m",
            "sum of kPa x tributary width", evidence, LOAD_SOURCE,
        ),
        Figure(
            "structure.head.live", "Live load on the head", line.all_live, "kN/m",
            "sum of kPa x tributary width", evidence, LOAD_SOURCE,
        ),
        Figure(
            "structure.head.clear_span", "Clear span of the head", head.clear_span, "mm",
            "clear between the jamb studs", ("job:wall", "fit.rough_width"), "geometry",
        ),
    ]  # fmt: skip
    loads = ("structure.head.dead", "structure.head.live", "structure.head.clear_span")
    for name, row in zip(("lightest", "cheapest", "shallowest"), best, strict=True):
        if row is not None:
            rows.append(
                Figure(
                    f"structure.head.{name}",
                    f"The {name} head that passes ({PRELIMINARY})",
                    described(row),
                    "",
                    f"{head.code}: bending {row.bending:.0%}, shear {row.shear:.0%}, bearing "
                    f"{row.bearing:.0%}, live deflection {row.live_deflection:.0%}, final "
                    f"deflection {row.final_deflection:.0%}, jamb studs {row.studs_used:.0%}",
                    (*loads, f"catalogue:timber.{row.section}"),
                    source,
                )
            )
    if jamb is not None:
        rows += [
            Figure(
                "structure.head.studs", f"Studs under each end ({PRELIMINARY})", jamb.each_end,
                "", f"fewest that pass; slenderness {jamb.slenderness:.0f}, buckling factor "
                f"{jamb.buckling_factor:.2f}, used {jamb.utilisation:.0%}",
                ("structure.head.cheapest",), source,
            ),
            Figure(
                "structure.head.end_load", "Factored load on one end", jamb.load, "N",
                "heaviest combination x span / 2", loads, source,
            ),
        ]  # fmt: skip
    rows += [
        Figure(
            "structure.props.load", f"Working load on one prop ({PRELIMINARY})", held.load, "N",
            "(dead + live) x spacing x share of a row", loads[:2], PROP_SOURCE,
        ),
        Figure(
            "structure.props.count", "Props in each row", held.per_row, "",
            "opening + 300 each side, over the spacing, + 1", loads[2:], PROP_SOURCE,
        ),
    ]  # fmt: skip
    return tuple(rows)


def described(row: CheckedHead) -> str:
    """A head in words: `2 / MGP12 45x190, 2 studs each end`."""
    studs = "1 stud" if row.studs == 1 else f"{row.studs} studs"
    return f"{row.plies} / {row.section}, {studs} each end"


def _findings(
    head: BearingHead, code: CodeSet, rows: tuple[CheckedHead, ...], any_passes: bool, held: Props
) -> tuple[Finding, ...]:
    findings = [
        Finding(
            Severity.WARN,
            "head",
            f"the head, its studs and props are {PRELIMINARY}",
            "have an engineer design them before anything is ordered or a stud is cut",
            code.source,
        ),
        Finding(
            Severity.WARN,
            "props",
            f"each of {held.rows} x {held.per_row} props takes about {held.load / 1000.0:.1f} kN "
            f"at {said(held.spacing)} spacing",
            "have the engineer or a competent person settle them; stand them on plates that spread "
            "the load down to the ground, and leave them until the head is complete",
            PROP_SOURCE,
        ),
    ]
    if not any_passes:
        findings.insert(0, _beyond(head, code, rows))
    return tuple(findings)


def _beyond(head: BearingHead, code: CodeSet, rows: tuple[CheckedHead, ...]) -> Finding:
    nearest = min(rows, key=lambda row: row.utilisation)
    return Finding(
        Severity.STOP,
        "head",
        f"no section in the {word('timber')} catalogue carries this over "
        f"{said(head.clear_span)}; the "
        f"nearest is {described(nearest)}: {nearest.why_not}",
        "ask an engineer (steel or a larger engineered section), narrow the opening, give more "
        "room for depth, or add sections to the catalogue",
        f"{PRELIMINARY}; {code.source}",
    )
