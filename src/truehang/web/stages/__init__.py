"""Which stages has a job's work? Each is one module here that lists itself as `STAGE`.

Nothing else in the app knows which there are: the navigation and the routes come from this list.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from truehang.lazily import listed

if TYPE_CHECKING:
    from collections.abc import Callable

    from fastapi import APIRouter

    from truehang.web.desk import Desk


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: `name` is its path under a job, `order` its place in the navigation, `title` the
    word people see. `routes` makes its pages, which are mounted at /jobs/{job}/<name>."""

    name: str
    order: int
    title: str
    routes: Callable[[Desk], APIRouter]


@cache
def stages() -> tuple[Stage, ...]:
    """Every stage whose module is here, in the order of the work."""
    found: tuple[Stage, ...] = listed(__name__, "STAGE")
    return tuple(sorted(found, key=lambda stage: stage.order))
