"""Which accessibility figures apply to a sliding door, by rule set, building and approach?

A rule set is data. What it asks of one door depends on the building: `AccessRuleSet.limits` picks
the figures for it once, and everybody who checks, says or draws a limit takes it from there. What
is not known of the building is never taken as the easy case.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cache
from itertools import product
from typing import Any, Literal

from truehang.catalogue._read import Entry, table

BuildingKind = Literal["dwelling", "other"]
Work = Literal["new", "existing"]
Approach = Literal["head-on", "turn"]

_KINDS: tuple[BuildingKind, ...] = ("dwelling", "other")
_WORKS: tuple[Work, ...] = ("new", "existing")
_APPROACHES: tuple[Approach, ...] = ("head-on", "turn")


@dataclass(frozen=True, slots=True)
class Site:
    """The building as a rule set asks of it; None: not known.

    `corridor` is the width (mm) of the corridor that the door is reached from, `approach` whether
    it is reached straight on or with a turn.
    """

    kind: BuildingKind | None = None
    work: Work | None = None
    approach: Approach | None = None
    corridor: float | None = None


_ANY_SITE = Site()


class ClearWidth(Entry):
    """One row of a set's table: the least clear width in such a building, by such an approach,
    from a corridor at least so wide (mm)."""

    least: float
    buildings: tuple[BuildingKind, ...] = _KINDS
    works: tuple[Work, ...] = _WORKS
    approaches: tuple[Approach, ...] = _APPROACHES
    corridor_least: float = 0.0


@dataclass(frozen=True, slots=True)
class AccessLimits:
    """What is asked of this door. Lengths mm, force N; None where the set gives no such figure.

    `to_check` says what of it was not read in the standard, `unknown` which facts of the building
    would ease the clear width, `narrow`: the corridor is narrower than the set's table goes, and
    `beyond`: the set is not written for this building.
    """

    id: str
    title: str
    source: str
    to_check: tuple[str, ...] = ()
    clear_width_least: float | None = None
    clear_width_eased: float | None = None
    """The clear width that would do in the easiest case that is left open."""
    force_most: float | None = None
    hardware_low: float | None = None
    hardware_high: float | None = None
    hardware_exposed_open: bool = False
    exposed_least: float = 0.0
    one_leaf_of_pair: bool = False
    unknown: tuple[str, ...] = ()
    narrow: bool = False
    beyond: bool = False

    @property
    def verified(self) -> bool:
        """Was every figure read in the standard itself, or in public law?"""
        return not self.to_check


class AccessRuleSet(Entry):
    """One rule set. Lengths mm, force N; None where the set gives no such figure here.

    `exposed_least` is how much of the open leaf must stand out of the pocket for its pull to be
    reached where `hardware_exposed_open` asks for that; `one_leaf_of_pair`: one open leaf of a
    pair must give the clear width on its own. `buildings` are those the set is written for.
    """

    id: str
    title: str
    buildings: tuple[BuildingKind, ...] = _KINDS
    clear_width: tuple[ClearWidth, ...] = ()
    force_most: float | None = None
    hardware_low: float | None = None
    hardware_high: float | None = None
    hardware_exposed_open: bool = False
    exposed_least: float = 0.0
    one_leaf_of_pair: bool = False
    to_check: tuple[str, ...] = ()
    """What was not read in the standard: to be checked there before anybody relies on it."""
    source: str

    def limits(self, site: Site = _ANY_SITE) -> AccessLimits:
        """What the set asks in this building: the hardest of the cases that are left open."""
        hardest, narrow = self._width(site, hard=True)
        easiest, _ = self._width(site, hard=False)
        return AccessLimits(
            id=self.id,
            title=self.title,
            source=self.source,
            to_check=self.to_check,
            clear_width_least=hardest,
            clear_width_eased=easiest,
            force_most=self.force_most,
            hardware_low=self.hardware_low,
            hardware_high=self.hardware_high,
            hardware_exposed_open=self.hardware_exposed_open,
            exposed_least=self.exposed_least,
            one_leaf_of_pair=self.one_leaf_of_pair,
            unknown=self._unknown(site, hardest),
            narrow=narrow,
            beyond=site.kind is not None and site.kind not in self.buildings,
        )

    def _width(self, site: Site, *, hard: bool) -> tuple[float | None, bool]:
        """The least clear width in the hardest (or easiest) open case; is the table too short?"""
        if not self.clear_width:
            return None, False
        asked = [self._case(*case) for case in _cases(site, self.clear_width)]
        wide = max if hard else min
        return wide(width for width, _ in asked), any(narrow for _, narrow in asked)

    def _case(
        self, kind: BuildingKind, work: Work, approach: Approach, corridor: float
    ) -> tuple[float, bool]:
        """The least width that some row allows; the widest there is where the corridor is
        narrower than any row of this case."""
        rows = [
            row
            for row in self.clear_width
            if kind in row.buildings and work in row.works and approach in row.approaches
        ] or list(self.clear_width)
        open_to = [row.least for row in rows if row.corridor_least <= corridor]
        if open_to:
            return min(open_to), False
        return max(row.least for row in rows), True

    def _unknown(self, site: Site, hardest: float | None) -> tuple[str, ...]:
        """Which open facts could bring the clear width down, once known?"""
        if hardest is None:
            return ()
        found = []
        for name, values in _open(site, self.clear_width).items():
            known = [replace(site, **{name: value}) for value in values]
            asked = {tuple(self._width(one, hard=hard)[0] for hard in (True, False))
                     for one in known}  # fmt: skip
            if len(asked) > 1:
                found.append(name)
        return tuple(found)


def _open(site: Site, rows: tuple[ClearWidth, ...]) -> dict[str, tuple[Any, ...]]:
    """What each fact that is not known could be."""
    corridors = tuple(sorted({row.corridor_least for row in rows}))
    could = dict(zip(("kind", "work", "approach", "corridor"),
                     (_KINDS, _WORKS, _APPROACHES, corridors), strict=True))  # fmt: skip
    return {f.name: could[f.name] for f in fields(site) if getattr(site, f.name) is None}


def _cases(
    site: Site, rows: tuple[ClearWidth, ...]
) -> list[tuple[BuildingKind, Work, Approach, float]]:
    """Every case that is left open; a corridor that is not known is as wide as some row asks."""
    could = _open(site, rows)
    kinds: tuple[BuildingKind, ...] = could.get("kind", (site.kind,))
    works: tuple[Work, ...] = could.get("work", (site.work,))
    ways: tuple[Approach, ...] = could.get("approach", (site.approach,))
    made = []
    for kind, work, way in product(kinds, works, ways):
        alike = [
            row.corridor_least
            for row in rows
            if kind in row.buildings and work in row.works and way in row.approaches
        ] or [row.corridor_least for row in rows]
        corridors = alike if site.corridor is None else [site.corridor]
        made += [(kind, work, way, corridor) for corridor in corridors]
    return made


@cache
def access_rule_sets() -> tuple[AccessRuleSet, ...]:
    """All shipped rule sets."""
    return tuple(AccessRuleSet.model_validate(entry) for entry in table("access")["rule_set"])
