"""Which fixings does nobody choose here? Each stands as a question in the step that needs it."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.figures import Figure
from truehang.fit import Arrangement
from truehang.job import Job
from truehang.words import word

PRACTICE = "common practice, no source"


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
