"""Does wind lift the head off its studs, and what must hold it down? The pull at each end, for the
engineer who settles the ties."""

from __future__ import annotations

from collections.abc import Sequence

from truehang.amounts import amount
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.rule import Given, Rule
from truehang.structure.inputs import BearingHead
from truehang.structure.loads import Combination, LineLoads
from truehang.structure.results import PRELIMINARY, CheckedHead
from truehang.structure.strength import GRAVITY

SOURCE = f"{PRELIMINARY}; statics: uplift less the dead load that is sure"
PULL = Rule(
    "T = most(u × U - d × (G + o), 0) × L/2",
    {
        "T": "pull on each end, N",
        "u": "the combination's factor on the wind",
        "U": "wind that lifts, along the head, kN/m = N/mm",
        "d": "the combination's factor on dead load",
        "G": "dead load along the head, kN/m = N/mm",
        "o": "the head's own weight, kN/m = N/mm",
        "L": "span with the studs under its ends",
    },
)
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
    lifting = [one for one in acting if one.uplift]
    figures = [_pull(one, line, own, span) for one in lifting]
    pulls = [figure.number for figure in figures]
    worst = pulls.index(max(pulls))
    return (figures[worst],), ((_pulls(pulls[worst]),) if pulls[worst] > 0.0 else ())


def _pull(one: Combination, line: LineLoads, own: float, span: float) -> Figure:
    return PULL.figure(
        "structure.head.tie_down",
        f"Wind pulls up on each end of the cheapest head that passes ({PRELIMINARY})",
        {
            "u": Given(one.uplift, "", ""),
            "U": Given(line.uplift, "job:wall.evidence.loads", "kN/m"),
            "d": Given(one.dead, "", ""),
            "G": Given(line.dead, "structure.head.dead", "kN/m"),
            "o": Given(own, "", "kN/m"),
            "L": Given(span, ""),
        },
        f"{SOURCE}; {one.clause}",
        unit="N",
        behind=("structure.head.cheapest", "structure.head.clear_span"),
    )


def _pulls(pull: float) -> Finding:
    return Finding(
        Severity.WARN,
        "head",
        f"wind may lift the head: {amount(pull / 1000.0, 'kN')} at each end, more than its dead "
        f"load holds ({PRELIMINARY})",
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
