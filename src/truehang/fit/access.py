"""Does an option keep the accessibility figures that were asked for?

The figures are data (catalogue/data/access.toml). This is a comparison of numbers, not a
certifier's approval.
"""

from __future__ import annotations

from truehang.catalogue.access import AccessRuleSet
from truehang.fit.model import AccessCheck, Span
from truehang.lengths import said

PULL_HALF = 50.0
"""Half the height (mm) of a usual pull, kept inside the limits: common practice, no source."""


def handle_over_floor(leaf_height: float, wish: float | None, rules: AccessRuleSet | None) -> float:
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
    rules: AccessRuleSet | None,
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
                f"at least {said(rules.clear_width_least, 1)}",
                width >= rules.clear_width_least - 1e-9,
                rules.source,
            )
        )
    if rules.hardware_low is not None and rules.hardware_high is not None:
        made.append(
            AccessCheck(
                "hardware-height",
                "pull over finished floor",
                handle,
                f"{said(rules.hardware_low, 1)} to {said(rules.hardware_high, 1)}",
                rules.hardware_low <= handle <= rules.hardware_high,
                rules.source,
            )
        )
    if rules.hardware_exposed_open:
        made.append(
            AccessCheck(
                "hardware-exposed",
                "leaf left standing out when open, for the pull",
                standing_out,
                f"at least {said(rules.exposed_least, 1)}",
                standing_out >= rules.exposed_least - 1e-9,
                rules.source,
            )
        )
    if rules.force_most is not None:
        made.append(
            AccessCheck(
                "force",
                "force to slide the leaf",
                None,
                f"at most {rules.force_most:g} N",
                None,
                rules.source,
            )
        )
    return tuple(made)
