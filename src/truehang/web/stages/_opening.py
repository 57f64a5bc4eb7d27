"""Where can the opening be tapped to enter a reading, and how does each reading stand?

The drawing is a sketch with a place for every reading, not true to scale: targets must stay apart
and large enough for a gloved thumb. Sketch units are CSS pixels at 360 px of screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from truehang.job import Job, TakenReading
from truehang.lengths import MM_PER_INCH, LengthStyle, format_given
from truehang.measure import Measured
from truehang.measure.advice import WEAK
from truehang.measure.results import ReadingCheck
from truehang.measure.stations import KINDS as ALONG
from truehang.measure.stations import is_loose
from truehang.reading import KINDS
from truehang.reading.kinds import Tap

State = Literal["ok", "stop", "warn", "note", "blank"]

MM_PER_FOOT = float(12 * MM_PER_INCH)
"""Shorter than this a length has no figures to spare."""
WIDE, HIGH = 344, 356
BOX = (88, 52)
OPENING = (88, 60, 256, 298)
"""Left, top, right, bottom of the opening in the sketch."""
GROUPS: dict[str, tuple[str, tuple[str, ...]]] = {
    group: (title, tuple(kind.name for kind in KINDS.values() if kind.group == group))
    for group, title in (
        ("size", "Size"),
        ("shape", "Plumb, level, bow"),
        ("place", "Along the run"),
        ("wall", "Thickness and faces"),
        ("ceiling", "Ceiling"),
    )
}
GROUP_OF = {kind: name for name, (_, kinds) in GROUPS.items() for kind in kinds}
STATIONS = frozenset(name for name, kind in KINDS.items() if kind.station and kind.group)
"""Kinds that are read at any number of places along the wall."""

QUICK: dict[LengthStyle, tuple[str, ...]] = {
    "mm": ("0", "1", "2", "3", "4", "5"),
    "feet-inches": ("0", '1/16"', '1/8"', '3/16"', '1/4"', '3/8"'),
}
"""What a plumb, a level or a bow mostly reads: each is saved by one tap that says so."""
LENGTHS: dict[LengthStyle, tuple[float, ...]] = {
    "mm": (600, 1200, 1800, 2000),
    "feet-inches": tuple(float(inches * MM_PER_INCH) for inches in (24, 48, 72, 78)),
}
"""Lengths of levels and straightedges (common practice, no source)."""

__all__ = [
    "BOX",
    "GROUPS",
    "GROUP_OF",
    "HIGH",
    "LENGTHS",
    "OPENING",
    "QUICK",
    "STATIONS",
    "WEAK",
    "WIDE",
    "WORDS",
    "State",
    "Target",
    "begins",
    "groups",
    "is_weak",
    "label",
    "onward",
    "pad",
    "states",
    "targets",
]  # fmt: skip

WORDS: dict[State, str] = {
    "ok": "agrees", "stop": "take again", "warn": "unchecked", "note": "read", "blank": "to read",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Target:
    """A place to tap. `id` is the reading's that stands there, "" where none does; `value` is in
    mm; `x`, `y` are the middle of its box in the sketch, and `along` its place on the wall."""

    kind: str
    place: str
    id: str
    value: float | None
    state: State
    takes: int = 1
    along: float | None = None
    x: int = 0
    y: int = 0

    @property
    def label(self) -> str:
        """What it is, in a few words: "bottom width"."""
        return label(self.kind, self.place)

    @property
    def pad(self) -> str:
        """The id of the form that enters it."""
        return pad(self.kind, self.place, self.id)

    @property
    def word(self) -> str:
        """How it stands, in a word."""
        return WORDS[self.state]


def label(kind: str, place: str) -> str:
    """What a reading is, in a few words: "bottom width"."""
    known = KINDS.get(kind)  # it may come out of a request
    return kind if known is None else known.shortly(place)


def pad(kind: str, place: str, id: str) -> str:
    """The id of the form that enters a reading; of a new one where `id` is empty."""
    return "pad-" + (id.replace(".", "-") or "-".join(filter(None, ("new", kind, place))))


def groups(job: Job) -> dict[str, str]:
    """The groups of readings that this job has, by name: without an old opening there is less."""
    old = job.wall.has_old
    return {
        name: title
        for name, (title, _) in GROUPS.items()
        if old or name in ("place", "wall", "ceiling")
    }


def states(job: Job, measured: Measured) -> dict[str, State]:
    """How each reading of the job stands, by its id."""
    suspects = {_base(s) for slip in measured.slips for s in slip.suspects}
    shape = measured.opening.readings if measured.opening else ()
    known = {check.id for check in shape}
    checks = (*shape, *(check for check in measured.checks if check.id not in known))
    weak = {_base(check.id) for check in checks if is_weak(check)}
    checked = {_base(check.id) for check in checks}
    found: dict[str, State] = {}
    for reading in job.measure.readings:
        name = reading.id
        found[name] = (
            "stop" if name in suspects
            else "warn" if name in weak and len(reading.again) == 0
            else "ok" if name in checked
            else "note"
        )  # fmt: skip
    return found


def is_weak(check: ReadingCheck) -> bool:
    """Whether a slip would hardly show in this reading."""
    return is_loose(check) if check.kind in ALONG else check.redundancy < WEAK


def _base(id: str) -> str:
    return id.partition("#")[0]


def targets(job: Job, measured: Measured, group: str) -> tuple[Target, ...]:
    """Every place to tap in a group: where something was read, and where something could be."""
    kinds = GROUPS[group][1]
    stand = states(job, measured)
    taken = [reading for reading in job.measure.readings if reading.kind in kinds]
    if group in ("wall", "ceiling"):
        return tuple(sorted(_stations(taken, stand), key=lambda t: (kinds.index(t.kind), t.place,
                                                                    t.along or 0.0)))  # fmt: skip
    only = kinds if job.wall.has_old else ("run",)
    found: list[Target] = []
    for kind, place, tap in _taps(only):
        here = [r for r in taken if r.kind == kind and r.place == place]
        first = here[0] if here else None
        found.append(
            Target(
                kind, place, first.id if first else "", first.value if first else None,
                stand[first.id] if first else "blank",
                len(here) + sum(len(r.again) for r in here), None, tap.x, tap.y,
            )
        )  # fmt: skip
    return tuple(found)


def _taps(kinds: Sequence[str]) -> list[tuple[str, str, Tap]]:
    """Every place of these kinds in the sketch, in the order in which they are asked for."""
    places = [(kind, each) for kind in kinds for each in KINDS[kind].places]
    taps = [(kind, each.word, each.tap) for kind, each in places if each.tap is not None]
    return sorted(taps, key=lambda tap: tap[2].turn)


def _stations(taken: Iterable[TakenReading], stand: dict[str, State]) -> Iterable[Target]:
    for reading in taken:
        yield Target(
            reading.kind, reading.place, reading.id, reading.value, stand[reading.id],
            1 + len(reading.again), reading.along,
        )  # fmt: skip


def onward(job: Job, measured: Measured, group: str, done: str, *, back: bool) -> tuple[str, str]:
    """Which form comes after the one called `done`, as (group, form): the next place of the group
    that nobody has read, then the first of a later group; "" where none is left. With `back` the
    places before it in its group come too, ere the group is left."""
    order, unread = _forms(job, measured, group)
    at = order.index(done) + 1 if done in order else 0
    here = [form for form in order[at:] if form in unread]
    here += [form for form in order[:at] if form in unread and form != done] if back else []
    if here:
        return group, here[0]
    names = list(groups(job))
    for later in names[names.index(group) + 1 :] if group in names else ():
        order, unread = _forms(job, measured, later)
        if unread:
            return later, next(form for form in order if form in unread)
    return "", ""


def _forms(job: Job, measured: Measured, group: str) -> tuple[list[str], set[str]]:
    """The forms of a group in their order, and those of places where nothing was read."""
    kinds = GROUPS[group][1]
    if group in ("wall", "ceiling"):
        places = [(kind, place) for kind in kinds for place in KINDS[kind].words]
        read = {(r.kind, r.place) for r in job.measure.readings}
        blank = {pad(kind, place, "") for kind, place in places if (kind, place) not in read}
        return [pad(kind, place, "") for kind, place in places], blank
    found = targets(job, measured, group)
    return [t.pad for t in found], {t.pad for t in found if not t.id and KINDS[t.kind].asked}


def begins(job: Job, kind: str, place: str, style: LengthStyle) -> str:
    """What a reading at a place begins with, going by one that reads about the same: the figures
    before the last two ("34" of 3460), or the feet; "" where none was read."""
    known, side = KINDS[kind], place.rpartition("-")[2]
    for reading in job.measure.readings:
        same = known.alike == "all" or (
            known.alike == "side" and reading.place.rpartition("-")[2] == side
        )
        if reading.kind == kind and same and reading.value >= MM_PER_FOOT:
            text = format_given(reading.value, style)
            if style == "mm":
                return text.partition(".")[0][:-2]
            return text.partition("'")[0] + "' "
    return ""
