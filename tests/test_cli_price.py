"""Are money commands told at a prompt with what stands first, and does a customer see no cost?"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from truehang import demo
from truehang.cli import app


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("price") / "job.yaml"
    path.write_text(demo.files("millrace-cottage")[0][1], encoding="utf-8")
    return path


def test_a_price_and_its_standing(job: Path) -> None:
    result = CliRunner().invoke(app, ["price", str(job), "--json"])
    told = json.loads(result.stdout)
    assert result.exit_code == 0
    assert list(told)[:2] == ["standing", "price"]
    assert told["price"]["gross"]["minor"] == sum(
        s["due"]["minor"] for s in told["price"]["stages"]
    )
    assert told["private"]["cost"]["spread"]["p80"] > told["private"]["cost"]["spread"]["p50"]


def test_the_customer_sees_no_cost(job: Path) -> None:
    whole = json.loads(CliRunner().invoke(app, ["price", str(job), "--json"]).stdout)
    for flags in (["--customer"], ["--customer", "--json"]):
        shown = CliRunner().invoke(app, ["price", str(job), *flags]).stdout
        for word in ("PRIVATE", "private", "labour", "margin", "markup", "P80", "hours of work"):
            assert word not in shown, word
        assert str(whole["private"]["cost"]["total"]["minor"]) not in shown


def test_a_stop_makes_a_draft(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    text = demo.files("fernhollow")[0][1]
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["price", str(path)])
    assert result.exit_code == 1
    assert result.stdout.startswith("DRAFT: 1 stop")


def test_rates_beside_what_is_published() -> None:
    shown = CliRunner().invoke(app, ["rates"]).stdout
    assert "invented starting values" in shown
    assert "published: 0.355 h/m²" in shown
    checked = CliRunner().invoke(app, ["rates", "check"])
    assert checked.exit_code == 0
    assert "still invented" in checked.stdout
    assert "task line" in checked.stdout
