"""Does the formula that is printed give the number that is printed beside it?

Source: arithmetic. What stands after the rule's second sign is computed again by Python's own
evaluation, from the printed text alone, and held against the figure to what the printed numbers
are rounded to.
"""

from __future__ import annotations

import io
import math
import re
from functools import cache

import pytest
from rich.console import Console

from truehang import catalogue, demo
from truehang import job as jobs
from truehang.figures import Figure, Working
from truehang.plan import Plan, complete, plan
from truehang.rule import Rule, in_any_unit
from truehang.summary import print_why

KNOWN = catalogue.load()
STEP = 0.25
"""A tape shows half millimetres: a printed length is off by half of that at most."""
NAMES = {"pi": math.pi, "ceil": math.ceil, "least": min, "most": max}
JOBS = (("fernhollow", "mm"), ("quarry-house", "mm"), ("quarry-house", "feet-inches"))


@cache
def planned(name: str, style: str) -> Plan:
    job = jobs.load(demo.files(name)[0][1])
    job = job.model_copy(update={"job": job.job.model_copy(update={"print": style})})
    return complete(plan(job, KNOWN), KNOWN)


def printed(made: Plan, figure: Figure) -> str:
    """The numbers put in, as `why` prints them, without what comes of them."""
    out = io.StringIO()
    print_why(made, figure.key, Console(file=out, width=10_000))
    line = next(row for row in out.getvalue().splitlines() if f"rule: {figure.rule} = " in row)
    return line.partition(f"rule: {figure.rule} = ")[2].rpartition(" = ")[0]


def again(text: str) -> float:
    text = (
        re.sub(r" \(in [^()]*\)( = .*)?$", "", text)
        .replace("×", "*")
        .replace("^", "**")
        .replace("π", "pi")
    )
    text = re.sub(r"\bup\(", "ceil(", text)
    return float(eval(text, {"__builtins__": {}}, NAMES))


def slack(figure: Figure, working: Working) -> float:
    """How far the figure may be off by the rounding of the numbers put in."""
    exact = {put.symbol: put.value for put in working.puts}
    formula = str(figure.rule)
    rule = Rule(formula, dict.fromkeys((formula.partition(" ")[0], *exact), ""))
    total = 0.0
    for put in working.puts:
        off = STEP if put.unit == "mm" else 1e-5 * abs(put.value)
        sides = (rule(**exact | {put.symbol: put.value + way}) for way in (-off, off))
        total += max(abs(side - rule(**exact)) for side in sides)
    return total + 1e-5 * abs(figure.number) + 1e-9


@pytest.mark.parametrize(("name", "style"), JOBS)
def test_the_printed_formula_gives_the_printed_number(name: str, style: str) -> None:
    made = planned(name, style)
    tried = 0
    for figure in made.figures.values():
        if figure.working is None or (style != "mm" and in_any_unit(figure)):
            continue
        text = printed(made, figure)
        assert again(text) == pytest.approx(figure.number, abs=slack(figure, figure.working)), (
            f"{figure.key}: {text}"
        )
        tried += 1
    assert tried >= (30 if style == "mm" else 8)


def test_a_rule_that_asks_for_millimetres_gets_them_and_says_so() -> None:
    made = planned("quarry-house", "feet-inches")
    load = made.figures["structure.head.dead"]
    assert not in_any_unit(load)
    # kPa over mm, and what comes of them in kN/m before it is told in pounds to the foot
    assert re.search(r" \(in kPa, mm\) = \d+\.\d+ kN/m$", printed(made, load))
    assert "'" not in printed(made, load)
    frame = made.figures["fit.frame_width"]
    assert in_any_unit(frame)
    assert "'" in printed(made, frame)
