"""Lengths: what is bought and cut, by hand-worked cases and by what must always hold."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.cutting import CutRules, CuttingPlan, Effort, Offcut, Part, Stock, cut_lengths
from truehang.findings import Severity
from truehang.lengths import said
from truehang.money import Money

PLAIN = CutRules(kerf_mm=0, end_trim_mm=0, keep_mm=600)


def aud(minor: int) -> Money:
    return Money(minor, "AUD")


def stops(plan: CuttingPlan) -> list[str]:
    return [f"{f.where}: {f.what}" for f in plan.findings if f.severity is Severity.STOP]


def test_a_dear_long_length_is_left_for_two_cheap_short_ones() -> None:
    # By hand: 4 x 1200 is one 4800 at 30.00 or two 2400 at 12.00 each.
    stocks = [Stock("long", "s", 4800, aud(3000)), Stock("short", "s", 2400, aud(1200))]
    plan = cut_lengths([Part("p", "s", 1200, 4)], stocks, rules=PLAIN)
    assert plan.total == aud(2400)
    assert [(p.stock, p.count) for p in plan.purchases] == [("short", 2)]
    assert plan.proved


def test_kerf_decides_what_fits() -> None:
    # By hand: 3 x 1998 + 2 kerfs of 3 = 6000 exactly; one tenth more does not fit.
    stock = [Stock("six", "s", 6000, aud(100))]
    rules = CutRules(kerf_mm=3, end_trim_mm=0)
    assert len(cut_lengths([Part("p", "s", 1998, 3)], stock, rules=rules).lines) == 1
    assert len(cut_lengths([Part("p", "s", 1998.1, 3)], stock, rules=rules).lines) == 2


def test_marks_run_from_the_squared_end_with_kerfs() -> None:
    # By hand: trim 5; 1500, kerf 3, 1200, kerf 3, 900: ends 1505, 2708, 3611; marks less 5.
    rules = CutRules(kerf_mm=3, end_trim_mm=5, keep_mm=600)
    parts = [Part("a", "s", 900), Part("b", "s", 1500), Part("c", "s", 1200)]
    plan = cut_lengths(parts, [Stock("x", "s", 4800, aud(1))], rules=rules)
    (line,) = plan.lines
    assert [cut.part for cut in line.cuts] == ["b", "c", "a"]
    assert [cut.end_mm for cut in line.cuts] == [1505, 2708, 3611]
    assert [cut.mark_mm for cut in line.cuts] == [1500, 2703, 3606]
    assert line.remainder_mm == 4800 - 3611 - 3
    assert line.kept


def test_the_rack_is_used_before_anything_is_bought() -> None:
    plan = cut_lengths(
        [Part("p", "s", 900, 3)],
        [Stock("x", "s", 2400, aud(1000))],
        [Offcut("r1", "s", 950), Offcut("r2", "s", 1000), Offcut("r3", "other", 5000)],
        PLAIN,
    )
    assert [(line.stock, line.source) for line in plan.lines] == [
        ("r2", "rack"),
        ("r1", "rack"),
        ("x", "buy"),
    ]
    assert plan.total == aud(1000)


def test_jobs_are_pooled_and_each_part_keeps_its_job() -> None:
    # By hand: two jobs of one 1500 each share one 3000.
    parts = [Part("a", "s", 1500, job="one"), Part("b", "s", 1500, job="two")]
    plan = cut_lengths(parts, [Stock("x", "s", 3000, aud(5))], rules=PLAIN)
    (line,) = plan.lines
    assert {(cut.part, cut.job) for cut in line.cuts} == {("a", "one"), ("b", "two")}


def test_count_on_hand_is_kept_and_the_next_best_length_makes_up() -> None:
    stocks = [Stock("cheap", "s", 1000, aud(1), on_hand=2), Stock("dear", "s", 1000, aud(9))]
    plan = cut_lengths([Part("p", "s", 1000, 5)], stocks, rules=PLAIN)
    assert {p.stock: p.count for p in plan.purchases} == {"cheap": 2, "dear": 3}
    assert plan.total == aud(29)
    assert plan.proved


def test_too_little_on_hand_stops_and_plans_the_rest() -> None:
    stocks = [Stock("x", "s", 1000, aud(1), on_hand=2)]
    plan = cut_lengths([Part("p", "s", 1000, 5)], stocks, rules=PLAIN)
    assert len(plan.lines) == 2
    assert plan.uncut == ("p",)
    assert not plan.proved
    assert stops(plan) == ["cutting.s: what is on hand leaves 3 parts over"]


def test_a_missing_price_falls_back_to_least_length_and_says_so() -> None:
    stocks = [Stock("a", "s", 2400, aud(1)), Stock("b", "s", 3000)]
    plan = cut_lengths([Part("p", "s", 1500, 2)], stocks, rules=PLAIN)
    assert [(p.stock, p.count) for p in plan.purchases] == [("b", 1)]
    assert plan.sections[0].proof.objective == "length"
    assert plan.total is None
    assert any("no price for b" in finding.what for finding in plan.findings)


def test_a_part_longer_than_any_length_is_named_and_the_others_are_cut() -> None:
    parts = [Part("plate", "s", 7000), Part("stud", "s", 2400)]
    plan = cut_lengths(parts, [Stock("x", "s", 6000, aud(1))], rules=PLAIN)
    assert plan.uncut == ("plate",)
    assert len(plan.lines) == 1
    (stop,) = [f for f in plan.findings if f.severity is Severity.STOP]
    assert stop.where == "cutting.part plate"
    assert "7000" in stop.what
    assert "6000" in stop.what
    assert "may_join" in stop.mend


def test_a_part_that_may_be_joined_is_cut_in_two() -> None:
    plan = cut_lengths(
        [Part("plate", "s", 7000.1, may_join=True)], [Stock("x", "s", 6000, aud(1))], rules=PLAIN
    )
    cuts = [cut for line in plan.lines for cut in line.cuts]
    assert sorted(cut.length_mm for cut in cuts) == [3500.0, 3500.1]
    assert not plan.uncut


@pytest.mark.parametrize(
    ("part", "word"),
    [
        (Part("p", "s", 1000, 0), "count 0"),
        (Part("p", "s", 1000, 1.5), "count 1.5"),  # type: ignore[arg-type]
        (Part("p", "s", 1000, True), "count True"),
        (Part("p", "s", -5), f"length_mm {said(-5)}"),
        (Part("p", "s", float("nan")), "length_mm nan"),
        (Part("p", "s", 2.4e9), "is over ⟨100000 mm⟩"),
    ],
)
def test_a_bad_part_is_named_with_its_value(part: Part, word: str) -> None:
    plan = cut_lengths([part, Part("good", "s", 500)], [Stock("x", "s", 2400, aud(1))])
    assert any(word in text for text in stops(plan))
    assert plan.uncut == ("p",)
    assert [cut.part for line in plan.lines for cut in line.cuts] == ["good"]


def test_a_kerf_larger_than_the_stock_is_refused() -> None:
    plan = cut_lengths(
        [Part("p", "s", 10)], [Stock("x", "s", 2400, aud(1))], rules=CutRules(kerf_mm=3000)
    )
    assert plan.uncut == ("p",)
    assert any(f"kerf of {said(3000)}" in text for text in stops(plan))


@pytest.mark.parametrize(
    "stock",
    [
        Stock("x", "s", 2400, aud(-1)),
        Stock("x", "s", 2400, aud(1), on_hand=-1),
        Stock("x", "s", 2400, aud(1), on_hand=2.5),  # type: ignore[arg-type]
        Stock("x", "s", 0, aud(1)),
    ],
)
def test_a_bad_stock_length_is_refused(stock: Stock) -> None:
    plan = cut_lengths([Part("p", "s", 500)], [stock])
    assert any(text.startswith("cutting.stock x") for text in stops(plan))
    assert not plan.lines


def test_two_currencies_and_an_id_used_twice_are_refused() -> None:
    stocks = [Stock("x", "s", 2400, aud(1)), Stock("y", "s", 2400, Money(1, "GBP"))]
    assert any("AUD and GBP" in text for text in stops(cut_lengths([Part("p", "s", 5)], stocks)))
    twice = cut_lengths([Part("p", "s", 5), Part("p", "s", 6)], stocks[:1])
    assert any("used 2 times" in text for text in stops(twice))


def test_a_count_that_must_be_a_slip_is_refused_at_once() -> None:
    plan = cut_lengths([Part("p", "s", 500, 10**9)], [Stock("x", "s", 2400, aud(1))])
    assert plan.uncut == ("p",)
    assert any("1000000000 pieces" in text for text in stops(plan))


def test_nothing_to_cut_is_an_empty_plan() -> None:
    plan = cut_lengths([], [Stock("x", "s", 2400, aud(1))])
    assert plan.lines == ()
    assert plan.findings == ()


def test_a_section_that_is_not_sold_is_said() -> None:
    plan = cut_lengths([Part("p", "walnut", 500)], [Stock("x", "s", 2400, aud(1))])
    assert plan.uncut == ("p",)
    assert any("no stock length" in text for text in stops(plan))


def test_the_same_request_gives_the_same_plan() -> None:
    parts = [Part(f"p{k}", "s", 300 + 137 * k % 1900, 1 + k % 4) for k in range(20)]
    stocks = [Stock(f"x{k}", "s", length, aud(price)) for k, (length, price) in enumerate(
        [(2400, 1150), (3600, 1790), (4800, 2280), (6000, 3010)])]  # fmt: skip
    assert cut_lengths(parts, stocks) == cut_lengths(parts, stocks)


def test_every_figure_has_its_own_key_and_the_room_in_front() -> None:
    parts = [Part("a", "s", 900, 3), Part("b", "t", 700, 2)]
    stocks = [Stock("x", "s", 2400, aud(1)), Stock("y", "t", 2400, aud(1))]
    keys = [figure.key for figure in cut_lengths(parts, stocks).figures]
    assert len(keys) == len(set(keys))
    assert all(key.startswith("cutting.") for key in keys)


def test_a_time_limit_still_returns_the_best_found_with_its_gap() -> None:
    parts = [Part(f"p{k}", "s", 211 + 97 * k % 1713, 2) for k in range(40)]
    plan = cut_lengths(parts, [Stock("x", "s", 3000, aud(999))], effort=Effort(seconds=0.0))
    (section,) = plan.sections
    assert sum(len(line.cuts) for line in plan.lines) == 80
    assert section.proof.proved == (section.proof.gap == 0)
    assert section.proof.bound <= section.proof.value


LENGTHS = st.lists(st.integers(150, 2400), min_size=1, max_size=12)


@settings(max_examples=25, deadline=None)
@given(
    lengths=LENGTHS,
    stock=st.lists(st.integers(2400, 6000), min_size=1, max_size=4, unique=True),
    rack=st.lists(st.integers(200, 3000), max_size=3),
    kerf=st.integers(0, 5),
    trim=st.integers(0, 20),
)
def test_every_part_is_cut_once_and_nothing_overlaps(
    lengths: list[int], stock: list[int], rack: list[int], kerf: int, trim: int
) -> None:
    parts = [Part(f"p{k}", "s", length - 100, 1) for k, length in enumerate(lengths)]
    plan = cut_lengths(
        parts,
        [Stock(f"x{k}", "s", length, aud(length // 3)) for k, length in enumerate(stock)],
        [Offcut(f"r{k}", "s", length) for k, length in enumerate(rack)],
        CutRules(kerf, trim, 600),
    )
    made = Counter(cut.part for line in plan.lines for cut in line.cuts)
    assert made == Counter(part.id for part in parts)
    assert len({line.stock for line in plan.lines if line.source == "rack"}) == sum(
        line.source == "rack" for line in plan.lines
    )
    for line in plan.lines:
        at = float(trim)
        for cut in line.cuts:
            assert cut.start_mm == pytest.approx(at)
            assert cut.end_mm - cut.start_mm == pytest.approx(cut.length_mm)
            at = cut.end_mm + kerf
        assert line.cuts[-1].end_mm <= line.length_mm
        assert line.remainder_mm == pytest.approx(max(0.0, line.length_mm - at))
    (section,) = plan.sections
    total = section.used_mm + section.kept_mm + section.waste_mm
    assert total == pytest.approx(sum(line.length_mm for line in plan.lines))
