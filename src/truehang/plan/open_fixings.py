"""Which fixings does nobody choose here? Each step that needs one says who knows it, and where it
is read."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.figures import Figure
from truehang.job import Job
from truehang.words import word

PRACTICE = "common practice, no source"


def open_fixings(job: Job, *, plates: bool) -> tuple[Figure, ...]:
    """What stands where a fixing is needed and none is named. `plates`: some lie on a floor that
    nothing may be driven into, or not yet."""
    return tuple(_open_ones(job, plates))


def _open_ones(job: Job, plates: bool) -> Iterator[Figure]:
    yield _open(
        "framing",
        "new studs, plates and head to each other and to what is there",
        "which nails or screws, how many and where, is read in the nailing table of the local "
        "framing code or, where the wall carries load, on the engineer's drawing",
    )
    if job.wall.situation == "new-wall":
        yield _open(
            "framing-plates",
            f"{word('top-plate')} to the ceiling",
            "what is over the plate was not looked at. Look, then read the anchors in the local "
            "framing code",
        )
    if plates:
        yield _open(
            "framing-plates-floor",
            f"{word('bottom-plate')} to the floor",
            "held as the base of the frame is, see its own step: nothing is driven into this floor "
            "until it is known what it is, and that it is not heated",
        )
    yield _open(
        "skirting-studs",
        f"{word('skirting')} away from the ribs",
        "the carpenter's own choice, into studs past the back of a pocket. Nothing longer over a "
        "pocket than its own short nail",
    )


def _open(key: str, label: str, what: str) -> Figure:
    return Figure(
        key=f"fixings.{key}.use",
        label=f"fixing to use: {label}",
        value=what,
        unit="",
        rule="no fixing is chosen for it: the step says who knows",
        inputs=(),
        source=PRACTICE,
    )
