"""Requests that the fit tests share. All data here is invented."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from truehang.catalogue.kits import Kit, kits
from truehang.catalogue.leaves import LeafConstruction, leaves
from truehang.fit import FitRequest, Floor, Service, Span, WallMakeup, Wishes

KITS = kits()
LEAVES = leaves()


def _kit(name: str) -> Kit:
    return next(one for one in KITS if one.id == name)


def _leaf(name: str) -> LeafConstruction:
    return next(one for one in LEAVES if one.id == name)


@pytest.fixture(scope="session")
def kit() -> Callable[[str], Kit]:
    """Gives a shipped kit by id."""
    return _kit


@pytest.fixture(scope="session")
def leaf() -> Callable[[str], LeafConstruction]:
    """Gives a shipped leaf by id."""
    return _leaf


@pytest.fixture(scope="session")
def fill() -> Callable[..., FitRequest]:
    """Makes a request to fill an old opening."""
    return _fill


@pytest.fixture(scope="session")
def new() -> Callable[..., FitRequest]:
    """Makes a request for a new opening."""
    return _new


def _fill(**changes: object) -> FitRequest:
    """An old opening 3460 wide and 2520 high, floor falling 8 to the right."""
    given: dict[str, object] = {
        "situation": "fill",
        "space": Span(0.0, 3460.0),
        "head_limit": 2520.0,
        "wall": WallMakeup(90.0, 10.0, 10.0),
        "floor": Floor((0.0, 1200.0, 2400.0, 3460.0), (0.0, -3.0, -5.5, -8.0)),
        "services": (
            Service("double outlet", "outlet", 700.0, 300.0),
            Service("light switch", "switch", 3000.0, 1100.0, "B"),
        ),
        "wishes": Wishes(clear_width=1600.0, arrangements=("pair",)),
    }
    return FitRequest(**{**given, **changes})  # type: ignore[arg-type]


def _new(**changes: object) -> FitRequest:
    """A new opening in a 4 m run with a level floor."""
    given: dict[str, object] = {
        "situation": "new",
        "space": Span(300.0, 4300.0),
        "head_limit": 2400.0,
        "wall": WallMakeup(90.0, 10.0, 10.0),
        "wishes": Wishes(clear_width=820.0),
    }
    return FitRequest(**{**given, **changes})  # type: ignore[arg-type]
