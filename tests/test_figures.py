"""Every number can be followed back to what the user gave."""

from __future__ import annotations

import pytest

from truehang.figures import Figure, Ledger


def _figure(key: str, *inputs: str) -> Figure:
    return Figure(key, key, 1.0, "mm", "a rule", inputs, "common practice, no source")


def test_chain_goes_down_to_the_bare_inputs_and_shows_each_figure_once() -> None:
    frame = _figure("fit.frame", "fit.leaf", "fit.pocket")
    leaf = _figure("fit.leaf", "job:wishes.clear_width")
    pocket = _figure("fit.pocket", "fit.leaf", "catalogue:kits.timber-90.tail")
    ledger = Ledger([frame, leaf, pocket])
    assert ledger.chain("fit.frame") == (
        (0, frame),
        (1, leaf),
        (2, "job:wishes.clear_width"),
        (1, pocket),
        (2, "fit.leaf"),
        (2, "catalogue:kits.timber-90.tail"),
    )
    assert list(ledger) == ["fit.frame", "fit.leaf", "fit.pocket"]
    assert len(ledger) == 3


def test_a_figure_is_computed_once() -> None:
    with pytest.raises(ValueError, match=r"'fit\.frame' was computed twice"):
        Ledger([_figure("fit.frame"), _figure("fit.frame")])


def test_an_unknown_figure_has_no_chain() -> None:
    with pytest.raises(KeyError):
        Ledger([]).chain("fit.nothing")


def test_a_ring_of_figures_still_ends() -> None:
    ledger = Ledger([_figure("a", "b"), _figure("b", "a")])
    assert [row[1] if isinstance(row[1], str) else row[1].key for row in ledger.chain("a")] == [
        "a",
        "b",
        "a",
    ]
