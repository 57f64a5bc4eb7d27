"""Which readings does a carpenter take at a wall? Each kind is one entry here.

All else asks the entry: it says where a kind is read, what it should be for a given opening, how
it is said, what sign it takes, what it is read with, what is plausible, and where its places stand
in the app's sketch of the opening (344 by 356 of its own units). A new kind is a new entry here,
and a row in `docs/job-file.md`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Literal

from truehang.reading.figure import POINTS, Bow, Distance, Equation, Linear, Plumb, Slope, Square
from truehang.reading.figure import unit as _unit

Group = Literal["size", "shape", "place", "wall", "ceiling", ""]

INSTRUMENT_SIGMA: dict[str, float] = {
    "tape": 1.5,
    "laser-distance": 1.5,
    "level": 1.0,
    "plumb": 1.0,
    "laser-line": 1.0,
    "straightedge": 0.5,
    "calliper": 0.5,
    "square": 0.5,
}
"""Standard uncertainty by instrument, mm (common practice, no source; a reading may give its own).
The level's and the plumb's are over their length, whatever that is, and the square's over its
blade."""


@dataclass(frozen=True, slots=True)
class Tap:
    """Where a place is tapped in the sketch: the middle of its box, and its turn in the group."""

    x: int
    y: int
    turn: int


@dataclass(frozen=True, slots=True)
class Place:
    """One place that a kind is read at. `word` is "" where the kind needs none; `equation` None
    where the reading says nothing of the opening."""

    word: str
    equation: Equation | None = None
    tap: Tap | None = None


@dataclass(frozen=True, slots=True)
class Tool:
    """The length that a reading is taken over: must it be given, and what is usual (mm)?"""

    says: str
    needed: bool
    usual: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of reading. Lengths mm.

    `says` is what it is, in a line; `label` and `short` are its names with {at} for its place
    ({side}: "left jamb" where that is a jamb); `where` and `takes` describe its place and its
    value, `sign` what + means ("" for a length that has none), `least` to `most` what is plausible
    (common practice, no source). `station` describes the x it is read at, `lower_end` how high a
    level's lower end stands; `ties` is what of the opening it fixes, and `advised` its turn among
    readings that would help alike (None: never advised); `asked`: the app asks for it in its turn;
    `alike`: which of its places read about the same length: all, or those of one side.
    """

    name: str
    says: str
    label: str
    short: str
    places: tuple[Place, ...]
    takes: str
    least: float
    most: float
    where: str = ""
    ask_below: float = 0.0
    sign: str = ""
    instrument: str = "tape"
    tool: Tool | None = None
    station: str = ""
    lower_end: str = ""
    group: Group = ""
    ties: Literal["shape", "run", ""] = ""
    instead: str = ""
    advised: int | None = None
    asked: bool = True
    alike: Literal["all", "side", ""] = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The places it can be read at."""
        return tuple(place.word for place in self.places)

    def equation(self, place: str) -> Equation | None:
        """What it should be at a place; None where it says nothing of the opening."""
        return next((each.equation for each in self.places if each.word == place), None)

    def named(self, place: str) -> str:
        """What a finding calls it: "width at middle"."""
        return self._with(self.label, place)

    def shortly(self, place: str) -> str:
        """What a button calls it: "middle width"."""
        return self._with(self.short, place)

    def instead_at(self, place: str) -> str:
        """What to read where it was taken on trust: "read the base level"."""
        return self._with(self.instead, place)

    def _with(self, pattern: str, place: str) -> str:
        # A place may come out of a request: it is put in as it is, and never as a pattern.
        return pattern.replace("{side}", side_name(place)).replace("{at}", place.replace("-", " "))


def side_name(side: str) -> str:
    """ "left jamb", "right jamb", "head" or "base"."""
    return f"{side} jamb" if side in ("left", "right") else side


_LENGTH = "the reading, mm"


def _sizes() -> Iterator[Kind]:
    yield Kind(
        name="width", says="A level width of the old opening between its jambs.",
        label="width at {at}", short="{at} width", group="size", ties="shape",
        where="bottom, middle or top", takes=_LENGTH, least=300, most=12000, advised=1, alike="all",
        places=(
            Place("bottom", Distance.between("bottom-left", "bottom-right"), Tap(172, 328, 3)),
            Place("middle", Distance.between("left", "right"), Tap(172, 214, 2)),
            Place("top", Distance.between("top-left", "top-right"), Tap(172, 28, 1)),
        ),
    )  # fmt: skip
    yield Kind(
        name="height", says="A plumb height of the old opening from base to head.",
        label="height at {at}", short="{at} height", group="size", ties="shape",
        where="left, middle or right", takes=_LENGTH, least=300, most=6000, advised=2, alike="all",
        places=(
            Place("left", Distance.between("bottom-left", "top-left"), Tap(44, 214, 4)),
            Place("middle", Distance.between("base", "head"), Tap(172, 100, 5)),
            Place("right", Distance.between("bottom-right", "top-right"), Tap(300, 214, 6)),
        ),
    )  # fmt: skip
    yield Kind(
        name="diagonal", says="A diagonal of the old opening.",
        label="{at} diagonal", short="{at} diagonal", group="size", ties="shape",
        where="rising (bottom left to top right) or falling (top left to bottom right)",
        takes=_LENGTH, least=400, most=14000, advised=0, alike="all",
        places=(
            Place("rising", Distance.between("bottom-left", "top-right"), Tap(218, 157, 8)),
            Place("falling", Distance.between("bottom-right", "top-left"), Tap(126, 157, 7)),
        ),
    )  # fmt: skip


def _shapes() -> Iterator[Kind]:
    yield Kind(
        name="plumb", says="How far a jamb leans over a stated level length.",
        label="plumb of {at} jamb", short="{at} plumb", group="shape", ties="shape",
        where="left or right jamb", sign="+ top leans right", instrument="level",
        takes="mm; + when the top leans to the right, seen from side A", least=-150, most=150,
        tool=Tool("length of the level it was read over, mm: 2000", needed=True, usual=1200),
        lower_end="level's lower end above the base, mm",
        instead="read the plumb of the {at} jamb", advised=3,
        places=(
            Place("left", Plumb("left"), Tap(44, 120, 1)),
            Place("right", Plumb("right"), Tap(300, 120, 2)),
        ),
    )  # fmt: skip
    yield Kind(
        name="level", group="shape", ties="shape", label="{at} level", short="{at} level",
        says="How far the head or the base of the opening is off level, end to end or over a "
        "length.",
        where="base or head", sign="+ right end higher", instrument="level",
        takes="mm; + when the right end is the higher, seen from side A", least=-200, most=200,
        tool=Tool("length it was read over, mm; absent = jamb to jamb", needed=False, usual=2000),
        instead="read the {at} level", advised=4,
        places=(
            Place("base", Slope("base"), Tap(172, 328, 8)),
            Place("head", Slope("head"), Tap(172, 28, 5)),
        ),
    )  # fmt: skip
    yield Kind(
        name="bow", group="shape", ties="shape", label="bow of {side}", short="{at} bow",
        says="How far the middle of a jamb, the head or the base stands into the opening.",
        where="left, right, head or base", sign="+ stands into the opening",
        instrument="straightedge", takes="mm; + when the middle stands into the opening",
        least=-100, most=100,
        tool=Tool(
            "length of the straightedge, mm; absent = string, end to end", needed=False, usual=2000
        ),
        instead="read the bow of the {side} from a string", advised=5,
        places=(
            Place("left", Bow("left"), Tap(44, 220, 3)),
            Place("right", Bow("right"), Tap(300, 220, 4)),
            Place("head", Bow("head"), Tap(172, 92, 6)),
            Place("base", Bow("base"), Tap(172, 266, 7)),
        ),
    )  # fmt: skip
    yield Kind(
        name="square", group="shape", ties="shape", label="square of {at} corner",
        short="{at} square", asked=False,
        says="How far a jamb is off a square that is held to the base or the head in a corner.",
        where="which corner: bottom-left", sign="+ corner open, - closed", instrument="square",
        takes="mm at the end of the blade; + when the corner is more than a right angle",
        least=-50, most=50,
        tool=Tool("length of the square's blade along the jamb, mm: 600", needed=True, usual=600),
        places=(
            Place("bottom-left", Square("bottom-left"), Tap(44, 278, 11)),
            Place("bottom-right", Square("bottom-right"), Tap(300, 278, 12)),
            Place("top-left", Square("top-left"), Tap(44, 62, 9)),
            Place("top-right", Square("top-right"), Tap(300, 62, 10)),
        ),
    )  # fmt: skip


def _along() -> Iterator[Kind]:
    yield Kind(
        name="mark", says="The running mark of a corner of the old opening, read from the datum.",
        label="running mark {at}", short="{at}", group="place", ties="run",
        where="which corner: bottom-left", takes="the reading, mm from the datum",
        least=-1000, most=30000, ask_below=20, advised=7, alike="side",
        places=(
            Place("bottom-left", Linear(POINTS["bottom-left"][0]), Tap(44, 270, 3)),
            Place("bottom-right", Linear(POINTS["bottom-right"][0]), Tap(300, 270, 4)),
            Place("top-left", Linear(POINTS["top-left"][0]), Tap(44, 60, 1)),
            Place("top-right", Linear(POINTS["top-right"][0]), Tap(300, 60, 2)),
        ),
    )  # fmt: skip
    yield Kind(
        name="clear", label="clear run {at}", short="{at} clear", group="place", ties="run",
        says="The run left clear beside the old opening: bottom corner to that end of the run.",
        where="left or right", takes=_LENGTH, least=0, most=30000, ask_below=20, advised=6,
        places=(
            Place("left", Linear(POINTS["bottom-left"][0]), Tap(44, 165, 5)),
            Place(
                "right", Linear(_unit("run") - POINTS["bottom-right"][0]), Tap(300, 165, 6)
            ),
        ),
    )  # fmt: skip
    yield Kind(
        name="run", says="The whole length of the wall run, end to end.",
        label="run", short="whole run", group="place", ties="run",
        takes=_LENGTH, least=500, most=30000, advised=8,
        places=(Place("", Linear(_unit("run")), Tap(172, 328, 7)),),
    )  # fmt: skip


def _stations() -> Iterator[Kind]:
    yield Kind(
        name="floor", says="The floor at one place along the run.", label="floor", short="floor",
        takes="mm above (+) or below (-) the level datum", least=-200, most=200,
        sign="+ above the level datum", instrument="laser-line", places=(Place(""),),
        station="where along the wall, mm from the datum",
    )  # fmt: skip
    yield Kind(
        name="ceiling", label="ceiling", short="ceiling", group="ceiling",
        says="The ceiling at one place along the run, above the level datum.",
        takes=_LENGTH, least=1500, most=8000, instrument="laser-distance", places=(Place(""),),
        alike="all",
        station="where along the wall, mm from the datum",
    )  # fmt: skip
    yield Kind(
        name="thickness", says="The thickness of the finished wall at one place.",
        label="thickness", short="thickness", group="wall",
        takes=_LENGTH, least=40, most=700, instrument="calliper", places=(Place(""),),
        station="where along the wall, mm from the datum",
    )  # fmt: skip
    yield Kind(
        name="face", label="face at {at}", short="face {at}", group="wall",
        says="How far a wall face is hollow or proud over a straightedge held along it.",
        where="A or B", sign="+ proud, - hollow", instrument="straightedge",
        takes="mm; + proud (crown), - hollow", least=-50, most=50,
        tool=Tool("length of the straightedge, mm: 2000", needed=True, usual=2000),
        station="middle of the straightedge, mm from the datum",
        places=(Place("A"), Place("B")),
    )  # fmt: skip


KINDS: dict[str, Kind] = {
    kind.name: kind for kind in chain(_sizes(), _shapes(), _along(), _stations())
}
"""Every kind of reading by name."""
PLACES: dict[str, tuple[str, ...]] = {name: kind.words for name, kind in KINDS.items()}
"""The places each kind of reading can be taken at. "" means that the kind needs no place."""
