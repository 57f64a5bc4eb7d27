"""Is a mistyped number of a business refused? Source: python-stdnum, the examples that its own
documentation has of an ABN (83 914 571 673), a GB VAT number (980 7806 84), an EIN (91-1144442) and
an IRD number. The business is invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from truehang.catalogue import CatalogueError
from truehang.catalogue.business import checked, read_business
from truehang.cli import app

TEXT = """
name = "Invented Joinery"
address = ["1 Nowhere Lane"]
country = "AU"
terms = ["Paid in 14 days."]

[ids]
abn = "83 914 571 673"
"""


@pytest.mark.parametrize(
    ("kind", "good", "bad"),
    [
        ("abn", "83 914 571 673", "99 999 999 999"),
        ("gb-vat", "980 7806 84", "802311781"),
        ("ein", "91-1144442", "07-1144442"),
        ("nz-ird", "4909185-0", "136410133"),
    ],
)
def test_numbers(kind: str, good: str, bad: str) -> None:
    assert checked(kind, good.replace(" ", "")) == checked(kind, good)
    with pytest.raises(ValueError, match=rf"ids\.{kind}: '{bad}'.*read it off"):
        checked(kind, bad)


def test_every_slip_of_one_digit_of_an_abn_is_caught() -> None:
    """The check is a weighted sum modulo 89: no weight times 1 to 9 is a multiple of it."""
    for at in range(11):
        for digit in "0123456789":
            typed = "83914571673"
            slip = typed[:at] + digit + typed[at + 1 :]
            if slip != typed:
                with pytest.raises(ValueError, match="abn"):
                    checked("abn", slip)


def test_a_file(tmp_path: Path) -> None:
    path = tmp_path / "business.toml"
    path.write_text(TEXT)
    assert read_business(path).number("abn") == "83 914 571 673"
    result = CliRunner().invoke(app, ["business", str(path)])
    assert result.exit_code == 0
    assert "83 914 571 673" in result.stdout
    assert "no bank" in result.stdout


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("83 914", "83 915", r"ids\.abn"),
        ("abn =", "abm =", "not a number that is known"),
        ('name = "Invented Joinery"\n', "", "name: missing"),
        ('country = "AU"', 'country = "Oz"', "country: 'Oz'"),
        ("terms =", "tems =", "did you mean 'terms'"),
        ("terms =", 'logo = "x.png"\nterms =', "logo: 'x.png' is not beside"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = tmp_path / "business.toml"
    path.write_text(TEXT.replace(old, new))
    with pytest.raises(CatalogueError, match=said):
        read_business(path)
    assert CliRunner().invoke(app, ["business", str(path)]).exit_code == 3
