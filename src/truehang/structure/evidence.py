"""What does the wall carry? Evidence in, one of three states out, and never less than is safe."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.message import messages
from truehang.structure.inputs import EngineerRecord, Evidence, OpeningUpRecord
from truehang.structure.results import PRELIMINARY, Bearing, WallState
from truehang.words import word

SOURCE = "common practice, no source; the engineer and the local code decide"
WHERE = "wall.evidence"


@dataclass(frozen=True, slots=True)
class _Signs:
    """What the evidence says, sorted: surely loaded, likely loaded, points the other way, open."""

    sure: tuple[str, ...]
    likely: tuple[str, ...]
    against: tuple[str, ...]
    unknown: tuple[str, ...]


def bearing(evidence: Evidence) -> Bearing:
    """Decide the state of the wall.

    Without a complete opening-up record the wall is at best treated as load-bearing. With one, it
    carries nothing only if no other evidence speaks for load; where they disagree the safer
    answer stands and the result says so.
    """
    signs = _read_signs(evidence)
    state, reasons, contradictions = _decide(evidence.opened_up, signs)
    contradictions += _disagreements(evidence)
    designed = is_designed(evidence.engineer)
    hold = state is not WallState.NOTHING and not designed
    return Bearing(
        state=state,
        reasons=messages(reasons),
        contradictions=messages(contradictions),
        hold=hold,
        figures=(_state_figure(state),),
        findings=tuple(_findings(evidence, state, reasons, contradictions, hold)),
    )


def _read_signs(evidence: Evidence) -> _Signs:
    trussed = evidence.roof == "trusses" and evidence.wall_over is not True
    yes_no = {True: "yes", False: "no", None: "unknown"}
    readings = (
        ("joints", yes_no[evidence.joints_over]),
        ("wall over", yes_no[evidence.wall_over]),
        ("wall under", yes_no[evidence.wall_under]),
        (
            "joists",
            "across, trussed" if evidence.joists == "across" and trussed else evidence.joists,
        ),
        ("lintels", evidence.lintels),
        ("roof", evidence.roof),
    )
    said: dict[str, list[str]] = {"sure": [], "likely": [], "against": [], "unknown": []}
    for reading in readings:
        weight, words = _MEANING[reading]
        said[weight].append(words)
    return _Signs(*(tuple(said[weight]) for weight in ("sure", "likely", "against", "unknown")))


_MEANING: dict[tuple[str, str], tuple[str, str]] = {
    ("joints", "yes"): ("sure", "joists or rafters end, lap or join over the wall"),
    ("joints", "no"): ("against", "no joists or rafters join over the wall"),
    ("joints", "unknown"): ("unknown", "whether joists join over the wall"),
    ("wall over", "yes"): ("sure", "a wall stands over this one"),
    ("wall over", "no"): ("against", "no wall stands over this one"),
    ("wall over", "unknown"): ("unknown", "whether a wall stands over this one"),
    ("wall under", "yes"): ("likely", "a wall, beam or footing stands under this one"),
    ("wall under", "no"): ("against", "no wall or beam stands under this one"),
    ("wall under", "unknown"): ("unknown", "whether a wall or beam stands under this one"),
    ("joists", "across"): ("likely", "joists or rafters run across the wall"),
    ("joists", "across, trussed"): (
        "against",
        "what runs across the wall is trusses, which commonly span from outside wall to outside "
        "wall",
    ),
    ("joists", "along"): ("against", "joists run along the wall"),
    ("joists", "none"): ("against", "there are no joists over the wall"),
    ("joists", "unknown"): ("unknown", "which way the joists run"),
    ("lintels", "heavy"): ("likely", f"other openings in the wall have heavy {word('lintel')}s"),
    ("lintels", "light"): ("against", "other openings in the wall have light heads"),
    ("lintels", "none-seen"): ("against", f"no {word('lintel')}s were seen in the wall"),
    ("lintels", "unknown"): ("unknown", "what spans the other openings"),
    ("roof", "propped"): ("sure", "props or struts of the roof stand on this wall"),
    ("roof", "rafters"): ("likely", "a rafter roof may strut down on to inside walls"),
    ("roof", "flat"): ("likely", "a flat roof may bear on inside walls"),
    ("roof", "floor-over"): ("likely", "there is a floor over"),
    ("roof", "trusses"): ("against", "the roof is trussed"),
    ("roof", "unknown"): ("unknown", "what is over the ceiling"),
}

_SPEAKS_AGAINST_RECORD = (
    _MEANING["joists", "across"][1],
    _MEANING["lintels", "heavy"][1],
)
"""Likely signs that an opening-up record of 'nothing' has to answer. The others only suggest."""


def _decide(
    record: OpeningUpRecord | None, signs: _Signs
) -> tuple[WallState, tuple[str, ...], tuple[str, ...]]:
    if record is not None and record.finding == "carries-load":
        seen = f"opened up by {record.who or 'someone not named'}: seen to carry load"
        speaks_for = (*signs.sure, *signs.likely)
        said_no = (f"recorded as carrying load, though {', '.join(signs.against)}",)
        alone = signs.against and not speaks_for
        return WallState.CARRIES, (seen, *speaks_for), _taken(said_no) if alone else ()
    complete = record is not None and not _missing(record)
    if complete and record is not None:
        answered = (*signs.sure, *(s for s in signs.likely if s in _SPEAKS_AGAINST_RECORD))
        clash = _taken(tuple(f"recorded as carrying nothing, yet {s}" for s in answered))
        if signs.sure:
            return WallState.CARRIES, signs.sure, clash
        if answered:
            return WallState.TREATED, answered, clash
        seen = f"opened up on {record.when} by {record.who}, photo {record.photo}: carries nothing"
        return WallState.NOTHING, (seen, *signs.against), ()
    if signs.sure:
        return WallState.CARRIES, (*signs.sure, *signs.likely), ()
    not_opened = (
        "the record of opening up is not complete"
        if record is not None
        else "the wall has not been opened up and recorded"
    )
    unknown = tuple(f"nobody knows yet: {what}" for what in signs.unknown)
    return WallState.TREATED, (not_opened, *signs.likely, *unknown), ()


def _taken(clashes: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{clash}; taken: it carries load" for clash in clashes)


def _disagreements(evidence: Evidence) -> tuple[str, ...]:
    """Pieces of evidence, other than the record, that can't both be so."""
    found = []
    if evidence.joints_over and evidence.joists in ("along", "none"):
        run = "run along the wall" if evidence.joists == "along" else "are absent"
        found.append(f"joists {run}, yet joists join over it; taken: they join over it")
    if evidence.wall_over and evidence.roof == "trusses":
        found.append("a trussed roof is over the ceiling, yet a wall is over; taken: the wall is")
    if evidence.joists == "none" and evidence.roof == "floor-over":
        found.append("no joists over, yet a floor is over; taken: the floor is")
    return tuple(found)


