"""Boards and stock lengths: the shipped tables are whole and agree with the tables they lean on."""

from __future__ import annotations

from truehang.catalogue.boards import boards, lining_boards
from truehang.catalogue.materials import materials
from truehang.catalogue.stock import lengths_of, mouldings, stock_lengths
from truehang.catalogue.timber import sections
from truehang.money import Money


def test_every_board_has_its_own_code_and_a_known_material() -> None:
    codes = [board.code for board in boards()]
    assert len(codes) == len(set(codes))
    assert {board.material for board in boards()} <= {material.key for material in materials()}


def test_a_board_weighs_its_area_and_costs_its_area() -> None:
    # By hand: 1.2 x 2.4 m of 6.5 kg/m2 and 7.20 a m2.
    board = next(board for board in boards() if board.code == "PB10 1200x2400")
    assert round(board.mass, 2) == 18.72
    assert board.price == Money(2074, "AUD")


def test_lining_boards_are_of_one_thickness_and_currency() -> None:
    found = lining_boards("USD", 15.875, "plasterboard")
    assert found
    assert {board.currency for board in found} == {"USD"}
    assert all(board.use == "lining" for board in found)


def test_stock_lengths_cover_every_section_and_moulding_once() -> None:
    ids = [each.id for each in stock_lengths()]
    assert len(ids) == len(set(ids))
    sold = {each.section for each in stock_lengths()}
    assert sold == {s.code for s in sections()} | {m.code for m in mouldings()}


def test_a_length_costs_its_metres() -> None:
    # By hand: 2.7 m at 4.10 a metre is 11.07.
    each = next(each for each in lengths_of("MGP10 35x90") if each.length == 2700)
    assert each.price == Money(1107, "AUD")
    assert lengths_of("nothing") == ()
