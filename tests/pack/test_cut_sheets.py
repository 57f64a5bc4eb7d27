"""Does the spreadsheet hold every number that a piece is made from? Read back with openpyxl."""

from __future__ import annotations

import io

from openpyxl import load_workbook

from truehang import catalogue, demo
from truehang.job import load
from truehang.pack.printing import Printing
from truehang.pack.sheets import workbook
from truehang.plan import complete, plan

BOUGHT = catalogue.load()


def test_cuts_and_pieces_of_board_have_sheets_of_their_own() -> None:
    job = load(dict(demo.files("fernhollow"))["fernhollow.yaml"])
    made = complete(plan(job, BOUGHT), BOUGHT)
    book = load_workbook(io.BytesIO(workbook(made, Printing())))
    cuts = list(book["Cutting"].iter_rows(min_row=3, values_only=True))
    assert made.cutting is not None
    assert len(cuts) == sum(len(line.cuts) for line in made.cutting.lines)
    ripped = [row for row in cuts if row[7]]
    assert len(ripped) == 2
    assert all("rip its" in str(row[6]) for row in ripped)
    boards = list(book["Boards"].iter_rows(min_row=3, values_only=True))
    pieces = [piece for one in made.lining for face in one.faces for piece in face.pieces]
    assert {row[0] for row in boards} == {piece.id for piece in pieces}
    notched = {piece.id for piece in pieces if piece.notches}
    assert notched
    assert {row[0] for row in boards if "wide x" in str(row[4] or "")} == notched