def _missing(record: OpeningUpRecord) -> tuple[str, ...]:
    named = {"who": record.who.strip(), "when": record.when, "photo": record.photo.strip()}
    return tuple(name for name, value in named.items() if not value)


def is_designed(record: EngineerRecord | None) -> bool:
    """True where an engineer's design is on record with who, when and the document."""
    return record is not None and bool(
        record.who.strip() and record.when is not None and record.document.strip()
    )


def _findings(
    evidence: Evidence,
    state: WallState,
    reasons: tuple[str, ...],
    contradictions: tuple[str, ...],
    hold: bool,
) -> list[Finding]:
    findings = [_holds(state, reasons)] if hold else []
    findings += _records(evidence)
    findings += [
        Finding(
            Severity.WARN,
            WHERE,
            f"evidence disagrees: {clash}",
            "look again and correct the evidence; the safer answer stands until you do",
            SOURCE,
        )
        for clash in contradictions
    ]
    if state is not WallState.NOTHING and not hold:
        findings.append(
            Finding(
                Severity.NOTE,
                WHERE,
                f"an engineer's design is recorded; build that, not the {PRELIMINARY}",
                "keep the document with the job; prop before any stud is cut",
                SOURCE,
            )
        )
    return findings


def _holds(state: WallState, reasons: tuple[str, ...]) -> Finding:
    """Why no stud is stripped out yet, and who or what is asked first."""
    if state is WallState.CARRIES:
        return Finding(
            Severity.HOLD,
            WHERE,
            f"the wall {state.value}: {'; '.join(reasons)}; no stud is stripped out yet",
            "get the engineer's design for the head, studs and props and record who, when and "
            "which document; prop before any stud is cut",
            SOURCE,
        )
    return Finding(
        Severity.HOLD,
        WHERE,
        f"the wall is {state.value}: {'; '.join(reasons)}; no stud is stripped out yet",
        f"open one lining at the {word('top-plate')}, look, and record who looked, when, "
        "the photo and what it carries; if it carries anything or you can't tell, "
        "ask an engineer",
        SOURCE,
    )


def _records(evidence: Evidence) -> list[Finding]:
    """What the records of opening up and of the engineer leave out."""
    findings = []
    if record := evidence.opened_up:
        findings += [
            Finding(
                Severity.WARN,
                f"{WHERE}.opened_up.{name}",
                f"the record of opening up has no {name}",
                f"write {name} into the record; without it the wall stays {WallState.TREATED}",
                SOURCE,
            )
            for name in _missing(record)
        ]
    if evidence.engineer is not None and not is_designed(evidence.engineer):
        findings.append(
            Finding(
                Severity.WARN,
                f"{WHERE}.engineer",
                "the engineer's record lacks who, when or the document",
                "write all three; the hold point stands until then",
                SOURCE,
            )
        )
    return findings


def _state_figure(state: WallState) -> Figure:
    return Figure(
        "structure.wall_state",
        "What the wall carries",
        state.value,
        "",
        "load unless opened up and recorded, and nothing speaks against the record",
        ("job:wall.evidence",),
        SOURCE,
    )
