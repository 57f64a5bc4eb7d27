"""How do the floor, the ceiling, the wall's thickness and its faces run along the wall?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.measure.results import FaceBow, Profile, Run, Thickness
from truehang.measure.screen import SOURCE
from truehang.reading import Reading, sigma_of

SAME_STATION = 1.0
"""Stations nearer than this, mm, are the same station read again."""
STEP = 15.0
"""A rise between neighbours within a metre that is worth a second look, mm."""


def _of(readings: Sequence[Reading], kind: str) -> list[Reading]:
    found = [reading for reading in readings if reading.kind == kind]
    return sorted(found, key=lambda reading: reading.at or 0.0)


def profile(readings: Sequence[Reading], kind: str) -> tuple[Profile | None, tuple[Finding, ...]]:
    """The floor's or ceiling's heights along the run, with what is odd about them.

    Repeated stations are joined by their weighted mean; whether they agree is tested with the
    others, in `stations`.
    """
    groups: list[list[Reading]] = []
    for reading in _of(readings, kind):
        near = groups and abs((groups[-1][0].at or 0.0) - (reading.at or 0.0)) <= SAME_STATION
        groups[-1].append(reading) if near else groups.append([reading])
    if not groups:
        return None, ()
    stations = tuple(_joined(group) for group in groups)
    findings = _steps(stations, kind)
    slope, sigma_slope = _slope(stations)
    points = [(x, z) for x, z, _ in stations]
    highest = max(points, key=lambda point: point[1])
    lowest = min(points, key=lambda point: point[1])
    return Profile(stations, slope, sigma_slope, highest, lowest), tuple(findings)


def _joined(group: Sequence[Reading]) -> tuple[float, float, float]:
    weights = [sigma_of(reading) ** -2 for reading in group]
    value = sum(w * r.value for w, r in zip(weights, group, strict=True)) / sum(weights)
    return group[0].at or 0.0, value, sum(weights) ** -0.5


def _steps(stations: Sequence[tuple[float, float, float]], kind: str) -> list[Finding]:
    steps = []
    for (x0, z0, _), (x1, z1, _) in pairwise(stations):
        if abs(z1 - z0) > STEP and x1 - x0 <= 1000.0:
            steps.append(
                Finding(
                    Severity.WARN,
                    f"measure.{kind}",
                    f"the {kind} steps by {said(z1 - z0, 1, plus=True)} between x {said(x0)} and "
                    f"{said(x1)}",
                    "read both stations again, and write each second reading too (again)",
                    SOURCE,
                )
            )
    return steps


def _slope(stations: Sequence[tuple[float, float, float]]) -> tuple[float, float | None]:
    """Weighted straight line's slope, mm per metre, and its standard uncertainty as read."""
    if len(stations) < 2:
        return 0.0, None
    x, z, sigma = np.array(stations).T
    weights = sigma**-2
    away = x - np.average(x, weights=weights)
    spread = float(weights @ away**2)
    return float(weights @ (away * z)) / spread * 1000.0, spread**-0.5 * 1000.0


def thickness(readings: Sequence[Reading]) -> tuple[Thickness | None, tuple[Finding, ...]]:
    """The finished wall's thickness over its stations."""
    found = _of(readings, "thickness")
    if not found:
        return None, ()
    values = [reading.value for reading in found]
    weights = [sigma_of(reading) ** -2 for reading in found]
    mean = sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)
    stations = tuple((reading.at or 0.0, reading.value) for reading in found)
    result = Thickness(stations, mean, sum(weights) ** -0.5, min(values), max(values))
    findings = []
    if result.most - result.least > 6.0:
        findings.append(
            Finding(
                Severity.WARN,
                "measure.thickness",
                f"the wall is {said(result.least, 1)} to {said(result.most, 1)} thick along "
                "the run",
                "look for a second layer of board, or plumb both faces, before linings are ordered",
                SOURCE,
            )
        )
    return result, tuple(findings)


def faces(readings: Sequence[Reading]) -> tuple[tuple[FaceBow, ...], tuple[Finding, ...]]:
    """The worst hollow or crown of each face that was read."""
    results, findings = [], []
    for face in ("A", "B"):
        found = [r for r in _of(readings, "face") if r.place == face]
        if not found:
            continue
        worst = max(found, key=lambda r: abs(r.value) / (r.over or 1.0) ** 2)
        results.append(FaceBow(face, worst.value, worst.over or 0.0, worst.at or 0.0))
        if abs(worst.value) > 0.003 * (worst.over or 0.0):
            findings.append(
                Finding(
                    Severity.WARN,
                    f"measure.{worst.id}",
                    f"face {face} is {said(worst.value, 1, plus=True)} out of straight over "
                    f"{said(worst.over or 0.0)}",
                    "pack the frame true and let the lining or the jamb take it up",
                    SOURCE,
                )
            )
    return tuple(results), (*findings, *_faces_checked(_of(readings, "face")))


APART = 3.29 * 2**0.5
"""Two readings of one place that differ by more standard uncertainties than this are not of one
thing: once in 1000 (normal distribution)."""


def _faces_checked(read: Sequence[Reading]) -> Iterator[Finding]:
    """Nothing checks how straight a face is but the same place read again: which stand alone, and
    which disagree."""
    places: dict[tuple[str, float], list[Reading]] = {}
    for one in read:
        places.setdefault((one.place, one.at or 0.0), []).append(one)
    alone = []
    for (face, at), some in places.items():
        values = [one.value for one in some]
        if len(some) == 1:
            alone.append(f"face {face} at x {said(at)} ({said(values[0], 1)})")
        elif max(values) - min(values) > APART * max(sigma_of(one) for one in some):
            yield Finding(
                Severity.WARN,
                f"measure.{some[0].id}",
                f"face {face} at x {said(at)} was read {said(min(values), 1, plus=True)} and "
                f"{said(max(values), 1, plus=True)}: one of them is wrong",
                "hold the straightedge there again, turned end for end",
                SOURCE,
            )
    if alone:
        yield Finding(
            Severity.NOTE,
            "measure.face",
            f"no reading checks {', '.join(alone)}: a slip of any size would pass unseen",
            "turn the straightedge end for end there, read again and write both readings (again): "
            "if they agree, the face is so",
            SOURCE,
        )


def plain_run(readings: Sequence[Reading]) -> Run | None:
    """The run where there is no opening to tie it to: the weighted mean of its readings."""
    found = [reading for reading in readings if reading.kind == "run"]
    if not found:
        return None
    weights = [sigma_of(reading) ** -2 for reading in found]
    mean = sum(w * r.value for w, r in zip(weights, found, strict=True)) / sum(weights)
    return Run(mean, sum(weights) ** -0.5)
