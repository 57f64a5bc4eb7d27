"""Listens to everything that prints a length, and keeps the exact millimetres it came from.

Production code knows nothing of it: while a test listens, every module's name for one of the
functions of `truehang.lengths` is the same function with an ear in front.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from functools import wraps
from typing import Any
from unittest.mock import patch

from tests.printed.reading import STEPS, millimetres

import truehang
from truehang import lengths

PRINTING = ("drawing", "pack", "plan", "steps", "summary")
for _module in pkgutil.walk_packages(truehang.__path__, "truehang."):
    # What is imported while somebody listens would keep the ear.
    if _module.name.split(".")[1] in PRINTING:
        importlib.import_module(_module.name)

LISTENED = ("length", "between", "fine", "most", "piece", "given")


@dataclass
class Heard:
    """Every length that was printed: its text, and how it was asked for."""

    calls: dict[str, set[tuple[str, tuple[float, ...], str]]] = field(
        default_factory=lambda: defaultdict(set)
    )
    readings: set[float] = field(default_factory=set)
    """What measure put into its sentences, to a thousandth; they are printed later, by a plan."""

    def add(self, text: str, kind: str, exact: tuple[float, ...], style: str) -> None:
        self.calls[text].add((kind, exact, style))

    def misprints(self) -> list[str]:
        """Every text that does not say the millimetres it came from to half of its last step."""
        return [
            f"{text!r} is printed for {exact} ({kind}, {style})"
            for text, calls in self.calls.items()
            for kind, exact, style in calls
            if not _says(text, kind, exact, style)
        ]


_NOISE = Fraction(1, 100_000)


def _nearest(mm: Fraction, step: Fraction) -> Fraction:
    return round(mm / step) * step


def _says(text: str, kind: str, exact: tuple[float, ...], style: str) -> bool:
    bought = kind == "piece" and text.endswith(" mm")
    read, numbers = millimetres(text), [Fraction(mm) for mm in exact]
    step = STEPS["mm" if bought else style]
    if kind == "between":
        low, high = numbers
        # Each mark may lie in the middle of two steps; then either of the two may be printed.
        return any(
            abs(read - (_nearest(high + b, step) - _nearest(low + a, step))) < _NOISE
            for a in (-_NOISE, _NOISE)
            for b in (-_NOISE, _NOISE)
        )
    (mm,) = numbers
    if kind == "most":
        step = Fraction(1, 10) if style == "mm" else step
        return -_NOISE <= mm - read < step + _NOISE
    if (kind in ("fine", "piece", "read") and style == "mm") or bought:
        step = Fraction(1, 10)
    return abs(read - mm) <= step / 2 + _NOISE


_REPORTS = ("truehang.pack.sections.measure", "truehang.measure.say", "truehang.summary")


def _is_reading(mm: float, heard: Heard) -> bool:
    """Is this print asked for by a report of readings, or of a sentence that measure wrote?"""
    asked, up = sys._getframe(2), 0
    in_a_sentence = asked.f_globals["__name__"] == lengths.__name__
    while asked is not None and up < (6 if in_a_sentence else 3):
        if asked.f_globals["__name__"] in _REPORTS:
            if in_a_sentence:
                heard.readings.add(round(mm, 3))
            return True
        asked, up = asked.f_back, up + 1
    return in_a_sentence and round(mm, 3) in heard.readings


def _ear(kind: str, function: Callable[..., str], heard: Heard) -> Callable[..., str]:
    ends = 2 if kind == "between" else 1

    @wraps(function)
    def printed(*given: Any, **named: Any) -> str:
        text = function(*given, **named)
        if sys._getframe(1).f_code is lengths.marked_length.__code__:
            return text  # it reads a mark, and prints none
        # A reading is told as it was read, finer than a tape is held: in the measure report, in
        # what measure says of a reading by its name, and among the figures at the prompt.
        told = "read" if kind == "fine" and _is_reading(float(given[0]), heard) else kind
        style = named.get("style") or (given[ends] if len(given) > ends else "mm")
        heard.add(text, told, tuple(float(mm) for mm in given[:ends]), style)
        return text

    return printed


@contextmanager
def listening() -> Iterator[Heard]:
    """All that is printed inside is heard."""
    heard = Heard()
    ears = {
        f"format_{kind}": _ear(kind, getattr(lengths, f"format_{kind}"), heard) for kind in LISTENED
    }
    patches = [
        patch.object(module, name, ear)
        for key, module in sorted(sys.modules.items())
        if key.partition(".")[0] == "truehang"
        for name, ear in ears.items()
        if vars(module).get(name) is getattr(lengths, name)
    ]
    for each in patches:
        each.start()
    try:
        yield heard
    finally:
        for each in reversed(patches):
            each.stop()
