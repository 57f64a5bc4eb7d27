"""Does wind lift the head off its studs, and what must hold it down? The pull at each end, for the
engineer who settles the ties."""

from __future__ import annotations

from collections.abc import Sequence

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.structure.inputs import BearingHead
from truehang.structure.loads import Combination, LineLoads
from truehang.structure.results import PRELIMINARY, CheckedHead
from truehang.structure.strength import GRAVITY

SOURCE = f"{PRELIMINARY}; statics: uplift less the dead load that is sure"
UPLIFT_SOURCE = "common practice, no source; wind code of the place"


def tied_down(
    head: BearingHead, line: LineLoads, acting: Sequence[Combination], chosen: CheckedHead | None
) -> tuple[tuple[Figure, ...], tuple[Finding, ...]]:
    """The pull on each end of the chosen head and what is said of it; a note where a roof bears on
    the head and nobody has said whether wind lifts it. The leaf's weight counts for nothing."""
    if not line.uplift:
        roofs = [one.name for one in head.loads if one.kind == "roof" and one.uplift is None]
        return (), tuple(_unknown(name) for name in roofs)
    if chosen is None:
        return (), ()
    own = chosen.mass / chosen.length * GRAVITY
    span = head.clear_span + chosen.studs * head.stud_breadth
    pulls = [
        (max(one.uplift * line.uplift - one.dead * (line.dead + own), 0.0) * span / 2.0, one.clause)
        for one in acting
        if one.uplift
    ]
    pull, clause = max(pulls)
    figure = Figure(
        "structure.head.tie_down",
        f"Wind pulls up on each end of the cheapest head that passes ({PRELIMINARY})",
        pull,
        "N",
        f"{clause}: (uplift - dead load) x span / 2",
        ("structure.head.dead", "structure.head.clear_span", "structure.head.cheapest"),
        SOURCE,
    )
    return (figure,), ((_pulls(pull),) if pull > 0.0 else ())


def _pulls(pull: float) -> Finding:
    return Finding(
        Severity.WARN,
        "head",
        f"wind may lift the head: {pull / 1000.0:.1f} kN at each end, more than its dead load "
        f"holds ({PRELIMINARY})",
        "have the engineer say how the head and its studs are tied down to the floor",
        SOURCE,
    )


def _unknown(name: str) -> Finding:
    return Finding(
        Severity.NOTE,
        "wall.evidence.loads",
        f"{name}: wind may lift a roof, and no uplift is given, so no tie is reckoned",
        "ask the engineer how the head is tied down, or give uplift (0 where none is)",
        UPLIFT_SOURCE,
    )
