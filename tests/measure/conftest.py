"""An invented opening and its readings without noise, by school geometry, for the tests here."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import pytest

from truehang.measure import Reading

Corners = Mapping[str, tuple[float, float]]

OPENING: Corners = {
    "bl": (640.0, -2.0),
    "br": (4100.0, -9.0),
    "tr": (4103.0, 2511.0),
    "tl": (642.0, 2518.0),
}


def lean(corners: Corners, foot: str, top: str, over: float) -> float:
    (x0, z0), (x1, z1) = corners[foot], corners[top]
    return (x1 - x0) * over / (z1 - z0)


RULES: dict[tuple[str, str], Callable[[Corners], float]] = {
    ("width", "bottom"): lambda c: math.dist(c["bl"], c["br"]),
    ("width", "top"): lambda c: math.dist(c["tl"], c["tr"]),
    ("height", "left"): lambda c: math.dist(c["bl"], c["tl"]),
    ("height", "right"): lambda c: math.dist(c["br"], c["tr"]),
    ("diagonal", "rising"): lambda c: math.dist(c["bl"], c["tr"]),
    ("diagonal", "falling"): lambda c: math.dist(c["br"], c["tl"]),
    ("plumb", "left"): lambda c: lean(c, "bl", "tl", 2000.0),
    ("plumb", "right"): lambda c: lean(c, "br", "tr", 2000.0),
    ("level", "base"): lambda c: c["br"][1] - c["bl"][1],
    ("level", "head"): lambda c: c["tr"][1] - c["tl"][1],
    ("mark", "bottom-left"): lambda c: c["bl"][0],
    ("mark", "bottom-right"): lambda c: c["br"][0],
    ("clear", "right"): lambda c: 5900.0 - c["br"][0],
    ("run", ""): lambda c: 5900.0,
}


def take(corners: Corners = OPENING, *, floor: bool = True, **slips: float) -> list[Reading]:
    """Every reading of RULES without noise; `slips` by id ("diagonal_rising"=10)."""
    readings = []
    for (kind, place), rule in RULES.items():
        name = "-".join(part for part in (kind, place) if part)
        value = rule(corners) + slips.get(name.replace("-", "_"), 0.0)
        over = 2000.0 if kind == "plumb" else None
        readings.append(Reading(name, kind, value, place, over=over))
    if floor:
        for place in ("bl", "br"):
            x, z = corners[place]
            readings.append(Reading(f"floor-{place}", "floor", z, at=x))
    return readings


@pytest.fixture(scope="session")
def corners() -> Corners:
    """The invented opening: bl, br, tr, tl as (x, z)."""
    return OPENING


@pytest.fixture(scope="session", name="take")
def take_fixture() -> Callable[..., list[Reading]]:
    """Reads any opening: take(corners, floor=True, diagonal_rising=10)."""
    return take
