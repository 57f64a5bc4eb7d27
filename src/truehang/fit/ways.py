"""Nothing fits: which wish, given up or made smaller, lets something be built here?

Each way is tried before it is told, so that whoever takes it finds that it works.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from truehang.findings import Change
from truehang.fit.geometry import down
from truehang.fit.model import FitRequest, Wishes
from truehang.fit.solve import Solved
from truehang.lengths import said

Enumerate = Callable[[FitRequest], Sequence[Solved]]
"""All that fits a request."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way out that was tried: in words, and as values of the job file."""

    words: str
    changes: tuple[Change, ...]


def ways_out(request: FitRequest, fitting: Enumerate) -> tuple[Way, ...]:
    """Every single wish that may be given up; where none is enough, the fewest together."""
    given = [wish for wish in _RELAXED if _relaxed(request.wishes, (wish,)) != request.wishes]
    for count in range(1, len(given) + 1):
        made = [
            way
            for some in combinations(given, count)
            if (way := _way(request, fitting, some)) is not None
        ]
        if made:
            return tuple(made)
    return ()


_RELAXED: dict[str, dict[str, object]] = {
    "clear width": {"clear_width": None},
    "clear height": {"clear_height": None},
    "soft close": {"soft_close": False},
    "kind": {"kit": None, "leaf": None, "arrangements": ()},
    "glass": {"glass": None},
}
"""The wishes of the fit room that a customer may change, by what they are about."""


def _relaxed(wishes: Wishes, about: Sequence[str]) -> Wishes:
    changes = {key: value for one in about for key, value in _RELAXED[one].items()}
    return replace(wishes, **changes)  # type: ignore[arg-type]


def _way(request: FitRequest, fitting: Enumerate, about: tuple[str, ...]) -> Way | None:
    """The way that gives up these wishes, as little of each as need be."""
    fits = fitting(replace(request, wishes=_relaxed(request.wishes, about)))
    if not fits:
        return None
    best = max(fits, key=lambda one: _likeness(one, request.wishes))
    words: list[str] = []
    changes: list[Change] = []
    wishes = request.wishes
    for text, change, more in _parts(best, about, request.step):
        words.append(text)
        changes += change
        wishes = replace(wishes, **more)  # type: ignore[arg-type]
    if not fitting(replace(request, wishes=wishes)):
        return None
    return Way(" and ".join(words), tuple(changes))


def _likeness(one: Solved, wishes: Wishes) -> tuple[float, ...]:
    """How near a frame is to what was wished for: what the customer sees first counts first."""
    return (
        min(one.widths.passage, wishes.clear_width or math.inf),
        min(one.clear_height, wishes.clear_height or math.inf),
        wishes.leaf in (None, one.leaf.id),
        wishes.kit in (None, one.kit.id),
        not wishes.arrangements or one.arrangement in wishes.arrangements,
    )


def _parts(
    best: Solved, about: tuple[str, ...], step: float
) -> Iterator[tuple[str, tuple[Change, ...], dict[str, object]]]:
    """What each wish becomes: in words, as values of the job, and as wishes of the fit room."""
    if "clear width" in about:
        width = down(best.widths.passage + 1e-6, step)
        yield (
            f"reduce the clear width to {said(width)}",
            (Change("wishes.clear_width", width),),
            {"clear_width": width},
        )
    if "clear height" in about:
        height = down(best.clear_height + 1e-6, step)
        yield (
            f"reduce the clear height to {said(height)}",
            (Change("wishes.clear_height", height),),
            {"clear_height": height},
        )
    if "soft close" in about:
        yield "do without the soft close", (Change("wishes.soft_close", "any"),), {
            "soft_close": False
        }  # fmt: skip
    if "glass" in about:
        yield "leave the glass open", (Change("wishes.leaf.glass", "any"),), {"glass": None}
    if "kind" in about:
        yield (
            f"take {best.arrangement} with kit {best.kit.id} and leaf {best.leaf.id}",
            (
                Change("wishes.arrangement", best.arrangement),
                Change("wishes.kit", best.kit.id),
                Change("wishes.leaf.construction", best.leaf.id),
            ),
            {"arrangements": (best.arrangement,), "kit": best.kit.id, "leaf": best.leaf.id},
        )
