"""Does everything add up, and is what can't be priced said? Identities of markup and margin are
arithmetic: m = u / (1 + u)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.pricing import (
    Cost,
    Goods,
    PricingInputError,
    StageOf,
    Sum,
    Terms,
    Work,
    cost,
    factor,
    margin_of,
    markup_of,
    price,
    risk,
)
from truehang.tax import line_tax

TITLES = {"framing": "Framing", "leaves": "Leaves"}


def goods(each: int | None = 1250, count: int = 3, key: str = "stud") -> Goods:
    return Goods(
        key=key, id="MGP10 45x90", label="stud", section="framing", group="framing",
        sold="length of 2400", count=count, each=each, supplier="timber", invented=True,
        spread=(0.95, 1.0, 1.2),
    )  # fmt: skip


def work(hours: tuple[float, float, float] | None = (0.5, 1, 2.5), hour: int | None = 8500) -> Work:
    return Work(
        key="hang", label="hang a leaf", section="leaves", quantity=2.0, unit="leaf", hours=hours,
        crew="carpenter", hour=hour, invented=False,
    )  # fmt: skip


def allowance(each: tuple[int, int, int] | None = (10000, 20000, 45000)) -> Sum:
    return Sum(
        key="electrician", kind="allowance", label="electrician moves a point", section="others",
        quantity=1.0, unit="each", each=each, invented=True, because="a switch is in the way",
    )  # fmt: skip


def test_lines_and_their_total() -> None:
    made = cost([goods(), work(), allowance()], "AUD")
    stud, hang, moved = made.lines
    assert (stud.low, stud.likely, stud.high) == (3563, 3750, 4500)  # 3562.5 goes up
    assert (hang.low, hang.likely, hang.high, hang.hours) == (8500, 17000, 42500, (1, 2, 5))
    assert moved.mean == 22500
    assert made.total.minor == sum(line.mean for line in made.lines) == 3844 + 19833 + 22500
    assert made.invented == ("stud", "electrician moves a point")
    assert made.of("labour").minor == 19833


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (work(hours=None), "low, likely and high hours of task hang"),
        (work(hour=None), "what an hour of carpenter costs"),
        (goods(each=None), "prices.items for 'MGP10 45x90'"),
        (allowance(each=None), "give electrician a price"),
    ],
)
def test_a_missing_rate_is_named_and_holds(item: Goods | Work | Sum, said: str) -> None:
    made = cost([item], "AUD")
    (found,) = made.findings
    assert made.total.minor == 0
    assert said in found.mend
    assert (found.severity.word, found.before) == ("hold", "order")


@pytest.mark.parametrize(
    "item", [goods(each=-1), work(hour=-1), work(hours=(-1, 0, 1)), allowance((-5, 0, 1))]
)
def test_negative_rates_are_refused(item: Goods | Work | Sum) -> None:
    with pytest.raises(PricingInputError, match="below zero"):
        cost([item], "AUD")


@pytest.mark.parametrize("margin", ["1", "1.5", "-0.1"])
def test_a_margin_of_all_of_the_price_is_refused(margin: str) -> None:
    with pytest.raises(PricingInputError, match=r"give a markup|under 100"):
        factor(Terms(margin=Decimal(margin)))


def test_one_of_markup_and_margin() -> None:
    for terms in (Terms(), Terms(markup=Decimal(1), margin=Decimal("0.5"))):
        with pytest.raises(PricingInputError, match="one of them"):
            factor(terms)
    assert factor(Terms(margin=Decimal("0.2"))) == factor(Terms(markup=Decimal("0.25")))


@given(st.fractions(0, 100))
def test_markup_is_not_margin(markup: Fraction) -> None:
    margin = margin_of(markup)
    assert margin == markup / (1 + markup)
    assert markup_of(margin) == markup
    assert (1 + markup) * (1 - margin) == 1


def _terms(**more: object) -> Terms:
    given_ = {"markup": Decimal("0.18"), "tax_rate": Decimal("0.1"), "basis": "mean"} | more
    return Terms(**given_)  # type: ignore[arg-type]


STAGES = (
    StageOf(key="deposit", name="deposit", when="with the order", part=Fraction(3, 10)),
    StageOf(key="lined", name="lined", when="when lined", part=Fraction(1, 3)),
    StageOf(key="done", name="done", when="when done", part=Fraction(11, 30)),
)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(0, 300_000), min_size=1, max_size=6),
    st.sampled_from(["0", "0.0825", "0.1", "0.15", "0.2"]),
    st.sampled_from(["total", "line"]),
    st.sampled_from(["0", "0.05", "0.1"]),
)
def test_every_total_agrees_to_the_cent(
    prices: list[int], rate: str, way: str, retention: str
) -> None:
    items: list[Goods | Work | Sum] = [goods(each, 1, f"g{n}") for n, each in enumerate(prices)]
    made = price(
        cost([*items, work(), allowance()], "AUD"),
        _terms(stages=STAGES, tax_rate=Decimal(rate), tax_way=way, retention=Decimal(retention)),
        TITLES,
    )  # fmt: skip
    assert made.net.minor == sum(line.net.minor for line in made.lines)
    assert made.tax.minor == sum(one.tax for one in made.taxes)
    assert made.gross == made.net + made.tax
    assert made.net.minor == sum(stage.net.minor for stage in made.stages)
    assert made.tax.minor == sum(stage.tax.minor for stage in made.stages)
    assert made.gross.minor == sum(stage.due.minor for stage in made.stages)
    assert made.retention.minor == sum(stage.kept.minor for stage in made.stages)
    if way == "total":
        for stage in made.stages:
            assert stage.tax.minor == line_tax(stage.net.minor, Decimal(rate))


def test_the_risk_is_on_the_lines_it_comes_from() -> None:
    made = cost([goods(), work(), allowance()], "AUD")
    bare, safe = (price(made, _terms(basis=basis), TITLES) for basis in ("mean", "p80"))
    more = risk(made, _terms(basis="p80"))
    assert more == -(-made.spread.p80 // 1) - made.total.minor > 0 or more > 0
    assert safe.net.minor - bare.net.minor == pytest.approx(more * 1.18, abs=2)
    grown = {a.key: b.net.minor - a.net.minor for a, b in zip(bare.lines, safe.lines, strict=True)}
    assert grown["electrician"] > grown["leaves"] > grown["framing"] >= 0


def test_no_cost_in_a_price() -> None:
    made: Cost = cost([goods(), work(), allowance()], "AUD")
    told = repr(price(made, _terms(), TITLES))
    for line in made.lines:
        assert str(line.mean) not in told


def test_stages_that_are_no_whole_are_refused() -> None:
    with pytest.raises(PricingInputError, match="make them 100 %"):
        price(cost([goods()], "AUD"), _terms(stages=STAGES[:2]), TITLES)
