"""Is each printed length, read back from the file itself, the millimetres that it came from?

Source: what a tape shows (half millimetres, 1/32 inch: common practice, no source), and
arithmetic. Nothing of the program reads the files here: see `reading`.
"""

from __future__ import annotations

import io
import re
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

import openpyxl
import pytest
from benchmarks.random_jobs import random_job
from rich.console import Console
from tests.printed.reading import IMPERIAL, METRIC, STEPS, millimetres, plain, texts
from tests.printed.recorder import Heard, listening

from truehang import catalogue, demo
from truehang.job import Job, load
from truehang.pack import assemble, build, drawings
from truehang.pack.content import Table
from truehang.plan import Plan, complete, plan
from truehang.summary import (
    print_boards,
    print_cutting,
    print_figures,
    print_options,
    print_plan,
)

BOUGHT = catalogue.load()

DEMOS = [
    (name, number)
    for name in demo.names()
    for number in range(0, len(demo.files(name)), 9)  # three of the lofts
    if name != "juniper-court"
]
PRINTS = ("mm", "feet-inches")
REGIONS = ("au", "uk", "us")
SEEDS = (3, 11)
JOBS = [
    *((f"{name} {number}", style, "au") for name, number in DEMOS[:-1] for style in PRINTS),
    (f"{DEMOS[-1][0]} {DEMOS[-1][1]}", "mm", "au"),
    ("juniper-court 0", "feet-inches", "us"),  # a wall of 2x4s has no kit of another region
    *(("fernhollow 0", "mm", region) for region in REGIONS[1:]),
    ("fernhollow 0", "feet-inches", "us"),
    *((f"seed {seed}", style, "au") for seed in SEEDS for style in PRINTS),
]


def job_of(name: str, style: str, region: str) -> Job:
    kind, _, number = name.partition(" ")
    job = random_job(int(number)) if kind == "seed" else load(demo.files(kind)[int(number)][1])
    about = job.job.model_copy(update={"print": style, "region": region})
    return job.model_copy(update={"job": about})


@cache
def made(name: str, style: str, region: str) -> tuple[Plan, dict[str, bytes], Heard]:
    with listening() as heard:
        whole = complete(plan(job_of(name, style, region), BOUGHT), BOUGHT)
        files = build(whole) | {"prompt.txt": at_the_prompt(whole)}
        return whole, files, heard


def at_the_prompt(whole: Plan) -> bytes:
    """All that the commands print of a plan."""
    out = io.StringIO()
    console = Console(file=out, width=2000)  # a table's line is not cut
    for show in (print_plan, print_options, print_figures, print_boards):
        show(whole, console)
    if whole.cutting is not None:
        print_cutting(whole.cutting, whole.standing, whole.style, console)
    return re.sub(r"\s*[│┃]\s*", "\n", out.getvalue()).encode()


@cache
def bought() -> str:
    """Names in the catalogue and kits' words, which carry sizes as they are sold."""
    return plain(repr(catalogue.load()))


def names_in(whole: Plan) -> re.Pattern[str]:
    """What the job and the catalogue call things, where sizes stand in it."""
    names = set(re.findall(r"'((?:[^'\\]|\\.)*\d+(?:\.\d+)? ?mm[^']*)'", bought()))
    names |= set(re.findall(r"'([^']*\d+ ?mm[^']*)'", plain(repr(whole.job))))
    # A long name goes over two lines, and the size is on the first.
    names |= {name[: name.index("mm") + 2] for name in names}
    return re.compile("|".join(map(re.escape, sorted(names, key=len, reverse=True))) or "$^")


def every_text_says_the_millimetres_it_came_from(name: str, style: str, region: str) -> None:
    _, _, heard = made(name, style, region)
    assert len(heard.calls) > 50
    assert heard.misprints() == [], heard.misprints()[:5]


