"""Does any document come out whole: every text as written, every page stamped, same bytes?"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from truehang.pack.content import (
    Banner,
    Bullets,
    Column,
    Document,
    Drawing,
    Facts,
    Notice,
    Section,
    SignOff,
    Step,
    StepCheck,
    Table,
    Text,
)
from truehang.pack.typeset import pdf

HOSTILE = r"#panic() $x^2$ *b* _i_ `c` <l> @ref \ // /* ~ [a] {b} = + - #set"
SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">'
    '<rect width="100" height="50"/></svg>'
)
MM_PER_POINT = 25.4 / 72


def _document(title: str = "Small job", rows: int = 120, extra: str = "") -> Document:
    return Document(
        title="Build pack",
        subtitle="",
        job=title,
        revision="7",
        stamp="c0ffee42",
        remark="Invented data",
        cover=(Facts((("Frame", "2870 mm", extra),)), Bullets((("Dust.", extra),))),
        sections=(
            Section("Findings", tuple(_notices(extra)), fresh=True),
            Section("Long table", (_table(rows, extra),), lead=extra),
            Section("Drawing", (Drawing(SQUARE, 100, 50, "a square", wide=True),)),
            Section(
                "Order", (Banner("DO NOT ORDER"), SignOff(extra, ("Checked by",)), Text(extra))
            ),
            Section("Build", tuple(_steps(extra))),
        ),
    )


def _notices(extra: str) -> list[Notice]:
    words = ("stop", "hold", "warn", "note")
    return [Notice(word, "here", f"{extra} what", extra, extra) for word in words]  # type: ignore[arg-type]


def _table(rows: int, extra: str) -> Table:
    columns = (Column("Mark head", share=1), Column("x", "right"))
    return Table(columns, tuple((f"mark {i} {extra}", str(i)) for i in range(rows)))


def _steps(extra: str) -> list[Step]:
    facts, checks = (("Pack", "9 = 6 + 3"),), (StepCheck("1 per m"),)
    return [
        Step(str(i), f"Level {extra}", extra, facts, (extra,), ("Set it",), (extra,), checks)
        for i in range(1, 4)
    ]


def _texts(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as document:
        raw = [document[i].get_textpage().get_text_range() for i in range(len(document))]
    return [" ".join(text.split()) for text in raw]


def test_every_page_has_job_revision_hash_and_page_of_pages() -> None:
    pages = _texts(pdf(_document()))
    assert len(pages) > 4
    for number, text in enumerate(pages, start=1):
        assert "Small job" in text
        assert "Revision 7" in text
        assert "Hash c0ffee42" in text
        assert f"Page {number} of {len(pages)}" in text
        assert "Invented data" in text


def test_long_tables_repeat_their_head_and_lose_no_row() -> None:
    pages = [text for text in _texts(pdf(_document(rows=150))) if "mark " in text]
    assert len(pages) > 2
    assert all("Mark head" in text for text in pages)
    found = {word for text in pages for word in text.split()}
    assert {str(i) for i in range(150)} <= found


@pytest.mark.parametrize("text", [HOSTILE, "\"quotes\" 'and' & <b>tags</b> &amp; %d {0}"])
def test_hostile_text_is_printed_as_written(text: str) -> None:
    printed = "".join("".join(_texts(pdf(_document(title=text, extra=text)))).split())
    wanted = "".join(text.split()).replace("-", "")
    # The PDF reader turns hyphens at line ends into other signs: compare without them.
    assert wanted in printed.replace("-", "").replace("\u00ad", "")


@pytest.mark.parametrize("title", ["😀 שלום العربية 日本", "a\x00b\x07\x1b", "x" * 200, "\n\n", ""])
def test_strange_titles_still_make_a_pack(title: str) -> None:
    pages = _texts(pdf(_document(title=title, extra=title)))
    assert all("Hash c0ffee42" in text for text in pages)


def test_drawings_are_true_to_size_on_paper() -> None:
    with pypdfium2.PdfDocument(pdf(_document())) as document:
        index = next(
            i for i, text in enumerate(_texts(pdf(_document()))) if "3 Drawing" in text and i
        )
        page = document[index]
        assert page.get_width() > page.get_height()
        image = page.render(scale=4).to_pil().convert("L")
    black = image.point(lambda value: 255 if value < 60 else 0)
    rows = [y for y in range(image.height) if _run(black, y) > image.width // 4]
    # The header's and footer's thin lines are longer than the square is wide.
    wide = [y for y in rows if _run(black, y) < image.width * 0.8]
    tall_mm = len(wide) / 4 * MM_PER_POINT
    wide_mm = max(_run(black, y) for y in wide) / 4 * MM_PER_POINT
    assert tall_mm == pytest.approx(50, abs=0.4)
    assert wide_mm == pytest.approx(100, abs=0.4)


def _run(image: object, y: int) -> int:
    row = image.crop((0, y, image.width, y + 1)).tobytes()  # type: ignore[attr-defined]
    return max(len(part) for part in row.split(b"\x00"))


def _boxes_of(data: bytes, word: str) -> list[tuple[float, float, float, float]]:
    """Where a text stands on the pages: left, bottom, right, top of its letters (points)."""
    found = []
    with pypdfium2.PdfDocument(data) as document:
        for page in document:
            letters = page.get_textpage()
            at = letters.search(word, match_case=True)
            while (hit := at.get_next()) is not None:
                boxes = [letters.get_charbox(i) for i in range(hit[0], sum(hit))]
                found.append((
                    min(b[0] for b in boxes), min(b[1] for b in boxes),
                    max(b[2] for b in boxes), max(b[3] for b in boxes),
                ))  # fmt: skip
    return found


def test_no_column_of_a_full_table_runs_over_its_neighbour() -> None:
    heads = ("Massing kg", "Hangers standing N", "Most on a hanger N", "To start N", "To slide N",
             "To close N", "Closing energy J", "Soft close takes J")  # fmt: skip
    cells = ("41.8", "205 / 205", "269 / 231", "34.7 to 64.6", "10.4 to 33.3", "19.6 to 64.1",
             "1.9", "8.0")  # fmt: skip
    columns = (Column("Leafname", share=1), *(Column(head, "right") for head in heads))
    table = Table(columns, (("right leaf", *cells),))
    data = pdf(replace(_document(), cover=(), sections=(Section("Full", (table,)),)))
    (head,), (name,) = _boxes_of(data, "Leafname"), _boxes_of(data, "right leaf")
    (mass,), (kilograms,) = _boxes_of(data, "Massing"), _boxes_of(data, "41.8")
    assert head[2] < mass[0]
    assert name[2] < kilograms[0]
    assert name[3] - name[1] < 10  # on one line


@pytest.mark.parametrize("first", [Text("Held back", tone="strong"), Banner("Held back")])
def test_what_is_said_first_stands_with_the_drawing_and_takes_no_page(
    first: Text | Banner,
) -> None:
    drawing = Drawing(SQUARE, 277, 175, "as high as a page on its side takes", wide=True)
    section = Section("Elevations", (first, drawing), fresh=True)
    data = pdf(replace(_document(), cover=(), sections=(section,)))
    with pypdfium2.PdfDocument(data) as document:
        drawn = [any(o.type == 2 for o in page.get_objects()) for page in document]
    pages = _texts(data)
    there = [i for i, text in enumerate(pages) if "Held back" in text]
    assert len(pages) == 2  # the cover, and one page for the section
    assert there == [1]
    assert drawn[1]


def test_tables_refuse_ragged_rows() -> None:
    with pytest.raises(ValueError, match="needs 2 cells"):
        Table((Column("a"), Column("b")), (("1",),), title="t")


_AGAIN = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
import test_typeset
print(hashlib.sha256(test_typeset.pdf(test_typeset._document(extra="#x 😀"))).hexdigest())
"""


def test_same_document_same_bytes_in_any_process_zone_and_folder(tmp_path: Path) -> None:
    here = hashlib.sha256(pdf(_document(extra="#x 😀"))).hexdigest()
    env = {**os.environ, "PYTHONHASHSEED": "77", "TZ": "Asia/Kathmandu", "LC_ALL": "C"}
    done = subprocess.run(
        [sys.executable, "-c", _AGAIN, str(Path(__file__).parent)],
        cwd=tmp_path, env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == here


def test_a_document_is_accessible_unless_a_sign_is_missing() -> None:
    """ISO 14289-1 asks for the title to be shown and the part to be named in the metadata (from
    memory: clauses 5 and 7.1; the typesetter checks the rest of it while it writes)."""
    plain, strange = pdf(_document()), pdf(_document(title="a 😀 door"))
    assert b"pdfuaid:part" in plain
    assert b"DisplayDocTitle" in plain
    assert b"pdfuaid:part" not in strange
    assert len(_texts(strange)) == len(_texts(plain))


def test_no_date_is_written_into_the_pdf() -> None:
    data = pdf(_document())
    assert b"CreationDate" not in data
    assert b"ModDate" not in data
