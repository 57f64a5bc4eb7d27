"""What load does the head see? Line loads and the code's combinations of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from truehang.catalogue.timber import CodeSet, LoadRule, Method
from truehang.structure.beams import Array
from truehang.structure.inputs import AreaLoad

DURATIONS = ("permanent", "long", "medium", "months", "short", "instant")
LASTING = DURATIONS[:2]
"""Loads of these durations are no temporary ones."""
KPA_MM = 1e-3
"""1 kPa over 1 mm is 0.001 N per mm of length."""


@dataclass(frozen=True, slots=True)
class LineLoads:
    """Characteristic loads along the head, N/mm (= kN/m): dead, live by kind, wind that lifts."""

    dead: float
    live: dict[str, float]
    uplift: float = 0.0

    @property
    def all_live(self) -> float:
        """Every live load together, N/mm."""
        return sum(self.live.values())


@dataclass(frozen=True, slots=True)
class Combination:
    """Factors on dead load, on each kind of live load and on uplift; the duration of the
    shortest; the clause it is from and the method it belongs to."""

    clause: str
    method: str
    dead: float
    live: dict[str, float]
    duration: str
    uplift: float = 0.0

    @property
    def temporary(self) -> bool:
        """True where its live loads come and go."""
        return self.duration not in LASTING


@dataclass(frozen=True, slots=True)
class Acting:
    """How a combination acts on a member, for rules of stability that ask: by which method, with
    which duration factor, and what share of its effect is temporary (0..1)."""

    method: Method
    lasting: float
    temporary: Array


def line_loads(loads: Sequence[AreaLoad]) -> LineLoads:
    """Area loads times their tributary widths, added up."""
    live: dict[str, float] = {}
    for load in loads:
        if load.live > 0.0:
            live[load.kind] = live.get(load.kind, 0.0) + load.live * load.tributary * KPA_MM
    return LineLoads(
        sum(load.dead * load.tributary * KPA_MM for load in loads),
        live,
        sum((load.uplift or 0.0) * load.tributary * KPA_MM for load in loads),
    )


def load_combinations(
    code: CodeSet, kinds: Sequence[str], *, lifts: bool = False
) -> tuple[Combination, ...]:
    """Every combination that the code's clauses ask for, for these kinds of live load.

    A clause with live loads gives one for every group of them, each of its leading kinds leading
    in turn. The shortest load of a group sets its duration, so groups without it are combinations
    of their own (EN 1995-1-1 3.1.3(2), AS 1720.1 2.4.1, NDS 2.3.2).
    """
    found: list[Combination] = []
    for rule in code.combination:
        for each in _of(rule, code, kinds, lifts):
            if each not in found:
                found.append(each)
    return tuple(found)


def _of(rule: LoadRule, code: CodeSet, kinds: Sequence[str], lifts: bool) -> Iterator[Combination]:
    if rule.uplift:
        if lifts:
            yield Combination(rule.clause, rule.method, rule.dead, {}, "instant", rule.uplift)
    elif rule.lasting:
        live = {kind: rule.lasting * code.long_share[kind] for kind in kinds}
        yield Combination(rule.clause, rule.method, rule.dead, live, "long")
    elif rule.lead:
        for group in _groups(rule, code, kinds):
            shortest = max((code.load_duration[kind] for kind in group), key=DURATIONS.index)
            for leading in group:
                others = [kind for kind in group if kind != leading]
                if leading in rule.lead and all(kind in rule.beside for kind in others):
                    live = {k: rule.lead[k] if k == leading else rule.beside[k] for k in group}
                    yield Combination(rule.clause, rule.method, rule.dead, live, shortest)
    else:
        yield Combination(rule.clause, rule.method, rule.dead, {}, "permanent")


def _groups(rule: LoadRule, code: CodeSet, kinds: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Every group of the kinds that have a part in the rule and may act together."""
    mine = [kind for kind in kinds if kind in rule.lead or kind in rule.beside]
    for size in range(1, len(mine) + 1):
        for group in combinations(mine, size):
            if sum(kind in code.either for kind in group) <= 1:
                yield group