def every_length_in_a_file_is_one_that_was_printed(name: str, style: str, region: str) -> None:
    """A space that is lost, or a number that runs into another, makes a length that never was."""
    whole, files, heard = made(name, style, region)
    known = {plain(text).removeprefix("+").lstrip("-") for text in heard.calls}
    pattern, names = METRIC if style == "mm" else IMPERIAL, names_in(whole)
    seen, wrong = 0, []
    for file, data in files.items():
        for text in texts(file, data):
            for found in pattern.findall(names.sub("", plain(text))):
                seen += 1
                bare = found.lstrip("+-").removesuffix("mm").strip()
                if bare not in known and bare not in _SHOWN:
                    wrong.append((file, found))
    assert wrong == [], wrong[:10]
    assert seen > (100 if whole.arrangement else 3)


_SHOWN = {"10", "20", "50", "100", "200", "500", '1"', '2"', '4"', "1'", "3'", "6'", "10'"}
_SHOWN |= {"1219.2"}
"""Scale bars, the proving scale of 100 mm, what a fall is told over, a level of four feet."""


def no_length_stands_in_two_roundings(name: str, style: str, region: str) -> None:
    """Of one exact length all prints of a pack say the same, whoever asked for them."""
    _, _, heard = made(name, style, region)
    prints: dict[float, set[str]] = {}
    for text, calls in heard.calls.items():
        for kind, exact, printed in calls:
            if kind in ("length", "fine") and printed == style:
                prints.setdefault(round(exact[0], 4), set()).add(text)
    twice = {mm: told for mm, told in prints.items() if len(told) > 1}
    assert twice == {}, twice


def the_spreadsheet_holds_every_mark(name: str, style: str, region: str) -> None:
    whole, files, _ = made(name, style, region)
    book: Any = openpyxl.load_workbook(io.BytesIO(files["takeoff-and-rod.xlsx"]))
    rows = list(book["Rod"].iter_rows(min_row=3, values_only=True))
    marks = whole.arrangement.rod.marks if whole.arrangement else ()
    assert len(rows) == len(marks)
    for mark, (origin, number, printed, label, _what) in zip(marks, rows, strict=True):
        assert label == mark.label
        assert origin == ("x, from the datum" if mark.axis == "x" else "z, from the level datum")
        assert abs(float(millimetres(printed)) - mark.at) <= STEPS[style] / 2 + 1e-6
        if style == "mm":
            assert float(millimetres(printed)) == number


def svg_and_dxf_say_the_same(name: str, style: str, region: str) -> None:
    """The same words in each drawing's two files: no backend prints a number of its own."""
    _, files, _ = made(name, style, region)
    for file, data in files.items():
        if not file.endswith(".dxf"):
            continue
        twin = file.removesuffix("dxf") + "svg"
        drawn = {plain(text).strip() for text in texts(file, data)}
        shown = {plain(text).strip() for text in texts(twin, files[twin])}
        assert drawn <= shown, (file, sorted(drawn - shown)[:5])


OURS = re.compile(
    r"(?<![\w/.=-])(?:kg|k?N|kPa|MPa|m2|m²|m3|m³|J|m/s|k?N/m|N/mm|kg/m2|°C)(?![\w/.)])"
)
"""A unit of ours by itself, or after a number; not a letter of a clause: N.1."""
QUOTED = "900 to 1100 and 20 N"
"""A limit as its rule set's source has it."""


def no_unit_of_ours_is_left_in_feet_and_inches(name: str, style: str, region: str) -> None:
    """Seen red with the masses of leaves in kg, with the areas of the sound's ways in m²."""
    if style == "mm" or region != "us":  # a rule set's own words are another region's
        return
    whole, files, _ = made(name, style, region)
    names, left, theirs = names_in(whole), [], 0
    for file, data in files.items():
        for text in texts(file, data):
            bare = names.sub("", plain(text)).replace(QUOTED, "")
            theirs += len(re.findall(r"\blbf?\b|\bft²", bare))
            left += [(file, bare[:90]) for _ in OURS.finditer(bare)]
    assert left == [], left[:10]
    assert theirs > 5


