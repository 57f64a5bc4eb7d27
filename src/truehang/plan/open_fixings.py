"""Which fixings does nobody choose here? Each step that needs one says who knows it, and where it
is read."""

from __future__ import annotations

from collections.abc import Iterator

from truehang.figures import Figure
from truehang.words import word

PRACTICE = "common practice, no source"


def open_fixings(*, plates: bool, engineered: bool, under: str) -> tuple[Figure, ...]:
    """What stands where a fixing is needed and none is named. `plates`: some lie on a floor that
    nothing may be driven into, or not yet; `engineered`: the head carries load; `under`: what
    new studs end under that takes no nail, "" where all end under timber."""
    return tuple(_open_ones(plates, engineered, under))


def _open_ones(plates: bool, engineered: bool, under: str) -> Iterator[Figure]:
    if engineered:
        yield _open(
            "framing",
            "head that carries load, and the studs at its ends, to each other",
            "which nails, screws or brackets, how many and where, is on the engineer's drawing",
        )
    if under:
        yield _open(
            "framing-tops",
            f"tops of the studs under the {under}",
            f"no nail goes into the {under}: hold each top to the old jamb or the stud beside it, "
            "or with the bracket that the engineer or the building's owner allows there",
        )
    if plates:
        yield _open(
            "framing-plates-floor",
            f"{word('bottom-plate')} to the floor",
            "held as the base of the frame is, see its own step: nothing is driven into this floor "
            "until it is known what it is, and that it is not heated",
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
