"""Which steps apply to this job, in which order, and what does a person need at each?

The trade text stands in `order.toml`; this module picks what applies and puts the job's numbers in.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fnmatch import filter as matching
from functools import cache
from importlib import resources
from typing import Any

from truehang.figures import Figure
from truehang.message import NOTHING, Message, message

SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Number:
    """One of the job's numbers as it is needed at a step: `key` answers "why?"."""

    key: str
    label: Message
    value: float | Message
    unit: str
    ends: tuple[float, float] | None = None
    """The two marks (mm) that a length lies between, see `Figure`."""


@dataclass(frozen=True, slots=True)
class Check:
    """What to prove before the next step.

    A reading in `unit` from `low` to `high`, or a yes where both are None; `mend` says how to
    correct it. Tolerances: common practice, no source.
    """

    key: str
    label: Message
    low: float | None
    high: float | None
    unit: str
    mend: Message

    @property
    def measured(self) -> bool:
        """True where a number is read; False where it is done or not done."""
        return self.low is not None and self.high is not None

    def passes(self, reading: float | bool) -> bool:
        """Does this reading (in `unit`, or done) pass?"""
        if self.low is None or self.high is None:
            return bool(reading)
        return self.low <= reading <= self.high


@dataclass(frozen=True, slots=True)
class Picture:
    """Which drawing shows the step, and which of its parts stand out."""

    view: str
    highlight: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `hold` is what must be recorded before it may begin or end; empty for none."""

    number: int
    key: str
    title: Message
    do: tuple[Message, ...]
    numbers: tuple[Number, ...]
    pouch: tuple[Message, ...]
    caution: Message
    checks: tuple[Check, ...]
    picture: Picture | None
    hold: Message
    people: int


_PACKED_MOUTHS = (
    "Pack tight between the frame's head and the head over it at every mouth: between the mouths "
    "the head over it carries the leaves, at the mouths the frame carries it."
)
_PACKED_MOUTHS_DONE = "Frame's head packed tight under the head at every mouth"
_FREE_HEAD = (
    "Hang the frame's head from {head} by its screws and packing at each screw, but "
    "pack nothing tight over the ribs: under load that head comes down, and must not press on them."
)
_ENGINEERS = "the engineer's head"
_CLEAR_OF_OLD = (
    " Leave the space between the new head and what is over it free: that carries load and comes "
    "down with it."
)
_FREE_HEAD_DONE = "Nothing packed tight between the ribs and the head that carries load"

_PROPS_OFF = (
    " Take the studs clamped at the mouths off this face only: the other face's stay until it is "
    "lined in its turn."
)


@cache
def _entries() -> tuple[Mapping[str, Any], ...]:
    text = (resources.files(__package__) / "order.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["step"])


def order(
    flags: Iterable[str],
    figures: Mapping[str, Figure],
    words: Mapping[str, str],
    limits: Mapping[str, tuple[float, float]] | None = None,
) -> tuple[Step, ...]:
    """The numbered steps of this job.

    `flags` say what the job has: services-move, old-building, rated-wall, load, load-hold, pair,
    mouth-props (the ribs at the mouths can't hold the head bare), base-held (what the base is
    fixed to is not known), insulate, trim, cut (a wall that stands is
    cut), beside (so that the pocket goes in beside an old opening), new-wall, head-there (the
    track hangs from what is over the opening), head-under (a new head goes in under that); neither
    cut nor new-wall: an old opening is filled; infill (something of it is left beside the
    frame), soft-close (the frame has one), to-come (a floor is still to be laid), force-over
    (the leaves take more than is asked), bare-over (so even before their seals go in), keep (a
    latch has one), kept (a stud of an old opening stays as a new one), draws-out (the open leaf
    leaves nothing to take hold of), face-stays (one face is not touched: {stays}; the other is
    {opened}).
    `words` are the region's words for {board}, {trim}, {skirting}, {set}, {timber}, {outlet},
    {top_plate}, {bottom_plate}, {long_level} and {short_level}, over how much a level is read
    ({level_over}), what is lined with ({new_board}), where the latch's keep goes ({keep}), which
    {services} must move, and what is to be added for a floor still to come ({come}, {gap_now},
    {gap_down}; nothing if left out); lengths stay as they are said.
    `limits` overrides the tolerance of a check by its key, as (low, high) in the check's unit.
    """
    have = frozenset(flags)
    told = dict(words)
    for key in ("gap_now", "gap_down", "come", "services", "keep"):
        told.setdefault(key, "")
    told.setdefault("level_over", "⟨1000 mm⟩")
    told.setdefault("new_board", told["board"])
    told.setdefault("opened", "A")
    told.setdefault("stays", "B")
    told["soft_close"] = " and soft close" if "soft-close" in have else ""
    told["pair_words"] = ", the meeting edge plumb" if "pair" in have else ""
    there = {"load", "head-there"} <= have
    free = there or {"load", "cut"} <= have
    hung_from = _FREE_HEAD.format(head="what is over the opening" if there else _ENGINEERS)
    told["mouths"] = hung_from if free else _PACKED_MOUTHS
    told["old_head"] = _CLEAR_OF_OLD if {"load", "head-under"} <= have else ""
    told["props_off"] = _PROPS_OFF if "mouth-props" in have else ""
    told["mouths_done"] = _FREE_HEAD_DONE if free else _PACKED_MOUTHS_DONE
    applying = [entry for entry in _entries() if _applies(entry, have)]
    return tuple(
        _step(number, entry, have, figures, told, limits or {})
        for number, entry in enumerate(applying, start=1)
    )


def _applies(entry: Mapping[str, Any], have: frozenset[str]) -> bool:
    """Is this step, or this line of one, for a job with these flags?"""
    return have.issuperset(entry.get("needs", ())) and have.isdisjoint(entry.get("unless", ()))


def _lines(given: Iterable[str | Mapping[str, Any]], have: frozenset[str]) -> Iterable[str]:
    """What is to be done for a job with these flags."""
    for line in given:
        if isinstance(line, str):
            yield line
        elif _applies(line, have):
            yield line["say"]


def _step(
    number: int,
    entry: Mapping[str, Any],
    have: frozenset[str],
    figures: Mapping[str, Figure],
    words: Mapping[str, str],
    limits: Mapping[str, tuple[float, float]],
) -> Step:
    def say(text: str) -> Message:
        return message(text.format_map(words))

    picture = entry.get("picture")
    holds = have.issuperset(entry.get("hold_needs", ()))
    return Step(
        number=number,
        key=entry["key"],
        title=say(entry["title"]),
        do=tuple(say(line) for line in _lines(entry["do"], have)),
        numbers=_numbers(entry.get("numbers", ()), figures),
        pouch=tuple(say(item) for item in entry.get("pouch", ())),
        caution=say(entry.get("caution", "")),
        checks=tuple(_check(check, say(check["label"]), limits) for check in entry["checks"]),
        picture=Picture(picture["view"], tuple(picture["highlight"])) if picture else None,
        hold=say(entry.get("hold", "")) if holds else NOTHING,
        people=entry.get("people", 1),
    )


def _numbers(patterns: Iterable[str], figures: Mapping[str, Figure]) -> tuple[Number, ...]:
    found: dict[str, Number] = {}
    for pattern in patterns:
        keys = [pattern] if pattern in figures else matching(figures, pattern)
        for key in keys:
            figure = figures[key]
            found[key] = Number(key, figure.label, figure.value, figure.unit, figure.ends)
    return tuple(found.values())


def _check(
    check: Mapping[str, Any], label: Message, limits: Mapping[str, tuple[float, float]]
) -> Check:
    low, high = limits.get(check["key"], (check.get("low"), check.get("high")))
    mend = message(check.get("mend", "do it now"))
    return Check(check["key"], label, low, high, check.get("unit", ""), mend)
