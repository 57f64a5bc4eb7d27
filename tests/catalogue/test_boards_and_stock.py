"""Boards and stock lengths: the shipped tables are whole and agree with the tables they lean on."""

from __future__ import annotations

from truehang import catalogue
from truehang.money import Money

SHIPPED = catalogue.load()


def test_every_board_has_its_own_code_and_a_known_material() -> None:
    codes = [board.code for board in SHIPPED.boards]
    assert len(codes) == len(set(codes))
    known = {material.key for material in SHIPPED.materials}
    assert {board.material for board in SHIPPED.boards} <= known


def test_a_board_weighs_its_area_and_costs_its_area() -> None:
    # By hand: 1.2 x 2.4 m of 6.5 kg/m2 and 7.20 a m2.
    board = next(board for board in SHIPPED.boards if board.code == "PB10 1200x2400")
    assert round(board.mass, 2) == 18.72
    assert board.price == Money(2074, "AUD")


def test_every_section_and_moulding_is_sold_in_lengths_in_one_region() -> None:
    sold = [code for region in SHIPPED.regions for code in SHIPPED.cut_in(region)]
    assert len(sold) == len(set(sold))
    every = (*SHIPPED.timber_sections, *SHIPPED.mouldings)
    assert set(sold) == {one.code for one in every}
    for one in every:
        lengths = SHIPPED.lengths_of(one.code)
        assert [each.length for each in lengths] == sorted(one.stock_lengths)
        assert len({each.id for each in lengths}) == len(lengths)


def test_a_length_costs_its_metres() -> None:
    # By hand: 2.7 m at 4.10 a metre is 11.07.
    each = next(each for each in SHIPPED.lengths_of("MGP10 35x90") if each.length == 2700)
    assert each.price == Money(1107, "AUD")
    assert SHIPPED.lengths_of("nothing") == ()
