"""Does the pack of a real job say what the plan says, on every page, the same each time?"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from truehang import catalogue
from truehang.demo import files as demo_files
from truehang.findings import Severity
from truehang.job import load
from truehang.pack import PackError, assemble, build, sheets, typeset, write
from truehang.pack.content import Banner, Block, Document, Drawing, Notice, Step, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.sections import drawings
from truehang.pack.sections.cover import cautions
from truehang.plain import to_json
from truehang.plan import Plan, complete, plan

BOUGHT = catalogue.load()
NO_DRAWINGS = Album({}, {})
JOB = demo_files("fernhollow")[0][1]
GLAZED = JOB.replace(
    "leaf: {construction: any, glass: none", "leaf: {construction: glazed-40, glass: part"
)


def replan(old: str = "", new: str = "") -> Plan:
    """The demo's plan after one change to the text of its job file."""
    assert old in JOB
    return complete(plan(load(JOB.replace(old, new).encode()), BOUGHT), BOUGHT)


@pytest.fixture(scope="module")
def fernhollow() -> Plan:
    return replan()


@pytest.fixture(scope="module")
def told() -> list[str]:
    """What was said while the pack was made."""
    return []


@pytest.fixture(scope="module")
def folder(
    fernhollow: Plan, told: list[str], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, tuple[Path, ...]]:
    """Where the whole pack was written, once for all tests here, and the paths named."""
    where = tmp_path_factory.mktemp("pack") / "out"
    return where, write(fernhollow, where, progress=told.append)


@pytest.fixture(scope="module")
def pack(folder: tuple[Path, tuple[Path, ...]]) -> dict[str, bytes]:
    where, paths = folder
    return {path.relative_to(where).as_posix(): path.read_bytes() for path in paths}


