"""What would it cost another way, and what would that bring? Each way is planned in full.

Nothing is guessed from parts: an upgrade is the job with one wish changed, planned again, so that
what it takes with it (a heavier leaf's force, a wider frame's boards) is in its price.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from truehang.amounts import amount
from truehang.catalogue import Catalogue
from truehang.job import Job
from truehang.lengths import said
from truehang.money import Money
from truehang.plan.join import plan as plan_of
from truehang.plan.model import Plan
from truehang.plan.priced import Priced, priced
from truehang.plan.store import Store

MOST_OPTIONS = 4
KINDS = {
    "pair": "pair",
    "single-left": "single, pocket left",
    "single-right": "single, pocket right",
}
SEALED = {
    "mouth": "brush", "head": "brush", "floor": "drop", "jamb": "compression",
    "meeting": "compression",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """The job done another way: its price with tax, what that is more (or less) than the price of
    what is in the plan, and what it brings. Nothing of it is private."""

    key: str
    label: str
    kind: str
    gross: Money
    more: Money
    draft: bool
    brings: tuple[str, ...]
    loses: tuple[str, ...]


def alternatives(
    plan: Plan, base: Priced, catalogue: Catalogue, make: Callable[[Job], Plan] | None = None
) -> tuple[Alternative, ...]:
    """Other options that fit, then upgrades of what is in the plan; `make` plans a job."""
    store, made = Store(), []
    for key, label, kind, job in (*_options(plan), *_upgrades(plan, catalogue)):
        other = plan_of(job, catalogue, store) if make is None else make(job)
        money = priced(other, catalogue)
        if money is None or other.arrangement is None:
            continue
        brings, loses = _compared(plan, other)
        if money.price.gross == base.price.gross and not brings:
            continue  # there is nothing of it here
        made.append(
            Alternative(
                key=key,
                label=plan.say(label),
                kind=kind,
                gross=money.price.gross,
                more=money.price.gross - base.price.gross,
                draft=money.standing.draft,
                brings=tuple(map(plan.say, brings)),
                loses=tuple(map(plan.say, loses)),
            )
        )
    return tuple(made)


def _with(job: Job, **wishes: Any) -> Job:
    """The job with some of its wishes changed."""
    return job.model_copy(update={"wishes": job.wishes.model_copy(update=wishes)})


def _options(plan: Plan) -> Iterator[tuple[str, str, str, Job]]:
    """The next best options that fit, each made the one that is wished for."""
    for one in plan.weighed[1 : MOST_OPTIONS + 1]:
        option = one.option
        leaf = plan.job.wishes.leaf.model_copy(update={"construction": option.leaf_id})
        job = _with(plan.job, arrangement=option.arrangement, kit=option.kit_id, leaf=leaf)
        label = f"{KINDS[option.arrangement]}, {option.kit_name}, {option.leaf_name}"
        yield option.key, label, "option", job


def _upgrades(plan: Plan, catalogue: Catalogue) -> Iterator[tuple[str, str, str, Job]]:
    fit, job = plan.arrangement, plan.job
    assert fit is not None
    keep = {"arrangement": fit.option.arrangement, "kit": fit.kit_id}
    leaf = job.wishes.leaf.model_copy(update={"construction": fit.leaf_id})
    if not any(part.key == "soft-close" for part in fit.parts):
        yield "soft-close", "soft close", "upgrade", _with(
            job, **keep, leaf=leaf, soft_close="wanted"
        )  # fmt: skip
    now = catalogue.leaf_in(plan.region, fit.leaf_id)
    if now.kind != "solid-core" and not now.glass:
        for other in catalogue.leaves_in(plan.region):
            if other.kind == "solid-core" and not other.glass:
                solid = job.wishes.leaf.model_copy(update={"construction": other.id})
                yield f"leaf-{other.id}", other.name, "upgrade", _with(job, **keep, leaf=solid)
    sealed = _sealed(job, pair=len(fit.leaves) == 2)
    if sealed is not None:
        yield "seals", "seals at every gap", "upgrade", _with(job, **keep, leaf=leaf, seals=sealed)
    if not job.wishes.lining.insulate:
        lining = job.wishes.lining.model_copy(update={"insulate": True})
        yield "insulate", "insulation in what is framed up new", "upgrade", _with(
            job, **keep, leaf=leaf, lining=lining
        )  # fmt: skip


def _sealed(job: Job, *, pair: bool) -> Any:
    """The wishes for seals with every gap sealed that is not; None where all are."""
    wished = job.wishes.seals
    open_gaps = {
        gap: seal for gap, seal in SEALED.items()
        if getattr(wished, gap) == "none" and gap != ("jamb" if pair else "meeting")
    }  # fmt: skip
    return wished.model_copy(update=open_gaps) if open_gaps else None


def _compared(now: Plan, other: Plan) -> tuple[list[str], list[str]]:
    """What another plan brings over this one, and what it loses."""
    a, b = now.weighed[0], other.weighed[0]
    rows: list[tuple[float, str]] = []
    if a.rating is not None and b.rating is not None and a.rating.rw != b.rating.rw:
        rows.append((
            b.rating.rw - a.rating.rw,
            f"sound Rw {b.rating.rw} dB instead of {a.rating.rw} (predicted, not a field test)",
        ))  # fmt: skip
    if abs(a.option.passage - b.option.passage) >= 1:
        rows.append((
            b.option.passage - a.option.passage,
            f"clear passage {said(b.option.passage)} instead of {said(a.option.passage)}",
        ))  # fmt: skip
    if abs(a.force - b.force) >= 1:
        forces = f"up to {amount(b.force, 'N', 0)} to move a leaf, not {amount(a.force, 'N', 0)}"
        rows.append((a.force - b.force, forces))
    if abs(a.mass - b.mass) >= 1:
        rows.append(
            (
                a.mass - b.mass,
                f"leaves of {amount(b.mass, 'kg', 0)} in all, not {amount(a.mass, 'kg', 0)}",
            )
        )
    closes = [any(p.key == "soft-close" for p in x.arrangement.parts) for x in (a, b)]
    if closes[0] != closes[1]:
        rows.append((closes[1] - closes[0], "soft close" if closes[1] else "no soft close"))
    days = a.option.lead_time_days - b.option.lead_time_days
    if days:
        when = "sooner" if days > 0 else "later"
        rows.append((days, f"{abs(days)} days {when}"))
    return [text for by, text in rows if by > 0], [text for by, text in rows if by < 0]
