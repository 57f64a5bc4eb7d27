"""Are the rates whole? What a region lacks, what is invented, what is far off what is known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from truehang.findings import Finding, Severity

if TYPE_CHECKING:
    from truehang.catalogue import Catalogue

FAR = 2.0
"""Likely hours that are so many times a published figure, or less than its part, are told."""


def rate_problems(catalogue: Catalogue) -> tuple[Finding, ...]:
    """Everything to look at, what is missing first."""
    found = (*_missing(catalogue), *_far(catalogue), *_invented(catalogue))
    return tuple(sorted(found, key=lambda one: -one.severity))


def _missing(catalogue: Catalogue) -> Iterator[Finding]:
    rates = catalogue.rates
    crews = sorted({task.crew for task in rates.task})
    for region in catalogue.regions:
        place = rates.at(region.id)
        if place is None:
            yield _hold(f"place {region.id}", "nobody has said what money is reckoned with there",
                        "give a [[place]] with its hours, markup and tip")  # fmt: skip
            continue
        for crew in crews:
            if crew not in place.hour:
                tasks = ", ".join(task.id for task in rates.task if task.crew == crew)
                yield _hold(f"place {region.id}: hour.{crew}",
                            f"no price for an hour, so these have none: {tasks}",
                            f"give hour.{crew} in minor units of {region.currency}")  # fmt: skip
        for kind, some in (("good", rates.good), ("plant", rates.plant),
                           ("allowance", rates.allowance)):  # fmt: skip
            for one in some:
                if region.id not in one.price:
                    mend = f"give price.{region.id} in minor units of {region.currency}"
                    yield _hold(f"{kind} {one.id}: price.{region.id}", "no price there", mend)


def _hold(where: str, what: str, mend: str) -> Finding:
    return Finding(Severity.HOLD, where, what, mend, "what a price is made of", before="order")


def _far(catalogue: Catalogue) -> Iterator[Finding]:
    hours = {task.id: task.hours for task in catalogue.rates.task}
    for one in catalogue.rates.published:
        if one.task not in hours or not one.unit.startswith("h/"):
            continue
        likely = hours[one.task][1]
        if not one.low / FAR <= likely <= one.high * FAR:
            yield Finding(
                Severity.WARN, f"task {one.task}: hours",
                f"{likely:g} is likely, and {one.low:g} {one.unit} is published",
                "look whether it is for one unit of its measure", one.source,
            )  # fmt: skip


def _invented(catalogue: Catalogue) -> Iterator[Finding]:
    rates = catalogue.rates
    names = [
        f"{kind} {one.id}"
        for kind, some in (("task", rates.task), ("good", rates.good), ("plant", rates.plant),
                           ("allowance", rates.allowance), ("supplier", rates.supplier))
        for one in some
    ]  # fmt: skip
    left = [name for name in (*names, *(f"place {p.region}" for p in rates.place))
            if name not in catalogue.own]  # fmt: skip
    if left:
        yield Finding(
            Severity.NOTE, "rates", f"{len(left)} of them are still invented: {', '.join(left)}",
            "give your own by the same id", "common practice, no source",
        )  # fmt: skip
