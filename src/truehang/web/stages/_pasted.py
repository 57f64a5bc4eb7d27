"""Which readings does a pasted list hold? "w b 3460, w m 3461, left plumb 3 over 2000".

Each is the words of a place as the page says them, or their first letters, then what was read;
then, where it needs them, `over` the length of the level and `at` the place along the wall.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from truehang.job import Job
from truehang.lengths import LengthError, parse_length
from truehang.reading import KINDS
from truehang.web.stages._opening import GROUP_OF, label

MOST = 200
_SPLIT = re.compile(r"[;\n]|,(?!\d)")
_ONE = re.compile(
    r"\s*(?P<words>[a-z][a-z\s-]*?)\s*[:=]?\s*(?P<value>[-+]?[\d½¼¾⅛⅜⅝⅞].*?)"
    r"(?:\s+over\s+(?P<over>.+?))?(?:\s+at\s+(?P<at>.+?))?\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Pasted:
    """One reading of a list: as it was written, and what it is; or what is `wrong` with it."""

    text: str
    label: str = ""
    reading: dict[str, Any] | None = None
    wrong: str = ""


def pasted(text: str, job: Job) -> tuple[Pasted, ...]:
    """The readings of a list, in its order, those that can't be read with their reason."""
    parts = [part.strip() for part in _SPLIT.split(text) if part.strip()][:MOST]
    found, over = list[Pasted](), _lengths(job)
    taken = {reading.id for reading in job.measure.readings}
    for part in parts:
        one = _read(part, over)
        if one.reading is not None:
            one.reading["id"] = _free(one.reading, taken)
            taken.add(one.reading["id"])
            if "over" in one.reading:
                over[one.reading["kind"]] = one.reading["over"]
        found.append(one)
    return tuple(found)


def _lengths(job: Job) -> dict[str, float]:
    """The length that each kind was last read over."""
    lengths = {r.kind: getattr(r, "over", None) for r in job.measure.readings}
    return {kind: over for kind, over in lengths.items() if over is not None}


def _read(part: str, over: dict[str, float]) -> Pasted:
    match = _ONE.fullmatch(part)
    if match is None:
        return Pasted(part, wrong="write the place, then what was read: bottom width 3460")
    places = list(_places(match["words"].lower()))
    if len(places) != 1:
        told = " or ".join(label(*place) for place in places[:4])
        wrong = f"may be {told}; write more of it" if places else "names no place of this page"
        return Pasted(part, wrong=wrong)
    kind, place = places[0]
    known = KINDS[kind]
    reading: dict[str, Any] = {"kind": kind}
    if place:
        reading["face" if kind == "face" else "at"] = place
    needed = {"value": (match["value"], True), "x": (match["at"], bool(known.station))}
    if known.tool is not None:
        usual = over.get(kind) if known.tool.needed else None
        needed["over"] = (match["over"] or usual, known.tool.needed)
    for name, (given, must) in needed.items():
        if given is None and must:
            word = "at" if name == "x" else "over"
            return Pasted(part, label(kind, place), None, f"needs `{word}` and a length after it")
        if given is not None and (name != "x" or known.station):
            try:
                reading[name] = parse_length(given)
            except LengthError as wrong:
                return Pasted(part, label(kind, place), None, str(wrong))
    return Pasted(part, label(kind, place), reading)


def _places(words: str) -> Iterator[tuple[str, str]]:
    """The places that these words may name: the kind first ("w b"), else as the page says it
    ("bottom width"); the whole word goes before its first letters."""
    tokens = re.split(r"[\s-]+", words.strip())
    said = [
        (kind.name, place)
        for kind in KINDS.values() if kind.group
        for place in kind.words if label(kind.name, place).lower().split() == tokens
    ]  # fmt: skip
    if said:
        yield from said
        return
    for order in (tokens, [tokens[-1], *tokens[:-1]]):
        fits = [
            (kind.name, place)
            for kind in KINDS.values() if kind.group
            for place in kind.words
            if kind.name.startswith(order[0]) and _fits(order[1:], place.lower())
        ]  # fmt: skip
        exact = [each for each in fits if each[0] == order[0]]
        if fits:
            yield from exact or fits
            return


def _fits(tokens: list[str], place: str) -> bool:
    parts = place.split("-") if place else []
    if len(tokens) == 1 and len(parts) == 2 and tokens[0] == parts[0][0] + parts[1][0]:
        return True  # "tl" for top left
    return len(tokens) == len(parts) and all(
        part.startswith(token) for token, part in zip(tokens, parts, strict=True)
    )


def _free(reading: dict[str, Any], taken: set[str]) -> str:
    place = str(reading.get("at", reading.get("face", ""))).lower()
    name = "-".join(filter(None, (reading["kind"], place)))
    number = 1
    while (name if number == 1 else f"{name}-{number}") in taken:
        number += 1
    return name if number == 1 else f"{name}-{number}"


def group_of(readings: tuple[Pasted, ...]) -> str:
    """The page's group of the first of them."""
    first = next((one.reading for one in readings if one.reading is not None), None)
    return GROUP_OF[first["kind"]] if first else "size"
