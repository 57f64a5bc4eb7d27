"""Sheets: guillotine layouts by hand-worked cases and by what must always hold."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.cutting import CutRules, Effort, Panel, SheetPlan, SheetStock, cut_sheets
from truehang.findings import Severity
from truehang.money import Money

PLAIN = CutRules(kerf_mm=0, end_trim_mm=0)


def aud(minor: int) -> Money:
    return Money(minor, "AUD")


def sound(plan: SheetPlan, panels: list[Panel], rules: CutRules) -> None:
    made = Counter(part.part for sheet in plan.sheets for part in sheet.placed)
    assert made == Counter({p.id: p.count for p in panels if p.id not in plan.uncut})
    sizes = {p.id: (p.width_mm, p.height_mm) for p in panels}
    for sheet in plan.sheets:
        for part in sheet.placed:
            size = (part.width_mm, part.height_mm)
            assert size == (sizes[part.part][::-1] if part.turned else sizes[part.part])
            assert part.x_mm >= rules.end_trim_mm
            assert part.y_mm >= rules.end_trim_mm
            assert part.x_mm + part.width_mm <= sheet.width_mm + 1e-6
            assert part.y_mm + part.height_mm <= sheet.height_mm + 1e-6
        for one, two in itertools.combinations(sheet.placed, 2):
            gap = rules.kerf_mm - 1e-6
            apart = (
                one.x_mm + one.width_mm + gap <= two.x_mm
                or two.x_mm + two.width_mm + gap <= one.x_mm
                or one.y_mm + one.height_mm + gap <= two.y_mm
                or two.y_mm + two.height_mm + gap <= one.y_mm
            )
            assert apart, (one, two)
        for cut in sheet.cuts:
            for part in sheet.placed:
                # no cut runs through a panel
                if cut.x0_mm == cut.x1_mm:
                    inside = part.x_mm + 1e-6 < cut.x0_mm < part.x_mm + part.width_mm - 1e-6
                    low, high = cut.y0_mm, cut.y1_mm
                    over = low < part.y_mm + part.height_mm - 1e-6 and part.y_mm + 1e-6 < high
                else:
                    inside = part.y_mm + 1e-6 < cut.y0_mm < part.y_mm + part.height_mm - 1e-6
                    low, high = cut.x0_mm, cut.x1_mm
                    over = low < part.x_mm + part.width_mm - 1e-6 and part.x_mm + 1e-6 < high
                assert not (inside and over), (cut, part)


def test_four_quarters_fill_a_sheet() -> None:
    # By hand: four 600 x 1200 in 1200 x 2400.
    panels = [Panel("p", 600, 1200, 4)]
    plan = cut_sheets("mdf", panels, [SheetStock("s", 1200, 2400, aud(10))], rules=PLAIN)
    assert plan.total == aud(10)
    assert plan.proof is not None
    assert plan.proof.proved
    sound(plan, panels, PLAIN)


def test_a_kerf_makes_a_second_sheet_needed() -> None:
    panels = [Panel("p", 600, 1200, 4, may_turn=False)]
    rules = CutRules(kerf_mm=3, end_trim_mm=0)
    plan = cut_sheets("mdf", panels, [SheetStock("s", 1200, 2400, aud(10))], rules=rules)
    # By hand: 600 + 3 + 600 > 1200, so one column of one panel (2 x 1200 + 3 > 2400) a sheet.
    assert [p.count for p in plan.purchases] == [4]
    assert plan.proof is not None
    assert plan.proof.proved
    sound(plan, panels, rules)


def test_grain_keeps_a_panel_from_being_turned() -> None:
    panels = [Panel("p", 1000, 500, 2)]
    plain = cut_sheets("ply", panels, [SheetStock("s", 500, 2000, aud(1))], rules=PLAIN)
    assert [p.count for p in plain.purchases] == [1]
    grained = cut_sheets("ply", panels, [SheetStock("s", 500, 2000, aud(1), grain=True)])
    assert grained.uncut == ("p",)
    assert any("grain" in finding.what for finding in grained.findings)


def test_the_rack_comes_first() -> None:
    plan = cut_sheets(
        "mdf",
        [Panel("p", 400, 400, 3)],
        [SheetStock("s", 1200, 2400, aud(10))],
        [SheetStock("offcut", 400, 1300)],
        PLAIN,
    )
    assert plan.purchases == ()
    assert [sheet.source for sheet in plan.sheets] == ["rack"]


def test_the_cheapest_mix_of_sheets_is_proved() -> None:
    # By hand: three 1000 x 1000; the small sheet holds one for 4, the large holds three for 9.
    sheets = [SheetStock("small", 1000, 1000, aud(4)), SheetStock("large", 1000, 3000, aud(9))]
    plan = cut_sheets("mdf", [Panel("p", 1000, 1000, 4)], sheets, rules=PLAIN)
    assert plan.total == aud(13)
    assert plan.proof is not None
    assert plan.proof.proved


@pytest.mark.parametrize(
    ("panel", "word"),
    [
        (Panel("p", 0, 10), "width_mm 0"),
        (Panel("p", 10, float("inf")), "height_mm inf"),
        (Panel("p", 10, 10, 0), "count 0"),
        (Panel("p", 10, 10, 1.5), "count 1.5"),  # type: ignore[arg-type]
    ],
)
def test_a_bad_panel_is_named(panel: Panel, word: str) -> None:
    plan = cut_sheets("mdf", [panel], [SheetStock("s", 1200, 2400, aud(1))])
    assert any(word in f.what for f in plan.findings if f.severity is Severity.STOP)
    assert plan.uncut == ("p",)


def test_too_few_sheets_on_hand_stops() -> None:
    sheets = [SheetStock("s", 1200, 2400, aud(1), on_hand=1)]
    plan = cut_sheets("mdf", [Panel("p", 1100, 1300, 2)], sheets)
    assert plan.sheets == ()
    assert any("on hand" in finding.what for finding in plan.findings)


def test_a_missing_price_means_least_area() -> None:
    sheets = [SheetStock("s", 1000, 1000), SheetStock("l", 2000, 2000)]
    plan = cut_sheets("mdf", [Panel("p", 900, 900, 1)], sheets)
    assert [p.stock for p in plan.purchases] == ["s"]
    assert plan.total is None
    assert any("no price" in finding.what for finding in plan.findings)


@settings(max_examples=12, deadline=None)
@given(
    rows=st.lists(
        st.tuples(st.integers(100, 900), st.integers(100, 1800), st.integers(1, 3), st.booleans()),
        min_size=1,
        max_size=5,
    ),
    kerf=st.integers(0, 4),
    trim=st.integers(0, 10),
)
def test_layouts_are_always_sound(
    rows: list[tuple[int, int, int, bool]], kerf: int, trim: int
) -> None:
    panels = [Panel(f"p{k}", w, h, n, turn) for k, (w, h, n, turn) in enumerate(rows)]
    rules = CutRules(kerf, trim)
    sheets = [SheetStock("a", 1200, 2400, aud(65)), SheetStock("b", 1200, 3600, aud(97))]
    plan = cut_sheets("mdf", panels, sheets, rules=rules, effort=Effort(dives=1))
    sound(plan, panels, rules)
    assert plan.proof is not None
    assert plan.proof.bound <= plan.proof.value
