"""A region is data: money, tax, sizes, rules and words.

Tax rates are public law: 10 % GST (Australia, A New Tax System (Goods and Services Tax) Act 1999),
15 % GST (New Zealand, Goods and Services Tax Act 1985), 20 % VAT (United Kingdom, Value Added Tax
Act 1994), no federal sales tax (United States).
Trade words: common practice, no source.
"""

from __future__ import annotations

import ast
import re
from decimal import Decimal
from pathlib import Path

import pytest

import truehang
from truehang import catalogue
from truehang.catalogue.regions import WORDS, UnknownRegion

SHIPPED = catalogue.load()
HOUSE = Path(truehang.__file__).parent


def test_the_regions_that_are_shipped() -> None:
    assert [profile.id for profile in SHIPPED.regions] == ["au", "nz", "uk", "us"]


@pytest.mark.parametrize(
    ("id", "currency", "rate", "lengths"),
    [
        ("au", "AUD", "0.10", "mm"),
        ("nz", "NZD", "0.15", "mm"),
        ("uk", "GBP", "0.20", "mm"),
        ("us", "USD", "0", "feet-inches"),
    ],
)
def test_money_tax_and_units(id: str, currency: str, rate: str, lengths: str) -> None:
    profile = SHIPPED.region(id)
    assert profile.currency == currency
    assert profile.tax.rate == Decimal(rate)
    assert profile.lengths == lengths
    assert profile.paper == ("Letter" if id == "us" else "A4")
    assert profile.language == {"au": "en-AU", "nz": "en-NZ", "uk": "en-GB", "us": "en-US"}[id]


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


def test_every_word_that_the_rooms_ask_for_is_one_that_every_region_has() -> None:
    asked = {
        name[:1].lower() + name[1:]
        for path in HOUSE.rglob("*.py")
        if re.search(r"from truehang.words import .*\bword\b", path.read_text(encoding="utf-8"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "word"
        for name in [getattr(node.args[0], "value", "")]
        if isinstance(name, str) and name
    }
    assert len(asked) >= 8
    assert asked <= set(WORDS)
    assert all(set(profile.words) == set(WORDS) for profile in SHIPPED.regions)


def test_united_states_sizes_are_whole_sixteenths() -> None:
    """To half a tenth: 5/8 in is sold as 15.9."""
    boards = SHIPPED.boards_in(SHIPPED.region("us"))
    for mm in {size for one in boards for size in (one.width, one.length, one.thickness)}:
        assert round(mm / 25.4 * 16) * 25.4 / 16 == pytest.approx(mm, abs=0.05)


def test_an_unknown_region_names_the_nearest() -> None:
    with pytest.raises(UnknownRegion, match="did you mean 'uk'"):
        SHIPPED.region("UKK")
    with pytest.raises(UnknownRegion, match="choose one of au, nz, uk, us"):
        SHIPPED.region("nowhere")
