"""Can a kit be planned over its whole range? A wall that it suits is built for it, and its
narrowest and widest, lowest and highest leaf are tried in it, single and pair."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from truehang.catalogue import Catalogue
from truehang.catalogue.kits import Kit
from truehang.job import Job, JobError
from truehang.plan.join import plan

SPARE = 600.0
"""Wall beside the frame in a trial, mm."""
ARRANGEMENTS = {"single": "single-left", "pair": "pair"}


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial: what was tried, whether it fits, and why not in the plan's own words."""

    kit: str
    what: str
    fits: bool
    why: str = ""

    @property
    def told(self) -> str:
        """In one line."""
        return f"{self.what}: " + ("can be planned" if self.fits else f"NOT planned: {self.why}")


def trials(catalogue: Catalogue, kits: Iterable[str]) -> tuple[Trial, ...]:
    """Trials of these kits, at both ends of their leaves' width and height."""
    known = {kit.id: kit for kit in catalogue.kits}
    return tuple(
        _tried(catalogue, known[id], arrangement, width, height)
        for id in kits
        if id in known
        for arrangement in known[id].arrangements
        for width in _ends(known[id], "leaf_width", "standard_widths")
        for height in _ends(known[id], "leaf_height", "standard_heights")
    )


def _ends(kit: Kit, range_of: str, standard: str) -> tuple[float, ...]:
    """The ends of a range; of the standard sizes where it comes in no others."""
    sizes = getattr(kit, standard)
    if not kit.made_to_size and sizes:
        return tuple(dict.fromkeys((min(sizes), max(sizes))))
    ends = getattr(kit, range_of)
    return tuple(dict.fromkeys((ends.least, ends.most)))


def _tried(catalogue: Catalogue, kit: Kit, arrangement: str, width: float, height: float) -> Trial:
    what = f"{arrangement} with leaves {width:g} x {height:g}"
    try:
        job = Job.model_validate(_job(kit, arrangement, width, height))
    except (JobError, ValueError) as wrong:
        return Trial(kit.id, what, False, str(wrong).splitlines()[0])
    made = plan(job, catalogue)
    if made.arrangement is not None:
        return Trial(kit.id, what, True)
    why = [f"{one.what}; {one.mend}" for one in made.options.refusals[:1]]
    why += [f"{one.what}; {one.mend}" for one in made.findings if one.severity.word == "stop"]
    return Trial(kit.id, what, False, why[0] if why else "nothing fits")


def _job(kit: Kit, arrangement: str, width: float, height: float) -> dict[str, Any]:
    """A new wall that the kit suits, with room for it."""
    stud = kit.walls[0].stud if kit.walls else 90.0
    pair = arrangement == "pair"
    ends = kit.tail if pair else kit.tail + kit.lead
    opening = (2 if pair else 1) * (width - ends) + (kit.meeting_gap if pair else 0)
    passage = opening - (2 if pair else 1) * kit.standing_out
    pockets = (2 if pair else 1) * (width + kit.buffer_space + kit.back_stud)
    board = [{"material": "plasterboard", "thickness": 10}]
    run = opening + pockets + kit.closing_jamb + SPARE
    ceiling = height + kit.hanging_allowance + kit.head_depth + 300
    return {
        "truehang": 1,
        "job": {"name": "trial", "title": "trial", "issued": "2026-01-01", "invented": True},
        "wall": {
            "situation": "new-wall", "datum": "left end", "run": run, "ceiling": ceiling,
            "built": 2020, "obstacles": [], "services": [],
            "make_up": {
                "face_a": board, "face_b": board,
                "studs": {"material": "pine", "width": 45, "depth": stud, "spacing": 450},
            },
        },
        "floor": {"base": "concrete",
                  "stations": [{"x": 0, "z": 0}, {"x": run, "z": 0}]},
        "wishes": {
            "arrangement": ARRANGEMENTS[arrangement], "kit": kit.id, "clear_width": passage,
            "lining": {"face_a": board, "face_b": board},
        },
    }  # fmt: skip
