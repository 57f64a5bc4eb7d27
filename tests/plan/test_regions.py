"""Is the same job printed in each region's own lengths and words, with the same geometry?

The words are common practice, no source. Four kinds of millimetres stay in a feet-inches print:
the proving scale of the rod strip (a bar of 100 mm, whatever the job prints), what a catalogue
calls the thing that is bought ("masonry screw, 6 mm"), packers of the van that are sold by the
millimetre, and the rules behind figures, which are formulas in mm and print only where somebody
asks why.
"""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Iterator, Mapping
from functools import cache

import pytest
from rich.console import Console

from truehang import catalogue, demo
from truehang.drawing import Sheet, rod_pages
from truehang.drawing.scene import Scene
from truehang.job import Job, load
from truehang.lengths import format_piece
from truehang.message import Message
from truehang.pack import assemble, drawings
from truehang.plan import Plan, plan
from truehang.summary import print_figures, print_options, print_plan

REGIONS = ("au", "nz", "uk", "us")
PROOF = "This bar must measure 100 mm on a rule, or the page must not be used."
MILLIMETRES = re.compile(r"\d\s*mm\b")  # \s takes the space that does not break, too
TOKEN = "⟨"
SPECIAL = frozenset({"svg", "kind", "layer", "source", "rule", "where", "key", "id"})
"""Fields that are no text for the reader, or quote a published rule or the job's own names."""
OURS = {
    "us": (
        "plasterboard", "architrave", "skirting", "lintel", "noggin", "timber", "power point",
        "jointing compound", "building certifier", "2.0 m level",
    ),
    "uk": (
        "power point", "bottom plate", "top plate", "jointing compound", "building certifier",
        "drywall", "baseboard", "lumber",
    ),
    "au": ("drywall", "casing", "baseboard", "lumber", "receptacle", "socket"),
    "nz": ("drywall", "casing", "baseboard", "lumber", "receptacle", "socket", "noggin",
           "jointing compound", "building certifier", "gib"),
}  # fmt: skip
THEIRS = {
    "us": ("drywall", "casing", "baseboard", "lumber", "double receptacle", "joint compound",
           "building department", "6 ft level"),
    "uk": ("plasterboard", "architrave", "skirting", "double socket", "joint filler",
           "building control body", "head plate"),
    "au": ("plasterboard", "architrave", "skirting", "double power point", "jointing compound",
           "building certifier", "top plate"),
    "nz": ("plasterboard", "architrave", "skirting", "double power point", "stopping compound",
           "building consent authority", "sg8"),
}  # fmt: skip


@cache
def job_in(region: str, name: str = "fernhollow", number: int = 0) -> Job:
    job = load(demo.files(name)[number][1])
    about = job.job.model_copy(update={"region": region, "print": None})
    return job.model_copy(update={"job": about})


@cache
def planned(region: str) -> Plan:
    return plan(job_in(region), catalogue.load())


def strings(thing: object, skip: frozenset[str] = SPECIAL) -> Iterator[str]:
    """Every text in a value, however deep."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, Message):
        yield str(thing)
    elif dataclasses.is_dataclass(thing):
        for field in dataclasses.fields(thing):
            if field.name not in skip:
                yield from strings(getattr(thing, field.name), skip)
    elif isinstance(thing, tuple | list):
        for part in thing:
            yield from strings(part, skip)
    elif isinstance(thing, Mapping):
        for part in thing.values():
            yield from strings(part, skip)


@cache
def printed(region: str) -> str:
    """All that is printed of the job: at the prompt, in the pack, on the drawings and the rod."""
    made = planned(region)
    out = io.StringIO()
    console = Console(file=out, width=400)
    print_plan(made, console)
    print_options(made, console)
    print_figures(made, console)
    printing = assemble.printing(made)
    album = drawings.album(made, printing)
    rods = rod_pages(made, Sheet(made.style, made.words))
    scenes: tuple[Scene, ...] = (*album.scenes.values(), *album.pictures.values(), *rods)
    texts = [
        *out.getvalue().splitlines(),
        *strings(assemble.documents(made, printing, album)),
        *(text for scene in scenes for text in (scene.title, *strings(scene.items))),
    ]
    return "\n".join(_without(text, _as_given(region)) for text in texts)


@cache
def _as_given(region: str) -> re.Pattern[str]:
    """Names of the job, of the catalogue and of figures: never put into other words."""
    bought = catalogue.load()
    names = {
        entry.name
        for kind in (bought.kits, bought.leaves, bought.fasteners, bought.seals)
        for entry in (kind.values() if isinstance(kind, Mapping) else kind)
    }
    made = planned(region).arrangement
    assert made is not None
    stacks = {
        join.join(format_piece(piece, planned(region).style).replace(" ", gap) for piece in pieces)
        for pieces in (pack.pieces or () for pack in made.packs)
        for join, gap in ((" + ", " "), (" + ", "\u00a0"))
    }
    names |= {stack for stack in stacks if "mm" in stack}
    names |= {kit.id for kit in bought.kits} | {leaf.id for leaf in bought.leaves}
    names |= set(_texts_of(job_in(region).model_dump(mode="json"))) | set(planned(region).figures)
    names = {name for name in names if len(name) > 5 or name in stacks}
    wanted = sorted(filter(None, names), key=len, reverse=True)
    return re.compile("|".join(map(re.escape, wanted)), re.IGNORECASE)


def _texts_of(dumped: object) -> Iterator[str]:
    """The job's own sentences and ids; not the names of kinds, which are ours."""
    if isinstance(dumped, dict):
        for key, value in dumped.items():
            if key not in ("kind", "material", "situation", "base"):
                yield from _texts_of(value)
    elif isinstance(dumped, list):
        for value in dumped:
            yield from _texts_of(value)
    elif isinstance(dumped, str) and (" " in dumped or "-" in dumped):
        yield dumped


