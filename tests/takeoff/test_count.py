"""Is every part counted, and every length the right one? Hand-worked: geometry alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang.members import Member
from truehang.shapes import box
from truehang.takeoff import Build, Piece, SealPiece, Side, TakeoffInputError, mitred, takeoff


def stud(key: str, length: float, **more: Any) -> Member:
    return Member(
        key=key, name=f"{key} {length}", role="jamb stud", lies="z", label=key, where="there",
        blocks=(box(0, 45, 0, 90, 0, length),), stock="MGP10 45x90", section=(45, 90), **more,
    )  # fmt: skip


FRAMING = (
    stud("jamb-stud", 2430),
    stud("jamb-stud", 2424),
    stud("infill-packing-1", 2430, rip=39.0, making="rip it to 39"),
    stud("there.plate", 900, origin="comes out"),
    stud("there.head", 900, origin="there already"),
    *(
        replace(stud("frame.rib", length, bought_in="frame kit"), role="rib", at_mouth=at_mouth)
        for length, at_mouth in [(2370, True)] * 4 + [(2370, False)] * 8
    ),
)
BUILD = Build(
    framing=FRAMING, opening=1560,
    sides=(Side("left", 2300, True), Side("right", 2303.5, True)), trim_stock="trim", trim_width=66,
    trim=True, skirting_stock="skirting", skirting=(760, 760), bead_stock="", lined=(4.8, 4.9),
    joints=9600, insulation=0.4, leaf_faces=7.4,
    seals=(SealPiece("floor", "drop", 803.0, 2, "along the bottom edge of each leaf"),),
    given=(Piece("kit", "frame", "frame kit", "", None, 1),),
)  # fmt: skip


def test_mitred_trim_runs_to_its_long_points() -> None:
    assert mitred(1560, 2300, 66) == (2366, 1692)


def test_framing_is_counted_as_it_stands_and_only_what_is_cut_new() -> None:
    made = {item.key: item for item in takeoff(BUILD).items if item.group == "framing"}
    assert set(made) == {"jamb-stud", "infill-packing-1"}
    studs = made["jamb-stud"]
    # two of one kind on a floor that falls: cut as the longest, and told how short they come out
    assert (studs.count, studs.length, studs.quantity) == (2, 2430, 4.86)
    assert "2424" in studs.making
    packing = made["infill-packing-1"]
    assert (packing.rip, str(packing.making)) == (39, "rip it to 39")


def test_the_parts_of_a_filled_opening() -> None:
    made = {item.key: item for item in takeoff(BUILD).items}
    # each leg stands on the floor at its own side, one on each face
    legs = made["trim-leg-left"], made["trim-leg-right"]
    assert [(leg.count, leg.length) for leg in legs] == [(2, 2366), (2, 2369.5)]
    assert (made["trim-head"].count, made["trim-head"].length) == (2, 1692)
    assert made["skirting-1"].count == 2
    # nothing thick goes on a mouth: the clear width runs from it
    beads = made["mouth-bead-left"], made["mouth-bead-right"]
    assert [(bead.count, bead.length) for bead in beads] == [(2, 2300), (2, 2303.5)]
    assert (made["head-bead"].count, made["head-bead"].length) == (2, 1560)
    assert made["adhesive"].quantity == 3  # 8 x 2.37 = 18.96 m of bead, 8 m to a tube
    seal = made["seal-floor"]
    assert (seal.count, seal.length, seal.quantity) == (2, 803, 1.606)
    assert str(seal.where) == "along the bottom edge of each leaf"
    assert made["kit"].unit == "each"


def test_a_piece_that_nothing_is_sold_for_is_told_by_its_section() -> None:
    odd = replace(stud("frame.jamb", 2400), stock="", section=(32, 90), making="groove it")
    (item,) = [i for i in takeoff(replace(BUILD, framing=(odd,))).items if i.group == "frame"][:1]
    assert (item.unit, item.count, item.section) == ("each", 1, (32, 90))
    assert "in section; groove it" in item.making


def test_one_side_without_a_mouth_has_a_leg_and_no_bead() -> None:
    one = replace(BUILD, sides=(Side("left", 2300, True), Side("right", 2300, False)))
    keys = {item.key for item in takeoff(one).items}
    assert {"trim-leg-left", "trim-leg-right", "mouth-bead-left"} <= keys
    assert "mouth-bead-right" not in keys


def test_what_is_not_there_is_not_listed() -> None:
    bare = replace(BUILD, trim=False, framing=(), insulation=0, skirting=(), seals=())
    keys = {item.key for item in takeoff(bare).items}
    assert not keys & {"trim-leg-left", "jamb-stud", "adhesive", "insulation", "seal-floor"}


def test_every_line_has_a_figure() -> None:
    made = takeoff(BUILD)
    lengths = [f"takeoff.{i.key}.length" for i in made.items if i.length is not None]
    counts = [f"takeoff.{item.key}" for item in made.items]
    whole = "takeoff.frame.kit.length"  # a frame bought whole is cut by nobody
    assert [f.key for f in made.figures] == [*counts, *(k for k in lengths if k != whole)]


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_a_size_that_can_not_be_is_named(value: float) -> None:
    with pytest.raises(TakeoffInputError, match="opening"):
        takeoff(replace(BUILD, opening=value))


@given(st.lists(st.floats(1, 3000), max_size=6))
def test_quantities_are_counts_times_lengths(lengths: list[float]) -> None:
    framing = tuple(stud("jamb-stud", length) for length in lengths)
    for item in takeoff(replace(BUILD, framing=framing)).items:
        if item.length is not None and item.unit == "m":
            assert item.quantity == pytest.approx(item.count * item.length / 1000)
        assert item.quantity > 0
