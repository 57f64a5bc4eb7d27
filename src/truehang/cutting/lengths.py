"""Which lengths are bought, and what is cut from each? The least cost, or the least length.

Parts of any number of jobs are pooled, section by section. Every answer carries its proof or its
gap. The same request gives the same plan on every machine unless a time limit cuts the search.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from truehang.cutting.best import Answer
from truehang.cutting.bins import Packing, Pattern, Problem, problem
from truehang.cutting.request import (
    COMMON_PRACTICE,
    TENTHS,
    CutRules,
    Effort,
    Offcut,
    Part,
    Stock,
    check_request,
    check_rules,
    joined,
    tenths,
)
from truehang.cutting.result import (
    Cut,
    CutLine,
    CuttingPlan,
    Objective,
    Proof,
    Purchase,
    SectionCuts,
)
from truehang.cutting.search import solve
from truehang.figures import Figure
from truehang.findings import Finding, Severity, worst_first
from truehang.lengths import said
from truehang.money import Money

COLUMNS_SOURCE = (
    "Gilmore and Gomory, Operations Research 9 (1961) and 11 (1963); bound by Farley, "
    "Operations Research 38 (1990); cited from memory"
)


@dataclass(frozen=True, slots=True)
class _Bin:
    """A kind of length that can be cut: bought stock, or one piece of the rack."""

    id: str
    length: int
    price: Money | None
    limit: int | None
    from_rack: bool


@dataclass(frozen=True, slots=True)
class _Solved:
    """One section solved: plan, parts that could not be cut, and what to say about it."""

    cuts: SectionCuts | None
    uncut: tuple[str, ...]
    findings: tuple[Finding, ...]


def cut_lengths(
    parts: Sequence[Part],
    stocks: Sequence[Stock],
    rack: Sequence[Offcut] = (),
    rules: CutRules | None = None,
    effort: Effort | None = None,
) -> CuttingPlan:
    """The cutting plan for all parts: least money spent, or least length bought where a price of
    that section is missing.

    Pieces of the rack cost nothing, so they are used wherever they save buying. Never raises for
    bad values: each becomes a finding that names the field, the value and the mend; parts that
    can't be cut are listed in `uncut`, and the others are planned.
    """
    rules = rules or CutRules()
    findings = [*check_rules(rules), *check_request(parts, stocks, rack)]
    if findings:
        wrong = {finding.where for finding in findings}
        if any(where in ("cutting.rules", "cutting.stock") for where in wrong):
            return _plan((), tuple(part.id for part in parts), findings)
        uncut = [part.id for part in parts if f"cutting.part {part.id}" in wrong]
        parts = [part for part in parts if f"cutting.part {part.id}" not in wrong]
        stocks = [stock for stock in stocks if f"cutting.stock {stock.id}" not in wrong]
        rack = [piece for piece in rack if f"cutting.rack {piece.id}" not in wrong]
    else:
        uncut = []
    sections: list[SectionCuts] = []
    for section in dict.fromkeys(part.section for part in parts):
        solved = _section(
            section,
            [part for part in parts if part.section == section],
            [stock for stock in stocks if stock.section == section],
            [piece for piece in rack if piece.section == section],
            rules,
            effort or Effort(),
        )
        if solved.cuts is not None:
            sections.append(solved.cuts)
        uncut.extend(solved.uncut)
        findings.extend(solved.findings)
    return _plan(sections, uncut, findings)


def _section(
    section: str,
    parts: Sequence[Part],
    stocks: Sequence[Stock],
    rack: Sequence[Offcut],
    rules: CutRules,
    effort: Effort,
) -> _Solved:
    bins, findings = _bins(section, stocks, rack, rules)
    longest = max((_room(each, rules) for each in bins), default=0)
    fitting, uncut, told = _fitting(section, parts, longest)
    findings.extend(told)
    if not fitting:
        return _Solved(None, tuple(uncut), tuple(findings))
    unpriced = [each.id for each in bins if each.price is None and not each.from_rack]
    objective: Objective = "length" if unpriced else "cost"
    if unpriced:
        findings.append(
            Finding(
                Severity.WARN,
                f"cutting.{section}",
                f"no price for {', '.join(unpriced)}: the plan buys the least length, not the "
                "least cost",
                "give the price of each length",
                COMMON_PRACTICE,
            )
        )
    of = _problem(fitting, bins, rules, objective)
    answer = solve(of, effort)
    if answer.packing is None:
        answer, bins = _with_more(of, bins, effort)
    if answer.packing is None:
        return _Solved(None, (*uncut, *(part.id for part in fitting)), tuple(findings))
    lines, missed = _lines(section, fitting, bins, answer.packing, of, rules)
    if missed:
        uncut.extend(sorted({cut.part for line in missed for cut in line.cuts}))
        findings.append(_not_enough(section, missed, bins))
    proof = _proof(answer, objective, sum(_cost_of(line, bins, objective) for line in lines))
    if missed:
        proof = replace(proof, bound=0.0, gap=1.0, proved=False, method="not enough on hand")
    if not proof.proved and not missed:
        findings.append(
            Finding(
                Severity.NOTE,
                f"cutting.{section}",
                proof.sentence(),
                "use it as it is, or plan again with more effort",
                COLUMNS_SOURCE,
            )
        )
    return _Solved(_section_cuts(section, lines, bins, proof), tuple(uncut), tuple(findings))


def _room(each: _Bin, rules: CutRules) -> int:
    return each.length - tenths(rules.end_trim_mm)


def _bins(
    section: str, stocks: Sequence[Stock], rack: Sequence[Offcut], rules: CutRules
) -> tuple[list[_Bin], list[Finding]]:
    """The lengths that can be cut at all: longest first, the rack before bought stock."""
    bins = [
        *(_Bin(piece.id, tenths(piece.length_mm), None, 1, True) for piece in rack),
        *(_Bin(s.id, tenths(s.length_mm), s.price, s.on_hand, False) for s in stocks),
    ]
    findings = [
        Finding(
            Severity.STOP if not each.from_rack else Severity.WARN,
            f"cutting.{'rack' if each.from_rack else 'stock'} {each.id}",
            f"length {said(each.length / TENTHS, 1)} leaves nothing after a kerf of "
            f"{said(rules.kerf_mm, 1)} and an end trim of {said(rules.end_trim_mm, 1)}",
            f"check the kerf (a saw takes {said(2)} to {said(4)}) and the length",
            COMMON_PRACTICE,
        )
        for each in bins
        if _room(each, rules) <= 0 or each.length <= tenths(rules.kerf_mm)
    ]
    usable = [e for e in bins if _room(e, rules) > 0 and e.length > tenths(rules.kerf_mm)]
    if not usable and not findings:
        findings.append(
            Finding(
                Severity.STOP,
                f"cutting.{section}",
                "there is no stock length of this section",
                "add a stock length, or pick a section that is in the catalogue",
                COMMON_PRACTICE,
            )
        )
    return sorted(usable, key=lambda e: (not e.from_rack, -e.length, e.id)), findings


def _fitting(
    section: str, parts: Sequence[Part], longest: int
) -> tuple[list[Part], list[str], list[Finding]]:
    """Parts that some length holds, with those that may be joined cut in two or more."""
    fitting: list[Part] = []
    uncut: list[str] = []
    told: list[Finding] = []
    for part in parts:
        if tenths(part.length_mm) <= longest:
            fitting.append(part)
            continue
        most = said(longest / TENTHS, 1)
        over = f"{said(part.length_mm, 1)} is longer than the {most} that can be cut"
        if part.may_join and longest > 0:
            pieces = joined(part, longest / TENTHS)
            fitting.extend(pieces)
            told.append(
                Finding(
                    Severity.NOTE,
                    f"cutting.part {part.id}",
                    f"{over} from {section}: it is cut in {sum(p.count for p in pieces)} pieces "
                    f"for {part.count}",
                    "put each joint over a support, or order a longer length",
                    COMMON_PRACTICE,
                )
            )
            continue
        uncut.append(part.id)
        told.append(
            Finding(
                Severity.STOP,
                f"cutting.part {part.id}",
                f"{over} from {section}",
                "order a longer length, or, if this part may be joined over a support, say so "
                "with may_join",
                COMMON_PRACTICE,
            )
        )
    return fitting, uncut, told


def _cost(each: _Bin, objective: Objective) -> int:
    if each.from_rack:
        return 0
    if objective == "length" or each.price is None:
        return each.length
    return each.price.minor


def _problem(
    parts: Sequence[Part], bins: Sequence[_Bin], rules: CutRules, objective: Objective
) -> Problem:
    kerf = tenths(rules.kerf_mm)
    return problem(
        [tenths(part.length_mm) + kerf for part in parts],
        [part.count for part in parts],
        [_room(each, rules) + kerf for each in bins],
        [_cost(each, objective) for each in bins],
        [each.limit for each in bins],
    )


def _with_more(of: Problem, bins: Sequence[_Bin], effort: Effort) -> tuple[Answer, list[_Bin]]:
    """The best plan when what is on hand is not enough: lengths that are not there come dear."""
    longest = max(range(len(bins)), key=lambda k: bins[k].length)
    dear = (sum(of.costs) + 1) * 100
    lacking = replace(bins[longest], id="", limit=None, from_rack=False)
    wider = replace(
        of,
        capacities=(*of.capacities, of.capacities[longest]),
        costs=(*of.costs, dear),
        limits=(*of.limits, None),
    )
    return solve(wider, effort), [*bins, lacking]


def _lines(
    section: str,
    parts: Sequence[Part],
    bins: Sequence[_Bin],
    packing: Packing,
    of: Problem,
    rules: CutRules,
) -> tuple[list[CutLine], list[CutLine]]:
    """The lengths to cut, in order, and those that would be needed but aren't there."""
    kerf = tenths(rules.kerf_mm)
    unit = _unit(parts, kerf)
    waiting: dict[int, list[Part]] = {}
    for part in sorted(parts, key=lambda p: (p.job, p.id)):
        size = (tenths(part.length_mm) + kerf) // unit
        waiting.setdefault(size, []).extend([part] * part.count)
    for queue in waiting.values():
        queue.reverse()
    lines: list[CutLine] = []
    missed: list[CutLine] = []
    uses = sorted(packing.uses, key=lambda use: use[0].kind)
    for pattern, times in uses:
        for _ in range(times):
            line = _line(section, bins[pattern.kind], pattern, of, waiting, rules)
            if not bins[pattern.kind].id:
                missed.append(line)
            else:
                lines.append(replace(line, number=len(lines) + 1))
    return lines, missed


