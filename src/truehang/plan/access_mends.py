"""Which changed wish keeps an accessibility figure that the planned option does not keep?

Each is tried before it is told, so that whoever takes it finds that it works. Where none does, that
is said, and what would.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from truehang.catalogue.access import AccessLimits
from truehang.findings import Change, Finding
from truehang.job import Job, changed
from truehang.lengths import said
from truehang.message import message
from truehang.plan.hang import SEAL_PLACES
from truehang.plan.weigh import WeighedOption
from truehang.words import word

ACCESS = "accessibility."
Replan = Callable[[Job], WeighedOption | None]
"""The option that comes first for another job; None where nothing fits."""
_WOULD = {
    "clear-width": "a longer run, or a narrower frame, would",
    "hardware-height": "a leaf that reaches the height asked would",
    "hardware-exposed": "a kit that leaves more of its open leaf standing out would",
    "force": "a lighter leaf, a kit that runs easier or a softer soft close would; prove it with a "
    "spring balance before you hand over",
}


def with_access_mends(
    job: Job,
    chosen: WeighedOption,
    weighed: Sequence[WeighedOption],
    rules: AccessLimits | None,
    first_of: Replan,
) -> WeighedOption:
    """The same option, each accessibility finding with a mend that works, or without one."""
    fit = chosen.arrangement
    if rules is None or not any(one.where.startswith(ACCESS) for one in fit.findings):
        return chosen
    findings = tuple(
        _mended(one, job, chosen, weighed, rules, first_of) if one.where.startswith(ACCESS) else one
        for one in fit.findings
    )
    return replace(chosen, arrangement=replace(fit, findings=findings))


def _mended(
    finding: Finding,
    job: Job,
    chosen: WeighedOption,
    weighed: Sequence[WeighedOption],
    rules: AccessLimits,
    first_of: Replan,
) -> Finding:
    key = finding.where.removeprefix(ACCESS)
    decide = f"the local rule and the {word('certifier')} decide"
    now = _open(chosen)
    for changes in _candidates(key, job, weighed, rules):
        try:
            other = first_of(changed(job, changes))
        except ValueError:
            continue
        if other is not None and key not in _open(other) and _open(other) <= now:
            mend = message(f"{_told(changes)}; {decide}")
            return replace(finding, mend=mend, changes=changes)
    return replace(finding, mend=message(f"no option here keeps it; {_WOULD[key]}; {decide}"))


def _open(one: WeighedOption) -> frozenset[str]:
    """The figures that an option does not keep, or may not."""
    return frozenset(
        check.key
        for check in one.arrangement.access
        if check.passed is False or (check.key == "force" and check.passed is None)
    )


def _candidates(
    key: str, job: Job, weighed: Sequence[WeighedOption], rules: AccessLimits
) -> Iterator[tuple[Change, ...]]:
    """What might do, the smallest change first."""
    for other in weighed:
        if key not in _open(other):
            yield (
                Change("wishes.arrangement", other.option.arrangement),
                Change("wishes.kit", other.option.kit_id),
                Change("wishes.leaf.construction", other.option.leaf_id),
            )
            break
    wishes = job.wishes
    free = (
        Change("wishes.arrangement", "any"),
        Change("wishes.kit", "any"),
        Change("wishes.leaf.construction", "any"),
    )
    if key == "clear-width" and rules.clear_width_least is not None:
        yield free
        wide = Change("wishes.clear_width", float(math.ceil(rules.clear_width_least)))
        yield (wide,)
        yield (wide, *free)
    if key == "hardware-height" and wishes.handle_height is not None:
        yield (Change("wishes.handle_height", None),)
    if key == "hardware-exposed":
        yield free
    if key == "force":
        soft = (Change("wishes.soft_close", "any"),) if wishes.soft_close == "wanted" else ()
        bare = tuple(
            Change(f"wishes.seals.{place}", "none")
            for place in SEAL_PLACES
            if getattr(wishes.seals, place) != "none"
        )
        yield from (some for some in (soft, bare, (*soft, *bare)) if some)


def _told(changes: Sequence[Change]) -> str:
    parts = []
    for one in changes:
        if one.value is None:
            parts.append(f"leave {one.path} out")
        else:
            value = said(one.value) if isinstance(one.value, float) else str(one.value)
            parts.append(f"set {one.path} to {value}")
    return ", ".join(parts)
