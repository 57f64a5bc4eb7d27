"""Do the loads hold everything that the evidence names? A head sized for less than bears on it
would be worse than none."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from truehang.findings import Finding, Severity
from truehang.structure.evidence import SOURCE, is_designed
from truehang.structure.inputs import Evidence

WHERE = "wall.evidence.loads"
FLOORS = frozenset({"floor", "storage"})
ROOFS = frozenset({"roof", "snow"})
OVER = FLOORS | ROOFS | {"ceiling"}
_MEND = (
    "give each in wall.evidence.loads (tributary width, dead and live load), a wall over in "
    "wall.evidence.wall_load; or look again and correct the evidence"
)


@dataclass(frozen=True, slots=True)
class NamedLoads:
    """What the loads leave out: `missing` is named by the evidence and not among them, `unknown`
    is what nobody has looked at and might bear too."""

    missing: tuple[str, ...]
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def complete(self) -> bool:
        """True where a head may be sized for these loads."""
        return not self.missing and not self.unknown


def named_loads(evidence: Evidence, kinds: Collection[str]) -> NamedLoads:
    """Set the evidence against the kinds of load that are given ("wall" for a wall over)."""
    given = frozenset(kinds)
    missing, unknown = tuple(_missing(evidence, given)), tuple(_unknown(evidence, given))
    findings = [*_clashes(evidence, given)]
    if missing or unknown:
        findings.insert(0, _left_out(evidence, missing, unknown))
    elif not given:
        findings.insert(0, _nothing_given())
    return NamedLoads(missing, unknown, tuple(findings))


def _missing(evidence: Evidence, given: frozenset[str]) -> Iterator[str]:
    joined, across = evidence.joints_over is True, evidence.joists == "across"
    if evidence.roof == "floor-over":
        rests = joined or evidence.joists not in ("along", "none")
        if rests and not given & FLOORS:
            yield "the floor over"
    elif joined or (across and evidence.roof != "trusses"):
        how = "end, lap or join over the wall" if joined else "run across the wall"
        needed = ROOFS if evidence.roof == "flat" else OVER
        if not given & needed:
            yield f"the joists or rafters that {how}, with what they carry"
    if evidence.roof == "propped" and not given & ROOFS:
        yield "the roof whose props stand on this wall"
    if evidence.wall_over is True and "wall" not in given:
        yield "the wall that stands over this one"
    record = evidence.opened_up
    if record is not None and record.finding == "carries-load" and not given:
        yield "what the wall was seen to carry when it was opened up"


def _unknown(evidence: Evidence, given: frozenset[str]) -> Iterator[str]:
    """Nothing that was not looked at counts as not there, unless the loads hold it anyway."""
    if evidence.wall_over is None and "wall" not in given:
        yield "whether a wall stands over (wall.evidence.wall_over)"
    if evidence.roof == "unknown" and not (given & FLOORS and given & ROOFS):
        yield "what is over the ceiling (wall.evidence.roof)"
    if given & OVER or evidence.joints_over is True:
        return
    if evidence.joists == "unknown":
        yield "which way the joists run (wall.evidence.joists)"
    if evidence.joints_over is None and evidence.joists != "across":
        yield "whether joists or rafters join over the wall (wall.evidence.joint_over)"


def _clashes(evidence: Evidence, given: frozenset[str]) -> Iterator[Finding]:
    """Loads that the evidence speaks against: they count, and it is said."""
    if evidence.wall_over is not False:
        return
    if "wall" in given:
        yield _clash("no wall stands over this one, yet the weight of one is given")
    if evidence.roof == "floor-over" and given & ROOFS:
        yield _clash(
            "a floor is over and no wall stands over to bring a roof down here, yet a roof or "
            "snow load is given"
        )


def _clash(what: str) -> Finding:
    return Finding(
        Severity.WARN,
        WHERE,
        f"evidence and loads disagree: {what}; taken: it bears on this wall",
        "look again and correct the evidence or the loads; the heavier stands until you do",
        SOURCE,
    )


def _left_out(evidence: Evidence, missing: tuple[str, ...], unknown: tuple[str, ...]) -> Finding:
    told = []
    if missing:
        told.append(f"the evidence names {'; '.join(missing)}, and the loads leave it out")
    if unknown:
        told.append(f"nobody knows yet {'; '.join(unknown)}")
    designed = is_designed(evidence.engineer)
    return Finding(
        Severity.NOTE if designed else Severity.HOLD,
        WHERE,
        "no head, studs under it or props are sized or priced: " + ", and ".join(told),
        "price the engineer's own design" if designed else _MEND,
        SOURCE,
    )


def _nothing_given() -> Finding:
    return Finding(
        Severity.NOTE,
        WHERE,
        "nothing is given of what bears on the wall, so no head is sized for pricing",
        "give wall.evidence.loads (tributary width, dead and live load), or open the wall and look",
        SOURCE,
    )
