"""How does a message about a job file read on a page, where there is no file? Keys become fields.

The checks of a job file speak to somebody who writes one: "add `photo:` with ...". A form has no
keys, no lines and no lists to write, so the same message is put in a form's own words here, once
for all pages; what is wrong, and how it is mended, stays what the check found.
"""

from __future__ import annotations

import re
from dataclasses import replace

from truehang.amounts import number_here, unit_here
from truehang.job import Problem
from truehang.lengths import LengthStyle, format_length
from truehang.message import Message
from truehang.web.labels import label_of

_PAGES = {
    "wall.services": "Measure, Services",
    "wall.obstacles": "Measure, Services",
    "wall.framing": "Measure, Framing in the wall",
    "wall.over": "Measure, Over the opening",
    "wall.evidence": "Measure, What it carries",
    "wall": "Measure, Wall",
    "floor": "Measure, Floor",
    "measure": "Measure, Instruments",
    "wishes": "Choose",
    "building": "Choose",
    "sound": "Choose",
    "prices": "Job, Your prices",
    "site": "Job, Crew and site",
    "job": "Job, About the job",
}
"""Where the parts of the job file are filled in, the inner ones first."""
_PATH = re.compile(
    rf"\b({'|'.join(sorted({p.partition('.')[0] for p in _PAGES}))})((?:\.[a-z_]+)+)\b"
)


def _on_its_page(found: re.Match[str]) -> str:
    """ "wishes.seals.floor" as `"floor" of "seals" under Choose`."""
    path = found[0]
    part = next(part for part in _PAGES if path == part or path.startswith(f"{part}."))
    inner = path.removeprefix(part).strip(".") or path.rpartition(".")[2]
    named = " of ".join(f'"{label_of(name)}"' for name in reversed(inner.split(".")))
    return f"{named} under {_PAGES[part]}"


_WORDS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"add `kind:`, one of ", "choose one of: "),
        (r"`kind` is missing", "no kind is chosen"),
        (r"add `[\w.]+:` with ", "fill it in: "),
        (r"add `[\w.]+:`", "fill it in"),
        (r"the id is used twice \(first on line \d+\)", "this short name is used twice"),
        (
            r"give each its own id; take a reading again under `again:`",
            "give each its own short name; to read a place again, tap it on the drawing",
        ),
        (r" or add it under measure\.instruments with its sigma", " or add it under Instruments"),
        (r"a station at this x is on line \d+ already", "there is a station at this x already"),
        (
            r"write a second reading there as `again: \[\.\.\]`",
            "a second reading there goes under Again of the first",
        ),
        (r"lengthen wall\.run", "lengthen the run under Wall"),
        (r"a letter of your own can stand in job\.note", "a letter of your own can go in the note"),
        (r"; \[\] for none, after a look", '; "Looked: there are none" after a look'),
        (r"write the seals into", "choose the seals in"),
        (r"write \[\] where", 'tick "Looked: there are none" where'),
        (r"and write sure: true", "and say that it is sure"),
        (r"\bin docs/(?:theory/)?([a-z-]+)\.md", r"in the guide's page on \1"),
        (r"\bdocs/(?:theory/)?([a-z-]+)\.md", r"the guide's page on \1"),
        (r"see `truehang schema`", "look at what the field asks for"),
        (r"write its keys: .*|write `key: value` lines", "fill in its fields"),
        (r"unknown key", "no field of this form"),
        (r"not a mapping", "not filled in"),
        (r"neither true nor false", "neither yes nor no"),
        (r"\btrue/false is not\b", "yes or no is not"),
        (r"\btrue when\b", "yes when"),
        (r"\(region's if absent\)", "(the region's where left empty)"),
        (r"\babsent = ", "left empty: "),
        (r"version of this file format", "version of the job"),
        (r"`([^`]*?):?`", r"\1"),
        (r"\b([a-z]+)_([a-z]+)\b", r"\1 \2"),
    )
)


def on_page(text: str) -> str:
    """A message or a hint in a form's words."""
    for pattern, words in _WORDS:
        text = pattern.sub(words, text)
    return text


def finding_on_page(text: Message | str) -> str:
    """What a finding says, in a page's words: a place in the job file becomes a field and the page
    that it is on."""
    return on_page(_PATH.sub(_on_its_page, str(text)))


_UNITS = re.compile(r"(?<![\w/])(mm|kg|kPa|kN/m|kN|N|m2|m3|cm4|°C)(?![\w/])(?:: (\d+(?:\.\d+)?))?")


def in_units(text: str, style: LengthStyle) -> str:
    """A hint with its units, and what stands in it for an example, as they are told here."""
    return text if style == "mm" else _UNITS.sub(_in_feet, text)


def _in_feet(found: re.Match[str]) -> str:
    unit, example = found[1].removeprefix("°"), found[2]
    if unit == "mm":
        written = f": {format_length(float(example), 'feet-inches')}" if example else ""
        return f"feet and inches{written}"
    written = f": {number_here(float(example), unit, 'feet-inches', 0)}" if example else ""
    return unit_here(unit, "feet-inches") + written


def told_on_page(problem: Problem) -> Problem:
    """A problem of a document that a form made."""
    return replace(problem, what=finding_on_page(problem.what), mend=finding_on_page(problem.mend))
