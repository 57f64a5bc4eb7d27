"""What load does the head see? Line loads and the code's combinations of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from truehang.catalogue.timber import CodeSet, LoadRule, Method
from truehang.figures import Figure
from truehang.rule import Given, Rule
from truehang.structure.beams import Array
from truehang.structure.inputs import AreaLoad

DURATIONS = ("permanent", "long", "medium", "months", "short", "instant")
LASTING = DURATIONS[:2]
"""Loads of these durations are no temporary ones."""
LOAD_SOURCE = "statics: area load x tributary width"


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
    kinds = dict.fromkeys(load.kind for load in loads if load.live > 0.0)
    live: dict[str, float] = {
        kind: _added([(load.live, load.tributary) for load in loads if load.kind == kind])
        for kind in kinds
    }
    return LineLoads(
        _added([(load.dead, load.tributary) for load in loads]),
        live,
        _added([(load.uplift or 0.0, load.tributary) for load in loads]),
    )


@lru_cache(maxsize=32)
def line_rule(count: int) -> Rule:
    """So many area loads, each over its width, as one load for each length: N/mm = kN/m."""
    terms = " + ".join(f"q{n} × w{n}/1000" for n in range(1, count + 1))
    means = {"q": "load along the head, kN/m"}
    for n in range(1, count + 1):
        means |= {f"q{n}": f"area load {n}, kPa", f"w{n}": f"width that brings load {n}"}
    return Rule(f"q = {terms or '0'}", means)


def line_figure(
    key: str, label: str, loads: Sequence[AreaLoad], read: Callable[[AreaLoad], float]
) -> Figure:
    """The line load of what `read` takes from each area load, with its working."""
    counted = [(at, load) for at, load in enumerate(loads) if read(load) > 0.0]
    put = {}
    for n, (at, load) in enumerate(counted, 1):
        place = f"job:wall.evidence.loads.{at}"
        put[f"q{n}"] = Given(read(load), place, "kPa")
        put[f"w{n}"] = Given(load.tributary, place)
    return line_rule(len(counted)).figure(
        key, label, put, LOAD_SOURCE, unit="kN/m", behind=("job:wall.evidence.loads",)
    )


def _added(loads: Sequence[tuple[float, float]]) -> float:
    put = {f"q{n}": load for n, (load, _) in enumerate(loads, 1)}
    put |= {f"w{n}": wide for n, (_, wide) in enumerate(loads, 1)}
    return line_rule(len(loads))(**put)


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
