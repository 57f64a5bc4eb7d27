"""What does a planned job cost, and what is its price? The plan joined to rates, prices and terms.

`priced` is pure, like the plan: the same job, catalogue and plan give the same price. It stands
beside the plan, which works out the build and not the money.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from truehang.amounts import amount, amounts
from truehang.catalogue import Catalogue
from truehang.catalogue.rates import SECTIONS, Place, Published
from truehang.findings import Finding, worst_first
from truehang.job import Job
from truehang.message import voiced
from truehang.plan.buying import Buyer
from truehang.plan.later import answered
from truehang.plan.model import Plan
from truehang.plan.place_rules import place_findings
from truehang.plan.price_book import PriceBook
from truehang.plan.price_doubt import price_findings
from truehang.plan.standing import Standing, standing_of
from truehang.plan.takings import Thrown, measures, thrown
from truehang.pricing import Cost, Goods, Price, StageOf, Sum, Terms, Work, cost, price
from truehang.words import word

UNITS = {
    "job": "job", "strip_m2": "m²", "opened_m2": "m²", "pieces_out": "piece", "props": "prop",
    "pieces_in": "piece", "heads": "piece", "supports": "support", "assembly_h": "hour of the kit",
    "frames": "pocket", "leaves": "leaf", "soft_close": "unit", "insulation_m2": "m²",
    "lining_m2": "m²", "joint_m": "m", "bead_m": "m", "trim_m": "m", "skirting_m": "m",
    "seal_m": "m", "compound_kg": "kg", "tape_m": "m", "adhesive_tube": "tube",
    "paint_walls_m2": "m²", "paint_leaves_m2": "m²", "days": "day",
}  # fmt: skip
"""What each measure counts in."""
TITLES = {
    "site": "Site: protecting, coming and going, clearing away, handing over",
    "opening-up": "Opening up and taking away",
    "framing": "Framing and fixings",
    "frame": "The sliding frame, put in",
    "leaves": "Leaves, seals and furniture, hung and set",
    "lining": "Lining and joints",
    "finishing": "Trim and painting",
    "others": "Other trades",
}
"""The parts of a price, as a customer reads them."""
assert tuple(TITLES) == SECTIONS
BOUGHT = ("frame", "leaves")


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A job with its money. `cost`, `terms`, `goods`, `days` and `thrown` are PRIVATE; `price` is
    what the customer sees. `findings` are those of the money alone; `standing` counts the plan's
    too."""

    job: str
    stamp: str
    cost: Cost
    price: Price
    terms: Terms
    goods: tuple[Goods, ...]
    days: float
    thrown: tuple[Thrown, ...]
    published: tuple[Published, ...]
    findings: tuple[Finding, ...]
    standing: Standing


def priced(plan: Plan, catalogue: Catalogue) -> Priced | None:
    """The cost and price of a plan made with this catalogue; None where nothing fits."""
    if plan.arrangement is None:
        return None
    plan = answered(plan, catalogue, "cutting")
    job, region = plan.job, plan.region
    book = PriceBook(job, catalogue, region)
    place = catalogue.rates.at(region.id) or _nowhere(catalogue, region.id)
    measured = dict(measures(plan, catalogue))
    goods = tuple(Buyer(plan, catalogue, book, place).goods(measured))
    work = tuple(_work(plan, catalogue, place, measured))
    days = _days(work, place, job)
    measured["days"] = days[1]
    rubbish = thrown(plan, catalogue)
    sums = (
        *_plant(plan, catalogue, measured, days),
        *_travel(plan, place, days),
        *_tip(plan, place, rubbish),
        *allowances(plan, catalogue),
    )
    given = job.prices.correlation
    correlation = float(place.correlation) if given is None else float(given)
    costs = cost(
        [*goods, *work, *sums], region.currency, correlation=correlation, seed=job.job.seed
    )
    terms, wrong = terms_of(job, plan, place)
    asked = voiced(price(costs, terms, TITLES), plan.voice)
    found = worst_first(
        (
            *costs.findings,
            *wrong,
            *price_findings(plan, place, book, costs),
            *place_findings(plan, catalogue.laws, asked, mostly_bought(costs)),
        )
    )
    found = tuple(voiced(one, plan.voice) for one in found)
    return Priced(
        job=job.job.name,
        stamp=plan.stamp,
        cost=costs,
        price=asked,
        terms=terms,
        goods=goods,
        days=days[1],
        thrown=rubbish,
        published=catalogue.rates.published,
        findings=found,
        standing=standing_of((*plan.findings, *found)),
    )


