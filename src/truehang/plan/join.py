"""In which order are the rooms asked? The order in which a carpenter would ask."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Protocol

from truehang import __version__
from truehang.catalogue import Catalogue
from truehang.catalogue.access import AccessLimits
from truehang.catalogue.regions import Region
from truehang.figures import Figure, Ledger
from truehang.findings import Finding, Severity, worst_first
from truehang.fit import Arrangement, Clash, Options, Service, clash_finding
from truehang.fit import options as fit_options
from truehang.fixings import Fixings
from truehang.hardware import HangingLeft, LeafHardware
from truehang.job import Job, canonical
from truehang.lengths import said
from truehang.lining import LiningPlan
from truehang.measure import FitChance, Measured, fit_chance
from truehang.members import Member
from truehang.plan.access_mends import with_access_mends
from truehang.plan.base import base_held
from truehang.plan.boards import line
from truehang.plan.called import called_here, lined_with, there_now
from truehang.plan.carried import settle_carried
from truehang.plan.carry import LEAST_HEAD, evidence, named
from truehang.plan.doubt import doubt
from truehang.plan.fixing_rows import About, fix
from truehang.plan.floors import floor_figures, floor_findings
from truehang.plan.found import found_figures, found_findings
from truehang.plan.furniture import furniture, has_keep, keep_place
from truehang.plan.hang import force_with, left, unknown_seals
from truehang.plan.hear import hear, seals_cost
from truehang.plan.in_the_way import props_in_the_way, services_in_the_way
from truehang.plan.lined import lined_figures, lined_span
from truehang.plan.lists import take_off
from truehang.plan.members import members
from truehang.plan.model import Plan
from truehang.plan.on_site import on_site
from truehang.plan.over import Settled, Try, settle
from truehang.plan.over_model import OverOpening, head_packing
from truehang.plan.over_told import nothing_under
from truehang.plan.own_materials import with_own
from truehang.plan.readings import disagreements, measure
from truehang.plan.space import Ask, access_not_wished, access_rules, ask
from truehang.plan.spelled import spelled
from truehang.plan.stays import OTHER, staying, staying_findings
from truehang.plan.store import Store
from truehang.plan.stud import stud_findings
from truehang.plan.unknown import unknown
from truehang.plan.weigh import WeighedOption, weigh
from truehang.sound import Comparer, SoundResult
from truehang.steps import Step, order
from truehang.structure import Bearing, HeadMovement, HeadSizing, TrackHeadChoice, bearing
from truehang.takeoff import Takeoff
from truehang.words import word


def plan(job: Job, catalogue: Catalogue, store: Store | None = None) -> Plan:
    """Plan a job. Pure: the same job and catalogue give the same plan, whatever is in the `store`
    of answers that are known already (of this catalogue; without one, of this plan alone).

    Never raises for what a valid job says: what can't be known is left out, and a finding says
    why.
    """
    catalogue = with_own(catalogue, job)
    store = (Store() if store is None else store).over(catalogue)
    made = _decide(job, catalogue, store)
    where, measured, rules, load = made.where, made.measured, made.rules, made.load
    settled, compare, weighed, chosen = made.settled, made.compare, made.weighed, made.chosen
    asked, found = (made.best.asked, made.best.found) if made.best else (None, _NO_OPTIONS)
    built = _NOTHING
    if chosen and settled and asked:
        chosen = with_access_mends(
            job, chosen, weighed, rules, lambda other: _decide(other, catalogue, store).chosen
        )
        framed = members(
            job, catalogue, where, measured, chosen.arrangement, settled, bears=load.bears
        )
        chosen = _with_services(job, chosen, settled, framed, asked.request.services)
        built = _build(job, catalogue, where, measured, chosen, settled, framed, compare, store)
    fit = chosen.arrangement if chosen else None
    findings = (
        *measured.findings,
        *disagreements(job, measured),
        *(() if asked else (_nowhere(job, measured),)),
        *(() if chosen else nothing_under(job, measured)),
        *(asked.findings if asked else ()),
        *found.findings,
        *access_not_wished(job, catalogue, where),
        *unknown_seals(job, catalogue),
        *load.findings,
        *built.findings,
        *unknown(job, measured, fit),
        *found_findings(job, measured, fit, built.members),
        *furniture(job, catalogue, fit),
        *stud_findings(job, catalogue, where, built.members),
        *doubt(job),
        *floor_findings(job, fit),
        *staying_findings(job, catalogue, fit, built.mouth_props),
    )
    figures = Ledger((*measured.figures, *found.figures, *load.figures, *built.figures))
    return spelled(
        Plan(
            job=job,
            catalogue_version=catalogue.version,
            digest=_digest(job, catalogue),
            region=where,
            style=job.job.print or where.lengths,
            measured=measured,
            chance=built.chance,
            services=asked.request.services if asked else (),
            options=found,
            weighed=weighed,
            arrangement=fit,
            bearing=load,
            head_movement=built.head_movement,
            track_head=built.track_head,
            over=settled.over if settled else None,
            head_sizing=built.head_sizing,
            unsized=settled.unsized if settled else "",
            hardware=built.hardware,
            hanging_left=built.hanging_left,
            members=built.members,
            fixings=built.fixings,
            lining=built.lining,
            takeoff=built.takeoff,
            sound=built.sound,
            steps=(
                _steps(job, catalogue, chosen, settled, load, built, figures, rules)
                if chosen and settled
                else ()
            ),
            findings=worst_first(findings),
            figures=figures,
            access=rules,
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decided:
    """What is asked first: what was read, what the wall carries, which option comes first."""

    where: Region
    measured: Measured
    rules: AccessLimits | None
    load: Bearing
    compare: Comparer
    best: Try | None
    settled: Settled | None

    @property
    def weighed(self) -> tuple[WeighedOption, ...]:
        return self.best.weighed if self.best else ()

    @property
    def chosen(self) -> WeighedOption | None:
        return self.weighed[0] if self.weighed else None


def _decide(job: Job, catalogue: Catalogue, store: Store) -> _Decided:
    where = catalogue.region(job.job.region)
    measured = measure(job, store)
    rules = access_rules(job, catalogue, where)
    compare = Comparer.of(catalogue.materials, catalogue.seals, catalogue.noises)
    load = bearing(evidence(job))

    def tried(asked: Ask) -> Try:
        found = store.answer(
            "options",
            asked.given,
            lambda: fit_options(asked.request, asked.kits, asked.leaves),
        )
        return Try(asked, found, weigh(job, catalogue, asked, found, rules, compare, store))

    ground = ask(job, catalogue, where, measured)
    first = tried(ground) if ground else None
    settled = None
    if first is not None:
        settled = (
            settle_carried(job, catalogue, where, measured, first, tried)
            if _carries(job, load)
            else settle(job, catalogue, where, measured, load.bears, first, tried)
        )
    return _Decided(
        where=where,
        measured=measured,
        rules=rules,
        load=load,
        compare=compare,
        best=settled.tried if settled else first,
        settled=settled,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Built:
    """What the rooms after fit say of the chosen arrangement."""

    chance: FitChance | None = None
    hardware: tuple[LeafHardware, ...] = ()
    hanging_left: tuple[HangingLeft, ...] = ()
    members: tuple[Member, ...] = ()
    head_movement: HeadMovement | None = None
    track_head: TrackHeadChoice | None = None
    over: OverOpening | None = None
    head_sizing: HeadSizing | None = None
    mouth_props: bool = False
    fixings: Fixings | None = None
    lining: tuple[LiningPlan, ...] = ()
    takeoff: Takeoff | None = None
    sound: SoundResult | None = None
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()


_NOTHING = _Built()


class _Answer(Protocol):
    """What every room hands back beside its own result."""

    @property
    def findings(self) -> tuple[Finding, ...]: ...
    @property
    def figures(self) -> tuple[Figure, ...]: ...


def _build(
    job: Job,
    catalogue: Catalogue,
    where: Region,
    measured: Measured,
    chosen: WeighedOption,
    settled: Settled,
    framed: tuple[Member, ...],
    compare: Comparer,
    store: Store,
) -> _Built:
    fit, hung = chosen.arrangement, chosen.hardware
    kit = catalogue.kit_in(where, fit.kit_id)
    leaf = catalogue.leaf_in(where, fit.leaf_id)
    chance = _chance(measured, fit) if job.wall.situation == "fill-opening" else None
    head, over, sizing = settled.head, settled.over, settled.sizing
    carries = over is None
    choice = head.choice if head else None
    lined = line(job, catalogue, where, measured, fit, framed, store)
    about = About(
        framing=framed,
        screws=lined.screws,
        opening=measured.opening,
        head_depth=head.depth if head else LEAST_HEAD,
        head_packing=head_packing(fit, over),
    )
    fixed = fix(job, catalogue, where, fit, kit, about)
    heard = hear(job, fit, kit, leaf, catalogue, where, compare, store)
    taken = take_off(job, catalogue, where, measured, fit, fixed, framed, settled.unsized)
    bolts = left(fit, kit, head.movement) if head else ()
    answers: list[_Answer] = [*hung, *bolts, fixed, *lined.plans]
    answers += [head, head.movement] if head else []
    if sizing is not None:
        answers.append(sizing)
    return _Built(
        chance=chance,
        hardware=hung,
        hanging_left=bolts,
        members=framed,
        head_movement=head.movement if head else None,
        track_head=choice,
        over=over,
        head_sizing=sizing,
        mouth_props=head is not None and head.props,
        fixings=fixed,
        lining=lined.plans,
        takeoff=taken,
        sound=heard.result,
        findings=(
            *fit.findings,
            *(_chance_findings(chance) if chance else ()),
            *(finding for answer in answers for finding in answer.findings),
            *(named(job).findings if carries else ()),
            *settled.findings,
            *heard.findings,
            *seals_cost(
                heard.result,
                (chosen.force_low, chosen.force),
                force_with(job, fit, kit, leaf, catalogue),
            ),
        ),
        figures=(
            *(chance.figures if chance else ()),
            *fit.figures,
            *(figure for answer in answers for figure in answer.figures),
            *settled.figures,
            *_unsized(settled),
            *(heard.result.figures if heard.result else ()),
            *taken.figures,
            *on_site(job, fit, kit, framed, props=head is not None and head.props),
            *found_figures(framed),
            *floor_figures(job, fit),
            *lined_figures(lined_span(job, measured, fit, framed)),
        ),
    )


def _with_services(
    job: Job,
    chosen: WeighedOption,
    settled: Settled,
    framed: tuple[Member, ...],
    services: tuple[Service, ...],
) -> WeighedOption:
    """The same, with what stands where new timber goes and where props do among what has to
    move."""
    fit = chosen.arrangement
    more = services_in_the_way(fit, settled, framed, services)
    found = (*map(clash_finding, more), *props_in_the_way(job, fit, settled))
    fit = replace(fit, clashes=(*fit.clashes, *more), findings=(*fit.findings, *found))
    return replace(chosen, arrangement=fit)


def _carries(job: Job, load: Bearing) -> bool:
    """Where an old opening is filled its own head goes on carrying; a head that carries is sized
    only where a wall is cut and one is put in, and then no light timber may be taken for it."""
    return load.bears and job.wall.is_cut


def _unsized(settled: Settled) -> Iterator[Figure]:
    """What stands in the steps in place of a head that nobody could size."""
    if settled.unsized:
        yield Figure(
            "structure.unsized",
            "head over the frame",
            f"NOT SIZED: {settled.unsized}. Nothing is ordered for it",
            "",
            "a head is sized only for what is known",
            ("job:wall.evidence",),
            "common practice, no source",
        )


def _limits(
    chosen: WeighedOption, rules: AccessLimits | None, drop: float
) -> dict[str, tuple[float, float]]:
    """Tolerances that are this job's own: the force of its rule set, or else the most that its
    own leaves should take before and after their seals are in, the gap of its own mouths, and floor
    gaps that are left once a head that carries load has come down by `drop` (mm)."""
    fit = chosen.arrangement
    gap = next(layer.y1 - layer.y0 for layer in fit.pocket_section if layer.key == "air-a")
    own = {"trim-free": (max(gap - MOUTH_OFF, LEAST_MOUTH_GAP), gap + MOUTH_OFF)}
    asked = rules.force_most if rules is not None else None
    bare = _bare_force(chosen)
    to_come = fit.floor_to_come
    own["floor-gap"] = (LEAST_GAP + drop + to_come, MOST_GAP + drop + to_come)
    own["final-gap"] = (LEAST_GAP + drop, MOST_GAP + drop)
    own["force"] = (0.0, round(bare, 1) if asked is None else asked)
    own["force-finished"] = (0.0, round(chosen.force, 1) if asked is None else asked)
    return own


def _bare_force(chosen: WeighedOption) -> float:
    """The most that starting a leaf takes before its seals go in, N."""
    return max(leaf.bare_force for leaf in chosen.hardware)


def _steps(
    job: Job,
    catalogue: Catalogue,
    chosen: WeighedOption,
    settled: Settled,
    load: Bearing,
    built: _Built,
    figures: Ledger,
    rules: AccessLimits | None,
) -> tuple[Step, ...]:
    fit = chosen.arrangement
    where = catalogue.region(job.job.region)
    wall, words = job.wall, where.words
    asked = math.inf if rules is None or rules.force_most is None else rules.force_most
    flags = {
        "services-move": bool(fit.clashes),
        "old-building": wall.built is None or wall.built < where.hazard_year,
        "rated-wall": wall.fire_rated is not False
        or wall.acoustic_rated is not False
        or wall.escape_route is not False,
        "load": load.bears,
        "load-hold": load.hold,
        "mouth-props": built.mouth_props,
        "base-held": base_held(job),
        "head-strips": any(member.role == "head strip" for member in built.members),
        "pair": len(fit.leaves) == 2,
        "insulate": job.wishes.lining.insulate,
        "trim": job.wishes.trim,
        "cut": wall.is_cut,
        "beside": wall.situation == "beside-opening",
        "new-wall": wall.situation == "new-wall",
        "infill": bool(fit.infill),
        "backing": any(member.role == "backing" for member in built.members),
        "soft-close": any(part.key == "soft-close" for part in fit.parts),
        "keep": has_keep(job),
        "to-come": bool(fit.floor_to_come),
        "face-stays": staying(job) is not None,
        "force-over": chosen.force > asked,
        "bare-over": _bare_force(chosen) > asked,
        "head-there": built.over is not None and built.over.way == "existing",
        "head-under": built.over is not None
        and built.over.way == "own"
        and wall.situation == "fill-opening",
    }
    told = {
        "board": called_here(there_now(job), catalogue.materials, words),
        "new_board": called_here(lined_with(job), catalogue.materials, words),
        "keep": keep_place(fit),
        "level_over": words["level-over"],
        "trim": words["architrave"],
        "skirting": words["skirting"],
        "set": words["set"],
        "timber": words["timber"],
        "outlet": words["outlet"],
        "top_plate": words["top-plate"],
        "bottom_plate": words["bottom-plate"],
        "long_level": words["long-level"],
        "short_level": words["short-level"],
        "services": "; ".join(map(_to_move, fit.clashes)),
    }
    stays = staying(job)
    told["stays"] = stays or "B"
    told["opened"] = OTHER[stays] if stays else "A"
    if fit.floor_to_come:
        come = said(fit.floor_to_come, 1)
        told["come"] = come
        told["gap_now"] = f", now, before the floor to come ({come}) is laid"
        told["gap_down"] = f", once the floor to come ({come}) is down"
    limits = _limits(chosen, rules, settled.tried.asked.request.head_drop)
    return order([flag for flag, holds in flags.items() if holds], figures, told, limits)


def _to_move(clash: Clash) -> str:
    """One service in the way, where it is and whose work it is."""
    one = clash.service
    where = "inside the wall" if one.hidden else f"on face {one.face}"
    return (
        f"{one.name}, {word(one.kind)} at x {said(one.x)}, z {said(one.z)} {where}, "
        f"in the {clash.where} ({word(clash.trade)})"
    )


_NO_OPTIONS = Options((), (), (), ())


def _digest(job: Job, catalogue: Catalogue) -> str:
    whole = b"\n".join((canonical(job), catalogue.version.encode(), __version__.encode()))
    return hashlib.sha256(whole).hexdigest()


def _chance(measured: Measured, fit: Arrangement) -> FitChance | None:
    height = fit.heights.head_top - fit.heights.frame_bottom
    return fit_chance(measured, fit.frame.length, height)


SURE_ENOUGH = 0.95
MOUTH_OFF = 2.0
"""How far a leaf may stand off the middle of its mouth, mm (common practice, no source)."""
LEAST_GAP, MOST_GAP = 5.0, 15.0
"""The least floor gap along the travel may read from here to here, mm (common practice, no
source)."""
LEAST_MOUTH_GAP = 3.0
"""The least gap between a leaf and its mouth, mm (common practice, no source)."""


def _chance_findings(chance: FitChance) -> tuple[Finding, ...]:
    if chance.probability >= SURE_ENOUGH:
        return ()
    return (
        Finding(
            Severity.WARN,
            "measure.fit_chance",
            f"the frame goes in with a chance of {chance.probability:.0%} only",
            f"plan {said(chance.clearance_for_99)} each side, or measure again more sharply",
            "JCGM 100 (propagation of the readings' uncertainty)",
        ),
    )


def _nowhere(job: Job, measured: Measured) -> Finding:
    where = "measure.readings"
    if job.wall.has_old and measured.usable is None:
        what = "the readings don't give the size of the opening, so nothing can be fitted yet"
        mend = "take at least one width and one height"
    else:
        where = "wall.obstacles"
        what = "the obstacles leave no run free, so nothing can be fitted"
        mend = "look at wall.obstacles: one of them covers the whole run"
    return Finding(Severity.STOP, where, what, mend, "geometry")
