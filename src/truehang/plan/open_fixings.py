"""Which fixings does nobody choose here? Each stands as a question in the step that needs it."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.figures import Figure
from truehang.fit import Arrangement
from truehang.job import Job
from truehang.lengths import said
from truehang.words import word

PRACTICE = "common practice, no source"
HANGS_FREE = 30.0
"""A lining that hangs lower than this under what it is screwed to wants timber behind it, mm
(common practice, no source)."""


def open_fixings(job: Job, fit: Arrangement) -> tuple[Figure, ...]:
    """The questions that stand where a fixing is needed and none is named."""
    return tuple(_questions(job, fit))


def _questions(job: Job, fit: Arrangement) -> Iterator[Figure]:
    yield _open(
        "framing",
        "new studs, plates and head to each other and to what is there",
        "nails or screws of the framing are not chosen here. Take them from the local framing code "
        "or, where the wall carries load, from the engineer",
    )
    if job.wall.situation == "new-wall":
        yield _open(
            "framing-plates",
            f"{word('bottom-plate')} to the floor, {word('top-plate')} to the ceiling",
            "anchors of the plates are not chosen here: what is under and over them was not looked "
            "at. Take them from the local framing code",
        )
    hangs = fit.heights.head_underside - fit.heights.clear_head
    if hangs > HANGS_FREE:
        yield _open(
            "lining-head",
            "what carries the lining and the head of the trim over the clear opening",
            f"they hang {said(hangs)} under the head member and nothing is behind them. Two strips "
            f"are wanted, one at each face, {said(fit.pockets[0].rib_thickness)} thick and "
            f"{said(hangs)} high, {said(fit.opening.length)} long, clear of track and leaf; they "
            "are not counted in the takeoff. Ask the maker of the kit how they are held to the "
            "head member before it is lined",
        )
    yield _open(
        "skirting-studs",
        f"{word('skirting')} away from the ribs",
        f"nails of the {word('skirting')} into studs are not chosen here. Nothing longer over a "
        "pocket than its own short nail",
    )


def _open(key: str, label: str, what: str) -> Figure:
    return Figure(
        key=f"fixings.{key}.use",
        label=f"fixing to use: {label}",
        value=f"OPEN QUESTION: {what}",
        unit="",
        rule="no fixing is chosen for it",
        inputs=(),
        source=PRACTICE,
    )
