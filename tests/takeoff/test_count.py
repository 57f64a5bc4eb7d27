"""Is every part counted, and every length the right one? Hand-worked: geometry alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.takeoff import Build, Piece, TakeoffInputError, mitred, takeoff

BUILD = Build(
    stud_stock="MGP10 45x90", plate_stock="MGP10 45x90", stud_length=2430, spacing=450,
    infill=(84, 500), over=90, rough_width=3286, head_stock="MGP12 35x90", head_length=3376,
    head_plies=2, jamb_studs=2, opening=1560, clear_height=2300, mouths=2, trim_stock="trim",
    trim_width=66, trim=True, skirting_stock="skirting", skirting=(760, 760), bead_stock="",
    lined=(4.8, 4.9), ribs=8, rib_length=2370, joints=9600, insulation=0.4, leaf_faces=7.4,
    seals=(("floor", "drop", 1606.0),),
    given=(Piece("kit", "frame", "frame kit", "", None, 1),),
)  # fmt: skip


def test_mitred_trim_runs_to_its_long_points() -> None:
    assert mitred(1560, 2300, 66) == (2366, 1692)


def test_the_parts_of_a_filled_opening() -> None:
    made = {item.key: item for item in takeoff(BUILD).items}
    assert (made["jamb-stud"].count, made["jamb-stud"].length) == (2, 2430)
    assert (made["head"].count, made["head"].quantity) == (2, 6.752)
    assert made["infill-stud"].count == 2  # 84 is packed solid; 500 takes ceil(500 / 450)
    # 84 takes the jamb stud of 45 and a ripped stud; the plate of 500 stops at the jamb stud
    assert "infill-plate-1" not in made
    assert made["infill-plate-2"].length == 455
    packing = made["infill-packing-1"]
    assert (packing.count, packing.length, packing.rip) == (1, 2430, 84 - 45)
    assert "39 mm" in packing.making
    assert made["short-stud"].count == 9  # ceil(3286 / 450) + 1
    assert (made["trim-leg"].count, made["trim-leg"].length) == (4, 2366)
    assert (made["trim-head"].count, made["trim-head"].length) == (2, 1692)
    assert made["skirting-1"].count == 2
    # nothing thick goes on a mouth: the clear width runs from it
    assert (made["mouth-bead"].count, made["mouth-bead"].length) == (4, 2300)
    assert (made["head-bead"].count, made["head-bead"].length) == (2, 1560)
    assert "king-stud" not in made
    assert made["adhesive"].quantity == 3  # 8 x 2.37 = 18.96 m of bead, 8 m to a tube
    assert made["seal-floor"].quantity == 1.606
    assert made["kit"].unit == "each"


def test_what_is_not_there_is_not_listed() -> None:
    bare = replace(BUILD, trim=False, infill=(), over=0, insulation=0, skirting=(), seals=())
    keys = {item.key for item in takeoff(bare).items}
    assert not keys & {"trim-leg", "infill-stud", "short-stud", "insulation", "seal-floor"}


def test_every_line_has_a_figure() -> None:
    made = takeoff(BUILD)
    assert [f.key for f in made.figures] == [f"takeoff.{item.key}" for item in made.items]


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_a_size_that_can_not_be_is_named(value: float) -> None:
    with pytest.raises(TakeoffInputError, match="spacing"):
        takeoff(replace(BUILD, spacing=value))


@given(st.lists(st.floats(1, 3000), max_size=4), st.floats(0, 800), st.integers(2, 8))
def test_quantities_are_counts_times_lengths(infill: list[float], over: float, studs: int) -> None:
    for item in takeoff(replace(BUILD, infill=tuple(infill), over=over, jamb_studs=studs)).items:
        if item.length is not None and item.unit == "m":
            assert item.quantity == pytest.approx(item.count * item.length / 1000)
        assert item.quantity > 0


def test_a_new_wall_is_framed_beside_the_rough_opening() -> None:
    # hand-worked: 600 wide takes the jamb stud and ceil((600 - 45) / 450) = 2 more; 40 takes none
    made = {i.key: i for i in takeoff(replace(BUILD, wall=(600, 40), wall_height=2700)).items}
    assert (made["wall-stud"].count, made["wall-stud"].length) == (2, 2610)
    assert (made["wall-plate-1"].length, made["wall-plate-2"].length) == (600, 40)
    assert made["wall-plate-top"].length == 600 + 3286 + 40
    assert "wall-stud" not in {item.key for item in takeoff(BUILD).items}
