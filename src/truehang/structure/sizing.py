"""What would carry this part of the building over the opening? Preliminary sizing of the head, its
jamb studs and the temporary props, for pricing and for the engineer; never an approval.

One limit-state check serves every code; the catalogue's code sets hold what differs. The
whole catalogue is checked at once, for one stud under each end up to the most allowed: arrays are
(studs, candidate).
"""

from __future__ import annotations

import math
from operator import attrgetter

import numpy as np

from truehang.amounts import amount
from truehang.catalogue.timber import CodeSet, Grade, Section, Timber
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.message import message
from truehang.rule import Given, Rule
from truehang.structure import lateral
from truehang.structure.beams import SHEAR_FORM, Array
from truehang.structure.candidates import Candidates, build
from truehang.structure.columns import too_slender
from truehang.structure.inputs import BearingHead, StructureError
from truehang.structure.loads import (
    Acting,
    Combination,
    LineLoads,
    line_figure,
    line_loads,
    load_combinations,
)
from truehang.structure.results import PRELIMINARY, CheckedHead, HeadSizing, JambStuds, Props
from truehang.structure.strength import GRAVITY, efforts, own_load, span_of, worked
from truehang.structure.supports import (
    PROP_SOURCE,
    prop_figures,
    props,
    stud_buckling,
    stud_slenderness,
)
from truehang.structure.ties import tied_down
from truehang.words import word

END_LOAD = Rule(
    "N = d × ((G + o) × L/2 + 9.81 × M) + q × L/2",
    {
        "N": "load on one end, N",
        "d": "the combination's factor on dead load",
        "G": "dead load along the head, kN/m = N/mm",
        "o": "the head's own weight, kN/m = N/mm",
        "L": "span with the studs under its ends",
        "M": "the leaves, kg",
        "q": "live load along the head, factored, kN/m = N/mm",
    },
)
CHECKS = ("bending", "shear", "bearing", "live deflection", "final deflection", "jamb studs")


def size_head(head: BearingHead, timber: Timber) -> HeadSizing:
    """Check every section that is sold, single and built up, as the head of `head`.

    Sections whose grade belongs to another code are left out. Raises StructureError for sections
    in several currencies, and UnknownTimber for an unknown grade or code. A span that nothing can
    carry is a finding, not an error.
    """
    code = timber.code(head.code)
    stud = _stud_grade(head, timber)
    tried = build(code, timber.sections, timber.grades, head.most_plies)
    line = line_loads(head.loads)
    bearing = head.stud_breadth * np.arange(1.0, head.most_studs + 1.0)[:, None]
    acting = load_combinations(code, tuple(line.live), lifts=line.uplift > 0.0)
    asked = (efforts(head, line, tried, bearing, each) for each in acting)
    by_case = np.stack([worked(head, code, stud, tried, bearing, each) for each in asked])
    strong = by_case.max(axis=0)
    sags = deflection_utilisations(head, code, line, tried, bearing)
    every = np.stack([*strong[:3], *sags, strong[3]])
    # which combination asks most of the head and its studs, whatever the check
    case = by_case.max(axis=1).argmax(axis=0)
    refused = _refused(head, code, tried, bearing)
    rows = _rows(head, tried, every, [[acting[i].clause for i in row] for row in case], refused)
    passing = [row for row in rows if row.passes]
    lightest = min(passing, key=lambda row: (row.mass, row.price), default=None)
    cheapest = min(passing, key=lambda row: (row.price, row.mass), default=None)
    shallowest = min(passing, key=lambda row: (row.depth, row.price), default=None)
    jamb = worst = None
    if cheapest is not None:
        place = (cheapest.studs - 1, rows.index(cheapest))
        worst = acting[int(by_case[:, 3, *place].argmax())]
        jamb = _jamb(head, code, stud, line, cheapest, worst)
    held = props(head, line)
    tie_figures, tie_findings = tied_down(head, line, acting, cheapest)
    best = (lightest, cheapest, shallowest)
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
        figures=(*_figures(head, code, line, best, jamb, worst), *tie_figures),
        findings=(*_findings(head, code, rows, bool(passing), held), *tie_findings),
    )


def deflection_utilisations(
    head: BearingHead, code: CodeSet, line: LineLoads, tried: Candidates, bearing: Array
) -> tuple[Array, Array]:
    """Live deflection and final deflection with creep over their limits, each (studs, n)."""
    span = head.clear_span + bearing
    per_load, per_point = _flexibility(tried, span)
    creep = code.creep[head.service_class - 1]
    dead = (line.dead + own_load(tried)) * per_load + head.leaf_mass * GRAVITY * per_point
    live = line.all_live * per_load
    lasting = sum(load * code.long_share[kind] for kind, load in line.live.items()) * per_load
    final = dead * (1.0 + creep) + live + creep * lasting
    return (
        live / np.minimum(span / head.live_ratio, head.most_deflection),
        final / np.minimum(span / head.final_ratio, head.most_deflection),
    )


def drop_after_hanging(head: BearingHead, code: CodeSet, chosen: CheckedHead) -> float:
    """How far (mm) the middle of the chosen head still comes down once the props are away and the
    leaves hang: all of the live load, and creep of what lasts.

    Turned back from the two utilisations: final = dead (1 + k) + live (1 + k psi).
    """
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


