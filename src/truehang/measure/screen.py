"""Can each reading be what it says it is? Kind, place, size, unit and number, before any sum."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.reading import INSTRUMENT_SIGMA, KINDS, Reading

SOURCE = "common practice, no source"

_OVER = (200.0, 15000.0)


def screen(readings: Sequence[Reading]) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """The readings that can be used, in the order given, and a finding for each that can't.

    A reading is never mended here: what can't be used is left out and named. Only a sigma that
    can't be is replaced by the instrument's usual one, and that is said too.
    """
    sound: list[Reading] = []
    findings: list[Finding] = []
    seen: set[str] = set()
    for reading in readings:
        trouble = _trouble(reading)
        if trouble is None and reading.id in seen:
            trouble = (
                f"the id {reading.id!r} is given to two readings",
                "give the second one its own id",
            )
        seen.add(reading.id)
        if trouble is not None:
            findings.append(Finding(Severity.STOP, f"measure.{reading.id}", *trouble, SOURCE))
            continue
        placed = replace(reading, place="") if KINDS[reading.kind].words == ("",) else reading
        mended, notes = _sigma(placed)
        findings += notes
        sound.append(mended)
    return tuple(sound), tuple(findings)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _trouble(reading: Reading) -> tuple[str, str] | None:
    """What is wrong with the reading and its mend, or None."""
    kind = KINDS.get(reading.kind)
    if kind is None:
        near = get_close_matches(str(reading.kind), KINDS, n=1)
        hint = f"did you mean {near[0]}? " if near else ""
        return f"{reading.kind!r} is not a kind of reading", f"{hint}kinds: {', '.join(KINDS)}"
    if reading.place not in kind.words and kind.words != ("",):
        return (
            f"a {reading.kind} can't be read at {reading.place!r}",
            f"say where: {', '.join(kind.words)}",
        )
    if not _number(reading.value):
        mend = f"give a number, or a length like {said(900)}"
        return f"{reading.kind} reads {reading.value!r}", mend
    for name, needed, low, high in (
        ("over", kind.tool is not None and kind.tool.needed, *_OVER),
        ("at", kind.station != "" and kind.tool is None, -60000.0, 60000.0),
    ):
        given = getattr(reading, name)
        if given is None and needed:
            return (
                f"the {reading.kind} reading has no `{name}`",
                "say how long the level, straightedge or blade is"
                if name == "over"
                else "say where along the run it was read, from the datum",
            )
        if given is not None and not (_number(given) and low <= given <= high):
            return (
                f"`{name}` is {given!r}",
                f"give it between {said(low)} and {said(high)}",
            )
    return _size(reading, kind.least, kind.most)


def _size(reading: Reading, low: float, high: float) -> tuple[str, str] | None:
    if low <= reading.value <= high:
        return None
    what = f"{reading.kind} reads {reading.value:g}; it can be {said(low)} to {said(high)}"
    for unit, scale in (("m", 1000.0), ("cm", 10.0)):
        meant = reading.value * scale
        if low > 0 and low <= meant <= high:
            return what, f"was {said(meant, 1)} meant ({reading.value:g} {unit})? write the unit"
    if reading.value < 0 and low >= 0:
        return what, "a length has no minus sign; read it again"
    return what, "read it again, and write its unit"


def _sigma(reading: Reading) -> tuple[Reading, list[Finding]]:
    where = f"measure.{reading.id}"
    notes: list[Finding] = []
    if reading.sigma is not None and not (_number(reading.sigma) and 0.05 <= reading.sigma <= 100):
        reading, given = replace(reading, sigma=None), reading.sigma
        notes.append(
            Finding(
                Severity.WARN,
                where,
                f"the uncertainty {given!r} can't be; the instrument's usual one is taken",
                f"give a standard uncertainty between {said(0.05, 2)} and {said(100)}, or leave "
                "it out",
                SOURCE,
            )
        )
    if reading.instrument and reading.instrument not in INSTRUMENT_SIGMA and reading.sigma is None:
        notes.append(
            Finding(
                Severity.NOTE,
                where,
                f"the instrument {reading.instrument!r} is not known; {said(1.5, 1)} is taken",
                f"name one of {', '.join(INSTRUMENT_SIGMA)}, or give the reading's own sigma",
                SOURCE,
            )
        )
    return reading, notes
