"""In which order are the rooms asked? The order in which a carpenter would ask."""

from __future__ import annotations

import hashlib

from truehang import __version__
from truehang.catalogue import Catalogue
from truehang.catalogue.regions import region
from truehang.figures import Ledger
from truehang.findings import Finding, Severity, worst_first
from truehang.fit import Arrangement, NotFitted, Options, arrange
from truehang.fit import options as fit_options
from truehang.job import Job, canonical
from truehang.measure import FitChance, Measured, adjust, fit_chance
from truehang.plan.fixing_rows import fix
from truehang.plan.model import Plan
from truehang.plan.readings import readings
from truehang.plan.space import Ask, ask, place_findings


def plan(job: Job, catalogue: Catalogue) -> Plan:
    """Plan a job. Pure: the same job and catalogue give the same plan.

    Never raises for what a valid job says: what can't be known is left out, and a finding says
    why.
    """
    where = region(job.job.region)
    measured = adjust(readings(job), seed=job.job.seed)
    asked = ask(job, catalogue, where, measured)
    found = fit_options(asked.request, asked.kits, asked.leaves) if asked else _NO_OPTIONS
    fit = _arrange(asked, found) if asked else None
    chance = _chance(measured, fit) if fit else None
    kit = next((kit for kit in catalogue.kits if fit and kit.id == fit.kit_id), None)
    fixed = fix(job, catalogue, where, fit, kit) if fit and kit else None
    findings = (
        *measured.findings,
        *(() if asked else (_nowhere(job),)),
        *(asked.findings if asked else ()),
        *found.findings,
        *(fit.findings if fit else ()),
        *(place_findings(job, fit) if fit else ()),
        *(_chance_findings(chance) if chance else ()),
        *(fixed.findings if fixed else ()),
    )
    figures = (
        *measured.figures,
        *(chance.figures if chance else ()),
        *found.figures,
        *(fit.figures if fit else ()),
        *(fixed.figures if fixed else ()),
    )
    return Plan(
        job=job,
        catalogue_version=catalogue.version,
        digest=_digest(job, catalogue),
        region=where,
        style=job.job.print or where.lengths,
        measured=measured,
        chance=chance,
        options=found,
        fit=fit,
        fixings=fixed,
        findings=worst_first(findings),
        figures=Ledger(figures),
    )


_NO_OPTIONS = Options((), (), (), ())


def _digest(job: Job, catalogue: Catalogue) -> str:
    whole = b"\n".join((canonical(job), catalogue.version.encode(), __version__.encode()))
    return hashlib.sha256(whole).hexdigest()


def _arrange(asked: Ask, found: Options) -> Arrangement | None:
    for option in found.options:
        try:
            return arrange(asked.request, option, asked.kits, asked.leaves)
        except NotFitted:
            continue
    return None


def _chance(measured: Measured, fit: Arrangement) -> FitChance | None:
    height = fit.heights.head_top - fit.heights.frame_bottom
    return fit_chance(measured, fit.frame.length, height)


SURE_ENOUGH = 0.95


def _chance_findings(chance: FitChance) -> tuple[Finding, ...]:
    if chance.probability >= SURE_ENOUGH:
        return ()
    return (
        Finding(
            Severity.WARN,
            "measure.fit_chance",
            f"the frame goes in with a chance of {chance.probability:.0%} only",
            f"plan {chance.clearance_for_99:.0f} mm each side, or measure again more sharply",
            "JCGM 100 (propagation of the readings' uncertainty)",
        ),
    )


def _nowhere(job: Job) -> Finding:
    if job.wall.situation == "fill-opening":
        what = "the readings don't give the size of the opening, so nothing can be fitted yet"
        mend = "take at least one width and one height, or set wall.situation to new-opening"
    else:
        what = "the obstacles leave no run free, so nothing can be fitted"
        mend = "look at wall.obstacles: one of them covers the whole run"
    return Finding(Severity.STOP, "measure.readings", what, mend, "geometry")