def _without(text: str, given: re.Pattern[str]) -> str:
    return given.sub("", text.replace(PROOF, ""))


def test_feet_inches_print_has_no_millimetres() -> None:
    made = planned("us")
    assert made.style == "feet-inches"
    found = [line for line in printed("us").splitlines() if MILLIMETRES.search(line)]
    assert found == []
    assert made.arrangement is not None
    # the clear passage: 1560/25.4 = 61.417, and 0.417 is nearest to 13/32
    assert "5' 1 13/32\"" in printed("us").replace("\u00a0", " ")


@pytest.mark.parametrize("region", ["au", "nz", "uk"])
def test_metric_print_has_no_feet_or_inches(region: str) -> None:
    assert planned(region).style == "mm"
    inches = re.compile(r"\d\s*(?:'|\d/\d+\"|\"|ft\b)")
    assert [line for line in printed(region).splitlines() if inches.search(line)] == []


@pytest.mark.parametrize("region", REGIONS)
def test_the_regions_words_are_used_and_no_others(region: str) -> None:
    text = printed(region).replace("\u00a0", " ").lower()
    assert [word for word in THEIRS[region] if word not in text] == []
    foreign = {
        word: line
        for word in OURS[region]
        for line in text.splitlines()
        if re.search(rf"\b{re.escape(word)}s?\b", line)
    }
    assert foreign == {}


def test_the_proving_scale_stays_in_millimetres_everywhere() -> None:
    for region in REGIONS:
        made = planned(region)
        page = rod_pages(made, Sheet(made.style, made.words))[0]
        assert PROOF in set(strings(page.items))


def test_geometry_is_the_same_in_every_region() -> None:
    """Words and units are print only. (What is sold, prices and rules differ by region.)"""
    bought = catalogue.load()
    alike = dataclasses.replace(
        bought,
        kits=tuple(kit.model_copy(update={"here": {}}) for kit in bought.kits),
        leaves=tuple(leaf.model_copy(update={"here": {}}) for leaf in bought.leaves),
    )

    def sizes(region: str) -> dict[str, float | str]:
        made = plan(job_in(region), alike)
        assert made.arrangement is not None
        marks = {f"rod.{mark.key}": mark.at for mark in made.arrangement.rod.marks}
        packs = {f"pack.{n}": pack.height for n, pack in enumerate(made.arrangement.packs)}
        figures = {
            key: figure.value
            for key, figure in made.figures.items()
            if key.startswith(("fit.", "measure.")) and figure.unit in ("mm", "mm per m")
        }
        return {**marks, **packs, **figures}

    ours = sizes("au")
    assert len(ours) > 60
    assert sizes("nz") == ours
    assert sizes("uk") == ours
    # leaves and frames in inches come in sixteenths: two leaves, and what both move
    inches = sizes("us")
    off = {key: abs(inches[key] - ours[key]) for key in ours if not key.startswith("fit.option.")}
    assert max(off.values()) <= 2 * 25.4 / 16 + 1.0


def test_each_region_has_its_money() -> None:
    signs = {"au": ("AUD", "$"), "nz": ("NZD", "$"), "uk": ("GBP", "£"), "us": ("USD", "$")}
    for region, (currency, sign) in signs.items():
        assert {one.option.currency for one in planned(region).weighed} == {currency}
        prices = re.findall(r"([^\d\s(]+)\d[\d,]*\.\d\d\b", printed(region))
        assert sign in prices
        assert ("£" in prices) == (region == "uk")


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("fernhollow", 0),
        ("millrace-cottage", 0),
        ("granary-hall", 0),
        ("juniper-court", 0),
        ("quarry-house", 0),
        ("tannery-lofts", 7),
    ],
)
def test_every_text_of_a_plan_is_spelled(region: str, name: str, number: int) -> None:
    """No token is forgotten, however deep it lies: see truehang.plan.spelled."""
    made = planned(region) if name == "fernhollow" else plan(
        job_in(region, name, number), catalogue.load()
    )  # fmt: skip
    left = {text for text in strings(made, frozenset({"job"})) if TOKEN in text}
    assert left == set()
