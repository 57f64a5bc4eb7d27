"""How do takeoff and rod get into a spreadsheet, with the same bytes each time?"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from truehang.lengths import on_tape
from truehang.message import Message
from truehang.pack.printing import Printing
from truehang.pack.sections import takeoff

if TYPE_CHECKING:
    from openpyxl.styles import Font
    from openpyxl.worksheet.worksheet import Worksheet

    from truehang.plan import Plan

_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold: stamped on every part, so that no clock shows."""


_FROM = {"x": "x, from the datum", "z": "z, from the level datum"}

_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(<)")


def workbook(plan: Plan, printing: Printing) -> bytes:
    """Takeoff and rod as one workbook. Marks are numbers, in mm or inches, and as printed."""
    from openpyxl import Workbook

    about = plan.job.job
    stamp = f"{about.title}, revision {about.revision}, hash {plan.stamp}"
    if plan.standing.findings:
        stamp = f"{plan.standing.headline}. {stamp}"
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "truehang"
    book.properties.title = _plain(about.title)
    book.properties.created = datetime(about.issued.year, about.issued.month, about.issued.day)
    items = plan.takeoff.items if plan.takeoff else ()
    parts = [(item.group, *takeoff.row(item, printing)) for item in items]
    _fill(book.create_sheet("Takeoff"), stamp, ("Group", *takeoff.HEADS), parts)
    unit = "mm" if printing.style == "mm" else "in"
    cut = tuple(head.format(unit=unit) for head in _CUT)
    made = plan.arrangement
    marks = [
        (
            _FROM[mark.axis],
            _cell(mark.at, printing),
            printing.length(mark.at),
            mark.label,
            mark.what,
        )
        for mark in (made.rod.marks if made else ())
    ]
    _fill(
        book.create_sheet("Rod"), stamp, ("From", unit, "As printed", "Mark", "What it is"), marks
    )
    _fill(book.create_sheet("Cutting"), stamp, cut, list(_cuts(plan, printing)))
    _fill(book.create_sheet("Boards"), stamp, _PIECE, list(_pieces(plan, printing)))
    raw = io.BytesIO()
    book.save(raw)
    return _same_times(raw.getvalue(), about.issued)


_CUT = (
    "Section", "No.", "From", "Mark", "Long {unit}", "Long as printed", "What, how made, where",
    "Rip to {unit}",
)  # fmt: skip
_PIECE = (
    "Piece", "Board no.", "Board", "Cut long × wide", "Cut out of it, as seen on the wall",
    "On the board: long from – to", "On the board: wide from – to", "Hung",
)  # fmt: skip


def _cuts(plan: Plan, printing: Printing) -> Iterator[tuple[object, ...]]:
    """Every piece that is cut to length, in the order of sawing."""
    for line in plan.cutting.lines if plan.cutting else ():
        source = line.stock if line.source == "rack" else "bought"
        for cut in line.cuts:
            yield (
                line.section, line.number, f"{source}, {printing.measure(line.length_mm)}",
                printing.length(cut.mark_mm), _cell(cut.length_mm, printing),
                printing.length(cut.length_mm), cut.told,
                "" if cut.rip_mm is None else _number(cut.rip_mm, printing),
            )  # fmt: skip


def _pieces(plan: Plan, printing: Printing) -> Iterator[tuple[object, ...]]:
    """Every piece of board, with what is cut out of it and where it lies on its board."""
    for made in plan.lining:
        shaped = {piece.id: piece for face in made.faces for piece in face.pieces}
        for sheet in made.sheets:
            for placed in sheet.pieces:
                piece = shaped[placed.piece]
                yield (
                    piece.id, sheet.number, sheet.board,
                    printing.size(piece.along_mm, piece.across_mm),
                    piece.cut_out(printing.length),
                    *(
                        f"{printing.length(start)} – {printing.length(start + size)}"
                        for start, size in (
                            (placed.along_mm, placed.length_mm),
                            (placed.across_mm, placed.width_mm),
                        )
                    ),
                    "turned end for end" if placed.turned else "as it lies",
                )  # fmt: skip


def _cell(mm: float, printing: Printing) -> float:
    """A length as a number to reckon with: mm as a tape shows them, or decimal inches."""
    return _number(on_tape(mm, printing.style), printing)


def _number(mm: float, printing: Printing) -> float:
    return mm if printing.style == "mm" else round(mm / 25.4, 5)


def _plain(text: str) -> str:
    """Text without the control characters that a spreadsheet can't hold; every space is plain.

    A space that does not break is not "printable", and without it 11' 1 5/16" is 11'15/16".
    """
    spaced = "".join(" " if sign.isspace() else sign for sign in text)
    return "".join(sign for sign in spaced if sign.isprintable())


def _fill(
    sheet: Worksheet, stamp: str, heads: tuple[str, ...], rows: Sequence[Sequence[object]]
) -> None:
    for y, row in enumerate([(stamp,), heads, *rows], start=1):
        for x, value in enumerate(row, start=1):
            cell = sheet.cell(y, x)
            if isinstance(value, str | Message):
                # Set the type by hand: a title that begins with "=" is a text, not a formula.
                cell.value, cell.data_type = _plain(str(value)), "s"
            else:
                cell.value = value  # type: ignore[assignment]
            if y <= 2:
                cell.font = _bold()
    sheet.freeze_panes = "A3"
    for letter, width in zip("ABCDEFGH", (22, 16, 44, 30, 40, 26, 40, 40), strict=True):
        sheet.column_dimensions[letter].width = width


def _bold() -> Font:
    from openpyxl.styles import Font

    return Font(bold=True)


def _same_times(raw: bytes, issued: date) -> bytes:
    """The same workbook with every clock taken out: in the zip and in its properties."""
    out = io.BytesIO()
    stamped = rb"\g<1>" + f"{issued.isoformat()}T00:00:00Z".encode() + rb"\g<2>"
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "docProps/core.xml":
                data = _MODIFIED.sub(stamped, data)
            fixed = zipfile.ZipInfo(entry.filename, date_time=_EPOCH)
            fixed.compress_type = zipfile.ZIP_DEFLATED
            fixed.external_attr = 0o644 << 16
            new.writestr(fixed, data)
    return out.getvalue()
