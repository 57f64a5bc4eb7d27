"""Kits, leaves, packers and rule sets as data: shipped ones load, wrong ones are named."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pydantic import ValidationError

from truehang.catalogue._read import text
from truehang.catalogue.kits import Kit, Range, kits
from truehang.catalogue.leaves import leaves
from truehang.catalogue.packers import packers


def test_shipped_data_is_marked_as_invented() -> None:
    assert text("kits").startswith("# Invented data")
    assert text("leaves").startswith("# Invented data")


def test_ids_are_unique_and_ranges_hold_the_standard_sizes() -> None:
    assert len({kit.id for kit in kits()}) == len(kits())
    assert len({leaf.id for leaf in leaves()}) == len(leaves())
    for kit in kits():
        assert all(kit.leaf_width.holds(width) for width in kit.standard_widths)
        assert all(kit.leaf_height.holds(height) for height in kit.standard_heights)
    for leaf in leaves():
        assert all(
            leaf.width.holds(size.width) and leaf.height.holds(size.height) for size in leaf.stock
        )


def test_glass_weighs_two_and_a_half_kilograms_a_millimetre() -> None:
    # Density of glass 2500 kg/m3 (from memory: check EN 572-1): 10 mm is 25 kg/m2.
    glass = next(leaf for leaf in leaves() if leaf.id == "glass-10")
    assert glass.mass(1000, 2000) == pytest.approx(2.0 * 10 * 2.5)


def test_usual_packers_are_those_of_the_trade() -> None:
    # Common practice, no source.
    assert packers()[0].sizes == (1.0, 1.5, 2.0, 3.0, 5.0, 6.0, 10.0)
    assert (packers()[0].pieces_most, packers()[0].total_most) == (3, 20.0)


def test_range_the_wrong_way_round() -> None:
    with pytest.raises(ValidationError, match="swap them"):
        Range(least=900, most=800)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"standing_out_most": -1.0}, "greater than or equal to 0"),
        ({"standing_out": 50.0, "standing_out_most": 10.0}, "less than standing_out"),
        ({"lead": 90.0}, "right through the closing jamb"),
        ({"track_depth": 70.0}, "more than hanging_allowance"),
        ({"walls": ()}, "walls it suits"),
        ({"made_to_size": False, "standard_widths": ()}, "standard_widths"),
        ({"tail": float("nan")}, "finite"),
        ({"frame": "site-built"}, "rib_stock and site_parts"),
        ({"colour": "white"}, "Extra inputs"),
    ],
)
def test_a_wrong_kit_is_named(
    kit: Callable[[str], Kit], change: dict[str, object], words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        Kit.model_validate({**kit("timber-90").model_dump(), **change})