def _unit(parts: Iterable[Part], kerf: int) -> int:
    """The divisor that `problem` took out of the lengths."""
    return math.gcd(*(tenths(part.length_mm) + kerf for part in parts)) or 1


def _line(
    section: str,
    each: _Bin,
    pattern: Pattern,
    of: Problem,
    waiting: dict[int, list[Part]],
    rules: CutRules,
) -> CutLine:
    kerf, trim = tenths(rules.kerf_mm), tenths(rules.end_trim_mm)
    at = trim
    cuts: list[Cut] = []
    for size, count in zip(of.sizes, pattern.counts, strict=True):
        for _ in range(count):
            part = waiting[size].pop()
            length = tenths(part.length_mm)
            end = at + length
            cuts.append(
                Cut(
                    part.id,
                    part.job,
                    part.label or part.id,
                    length / TENTHS,
                    at / TENTHS,
                    end / TENTHS,
                    (end - trim) / TENTHS,
                    part.rip_mm,
                    part.making,
                    part.where,
                )
            )
            at = end + kerf
    remainder = max(0, each.length - at)
    return CutLine(
        0,
        each.id,
        "rack" if each.from_rack else "buy",
        section,
        each.length / TENTHS,
        rules.end_trim_mm,
        rules.kerf_mm,
        tuple(cuts),
        remainder / TENTHS,
        remainder > 0 and remainder >= tenths(rules.keep_mm),
    )


