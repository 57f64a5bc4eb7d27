"""How do takeoff and rod get into a spreadsheet, with the same bytes each time?"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from truehang.pack.printing import Printing
from truehang.pack.sections import takeoff

if TYPE_CHECKING:
    from openpyxl.styles import Font
    from openpyxl.worksheet.worksheet import Worksheet

    from truehang.plan import Plan

_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold: stamped on every part, so that no clock shows."""


_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(<)")


def workbook(plan: Plan, printing: Printing) -> bytes:
    """Takeoff and rod as one workbook. Marks of the rod are numbers in mm, and as printed."""
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
    made = plan.arrangement
    marks = [
        (mark.axis, round(mark.at, 1), printing.length(mark.at), mark.label, mark.what)
        for mark in (made.rod.marks if made else ())
    ]
    _fill(
        book.create_sheet("Rod"), stamp, ("Axis", "mm", "As printed", "Mark", "What it is"), marks
    )
    raw = io.BytesIO()
    book.save(raw)
    return _same_times(raw.getvalue(), about.issued)


def _plain(text: str) -> str:
    """Text without the control characters that a spreadsheet can't hold."""
    return "".join(sign for sign in text if sign.isprintable())


def _fill(
    sheet: Worksheet, stamp: str, heads: tuple[str, ...], rows: Sequence[Sequence[object]]
) -> None:
    for y, row in enumerate([(stamp,), heads, *rows], start=1):
        for x, value in enumerate(row, start=1):
            cell = sheet.cell(y, x)
            if isinstance(value, str):
                # Set the type by hand: a title that begins with "=" is a text, not a formula.
                cell.value, cell.data_type = _plain(value), "s"
            else:
                cell.value = value  # type: ignore[assignment]
            if y <= 2:
                cell.font = _bold()
    sheet.freeze_panes = "A3"
    for letter, width in zip("ABCDEFG", (10, 16, 44, 30, 40, 26, 26), strict=True):
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
