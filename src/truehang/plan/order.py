"""In which order are the rooms asked, and what does each need? The order in which a carpenter would
ask, and in which a plan tells what was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Protocol

from truehang.catalogue.kits import Kit
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement, Options, clash_finding
from truehang.fit import options as fit_options
from truehang.fixings import Fixings
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import FitChance, Measured, fit_chance
from truehang.members import Member
from truehang.plan.access_mends import with_access_mends
from truehang.plan.bays import insulation_findings
from truehang.plan.boards import line
from truehang.plan.carried import settle_carried
from truehang.plan.carry import LEAST_HEAD, evidence, named
from truehang.plan.doubt import doubt
from truehang.plan.entry import Asked, Entry, needed, walk
from truehang.plan.fixing_rows import About, fix
from truehang.plan.floors import floor_figures, floor_findings
from truehang.plan.found import found_figures, found_findings
from truehang.plan.furniture import furniture
from truehang.plan.given import Given
from truehang.plan.hang import force_with, left, unknown_seals
from truehang.plan.hear import Heard, hear, seals_cost
from truehang.plan.in_the_way import props_in_the_way, services_in_the_way
from truehang.plan.lined import lined_figures, lined_span
from truehang.plan.lists import skirting, take_off
from truehang.plan.members import members
from truehang.plan.on_site import on_site
from truehang.plan.over import Settled, Try, settle
from truehang.plan.over_model import head_packing
from truehang.plan.over_told import nothing_under
from truehang.plan.readings import disagreements, measure
from truehang.plan.room import Answer
from truehang.plan.space import Ask, access_not_wished, access_rules, ask
from truehang.plan.stays import staying_findings
from truehang.plan.stud import stud_findings
from truehang.plan.unknown import unknown
from truehang.plan.weigh import WeighedOption, weigh
from truehang.sound import Comparer
from truehang.structure import Bearing, bearing
from truehang.takeoff import Takeoff

SURE_ENOUGH = 0.95
NO_OPTIONS = Options((), (), (), ())


class _Finds(Protocol):
    @property
    def findings(self) -> tuple[Finding, ...]: ...


class _Reckons(Protocol):
    @property
    def figures(self) -> tuple[Figure, ...]: ...


def _findings_of(said: _Finds) -> tuple[Finding, ...]:
    return said.findings


def _figures_of(said: _Reckons) -> tuple[Figure, ...]:
    return said.figures


def _those(said: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return said


# ---------------------------------------------------------------- what there is, and what fits

MEASURED: Entry[Measured] = Entry(
    "what was read",
    lambda asked: measure(asked.given.job, asked.given.store),
    findings=_findings_of,
    figures=_figures_of,
)
DISAGREEMENTS = Entry(
    "what is written and read as well",
    lambda asked: tuple(disagreements(asked.given.job, asked.of(MEASURED))),
    (MEASURED,),
    findings=_those,
)
RULES = Entry(
    "accessibility figures that are asked for",
    lambda asked: access_rules(asked.given.job, asked.given.catalogue, asked.given.region),
)
COMPARER = Entry(
    "walls that were predicted already",
    lambda asked: Comparer.of(
        asked.given.catalogue.materials, asked.given.catalogue.seals, asked.given.catalogue.noises
    ),
)
BEARING = Entry("what the wall carries", lambda asked: bearing(evidence(asked.given.job)))


@dataclass(frozen=True, slots=True)
class Decided:
    """What fits under the way that its track is held; `best` is None where there is no space."""

    best: Try | None
    settled: Settled | None
    findings: tuple[Finding, ...]

    @property
    def found(self) -> Options:
        """What fits, and what does not."""
        return self.best.found if self.best else NO_OPTIONS

    @property
    def weighed(self) -> tuple[WeighedOption, ...]:
        """The options that fit, the best first."""
        return self.best.weighed if self.best else ()

    @property
    def chosen(self) -> WeighedOption | None:
        """The first of them."""
        return self.weighed[0] if self.weighed else None


def _decide(asked: Asked) -> Decided:
    given, measured, load = asked.given, asked.of(MEASURED), asked.of(BEARING)

    def tried(wanted: Ask) -> Try:
        found = given.store.answer(
            "options",
            wanted.given,
            lambda: fit_options(wanted.request, wanted.kits, wanted.leaves),
        )
        weighed = weigh(given, wanted, found, asked.of(RULES), asked.of(COMPARER))
        return Try(wanted, found, weighed)

    ground = ask(given.job, given.catalogue, given.region, measured)
    first = tried(ground) if ground else None
    settled = None
    if first is not None:
        settled = (
            settle_carried(given, measured, first, tried)
            if _carries(given.job, bears=load.bears)
            else settle(given, measured, load.bears, first, tried)
        )
    best = settled.tried if settled else first
    return Decided(best, settled, tuple(_why_not(given.job, measured, best)))


def _carries(job: Job, *, bears: bool) -> bool:
    """Where an old opening is filled its own head goes on carrying; a head that carries is sized
    only where a wall is cut and one is put in, and then no light timber may be taken for it."""
    return bears and job.wall.is_cut


def _why_not(job: Job, measured: Measured, best: Try | None) -> Iterator[Finding]:
    if best is None:
        yield _nowhere(job, measured)
    if best is None or not best.weighed:
        yield from nothing_under(job, measured)
    if best is not None:
        yield from best.asked.findings
        yield from best.found.findings


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


DECIDED: Entry[Decided] = Entry(
    "what fits, and what its track hangs from",
    _decide,
    (MEASURED, RULES, COMPARER, BEARING),
    findings=_findings_of,
    figures=lambda said: said.found.figures,
)
ACCESS_NOT_WISHED = Entry(
    "accessibility that nobody asked for",
    lambda asked: access_not_wished(asked.given.job, asked.given.catalogue, asked.given.region),
    findings=_those,
)
UNKNOWN_SEALS = Entry(
    "seals that are not known",
    lambda asked: tuple(unknown_seals(asked.given.job, asked.given.catalogue)),
    findings=_those,
)
CARRIED: Entry[Bearing] = Entry(
    "what is to be known of what the wall carries",
    lambda asked: asked.of(BEARING),
    (BEARING,),
    findings=_findings_of,
    figures=_figures_of,
)


def _choose(asked: Asked) -> WeighedOption | None:
    """The first option, each accessibility finding with a mend that was tried."""
    given, decided = asked.given, asked.of(DECIDED)
    if decided.chosen is None:
        return None

    def first_of(other: Job) -> WeighedOption | None:
        anew = Given.of(other, given.catalogue, given.store)
        return walk(anew, needed(DECIDED, ORDER), CHOSEN).of(DECIDED).chosen

    return with_access_mends(given.job, decided.chosen, decided.weighed, asked.of(RULES), first_of)


CHOSEN: Entry[WeighedOption | None] = Entry("which option is planned", _choose, (DECIDED, RULES))

# ---------------------------------------------------------------- what is chosen, built


def _fitting(asked: Asked) -> WeighedOption:
    chosen = asked.of(CHOSEN)
    assert chosen is not None, "asked only where something fits"
    return chosen


def _settled(asked: Asked) -> Settled:
    settled = asked.of(DECIDED).settled
    assert settled is not None, "asked only where something fits"
    return settled


FRAMED: Entry[tuple[Member, ...]] = Entry(
    "every piece of framing",
    lambda asked: members(
        asked.given,
        asked.of(MEASURED),
        _fitting(asked).arrangement,
        _settled(asked),
        bears=asked.of(BEARING).bears,
    ),
    (MEASURED, BEARING, DECIDED, CHOSEN),
    fits=True,
)


def _with_services(asked: Asked) -> WeighedOption:
    """The chosen option, with what stands where new timber goes and where props do among what has
    to move."""
    chosen, settled = _fitting(asked), _settled(asked)
    fit, services = chosen.arrangement, settled.tried.asked.request.services
    more = services_in_the_way(fit, settled, asked.of(FRAMED), services)
    props = props_in_the_way(asked.given.job, fit, settled)
    found = (*map(clash_finding, more), *props)
    fit = replace(fit, clashes=(*fit.clashes, *more), findings=(*fit.findings, *found))
    return replace(chosen, arrangement=fit)


BUILT: Entry[WeighedOption] = Entry(
    "the option as it is built", _with_services, (DECIDED, CHOSEN, FRAMED), fits=True
)


def _fit(asked: Asked) -> Arrangement:
    return asked.of(BUILT).arrangement


def _kit(asked: Asked) -> Kit:
    given = asked.given
    return given.catalogue.kit_in(given.region, _fit(asked).kit_id)


@dataclass(frozen=True, slots=True)
class GoesIn:
    """The arrangement, and how sure it is that its frame goes in; None where nobody need ask."""

    fit: Arrangement
    chance: FitChance | None


def _goes_in(asked: Asked) -> GoesIn:
    fit = _fit(asked)
    if asked.given.job.wall.situation != "fill-opening":
        return GoesIn(fit, None)
    height = fit.heights.head_top - fit.heights.frame_bottom
    return GoesIn(fit, fit_chance(asked.of(MEASURED), fit.frame.length, height))


def _chance_findings(chance: FitChance | None) -> Iterator[Finding]:
    if chance is not None and chance.probability < SURE_ENOUGH:
        yield Finding(
            Severity.WARN,
            "measure.fit_chance",
            f"the frame goes in with a chance of {chance.probability:.0%} only",
            f"plan {said(chance.clearance_for_99)} each side, or measure again more sharply",
            "JCGM 100 (propagation of the readings' uncertainty)",
        )


GOES_IN = Entry(
    "whether it goes in",
    _goes_in,
    (MEASURED, BUILT),
    fits=True,
    findings=lambda said: (*said.fit.findings, *_chance_findings(said.chance)),
    figures=lambda said: (*(said.chance.figures if said.chance else ()), *said.fit.figures),
)
HUNG = Entry(
    "what the leaves weigh and what moves them",
    lambda asked: asked.of(BUILT).hardware,
    (BUILT,),
    fits=True,
    findings=lambda said: (one for leaf in said for one in leaf.findings),
    figures=lambda said: (one for leaf in said for one in leaf.figures),
)
BOLTS = Entry(
    "what the hanger bolts have left",
    lambda asked: (
        left(_fit(asked), _kit(asked), head.movement) if (head := _settled(asked).head) else ()
    ),
    (DECIDED, BUILT),
    fits=True,
    findings=lambda said: (one for leaf in said for one in leaf.findings),
    figures=lambda said: (one for leaf in said for one in leaf.figures),
)
LINED = Entry(
    "which board goes where",
    lambda asked: line(asked.given, asked.of(MEASURED), _fit(asked), asked.of(FRAMED)),
    (MEASURED, FRAMED, BUILT),
    fits=True,
)


def _fix(asked: Asked) -> Fixings:
    fit, settled = _fit(asked), _settled(asked)
    about = About(
        framing=asked.of(FRAMED),
        screws=asked.of(LINED).screws,
        skirting=skirting(asked.given, asked.of(MEASURED), fit, asked.of(FRAMED)),
        opening=asked.of(MEASURED).opening,
        head_depth=settled.head.depth if settled.head else LEAST_HEAD,
        head_packing=head_packing(fit, settled.over),
    )
    given = asked.given
    return fix(given.job, given.catalogue, given.region, fit, _kit(asked), about)


FIXED: Entry[Fixings] = Entry(
    "which fixing goes where",
    _fix,
    (MEASURED, DECIDED, FRAMED, BUILT, LINED),
    fits=True,
    findings=_findings_of,
    figures=_figures_of,
)
BOARDS = Entry(
    "what is to be known of the boards",
    lambda asked: asked.of(LINED).plans,
    (LINED,),
    fits=True,
    findings=lambda said: (one for laid in said for one in laid.findings),
    figures=lambda said: (one for laid in said for one in laid.figures),
)


def _head_answers(settled: Settled) -> Iterator[Answer]:
    if settled.head is not None:
        yield settled.head
        yield settled.head.movement
    if settled.sizing is not None:
        yield settled.sizing


HEAD: Entry[Settled] = Entry("what its track hangs from", _settled, (DECIDED,), fits=True)
HEAD_FOUND: Entry[tuple[Finding, ...]] = Entry(
    "what is to be known of the head",
    lambda asked: (
        *(one for answer in _head_answers(asked.of(HEAD)) for one in answer.findings),
        *(named(asked.given.job).findings if asked.of(HEAD).over is None else ()),
        *asked.of(HEAD).findings,
    ),
    (HEAD,),
    fits=True,
    findings=_those,
)


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


HEAD_FIGURES: Entry[tuple[Figure, ...]] = Entry(
    "what is reckoned of the head",
    lambda asked: (
        *(one for answer in _head_answers(asked.of(HEAD)) for one in answer.figures),
        *asked.of(HEAD).figures,
        *_unsized(asked.of(HEAD)),
    ),
    (HEAD,),
    fits=True,
    figures=lambda said: said,
)


def _hear(asked: Asked) -> Heard:
    given, chosen, kit = asked.given, asked.of(BUILT), _kit(asked)
    leaf = given.catalogue.leaf_in(given.region, _fit(asked).leaf_id)
    heard = hear(given, _fit(asked), kit, leaf, asked.of(COMPARER))
    held = force_with(given.job, _fit(asked), kit, leaf, given.catalogue)
    cost = seals_cost(heard.result, (chosen.force_low, chosen.force), held)
    return replace(heard, findings=(*heard.findings, *cost))


HEARD: Entry[Heard] = Entry(
    "what is heard through it",
    _hear,
    (COMPARER, BUILT),
    fits=True,
    findings=_findings_of,
    figures=lambda said: said.result.figures if said.result else (),
)
TAKEN_OFF: Entry[Takeoff] = Entry(
    "what it takes",
    lambda asked: take_off(
        asked.given,
        asked.of(MEASURED),
        _fit(asked),
        asked.of(FIXED),
        asked.of(FRAMED),
        asked.of(HEAD).unsized,
    ),
    (MEASURED, FRAMED, BUILT, FIXED, HEAD),
    fits=True,
    figures=_figures_of,
)


def _props(asked: Asked) -> bool:
    """Whether the mouths are propped until both faces are lined."""
    settled = asked.get(HEAD)
    return settled is not None and settled.head is not None and settled.head.props


ON_SITE = Entry(
    "what only a step asks for",
    lambda asked: on_site(
        asked.given.job, _fit(asked), _kit(asked), asked.of(FRAMED), props=_props(asked)
    ),
    (FRAMED, BUILT, HEAD),
    fits=True,
    figures=lambda said: said,
)
FOUND_FIGURES = Entry(
    "what comes out and what stays",
    lambda asked: found_figures(asked.of(FRAMED)),
    (FRAMED,),
    fits=True,
    figures=lambda said: said,
)
FLOOR_FIGURES = Entry(
    "the gap over each floor",
    lambda asked: floor_figures(asked.given.job, _fit(asked)),
    (BUILT,),
    fits=True,
    figures=lambda said: said,
)
LINED_FIGURES = Entry(
    "how far both faces are lined",
    lambda asked: lined_figures(
        lined_span(asked.given.job, asked.of(MEASURED), _fit(asked), asked.of(FRAMED))
    ),
    (MEASURED, FRAMED, BUILT),
    fits=True,
    figures=lambda said: tuple(said),
)

# ---------------------------------------------------------------- what is known and what is not


def fitted(asked: Asked) -> Arrangement | None:
    """The arrangement as it is built; None where nothing fits."""
    built = asked.get(BUILT)
    return built.arrangement if built else None


UNKNOWN = Entry(
    "what is not known",
    lambda asked: unknown(asked.given.job, asked.of(MEASURED), fitted(asked)),
    (MEASURED, BUILT),
    findings=_those,
)
FOUND = Entry(
    "what was found in the wall",
    lambda asked: tuple(
        found_findings(asked.given.job, asked.of(MEASURED), fitted(asked), asked.get(FRAMED) or ())
    ),
    (MEASURED, FRAMED, BUILT),
    findings=_those,
)
FURNITURE = Entry(
    "latch, guide and seal",
    lambda asked: tuple(furniture(asked.given.job, asked.given.catalogue, fitted(asked))),
    (BUILT,),
    findings=_those,
)
STUDS = Entry(
    "whether new studs are as deep as the wall's",
    lambda asked: tuple(
        stud_findings(
            asked.given.job, asked.given.catalogue, asked.given.region, asked.get(FRAMED) or ()
        )
    ),
    (FRAMED,),
    findings=_those,
)
INSULATED = Entry(
    "whether anything new has room for the insulation that is wished",
    lambda asked: insulation_findings(asked.given.job, asked.of(FRAMED)),
    (FRAMED,),
    fits=True,
    findings=_those,
)
DOUBT = Entry("what looks mistyped", lambda asked: doubt(asked.given.job), findings=_those)
FLOORS = Entry(
    "both floors",
    lambda asked: floor_findings(asked.given.job, fitted(asked)),
    (BUILT,),
    findings=_those,
)
STAYING = Entry(
    "a face that stays",
    lambda asked: staying_findings(
        asked.given.job, asked.given.catalogue, fitted(asked), _props(asked)
    ),
    (BUILT, HEAD),
    findings=_those,
)

ORDER: tuple[Entry[Any], ...] = (
    MEASURED,
    DISAGREEMENTS,
    RULES,
    COMPARER,
    BEARING,
    DECIDED,
    ACCESS_NOT_WISHED,
    UNKNOWN_SEALS,
    CARRIED,
    CHOSEN,
    FRAMED,
    BUILT,
    GOES_IN,
    HUNG,
    BOLTS,
    LINED,
    FIXED,
    BOARDS,
    HEAD,
    HEAD_FOUND,
    HEAD_FIGURES,
    HEARD,
    TAKEN_OFF,
    ON_SITE,
    FOUND_FIGURES,
    FLOOR_FIGURES,
    LINED_FIGURES,
    UNKNOWN,
    FOUND,
    FURNITURE,
    STUDS,
    INSULATED,
    DOUBT,
    FLOORS,
    STAYING,
)
"""An entry stands after all that it needs."""