def _not_enough(section: str, missed: Sequence[CutLine], bins: Sequence[_Bin]) -> Finding:
    parts = sum(len(line.cuts) for line in missed)
    longest = max(each.length for each in bins) / TENTHS
    return Finding(
        Severity.STOP,
        f"cutting.{section}",
        f"what is on hand leaves {parts} parts over",
        f"get {len(missed)} more lengths of {said(longest, 1)}, or raise on_hand",
        COMMON_PRACTICE,
    )


def _cost_of(line: CutLine, bins: Sequence[_Bin], objective: Objective) -> int:
    return next(_cost(each, objective) for each in bins if each.id == line.stock)


def _proof(answer: Answer, objective: Objective, value: int) -> Proof:
    bound = min(value, answer.bound)
    gap = (value - bound) / value if value else 0.0
    return Proof(objective, value, float(bound), gap, answer.proved, answer.method)


def _section_cuts(
    section: str, lines: Sequence[CutLine], bins: Sequence[_Bin], proof: Proof
) -> SectionCuts:
    counted = Counter(line.stock for line in lines if line.source == "buy")
    purchases = [
        Purchase(
            each.id,
            section,
            each.length / TENTHS,
            counted[each.id],
            each.price,
            None if each.price is None else each.price.times(counted[each.id]),
        )
        for each in bins
        if not each.from_rack and counted[each.id]
    ]
    used = sum(tenths(cut.length_mm) for line in lines for cut in line.cuts)
    kept = sum(tenths(line.remainder_mm) for line in lines if line.kept)
    whole = sum(tenths(line.length_mm) for line in lines)
    return SectionCuts(
        section,
        tuple(lines),
        tuple(purchases),
        proof,
        used / TENTHS,
        kept / TENTHS,
        (whole - used - kept) / TENTHS,
    )


