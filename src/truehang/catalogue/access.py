"""Which accessibility figures apply to a sliding door, by rule set and region?"""

from __future__ import annotations

from functools import cache

from truehang.catalogue._read import Entry, table


class AccessRuleSet(Entry):
    """One rule set. Lengths mm, force N; None where the set gives no such figure here.

    `exposed_least` is how much of the open leaf must stand out of the pocket for its pull to be
    reached where `hardware_exposed_open` asks for that.
    """

    id: str
    title: str
    regions: tuple[str, ...]
    clear_width_least: float | None = None
    force_most: float | None = None
    hardware_low: float | None = None
    hardware_high: float | None = None
    hardware_exposed_open: bool = False
    exposed_least: float = 0.0
    one_leaf_of_pair: bool = False
    """True where one open leaf of a pair must give the clear width on its own."""
    verified: bool
    """False: from memory; check against the published standard before relying on it."""
    source: str


@cache
def access_rule_sets() -> tuple[AccessRuleSet, ...]:
    """All shipped rule sets."""
    return tuple(AccessRuleSet.model_validate(entry) for entry in table("access")["rule_set"])