def mostly_bought(costs: Cost) -> bool:
    """Is more than half of the cost a frame and leaves that come made up?"""
    made = sum(n.mean for n in costs.lines if n.kind == "goods" and n.section in BOUGHT)
    return 2 * made > costs.total.minor


def _nowhere(catalogue: Catalogue, region: str) -> Place:
    """A region that nobody has said the money of: hours have no price there, and that is held."""
    like = catalogue.rates.place[0]
    return like.model_copy(update={"region": region, "hour": {}, "vehicle_day": 0, "tip_m3": 0,
                                   "tip_least": 0})  # fmt: skip


def _work(
    plan: Plan, catalogue: Catalogue, place: Place, measured: Mapping[str, float]
) -> Iterator[Work]:
    own = plan.job.prices.labour_hour
    for task in catalogue.rates.task:
        amount = measured.get(task.measure, 0.0)
        if amount <= 0:
            continue
        said = own is not None and task.crew == "carpenter"
        hour = int((own or 0) * 100) if said else place.hour.get(task.crew)
        yield Work(
            key=f"task.{task.id}", label=task.name, section=task.section, quantity=amount,
            unit=UNITS[task.measure], hours=task.hours, crew=task.crew, hour=hour,
            invented=f"task {task.id}" not in catalogue.own,
        )  # fmt: skip


def _days(work: Sequence[Work], place: Place, job: Job) -> tuple[float, float, float]:
    """Days on site of the carpenter and those with him, low, likely, high, whole days."""
    a_day = place.day_hours * job.site.crew

    def days(end: int) -> float:
        hours = math.fsum(
            one.hours[end] * one.quantity for one in work if one.hours and one.crew == "carpenter"
        )
        return float(math.ceil(hours / a_day - 1e-9))

    return days(0), days(1), days(2)


def _plant(
    plan: Plan, catalogue: Catalogue, measured: Mapping[str, float], days: tuple[float, ...]
) -> Iterator[Sum]:
    for one in catalogue.rates.plant:
        amount = measured.get(one.measure, 0.0)
        each = one.price.get(plan.region.id)
        if amount <= 0:
            continue
        if one.measure == "days" and each is not None:
            low, likely, high = (round(e * d) for e, d in zip(each, days, strict=True))
            amount, each = 1.0, (low, likely, high)
        yield Sum(
            key=f"plant.{one.id}", kind="plant", label=one.name, section=one.section,
            quantity=amount, unit="job" if one.measure == "days" else UNITS[one.measure],
            each=each, invented=f"plant {one.id}" not in catalogue.own,
        )  # fmt: skip


def _travel(plan: Plan, place: Place, days: tuple[float, float, float]) -> Iterator[Sum]:
    """There and back each day: the crew's time and the van. What is not said is not priced."""
    minutes, job = plan.job.site.travel, plan.job
    if minutes is None:
        return
    own = job.prices.labour_hour
    hour = place.hour.get("carpenter", 0) if own is None else int(own * 100)
    day = round(2 * minutes / 60 * hour * job.site.crew) + place.vehicle_day
    low, likely, high = (round(day * count) for count in days)
    yield Sum(
        key="travel", kind="travel", label=f"{minutes:g} minutes each way, and the van",
        section="site", quantity=1.0, unit="job", each=(low, likely, high), invented=own is None,
    )  # fmt: skip