def _plan(
    sections: Sequence[SectionCuts], uncut: Sequence[str], findings: Sequence[Finding]
) -> CuttingPlan:
    bought = [item.total for section in sections for item in section.purchases]
    known = [total for total in bought if total is not None]
    total = sum(known[1:], known[0]) if known and len(known) == len(bought) else None
    figures = [figure for section in sections for figure in _figures(section)]
    if total is not None:
        figures.append(
            Figure(
                "cutting.total",
                "Stock lengths to buy",
                str(total),
                total.currency,
                "sum over sections of count * price",
                tuple(f"cutting.{section.section}.value" for section in sections),
                COMMON_PRACTICE,
            )
        )
    return CuttingPlan(
        tuple(sections),
        tuple(dict.fromkeys(uncut)),
        total,
        bool(sections) and not uncut and all(section.proof.proved for section in sections),
        tuple(figures),
        worst_first(tuple(findings)),
    )


def _figures(section: SectionCuts) -> tuple[Figure, ...]:
    key = f"cutting.{section.section}"
    proof = section.proof
    money = proof.objective == "cost"
    stock = f"catalogue:stock.{section.section}"
    return (
        Figure(
            f"{key}.value",
            f"{section.section}: {'cost of' if money else 'length of'} the lengths bought",
            proof.value if money else proof.value / TENTHS,
            "minor units" if money else "mm",
            f"least over all ways to cut the parts, found by: {proof.method}",
            ("job:takeoff", stock),
            COLUMNS_SOURCE,
        ),
        Figure(
            f"{key}.gap",
            f"{section.section}: above the least possible by at most",
            round(100 * proof.gap, 4),
            "%",
            "(value - bound) / value; 0 is proved least",
            (f"{key}.value",),
            COLUMNS_SOURCE,
        ),
        Figure(
            f"{key}.waste",
            f"{section.section}: waste, kerfs and trims included",
            section.waste_mm,
            "mm",
            "lengths used - parts - offcuts kept",
            (f"{key}.value", "job:cutting.keep_mm"),
            COMMON_PRACTICE,
        ),
    )