@pytest.mark.parametrize(("name", "style", "region"), JOBS)
def test_a_pack_prints_what_was_reckoned(name: str, style: str, region: str) -> None:
    """All checks on one pack, for making one takes longest."""
    every_text_says_the_millimetres_it_came_from(name, style, region)
    every_length_in_a_file_is_one_that_was_printed(name, style, region)
    no_length_stands_in_two_roundings(name, style, region)
    the_spreadsheet_holds_every_mark(name, style, region)
    svg_and_dxf_say_the_same(name, style, region)
    no_unit_of_ours_is_left_in_feet_and_inches(name, style, region)


@pytest.mark.parametrize("region", REGIONS)
def test_heights_say_from_where(region: str) -> None:
    whole, _, _ = made("fernhollow 0", "feet-inches" if region == "us" else "mm", region)
    assert whole.arrangement is not None
    for mark in whole.arrangement.rod.up:
        assert str(whole.figures[f"fit.mark.{mark.key}"].label).endswith("from the level datum")
    for step in whole.steps:
        for number in step.numbers:
            if number.key.startswith("fit.mark.") and number.key[9:] in {
                mark.key for mark in whole.arrangement.rod.up
            }:
                assert "from the level datum" in number.label


def tables_of(whole: Plan) -> list[Table]:
    """Every table of every paper of the pack."""
    found: list[Table] = []

    def look(thing: Any) -> None:
        if isinstance(thing, Table):
            found.append(thing)
        elif isinstance(thing, tuple | list):
            for inner in thing:
                look(inner)
        elif is_dataclass(thing):
            for field in fields(thing):
                look(getattr(thing, field.name))

    papers = assemble.documents(whole, assemble.printing(whole), drawings.Album({}, {}))
    look(list(papers.values()))
    return found


@pytest.mark.parametrize("name", ["fernhollow 0", "quarry-house 0"])
def test_every_table_of_heights_says_from_where(name: str) -> None:
    """A height without its reference is read from the floor that one stands on: common practice,
    no source."""
    whole, _, _ = made(name, "mm", "au")
    tables = tables_of(whole)
    heads = [column.head for table in tables for column in table.columns]
    heights = [head for head in heads if re.match(r"(z|height|level)\b", head)]
    assert len(heights) >= 5
    assert all("from the level datum" in head for head in heights)
    out = io.StringIO()
    print_boards(whole, Console(file=out, width=400))
    assert "z from the level datum" in out.getvalue()
    assert "from z" not in out.getvalue()


@pytest.mark.parametrize("name", ["fernhollow 0", "quarry-house 0"])
def test_each_support_stud_and_jamb_has_its_heights_from_the_floor_there(name: str) -> None:
    """Level line and head less the floor that was read there, by hand from the stations."""
    whole, _, _ = made(name, "mm", "au")
    fit, floor = whole.arrangement, whole.measured.floor
    assert fit is not None
    assert floor is not None
    (table,) = {
        table.title: table
        for table in tables_of(whole)
        if table.title.startswith("Heights from the floor here")
    }.values()
    at = {float(row[1]): row for row in table.rows}
    places = [pack.x for pack in fit.packs] + [fit.rough.low, fit.rough.high]
    for x in places:
        row = at[min(at, key=lambda one: abs(one - x))]
        assert abs(float(row[1]) - x) <= 45
        here = floor.z(float(row[1]))
        assert float(row[2]) == pytest.approx(fit.heights.level_line - here, abs=0.5)
        head = row[3 + bool(fit.floor_to_come)]
        assert float(head) == pytest.approx(fit.heights.head_underside - here, abs=0.5)


@pytest.mark.parametrize("style", PRINTS)
def test_words_do_not_make_a_drawing_small(style: str) -> None:
    """The widest demo's elevation is read at arm's length, draft stamp and references and all."""
    whole, _, _ = made("fernhollow 0", style, "au")
    album = drawings.album(whole, assemble.printing(whole))
    assert whole.standing.stamp
    for side in "ab":
        assert album.scenes[f"elevation-{side}"].scale <= 25
