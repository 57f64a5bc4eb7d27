"""Does an option keep the accessibility figures that were asked for?

The figures are data (catalogue/data/access.toml). This is a comparison of numbers, not a
certifier's approval.
"""

from __future__ import annotations

from truehang.amounts import amount, amounts
from truehang.catalogue.access import AccessLimits
from truehang.findings import Finding, Severity
from truehang.fit.model import AccessCheck, Span
from truehang.lengths import said
from truehang.message import message
from truehang.words import word

PULL_HALF = 50.0
"""Half the height (mm) of a usual pull, kept inside the limits: common practice, no source."""


def handle_over_floor(leaf_height: float, wish: float | None, rules: AccessLimits | None) -> float:
    """Height (mm) of the pull's centre over the finished floor.

    As wished; else mid-height of the leaf (common practice, no source), moved inside the rule
    set's limits where there is one. Always on the leaf.
    """
    ends = Span(PULL_HALF, leaf_height - PULL_HALF)
    if wish is not None:
        return min(max(wish, ends.low), ends.high)
    middle = float(round(leaf_height / 2))
    low, high = ends.low, ends.high
    if rules is not None and rules.hardware_low is not None:
        low = rules.hardware_low + PULL_HALF
    if rules is not None and rules.hardware_high is not None:
        high = rules.hardware_high - PULL_HALF
    return min(max(middle, low), high)


def checks(
    rules: AccessLimits | None,
    *,
    passage: float,
    one_leaf_passage: float,
    standing_out: float,
    handle: float,
) -> tuple[AccessCheck, ...]:
    """The figures of an option against a rule set; () without one.

    `passage` is the clear width with all leaves open, `one_leaf_passage` with only one open (the
    same for a single), `standing_out` what is left to see of the open leaf, `handle` the height
    of the pull's centre over the finished floor; all mm.
    """
    if rules is None:
        return ()
    made = []
    if rules.clear_width_least is not None:
        width = one_leaf_passage if rules.one_leaf_of_pair else passage
        label = "clear width, one leaf open" if width != passage else "clear width"
        made.append(
            AccessCheck(
                "clear-width",
                label,
                width,
                message(f"at least {said(rules.clear_width_least)}"),
                width >= rules.clear_width_least - 1e-9,
                rules.source,
                message(said(width, 1)),
            )
        )
    if rules.hardware_low is not None and rules.hardware_high is not None:
        made.append(
            AccessCheck(
                "hardware-height",
                "pull over finished floor",
                handle,
                message(f"{said(rules.hardware_low)} to {said(rules.hardware_high)}"),
                rules.hardware_low <= handle <= rules.hardware_high,
                rules.source,
                message(said(handle, 1)),
            )
        )
    if rules.hardware_exposed_open:
        made.append(
            AccessCheck(
                "hardware-exposed",
                "leaf left standing out when open, for the pull",
                standing_out,
                message(f"at least {said(rules.exposed_least)}"),
                standing_out >= rules.exposed_least - 1e-9,
                rules.source,
                message(said(standing_out, 1)),
            )
        )
    return tuple(made)


def force_check(rules: AccessLimits | None, low: float, high: float) -> tuple[AccessCheck, ...]:
    """The force (N) that a leaf takes, from `low` to `high` as reckoned; () where none is asked.

    Met only where the high end keeps the limit, not met where the low end breaks it; between them
    the finished leaf has to be measured.
    """
    if rules is None or rules.force_most is None:
        return ()
    passed = True if high <= rules.force_most else False if low > rules.force_most else None
    return (
        AccessCheck(
            "force",
            "force to slide the leaf",
            high,
            message(f"at most {amount(rules.force_most, 'N', None)}"),
            passed,
            rules.source,
            message(amounts(low, high, "N")),
        ),
    )


def access_findings(made: tuple[AccessCheck, ...]) -> tuple[Finding, ...]:
    """What fails, or can only be proved on the finished leaf."""
    found = []
    for check in made:
        if check.key == "force" and check.passed is not True:
            verb = "may take" if check.passed is None else "takes"
            found.append(
                Finding(
                    Severity.WARN,
                    "accessibility.force",
                    f"the leaf {verb} {check.shown}; asked {check.limit}",
                    "less seal drag, a lighter leaf or a softer soft close; prove it with a "
                    "spring balance before you hand over",
                    check.source,
                )
            )
        elif check.passed is False:
            found.append(
                Finding(
                    Severity.STOP if check.key == "clear-width" else Severity.WARN,
                    f"accessibility.{check.key}",
                    f"{check.label} is {check.shown}; asked {check.limit}",
                    f"the local rule and the {word('certifier')} decide",
                    check.source,
                )
            )
    return tuple(found)


_FACTS = {
    "kind": "building.kind: dwelling or other",
    "work": "building.work: new or existing",
    "approach": "building.approach: head-on or turn",
    "corridor": "building.corridor: the width of the corridor at the door",
}


def rule_findings(rules: AccessLimits | None) -> tuple[Finding, ...]:
    """What to know of the rule set itself before anybody relies on it."""
    if rules is None:
        return ()
    where, found = "wishes.accessible", []
    if rules.to_check:
        found.append(
            Finding(
                Severity.WARN,
                where,
                f"{rules.title}: {'; '.join(rules.to_check)}",
                "check them against the published text before you rely on them",
                rules.source,
            )
        )
    if rules.unknown and rules.clear_width_least != rules.clear_width_eased:
        least, eased = rules.clear_width_least or 0.0, rules.clear_width_eased or 0.0
        found.append(
            Finding(
                Severity.WARN,
                "building",
                f"the clear width asked depends on the building; what is not known is taken at its "
                f"hardest, {said(least, 1)}; {said(eased, 1)} may do",
                f"give {'; '.join(_FACTS[name] for name in rules.unknown)}",
                rules.source,
            )
        )
    if rules.narrow and "corridor" not in rules.unknown:
        found.append(
            Finding(
                Severity.WARN,
                "building.corridor",
                f"the corridor is narrower than {rules.title} gives a clear width for; its widest, "
                f"{said(rules.clear_width_least or 0.0, 1)}, is asked",
                f"ask the {word('certifier')} what will do there",
                rules.source,
            )
        )
    if rules.beyond:
        found.append(
            Finding(
                Severity.NOTE,
                where,
                f"{rules.title} is not written for this kind of building; it is checked because "
                "it was wished for",
                f"ask the {word('certifier')} what is called for here",
                rules.source,
            )
        )
    return tuple(found)
