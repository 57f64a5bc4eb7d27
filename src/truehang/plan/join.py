"""What does a job come to? The rooms are asked in their declared order; a plan is what they say."""

from __future__ import annotations

import hashlib

from truehang import __version__
from truehang.catalogue import Catalogue
from truehang.figures import Ledger
from truehang.findings import worst_first
from truehang.job import Job, canonical
from truehang.message import message
from truehang.plan import order as rooms
from truehang.plan.build_steps import build_steps
from truehang.plan.entry import Asked, walk
from truehang.plan.given import Given
from truehang.plan.model import Plan, spoken
from truehang.plan.own_materials import with_own
from truehang.plan.store import Store


def plan(job: Job, catalogue: Catalogue, store: Store | None = None) -> Plan:
    """Plan a job. Pure: the same job and catalogue give the same plan, whatever is in the `store`
    of answers that are known already (of this catalogue; without one, of this plan alone).

    Never raises for what a valid job says: what can't be known is left out, and a finding says
    why.
    """
    catalogue = with_own(catalogue, job)
    known = (Store() if store is None else store).over(catalogue)
    asked = walk(Given.of(job, catalogue, known), rooms.ORDER, rooms.CHOSEN)
    return spoken(_made(asked))


def _made(asked: Asked) -> Plan:
    """All answers as one plan."""
    job, where = asked.given.job, asked.given.region
    decided, settled = asked.of(rooms.DECIDED), asked.get(rooms.HEAD)
    head = settled.head if settled else None
    figures = Ledger(asked.figures())
    goes, lined = asked.get(rooms.GOES_IN), asked.get(rooms.LINED)
    heard = asked.get(rooms.HEARD)
    return Plan(
        job=job,
        catalogue_version=asked.given.catalogue.version,
        digest=_digest(job, asked.given.catalogue),
        region=where,
        style=job.job.print or where.lengths,
        measured=asked.of(rooms.MEASURED),
        chance=goes.chance if goes else None,
        services=decided.best.asked.request.services if decided.best else (),
        options=decided.found,
        weighed=decided.weighed,
        arrangement=rooms.fitted(asked),
        bearing=asked.of(rooms.BEARING),
        head_movement=head.movement if head else None,
        track_head=head.choice if head else None,
        over=settled.over if settled else None,
        head_sizing=settled.sizing if settled else None,
        unsized=message(settled.unsized if settled else ""),
        hardware=asked.get(rooms.HUNG) or (),
        hanging_left=asked.get(rooms.BOLTS) or (),
        members=asked.get(rooms.FRAMED) or (),
        fixings=asked.get(rooms.FIXED),
        lining=lined.plans if lined else (),
        takeoff=asked.get(rooms.TAKEN_OFF),
        sound=heard.result if heard else None,
        steps=build_steps(asked, figures),
        findings=worst_first(asked.findings()),
        figures=figures,
        access=asked.of(rooms.RULES),
    )


def _digest(job: Job, catalogue: Catalogue) -> str:
    whole = b"\n".join((canonical(job), catalogue.version.encode(), __version__.encode()))
    return hashlib.sha256(whole).hexdigest()