def _tip(plan: Plan, place: Place, rubbish: Sequence[Thrown]) -> Iterator[Sum]:
    """What the tip asks for the loose volume, with its least charge."""
    if not rubbish:
        return
    least, most = (sum(getattr(one, end) for one in rubbish) for end in ("least", "most"))
    low, likely, high = (
        max(place.tip_least, round(place.tip_m3 * volume))
        for volume in (least, (least + most) / 2, most)
    )
    mass = sum(one.mass for one in rubbish)
    yield Sum(
        key="waste", kind="waste", section="site", quantity=1.0, unit="job",
        label=plan.say(
            f"rubbish to the tip: {amount(mass, 'kg', 0)}, {amounts(least, most, 'm3', 2)} loose"
        ),
        each=(low, likely, high), invented=True,
    )  # fmt: skip


def allowances(plan: Plan, catalogue: Catalogue) -> Iterator[Sum]:
    """Sums tied to what was found, each with what it is tied to."""
    because = _because(plan)
    for one in catalogue.rates.allowance:
        reasons = because.get(one.when, [])
        if reasons:
            yield Sum(
                key=f"allowance.{one.id}", kind="allowance", label=plan.say(one.name),
                section="others", quantity=float(len(reasons)), unit="each",
                each=one.price.get(plan.region.id),
                invented=f"allowance {one.id}" not in catalogue.own,
                because=plan.say("; ".join(reasons)),
            )  # fmt: skip


def _because(plan: Plan) -> dict[str, list[str]]:
    """What each allowance is tied to here, one reason for each time it is put in."""
    job, fit = plan.job, plan.arrangement
    assert fit is not None
    wall = job.wall
    found: dict[str, list[str]] = {}
    for clash in fit.clashes:
        told = f"{clash.service.name}, {word(clash.service.kind)}, is in the {clash.where}"
        found.setdefault(clash.trade, []).append(told)
    if wall.situation != "new-wall" and (
        wall.built is None or wall.built < plan.region.hazard_year
    ):
        when = "at a time nobody has said" if wall.built is None else f"in {wall.built}"
        found["old-building"] = [f"built {when}: look for asbestos and lead paint first"]
    if plan.bearing.bears and wall.is_cut:
        found["load"] = [f"the wall is {plan.bearing.state.value}"]
    rated = [
        name for name, value in (
            ("fire-rated", wall.fire_rated), ("acoustic-rated", wall.acoustic_rated),
            ("on an escape route", wall.escape_route),
        ) if value is not False
    ]  # fmt: skip
    if rated:
        found["rated-wall"] = [f"the wall is, or may be, {', '.join(rated)}"]
    if wall.has_old and wall.over.kind == "unknown":
        found["over-unknown"] = ["what is over the old opening is not known"]
    return found


def terms_of(job: Job, plan: Plan, place: Place) -> tuple[Terms, tuple[Finding, ...]]:
    """How the price is made of the cost: the job's own, then the region's."""
    from truehang.plan.price_doubt import stages_wrong

    own, tax = job.prices, plan.region.tax
    margin = None if own.margin_percent is None else _part(own.margin_percent)
    markup = None
    if margin is None:
        markup = place.markup if own.markup_percent is None else _part(own.markup_percent)
    deposit = place.deposit if own.deposit_percent is None else _part(own.deposit_percent)
    stages = [Fraction(_part(one.percent)) for one in own.stages]
    wrong = stages_wrong(Fraction(deposit), stages)
    asked = [
        StageOf(key="deposit", name="deposit", when="with the order", part=Fraction(deposit)),
        *(
            StageOf(key=f"stage-{n}", name=one.name, when=one.when, part=part)
            for n, (one, part) in enumerate(zip(own.stages, stages, strict=True), start=1)
        ),
    ]
    if wrong:
        asked = asked[:1]
    left = 1 - sum((one.part for one in asked), Fraction(0))
    asked.append(StageOf(key="end", name="the rest", when="when it is handed over", part=left))
    return (
        Terms(
            markup=markup,
            margin=margin,
            basis=own.risk or place.basis,
            tax_name=tax.name,
            tax_rate=tax.rate if own.tax_percent is None else _part(own.tax_percent),
            tax_way=own.tax_rounding or place.tax_way,
            stages=tuple(one for one in asked if one.part),
            retention=_part(own.retention_percent or 0),
            valid_days=place.valid_days,
        ),
        wrong,
    )


def _part(percent: float) -> Decimal:
    return Decimal(str(percent)) / 100