def _texts(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as document:
        raw = [document[i].get_textpage().get_text_range() for i in range(len(document))]
    return [" ".join(text.split()) for text in raw]


PARTS = ("site.pdf", "office.pdf", "care.pdf")


def _documents(plan: Plan) -> dict[str, Document]:
    return assemble.documents(plan, assemble.printing(plan), NO_DRAWINGS)


def _office(plan: Plan) -> Document:
    return _documents(plan)["office.pdf"]


def _site(plan: Plan) -> Document:
    return _documents(plan)["site.pdf"]


def _headings(plan: Plan) -> list[str]:
    return [section.heading for section in _office(plan).sections]


def _printed(plan: Plan) -> str:
    """Everything the documents say, as one text."""
    return to_json(_documents(plan)).replace('\\"', '"').replace("\u00a0", " ")


def _rows(blocks: Iterable[Block]) -> list[tuple[str, ...]]:
    """Every row of every table, those inside steps too."""
    found = []
    for block in blocks:
        if isinstance(block, Table):
            found += block.rows
        elif isinstance(block, Step):
            found += _rows(block.pieces)
    return found


def test_every_page_has_job_revision_hash_and_its_number(
    fernhollow: Plan, pack: dict[str, bytes]
) -> None:
    for part in PARTS:
        pages = _texts(pack[part])
        for number, text in enumerate(pages, start=1):
            assert fernhollow.job.job.title in text
            assert f"Revision {fernhollow.job.job.revision}" in text
            assert fernhollow.stamp in text
            assert f"Page {number} of {len(pages)}" in text
            assert "invented data" in text.lower()
            assert "DRAFT" in text


def test_sections_come_in_the_order_of_the_job(pack: dict[str, bytes]) -> None:
    orders = {
        "site.pdf": ["Findings", "Rod: running marks", "Build sheets", "Drawings"],
        "office.pdf": ["Findings", "Measure report", "Structure", "Leaf and hardware", "Sound",
                       "Order sheet", "Takeoff of parts", "Cutting plan", "Lining: ", "Fixings",
                       "Programme", "Options", "Programme as bars", "Drawings on their side",
                       "Sections and details"],
    }  # fmt: skip
    for part, order in orders.items():
        cover = _texts(pack[part])[0]
        places = [cover.index(heading, cover.index("In this part")) for heading in order]
        # The contents are read down each of three columns, as they stand on the page.
        assert len(set(places)) == len(order)
        with pypdfium2.PdfDocument(pack[part]) as document:
            tops = [mark.get_title() for mark in document.get_toc() if mark.level == 0]
        assert len(tops) == len(order)
        for number, (title, heading) in enumerate(zip(tops, order, strict=True), start=1):
            assert title.startswith(f"{number} {heading}")


def test_the_site_part_is_no_more_than_twelve_pages(pack: dict[str, bytes]) -> None:
    with pypdfium2.PdfDocument(pack["site.pdf"]) as document:
        assert len(document) <= 12
    with pypdfium2.PdfDocument(pack["care.pdf"]) as document:
        assert len(document) == 1


def _filled(page: pypdfium2.PdfPage) -> float:
    """How far down the page there is ink, as a share of what lies between head and foot."""
    body = page.render(scale=0.5).to_pil().convert("L")
    wide, high = body.size
    top, foot = int(high * 0.065), int(high * 0.935)
    inside = body.crop((0, top, wide, foot)).point(lambda value: 255 if value < 160 else 0)
    box = inside.getbbox()
    return 0.0 if box is None else box[3] / inside.size[1]


def test_no_page_is_blank_or_less_than_half_full(pack: dict[str, bytes]) -> None:
    """But for the last of a part, what is printed on its side and is as high as it is, the page
    before that, and the one before the order sheet, which is signed and sent by itself."""
    for part in PARTS:
        with pypdfium2.PdfDocument(pack[part]) as document:
            full = [_filled(page) for page in document]
            turned = [page.get_width() > page.get_height() for page in document]
        ordered = ["Order sheet DRAFT" in text for text in _texts(pack[part])]
        assert min(full) > 0.1, (part, full)
        short = [
            number
            for number, share in enumerate(full[:-1], start=1)
            if share < 0.5 and not (turned[number - 1] or turned[number] or ordered[number])
        ]
        assert short == [], (part, full)


def test_details_are_ordered_so_that_they_fill_their_pages() -> None:
    """Worked by hand: on pages of 260, 30 of the first taken by the heading, 3 between drawings."""

    def drawn(high: float) -> Drawing:
        return Drawing("", 100.0, high, str(high))

    given = [drawn(high) for high in (125, 146, 130, 151, 89, 184, 212, 111)]
    made = [one.height for one in drawings.paged(given, 260.0)]
    assert made == [212, 184, 151, 89, 146, 130, 111, 125]


def test_a_reader_finds_title_language_labels_and_bookmarks(
    fernhollow: Plan, pack: dict[str, bytes]
) -> None:
    with pypdfium2.PdfDocument(pack["site.pdf"]) as document:
        assert document.get_metadata_value("Title").startswith("On site")
        assert [document.get_page_label(i) for i in range(2)] == ["S1", "S2"]
        marks = [mark.get_title() for mark in document.get_toc()]
    for step in fernhollow.steps:
        assert f"{step.number} {step.title}" in marks
    assert b"/Lang(en-AU)" in pack["site.pdf"].replace(b" ", b"")
    assert b"/DisplayDocTitletrue" in pack["site.pdf"].replace(b" ", b"")


def test_findings_stand_first_and_worst_first(fernhollow: Plan) -> None:
    rank = {severity.word: severity for severity in Severity}
    carried = [one for one in fernhollow.findings if one.severity >= Severity.WARN]
    for document, count in (
        (_office(fernhollow), len(fernhollow.findings)),
        (_site(fernhollow), len(carried)),
    ):
        first = document.sections[0]
        assert first.heading == "Findings"
        words = [block.severity for block in first.blocks if isinstance(block, Notice)]
        assert words == sorted(words, key=lambda word: -rank[word])
        assert len(words) == count
    assert f"{len(fernhollow.findings) - len(carried)} note more in the office part" in first.lead


def test_the_slip_is_printed_with_its_reading(fernhollow: Plan, pack: dict[str, bytes]) -> None:
    slip = fernhollow.measured.slips[0]
    shown = fernhollow.measured.as_read
    assert shown is not None
    label = next(str(check.label) for check in shown.readings if check.id == slip.suspects[0])
    report = next(text for text in _texts(pack["office.pdf"]) if "Slips found" in text)
    assert label in report
    assert "suspect" in report


def test_order_sheet_forbids_ordering_only_while_a_stop_stands(fernhollow: Plan) -> None:
    def banners(plan: Plan) -> list[str]:
        sheet = next(s for s in _office(plan).sections if s.heading == "Order sheet")
        return [block.text for block in sheet.blocks if isinstance(block, Banner)]

    assert fernhollow.standing.draft
    assert any(text.startswith("DRAFT: 1 stop") for text in banners(fernhollow))
    mended = replan("value: 3450", "value: 3460")
    assert not mended.standing.draft
    assert banners(mended) == []


def test_rod_table_holds_every_mark_of_the_plan(fernhollow: Plan, pack: dict[str, bytes]) -> None:
    assert fernhollow.arrangement is not None
    marks = fernhollow.arrangement.rod.marks
    rod = next(s for s in _site(fernhollow).sections if s.heading.startswith("Rod"))
    rows = [row for block in rod.blocks if isinstance(block, Table) for row in block.rows]
    printing = assemble.printing(fernhollow)
    found = [(row[1], row[2 if m.axis == "x" else 3]) for row, m in zip(rows, marks, strict=True)]
    assert found == [(printing.length(m.at), m.label) for m in marks]
    book = openpyxl.load_workbook(io.BytesIO(pack["takeoff-and-rod.xlsx"]))
    given = [row[1] for row in book["Rod"].iter_rows(min_row=3, values_only=True)]
    assert given == pytest.approx([mark.at for mark in marks], abs=0.25)


def test_every_cut_is_printed_with_its_mark_and_its_picture(
    fernhollow: Plan, pack: dict[str, bytes]
) -> None:
    assert fernhollow.cutting is not None
    printing = assemble.printing(fernhollow)
    cuts = next(s for s in _office(fernhollow).sections if s.heading == "Cutting plan")
    rows = [row for block in cuts.blocks if isinstance(block, Table) for row in block.rows]
    assert len(rows) == len(fernhollow.cutting.lines)
    for line, row in zip(fernhollow.cutting.lines, rows, strict=True):
        assert row[1] == printing.length(line.length_mm)
        for cut in line.cuts:
            assert printing.length(cut.mark_mm) in row[3]
    assert any("Cutting picture" in text for text in _texts(pack["office.pdf"]))


def test_every_board_is_printed(fernhollow: Plan) -> None:
    lined = next(s for s in _office(fernhollow).sections if s.heading.startswith("Lining"))
    named = {row[0] for block in lined.blocks if isinstance(block, Table) for row in block.rows}
    pieces = {p.id for made in fernhollow.lining for face in made.faces for p in face.pieces}
    assert pieces
    assert pieces <= named


def test_what_every_option_loses_is_said_once(fernhollow: Plan) -> None:
    sheet = next(s for s in _office(fernhollow).sections if s.heading == "Options")
    said = [block.text for block in sheet.blocks if isinstance(block, Text)]
    (shared,) = [text for text in said if text.startswith("With every one of these")]
    lost = [one.option.loses for one in fernhollow.weighed]
    every = {str(loss) for loss in lost[0] if all(loss in other for other in lost)}
    assert every
    assert all(loss in shared for loss in every)
    rows = [row for b in sheet.blocks if isinstance(b, Table) and b.title for row in b.rows]
    assert not any(loss in cell for loss in every for row in rows for cell in row)


def test_every_step_is_printed_with_its_numbers(fernhollow: Plan) -> None:
    sheets = next(s for s in _site(fernhollow).sections if s.heading == "Build sheets")
    steps = [block for block in sheets.blocks if isinstance(block, Step)]
    assert [step.title for step in steps] == [step.title for step in fernhollow.steps]
    printing = assemble.printing(fernhollow)
    for shown, step in zip(steps, fernhollow.steps, strict=True):
        assert shown.hold == step.hold
        cells = {cell for row in _rows(shown.pieces) for cell in row}
        if step.key == "hand-over":  # shows the care sheet, which has them
            cells |= {
                cell for row in _rows(_documents(fernhollow)["care.pdf"].cover) for cell in row
            }
        facts = dict(shown.facts)
        for number in step.numbers:
            if number.label in facts:
                continue
            # What is not among the figures of the step stands in its tables.
            if isinstance(number.value, float):
                told = printing.figure(number.key, number.value, number.unit, number.ends)
                bare = told.removesuffix("\u00a0mm")
                assert any(bare in cell for cell in cells), (step.key, number.key, told)
            else:
                assert cells, (step.key, number.key)


def test_a_step_holds_its_pieces_and_nothing_is_looked_up_elsewhere(fernhollow: Plan) -> None:
    """Packers, marks to saw, boards and fixings stand under the step that takes them."""
    assert fernhollow.arrangement is not None
    assert fernhollow.fixings is not None
    assert fernhollow.cutting is not None
    sheets = next(s for s in _site(fernhollow).sections if s.heading == "Build sheets")
    blocks = [block for block in sheets.blocks if isinstance(block, Step)]
    steps = {step.key: block for step, block in zip(fernhollow.steps, blocks, strict=True)}

    def cells(key: str) -> list[tuple[str, ...]]:
        return _rows(steps[key].pieces)

    packs = {row[0] for row in cells("level-base")}
    assert {pack.label for pack in fernhollow.arrangement.packs} <= packs
    printing = assemble.printing(fernhollow)
    sawn = " ".join(cell for key in ("frame-up", "trim") for row in cells(key) for cell in row)
    for line in fernhollow.cutting.lines:
        for cut in line.cuts:
            assert f"{printing.length(cut.mark_mm)} ({printing.length(cut.length_mm)}" in sawn
    driven = {row[0] for key in ("frame-up", "assemble", "fix-frame", "line", "trim")
              for row in cells(key)}  # fmt: skip
    assert {str(c.row.label) for c in fernhollow.fixings.choices if c.fastener} <= driven


def test_every_check_has_a_place_to_write(fernhollow: Plan, pack: dict[str, bytes]) -> None:
    sheets = next(s for s in _site(fernhollow).sections if s.heading == "Build sheets")
    read = 0
    blocks = [block for block in sheets.blocks if isinstance(block, Step)]
    for step, block in zip(fernhollow.steps, blocks, strict=True):
        assert [check.label for check in block.checks] == [
            str(check.label) for check in step.checks
        ]
        for shown, check in zip(block.checks, step.checks, strict=True):
            assert bool(shown.limit) == check.measured
            read += check.measured
    printed = " ".join(_texts(pack["site.pdf"])).split()
    assert printed.count("read") >= read > 5


def test_the_care_sheet_says_where_never_to_drill(fernhollow: Plan, pack: dict[str, bytes]) -> None:
    assert fernhollow.fixings is not None
    (page,) = _texts(pack["care.pdf"])
    for word in ("Never drill", "Small fingers", "Built by", "Warranty until"):
        assert word in page
    for zone in fernhollow.fixings.no_go:
        assert f"{zone.label} {zone.face}" in page
    steps = next(s for s in _site(fernhollow).sections if s.heading == "Build sheets").blocks
    last = steps[-1]
    assert isinstance(last, Step)
    assert "Care sheet (care.pdf)" in last.sheets


def test_never_an_approval(pack: dict[str, bytes]) -> None:
    cover = _texts(pack["site.pdf"])[0]
    assert "not an approval" in cover
    assert "licensed" in cover
    for caution in ("asbestos", "Isolate", "fingers", "dust"):
        assert caution.lower() in cover.lower()


def test_a_leaf_with_glass_is_cautioned_whatever_it_is_called(fernhollow: Plan) -> None:
    """Safety glass to the local rule, gloves, two people: common practice, no source. The glazed
    leaf's name and id don't have the word in them."""
    glazed = plan(load(GLAZED.encode()), BOUGHT)
    assert glazed.arrangement is not None
    assert glazed.arrangement.option.leaf_id == "glazed-40"
    assert _cautioned(glazed, "Glass.") == ["Safety glass to the local rule; gloves; two people."]
    assert _cautioned(fernhollow, "Glass.") == []


def test_glass_of_unknown_thickness_is_said_and_taken_for_the_thinnest() -> None:
    """An own leaf that leaves its glazing out: absence is not the best there is."""
    known = plan(load(GLAZED.encode()), BOUGHT)
    leaves = tuple(
        leaf.model_copy(update={"glazing": None}) if leaf.id == "glazed-40" else leaf
        for leaf in BOUGHT.leaves
    )
    unknown = plan(load(GLAZED.encode()), replace(BOUGHT, leaves=leaves))
    said = [f for f in unknown.findings if f.where == "catalogue.leaves.glazed-40"]
    assert [(f.severity, str(f.mend)) for f in said] == [
        (
            Severity.NOTE,
            "give the leaf its glazing: which glass, its thickness, its share of the face",
        )
    ]
    assert not [f for f in known.findings if f.where == "catalogue.leaves.glazed-40"]
    ways = [
        next(path for path in one.sound.after.paths if path.kind == "leaf")
        for one in (known, unknown)
        if one.sound is not None
    ]
    assert ways[1].rating.rw_tenths < ways[0].rating.rw_tenths


def _cautioned(made: Plan, heading: str) -> list[str]:
    return [text for head, text in cautions(made, assemble.printing(made)) if head == heading]


def test_a_job_where_nothing_fits_still_makes_a_pack() -> None:
    made = replan(JOB, re.sub(r"clear_width: \d+", "clear_width: 11000", JOB))
    assert made.arrangement is None
    files = build(made)
    assert "rod-strip.pdf" not in files
    assert "Order sheet" not in _headings(made)
    assert any("Findings" in page for page in _texts(files["site.pdf"]))


def test_feet_and_inches_and_words_of_the_region() -> None:
    made = replan("region: au\n  print: mm", "region: us\n  print: feet-inches")
    printed = _printed(made)
    assert re.search(r"\d' \d+ \d+/\d+\"", printed)
    data = typeset.pdf(_office(made))
    cover = _texts(data)[0]
    assert "Drywall" in cover
    assert "Plasterboard" not in cover
    with pypdfium2.PdfDocument(data) as document:
        # US Letter is 8 1/2 by 11 inches: 612 by 792 points.
        assert {tuple(sorted(page.get_size())) for page in document} == {(612.0, 792.0)}
    assert b"/Lang(en-US)" in data.replace(b" ", b"")


HOSTILE = r"""'#panic(1) $x$ *b* _i_ <l> @r \\ "q" 😀 שלום =1+1 %%c'"""


def test_hostile_titles_reach_the_page_as_text() -> None:
    made = replan(JOB, re.sub(r"title: .*", lambda _: f"title: {HOSTILE}", JOB, count=1))
    shown = "".join(_texts(typeset.pdf(_site(made)))[1].split())
    assert "#panic(1)$x$*b*_i_<l>@r" in shown
    book = openpyxl.load_workbook(io.BytesIO(sheets.workbook(made, assemble.printing(made))))
    assert all(cell.data_type != "f" for sheet in book for row in sheet.iter_rows() for cell in row)


def test_manifest_matches_what_is_written(
    fernhollow: Plan,
    pack: dict[str, bytes],
    folder: tuple[Path, tuple[Path, ...]],
    told: list[str],
) -> None:
    where, paths = folder
    assert len(told) >= 4
    found = {path for path in where.rglob("*") if path.is_file()}
    assert found == set(paths)
    manifest = json.loads((where / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["hash"] == fernhollow.digest
    assert {entry["file"] for entry in manifest["files"]} == set(pack) - {"manifest.json"}
    for entry in manifest["files"]:
        assert hashlib.sha256(pack[entry["file"]]).hexdigest() == entry["sha256"]


def test_a_place_that_cant_be_written_is_named(
    fernhollow: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    # What would be written is made elsewhere in these tests; this one is about the place.
    monkeypatch.setattr("truehang.pack.make.build", lambda *_: {"site.pdf": b"%PDF"})
    with pytest.raises(PackError, match="can't be written"):
        write(fernhollow, tmp_path / "file" / "pack")


_AGAIN = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
import test_pack
for name, data in test_pack.build(test_pack.replan()).items():
    print(name, hashlib.sha256(data).hexdigest())
"""


def test_same_job_same_bytes_in_another_process_zone_and_folder(
    pack: dict[str, bytes], tmp_path: Path
) -> None:
    env = {**os.environ, "PYTHONHASHSEED": "4711", "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    done = subprocess.run(
        [sys.executable, "-c", _AGAIN, str(Path(__file__).parent)],
        cwd=tmp_path, env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    other = dict(line.rsplit(" ", 1) for line in done.stdout.splitlines())
    assert other == {name: hashlib.sha256(data).hexdigest() for name, data in pack.items()}


def test_drawings_come_as_svg_and_dxf(pack: dict[str, bytes]) -> None:
    stems = {name.removesuffix(".svg") for name in pack if name.endswith(".svg")}
    assert stems == {name.removesuffix(".dxf") for name in pack if name.endswith(".dxf")}
    assert {"drawings/elevation-a", "drawings/plan-section", "drawings/leaf-1"} <= stems


def test_every_demo_job_can_be_assembled() -> None:
    shelf = catalogue.load()
    for demo in ("quarry-house", "tannery-lofts"):
        for _, text in demo_files(demo)[::6]:
            made = plan(load(text.encode()), shelf)
            headings = _headings(made)
            assert headings[0] == "Findings"
            assert ("Order sheet" in headings) == (made.arrangement is not None)
            assert ("Sound" in headings) == (made.sound is not None)
            assert ("Accessibility" in headings) == bool(
                made.arrangement and made.arrangement.access
            )