def _stud_grade(head: BearingHead, timber: Timber) -> Grade:
    stud = timber.grade(head.stud_grade)
    if stud.design_code != head.code:
        raise StructureError(
            f"structure.stud_grade: {stud.code} belongs to {stud.design_code}, the head to "
            f"{head.code}; choose a grade of {head.code}"
        )
    return stud


def _refused(head: BearingHead, code: CodeSet, tried: Candidates, bearing: Array) -> list[str]:
    """Why the code has no rule for a candidate at all; empty where it has."""
    stud = "jamb studs are too slender for the code" if too_slender(
        code, stud_slenderness(head)
    ) else ""  # fmt: skip
    free = not head.restrained or any(load.uplift for load in head.loads)
    tipping = lateral.too_slender(code, tried, span_of(head, bearing))
    beam = "too slender for the code with a free edge"
    return ["; ".join(filter(None, (stud, beam if free and tips else ""))) for tips in tipping]


def _rows(
    head: BearingHead,
    tried: Candidates,
    every: Array,
    clauses: list[list[str]],
    refused: list[str],
) -> tuple[CheckedHead, ...]:
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
                combination=clauses[studs - 1][i],
                why_not=message(
                    "; ".join(
                        filter(None, (_why_not(head, section, breadth, length, ratios), refused[i]))
                    )
                ),
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
    worst: Combination,
) -> JambStuds:
    """The studs under the cheapest head, under the combination that works them hardest."""
    put = _on_end(head, line, chosen, worst)
    load = END_LOAD(**{symbol: given.value for symbol, given in put.items()})
    coming = put["q"].value * put["L"].value / 2.0
    method = code.method[worst.method]
    acting = Acting(
        method,
        method.duration_factor[worst.duration],
        np.array(coming / load if worst.temporary else 0.0),
    )
    kept = float(stud_buckling(head, code, stud, acting))
    return JambStuds(
        chosen.studs, load, chosen.studs_used, stud_slenderness(head), kept, worst.clause
    )


def _on_end(
    head: BearingHead, line: LineLoads, chosen: CheckedHead, worst: Combination
) -> dict[str, Given]:
    """What comes to one end of the head, by the rule's symbols."""
    own = chosen.mass / chosen.length * GRAVITY
    live = sum(factor * line.live[kind] for kind, factor in worst.live.items())
    return {
        "d": Given(worst.dead, "", ""),
        "G": Given(line.dead, "structure.head.dead", "kN/m"),
        "o": Given(own, "", "kN/m"),
        "L": Given(head.clear_span + chosen.studs * head.stud_breadth, ""),
        "M": Given(head.leaf_mass, "", "kg"),
        "q": Given(live, "", "kN/m"),
    }


def _figures(
    head: BearingHead,
    code: CodeSet,
    line: LineLoads,
    best: tuple[CheckedHead | None, CheckedHead | None, CheckedHead | None],
    jamb: JambStuds | None,
    worst: Combination | None,
) -> tuple[Figure, ...]:
    source = f"{PRELIMINARY}; {code.source}"
    loads = ("structure.head.dead", "structure.head.live", "structure.head.clear_span")
    rows = [
        line_figure(loads[0], "Dead load on the head", head.loads, attrgetter("dead")),
        line_figure(loads[1], "Live load on the head", head.loads, attrgetter("live")),
        Figure(
            loads[2], "Clear span of the head", head.clear_span, "mm",
            "clear between the jamb studs", ("job:wall", "fit.rough_width"), "geometry",
        ),
    ]  # fmt: skip
    rows += [
        _of_head(head, name, row, loads, source)
        for name, row in zip(("lightest", "cheapest", "shallowest"), best, strict=True)
        if row is not None
    ]
    if jamb is not None and worst is not None and best[1] is not None:
        rows += [
            Figure(
                "structure.head.studs", f"Studs under each end ({PRELIMINARY})", jamb.each_end,
                "", f"fewest that pass; slenderness {jamb.slenderness:.0f}, buckling factor "
                f"{jamb.buckling_factor:.2f}, used {jamb.utilisation:.0%} by {jamb.combination}",
                ("structure.head.cheapest",), source,
            ),
            END_LOAD.figure(
                "structure.head.end_load", "Factored load on one end",
                _on_end(head, line, best[1], worst),
                f"{source}; {jamb.combination}: the combination that works the studs hardest",
                unit="N", behind=("structure.head.cheapest", loads[2], loads[1]),
            ),
        ]  # fmt: skip
    return (*rows, *prop_figures(head, line))


def _of_head(
    head: BearingHead, name: str, row: CheckedHead, loads: tuple[str, ...], source: str
) -> Figure:
    return Figure(
        f"structure.head.{name}",
        f"The {name} head that passes ({PRELIMINARY})",
        described(row),
        "",
        f"{head.code}: bending {row.bending:.0%}, shear {row.shear:.0%}, bearing "
        f"{row.bearing:.0%}, live deflection {row.live_deflection:.0%}, final "
        f"deflection {row.final_deflection:.0%}, jamb studs {row.studs_used:.0%}; "
        f"{row.combination} asks most of its strength",
        (*loads, f"catalogue:timber.{row.section}"),
        source,
    )


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
            f"each of {held.rows} x {held.per_row} props takes about "
            f"{amount(held.load / 1000.0, 'kN')} at {said(held.spacing)} spacing",
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
