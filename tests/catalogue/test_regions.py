"""A region is data: money, tax, sizes, rules and words.

Tax rates are public law: 10 % GST (Australia, A New Tax System (Goods and Services Tax) Act 1999),
20 % VAT (United Kingdom, Value Added Tax Act 1994), no federal sales tax (United States).
Trade words: common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from truehang import catalogue
from truehang.catalogue.regions import UnknownRegion

SHIPPED = catalogue.load()


def test_three_regions() -> None:
    assert [profile.id for profile in SHIPPED.regions] == ["au", "uk", "us"]


@pytest.mark.parametrize(
    ("id", "currency", "rate", "lengths"),
    [
        ("au", "AUD", "0.10", "mm"),
        ("uk", "GBP", "0.20", "mm"),
        ("us", "USD", "0", "feet-inches"),
    ],
)
def test_money_tax_and_units(id: str, currency: str, rate: str, lengths: str) -> None:
    profile = SHIPPED.region(id)
    assert profile.currency == currency
    assert profile.tax.rate == Decimal(rate)
    assert profile.lengths == lengths
    assert profile.paper == "A4"


@pytest.mark.parametrize(
    ("id", "expected"),
    [
        (
            "au",
            {"plasterboard": "plasterboard", "architrave": "architrave", "skirting": "skirting"},
        ),
        ("us", {"plasterboard": "drywall", "architrave": "casing", "skirting": "baseboard"}),
        ("us", {"set": "mud", "noggin": "blocking", "lintel": "header", "timber": "lumber"}),
    ],
)
def test_words(id: str, expected: dict[str, str]) -> None:
    assert {ours: SHIPPED.region(id).words[ours] for ours in expected} == expected


def test_every_region_has_a_word_for_the_same_things() -> None:
    assert len({frozenset(profile.words) for profile in SHIPPED.regions}) == 1
    assert all(word.strip() for profile in SHIPPED.regions for word in profile.words.values())


def test_each_region_points_to_a_rule_set_of_its_own() -> None:
    rules = {rule.id: rule for rule in SHIPPED.access_rules}
    for profile in SHIPPED.regions:
        assert profile.id in rules[profile.access_rules].regions


def test_united_states_sizes_are_whole_sixteenths() -> None:
    sizes = SHIPPED.region("us").boards
    for mm in (*sizes.widths, *sizes.lengths, *sizes.thicknesses):
        assert (mm / 25.4 * 16) == pytest.approx(round(mm / 25.4 * 16), abs=1e-6)


def test_an_unknown_region_names_the_nearest() -> None:
    with pytest.raises(UnknownRegion, match="did you mean 'uk'"):
        SHIPPED.region("UKK")
    with pytest.raises(UnknownRegion, match="choose one of au, uk, us"):
        SHIPPED.region("nowhere")
