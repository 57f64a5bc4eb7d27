"""How does a quantity run over frequency? Curves over a logarithmic axis, for black and white."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from truehang.drawing.draft import Draft
from truehang.drawing.metrics import width
from truehang.drawing.scene import TEXT_HEIGHT, Layer, Scene, Text
from truehang.drawing.sheet import Sheet

PLOT = (165.0, 60.0)
"""Width and height of the plot's frame, mm."""
_STYLES = (Layer.LEAF, Layer.HIDDEN, Layer.CENTRE, Layer.OLD)


@dataclass(frozen=True, slots=True)
class Curve:
    """A named curve: one value (dB) for each frequency of the plot."""

    name: str
    values: tuple[float, ...]


def spectrum(
    key: str,
    title: str,
    frequencies: Sequence[float],
    curves: Sequence[Curve],
    sheet: Sheet,
    *,
    notes: Sequence[str] = (),
) -> Scene:
    """Up to four curves over rising frequencies (Hz), the first heavy with a dot at each band.

    Raises ValueError where a curve has not one finite value for each frequency, or there are
    no or too many curves, or fewer than two rising frequencies.
    """
    _check(frequencies, curves)
    draft = Draft(1.0)
    wide, tall = PLOT
    logs = [math.log2(f) for f in frequencies]
    margin = (logs[-1] - logs[0]) / (len(logs) - 1) / 2
    start, span = logs[0] - margin, logs[-1] - logs[0] + 2 * margin
    every = [value for curve in curves for value in curve.values]
    bottom = math.floor(min(every) / 10) * 10
    top = math.ceil((max(every) + 1e-9) / 10) * 10
    top += 10 if top == bottom else 0

    def x(log: float) -> float:
        return (log - start) / span * wide

    def y(value: float) -> float:
        return (value - bottom) / (top - bottom) * tall

    for log in logs:
        draft.line(Layer.HATCH, (x(log), 0.0), (x(log), tall), "grid")
    step = 5 if (top - bottom) <= 50 else 10
    for value in range(bottom, top + 1, step):
        draft.line(Layer.HATCH, (0.0, y(value)), (wide, y(value)), "grid")
        place = (-1.5, y(value))
        draft.text(Text(place, f"{value}", across="right", upright="middle"))
    draft.rectangle(Layer.OUTLINE, (0.0, 0.0, wide, tall), part="grid")
    for layer, curve in zip(_STYLES, curves, strict=False):
        points = [(x(log), y(value)) for log, value in zip(logs, curve.values, strict=True)]
        draft.polyline(layer, points, curve.name.replace(" ", "-"))
        if layer is _STYLES[0]:
            for point in points:
                draft.circle(Layer.OUTLINE, point, 0.8)
    _frequency_labels(draft, frequencies, [x(log) for log in logs])
    draft.text(Text((wide / 2, -6.5), sheet.word("frequency, Hz"), across="middle", upright="top"))
    words = sheet.word("sound reduction, dB")
    draft.text(Text((-11.0, tall / 2), words, across="middle", upright="bottom", turn=90))
    keys = [(layer, curve.name) for layer, curve in zip(_STYLES, curves, strict=False)]
    return draft.close(key, title, keys=keys, notes=notes, to_scale=False)


def _check(frequencies: Sequence[float], curves: Sequence[Curve]) -> None:
    rising = all(a < b for a, b in pairwise(frequencies))
    if len(frequencies) < 2 or not rising or frequencies[0] <= 0:
        raise ValueError("frequencies: two or more rising frequencies above 0 Hz are needed")
    if not 1 <= len(curves) <= len(_STYLES):
        raise ValueError(f"curves: {len(curves)} given; 1 to {len(_STYLES)} can be told apart")
    for curve in curves:
        if len(curve.values) != len(frequencies) or not all(map(math.isfinite, curve.values)):
            raise ValueError(f"curve {curve.name!r}: needs one finite value for each frequency")


def _frequency_labels(draft: Draft, frequencies: Sequence[float], at: Sequence[float]) -> None:
    """A label under each band that there is room for."""
    end = -math.inf
    for frequency, place in zip(frequencies, at, strict=True):
        text = f"{frequency:g}"
        half = width(text, TEXT_HEIGHT) / 2
        if place - half > end + 1.5:
            draft.text(Text((place, -1.5), text, across="middle", upright="top"))
            end = place + half
