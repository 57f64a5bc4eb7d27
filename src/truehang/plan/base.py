"""May the base of the frame be fixed to the floor, and if not yet, what has to be found out?

A screw for timber does not hold in concrete, a masonry screw does not hold in timber, and either
may meet a heating pipe. So nothing is chosen for a floor that nobody has looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.job import Job

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class BaseQuestion:
    """One thing that stands between the base and its fixings: the key of the job file that would
    answer it, what is open, and how it is found out. `known`: the answer is there, and it bars
    fixings."""

    key: str
    what: str
    ask: str
    known: bool = False


def base_questions(job: Job) -> Iterator[BaseQuestion]:
    """What is open; nothing where the base may be fixed."""
    floor = job.floor
    if floor.heated:
        yield BaseQuestion(
            "floor.heated",
            "the floor is heated, so nothing is driven into it",
            "Ask the maker of the kit how its base is held, and the maker of the heating whether "
            "it may be bonded",
            known=True,
        )
        return
    if floor.heated is None:
        yield BaseQuestion(
            "floor.heated",
            "whether there is heating in the floor is not known, and base fixings would go into it",
            "Ask, or look with a thermal camera, before anything is driven into the floor; give "
            "floor.heated: true or false",
        )
    if floor.base == "unknown":
        yield BaseQuestion(
            "floor.base",
            "what the floor is made of is not known: a screw for timber does not hold in concrete, "
            "nor one for concrete in timber",
            "Lift the finish in a corner and look; give floor.base: concrete or timber",
        )
    if floor.base == "tiles":
        yield BaseQuestion(
            "floor.base",
            "tiles say nothing of what is under them, and base fixings go through them",
            "Find out what the tiles lie on, give floor.base: concrete or timber, and the tiles as "
            "floor.finish",
        )


def base_findings(job: Job) -> Iterator[Finding]:
    """A hold before the base is fixed for each thing that is not known."""
    for one in base_questions(job):
        if not one.known:
            mend = one.ask[0].lower() + one.ask[1:]
            yield Finding(Severity.HOLD, one.key, one.what, mend, PRACTICE)


def base_held(job: Job) -> bool:
    """True where something must be found out before the base is fixed."""
    return any(not one.known for one in base_questions(job))


def _bonded() -> Figure:
    """How a base is held on a heated floor."""
    return Figure(
        key="fixings.base.use",
        label="fixing to use: base of the frame to the floor",
        value="ADHESIVE, NO SCREW: the floor is heated. Bond packers and feet to the bare floor "
        "and to each other with an adhesive whose maker allows it on a heated floor, load the base "
        "until it has set, and heat only after that; head and back studs hold the frame "
        "meanwhile. Ask the maker of the kit whether its base may be bonded",
        unit="",
        rule="nothing is driven into a heated floor",
        inputs=("job:floor.heated",),
        source=PRACTICE,
    )


def open_base(job: Job) -> tuple[Figure, ...]:
    """What stands in the step in place of the base's screws: an open question, or how it is bonded;
    () where it may be screwed."""
    open_ = list(base_questions(job))
    if not open_:
        return ()
    if job.floor.heated:
        return (_bonded(),)
    told = "; ".join(one.what for one in open_) + ". " + ". ".join(one.ask for one in open_)
    return (
        Figure(
            key="fixings.base.use",
            label="fixing to use: base of the frame to the floor",
            value=f"OPEN QUESTION: {told}",
            unit="",
            rule="no fixing until it is known what it goes into",
            inputs=tuple(f"job:{one.key}" for one in open_),
            source=PRACTICE,
        ),
    )
