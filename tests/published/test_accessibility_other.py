"""Approved Document M (England) and AS 1428.1:2009, as read in transcriptions.

Approved Document M, clear widths (volume 1, dwellings; volume 2, other buildings):
dwelling, head-on, corridor 900: 750; with a turn, corridor 1200: 750, 1050: 775, 900: 800.
other, straight on: new 800, existing 750; at right angles from 1500: 800 and 750; from 1200: 825
and 775. 30 N is for the first 30 degrees of a swing; no limit for a sliding door was seen.
AS 1428.1:2009 (called up by the National Construction Code 2022): clear 850, controls 900 to 1100.
"""

from __future__ import annotations

import pytest

from truehang.catalogue.access import AccessRuleSet, Site, access_rule_sets
from truehang.fit.access import rule_findings

SETS = {rules.id: rules for rules in access_rule_sets()}
UK: AccessRuleSet = SETS["uk-part-m"]


@pytest.mark.parametrize(
    ("site", "width"),
    [
        (Site("dwelling", "new", "head-on", 900), 750),
        (Site("dwelling", "new", "turn", 1200), 750),
        (Site("dwelling", "new", "turn", 1199), 775),
        (Site("dwelling", "existing", "turn", 1050), 775),
        (Site("dwelling", "new", "turn", 1049), 800),
        (Site("dwelling", "new", "turn", 900), 800),
        (Site("other", "new", "head-on", 1000), 800),
        (Site("other", "existing", "head-on", 1000), 750),
        (Site("other", "new", "turn", 1500), 800),
        (Site("other", "new", "turn", 1499), 825),
        (Site("other", "existing", "turn", 1500), 750),
        (Site("other", "existing", "turn", 1200), 775),
    ],
)
def test_every_row_of_the_table(site: Site, width: float) -> None:
    limits = UK.limits(site)
    assert limits.clear_width_least == width
    assert limits.unknown == ()
    assert not limits.narrow


@pytest.mark.parametrize(
    ("site", "hardest", "eased", "unknown"),
    [
        (Site(), 825, 750, ("kind", "work", "approach", "corridor")),
        (Site("dwelling"), 800, 750, ("approach", "corridor")),
        (Site("dwelling", approach="head-on"), 750, 750, ()),
        (Site("other", approach="head-on"), 800, 750, ("work",)),
        (Site("other", "new", "turn"), 825, 800, ("corridor",)),
    ],
)
def test_what_is_not_known_is_taken_at_its_hardest(
    site: Site, hardest: float, eased: float, unknown: tuple[str, ...]
) -> None:
    limits = UK.limits(site)
    assert (limits.clear_width_least, limits.clear_width_eased) == (hardest, eased)
    assert limits.unknown == unknown
    said = [one for one in rule_findings(limits) if one.where == "building"]
    assert bool(said) is bool(unknown)
    for name in unknown:
        assert f"building.{name}" in said[0].mend


def test_a_corridor_narrower_than_the_table_is_said() -> None:
    limits = UK.limits(Site("dwelling", "new", "turn", 850))
    assert limits.narrow
    assert limits.clear_width_least == 800
    assert any(one.where == "building.corridor" for one in rule_findings(limits))


def test_no_force_is_asked_where_none_was_seen() -> None:
    assert UK.limits().force_most is None
    assert any("30 N" in line for line in UK.to_check)


def test_the_australian_set_names_its_edition() -> None:
    rules = SETS["au-1428"]
    assert "1428.1:2009" in rules.title
    limits = rules.limits(Site("other"))
    assert limits.clear_width_least == 850
    assert (limits.hardware_low, limits.hardware_high) == (900, 1100)
    assert limits.unknown == ()
    assert any("4 N" in line for line in rules.to_check)
    assert rules.limits(Site("dwelling")).beyond


def test_what_was_not_read_is_said_before_it_is_relied_on() -> None:
    for rules in SETS.values():
        said = [one for one in rule_findings(rules.limits()) if one.where == "wishes.accessible"]
        assert bool(rules.to_check) is any(rules.to_check[0] in one.what for one in said)
