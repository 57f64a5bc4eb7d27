"""Reads printed lengths back as a person does who has only the file: nothing of the program here.

The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from xml.etree import ElementTree

import ezdxf
import openpyxl
import pypdfium2

INCH = Fraction(254, 10)
STEPS = {"mm": Fraction(1, 2), "feet-inches": INCH / 32}
"""The last step that a tape shows."""

_FEET_INCHES = re.compile(
    r"(?P<sign>-)?(?:(?P<feet>\d+)' )?"
    r"(?:(?P<whole>\d+)(?: (?P<num>\d+)/(?P<den>\d+))?|(?P<num2>\d+)/(?P<den2>\d+))\""
)
IMPERIAL = re.compile(r"[-+]?\d(?:[\d' /]*\d)?'?\"|\d+'(?![\d' ]*\")")
"""All that could be meant for one length: digits, feet, fractions and spaces up to the inches."""
METRIC = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)? ?mm\b(?! per)")


def plain(text: str) -> str:
    """The text with every space a plain one and a hyphen for the minus."""
    return re.sub(r"\s+", " ", text.replace("\u2212", "-"))


def millimetres(text: str) -> Fraction:
    """A printed length: millimetres with or without their unit, or feet and inches.

    Raises ValueError for anything that is not one length written out in full.
    """
    text = plain(text).strip().removeprefix("+")
    if '"' not in text and "'" not in text:
        return Fraction(text.removesuffix("mm").strip())
    found = _FEET_INCHES.fullmatch(text)
    if found is None:
        raise ValueError(f"{text!r} is no length in feet and inches")
    inches = Fraction(int(found["feet"] or 0) * 12 + int(found["whole"] or 0))
    number, over = found["num"] or found["num2"], found["den"] or found["den2"]
    if number:
        inches += Fraction(int(number), int(over))
    return -inches * INCH if found["sign"] else inches * INCH


def texts(name: str, data: bytes) -> Iterator[str]:
    """Every text that a person sees in a file, as the file itself holds it."""
    kind = name.rpartition(".")[2]
    if kind == "pdf":
        yield from _pdf(data)
    elif kind == "xlsx":
        book = openpyxl.load_workbook(io.BytesIO(data))
        for sheet in book.worksheets:
            for row in sheet.iter_rows(values_only=True):
                yield from (cell for cell in row if isinstance(cell, str))
    elif kind == "svg":
        for element in ElementTree.fromstring(data).iter():
            if element.tag.rpartition("}")[2] in ("text", "title", "desc"):
                yield "".join(element.itertext())
    elif kind == "dxf":
        yield from _dxf(data)
    elif kind == "json":
        yield from _strings(json.loads(data))
    elif kind in ("csv", "txt"):
        yield from data.decode().splitlines()


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from _strings(part)


def _pdf(data: bytes) -> Iterator[str]:
    document = pypdfium2.PdfDocument(data)
    try:
        for number in range(len(document)):
            page = document[number].get_textpage()
            boxes = [page.get_rect(at) for at in range(page.count_rects())]
            yield from _joined([(box, page.get_text_bounded(*box)) for box in boxes])
    finally:
        document.close()


_NEAR = 4.0
"""Letters of one word on a drawing stand no further apart than this, in points."""
_SPACE = 1.7
"""White as wide as this is a space."""


def _joined(parts: list[tuple[tuple[float, ...], str]]) -> Iterator[str]:
    """Cells and lines as they stand; texts of drawings, which come letter by letter, joined."""
    word, last = "", None
    for box, text in parts:
        letter = len(text.strip()) <= 2
        if last is not None and letter and _beside(last, box):
            # PDFium's rectangles lose some spaces; on paper they are there to be seen.
            word += text if word[-1:].isspace() or _apart(last, box) < _SPACE else f" {text}"
        else:
            if word:
                yield word
            word = text
        last = box if letter else None
    if word:
        yield word


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """The white between two letters, along the line that they stand on."""
    return max(b[0] - a[2], a[0] - b[2], b[1] - a[3], a[1] - b[3])


def _beside(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    across = min(max(b[0] - a[2], a[0] - b[2]), max(b[1] - a[3], a[1] - b[3]))
    return _apart(a, b) < _NEAR and across < 0


@lru_cache(maxsize=64)  # a pack's drawings: each is asked for its texts more than once
def _dxf(data: bytes) -> tuple[str, ...]:
    return tuple(_texts_of_dxf(data))


def _texts_of_dxf(data: bytes) -> Iterator[str]:
    document = ezdxf.read(io.StringIO(data.decode()))  # type: ignore[attr-defined]
    for entity in document.modelspace():
        if entity.dxftype() == "TEXT":
            yield entity.dxf.text
        elif entity.dxftype() == "MTEXT":
            yield entity.plain_text()
        elif entity.dxftype() == "DIMENSION":
            # What is seen of a dimension is the block that was drawn for it.
            for part in entity.get_geometry_block() or ():
                if part.dxftype() == "MTEXT":
                    yield part.plain_text()
