"""What does the user know about the job? Every section of a job file, as frozen models.

Lengths are mm, positions are x along the wall from the job's one datum mark (to the right, seen
from side A) and z up from the level datum; loads are kPa, masses kg, sound levels dB.
"""

from __future__ import annotations

from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, create_model

from truehang.job.fields import (
    Along,
    Amount,
    AreaLoad,
    Cover,
    Day,
    Extent,
    FaceWidth,
    Force,
    Hand,
    Hung,
    Id,
    Inertia,
    Line,
    LineLoad,
    Mass,
    Millimetres,
    Note,
    Number,
    Offset,
    Piece,
    Reach,
    RunLength,
    Section,
    SheetMass,
    Sigma,
    Spacing,
    Span,
    Surface,
    Tall,
    Temperature,
    Thin,
    Tool,
    Up,
    Volume,
    Whole,
)
from truehang.job.programme import ProgrammeWish
from truehang.lengths import LengthStyle
from truehang.reading import INSTRUMENT_SIGMA, KINDS, Kind, Reading

Face = Literal["A", "B"]
Side = Literal["left", "right"]

# ---------------------------------------------------------------- about the job


class About(Section):
    """Which job this is. No customer, address or other personal data belongs here."""

    name: Id = Field(description="short name of the job, used in file names: fernhollow")
    title: Line = Field(description="one line that says what the job is")
    issued: Day = Field(description="date printed on every document: 2026-03-02")
    revision: Whole = Field(
        default=1, ge=1, le=9999, description="counts up with every change that is issued"
    )
    region: Id = Field(default="au", description="region profile, one of those in docs/regions.md")
    print: LengthStyle | None = Field(
        default=None, description="how lengths are printed: mm or feet-inches (region's if absent)"
    )
    seed: Whole = Field(
        default=1, ge=0, le=2**31 - 1, description="seed of every simulation in this job"
    )
    project: Id | None = Field(
        default=None, description="short name shared by jobs that are ordered and cut together"
    )
    invented: bool = Field(default=False, description="true when the data are made up")
    note: Note = Field(default="", description="anything the crew should read first")


# ---------------------------------------------------------------- the wall


class Layer(Section):
    """One layer of a wall face, listed from the room inwards to the studs."""

    material: Id = Field(description="material from the catalogue: plasterboard")
    thickness: Thin = Field(description="thickness of the layer, mm: 10")


class OwnMaterial(Section):
    """A material that the catalogue does not have, as somebody measured and weighed it."""

    id: Id = Field(description="short name, used in layers: cane-board")
    name: Line = Field(description="what it is, as it is said: cane fibre board")
    thickness: Thin = Field(description="its thickness, mm: 12")
    mass: SheetMass = Field(
        gt=0, le=700, description="mass of a square metre, kg: weigh an offcut: 4.5"
    )
    holds: Literal["wood", "board", "plaster", "masonry", "nothing"] = Field(
        description="what holds a screw: wood (it does), board (what is behind it), plaster (what "
        "is behind it, and a hammer loosens it), masonry (plugs only) or nothing (can't be driven "
        "through)"
    )
    keys: bool = Field(
        default=False, description="do plaster keys of it stand into the wall behind it?"
    )
    wave_speed: Number | None = Field(
        default=None,
        ge=100,
        le=6500,
        description="speed of long waves in the plate, m/s, where somebody measured it",
    )
    note: Note = Field(default="", description="where the figures come from")


class Studs(Section):
    """The studs between the faces."""

    material: Id = Field(default="pine", description="what the studs are made of: pine")
    width: FaceWidth = Field(description="side of the stud seen on the face, mm: 45")
    depth: FaceWidth = Field(description="side of the stud through the wall, mm: 90")
    spacing: Spacing = Field(description="centres of the studs, mm: 450")
    grade: Line | None = Field(default=None, description="strength grade where known: MGP10")


class MakeUp(Section):
    """What the wall is made of, from face A to face B."""

    face_a: tuple[Layer, ...] = Field(
        min_length=1, description="layers of face A, from the room inwards"
    )
    studs: Studs = Field(description="the studs between the faces")
    face_b: tuple[Layer, ...] = Field(
        min_length=1, description="layers of face B, from the room inwards"
    )
    fill: Layer | None = Field(default=None, description="insulation between the studs, if any")


ServiceKind = Literal[
    "outlet",
    "double-outlet",
    "switch",
    "light",
    "thermostat",
    "data",
    "cable",
    "water",
    "waste",
    "gas",
    "heating",
    "duct",
    "other",
]


class Service(Section):
    """A service on or in the wall."""

    id: Id = Field(description="short name: outlet-1")
    kind: ServiceKind = Field(description="what it is: double-outlet")
    x: Along = Field(description="centre along the wall from the datum, mm")
    z: Up = Field(description="centre above the level datum, mm")
    face: Literal["A", "B", "inside"] = Field(description="the face it shows on, or inside")
    width: Extent = Field(default=80.0, description="its width along the wall, mm")
    height: Extent = Field(default=120.0, description="its height up the wall, mm")
    runs: Literal["up", "down", "left", "right", "none", "unknown"] = Field(
        default="unknown", description="which way its cable or pipe goes inside the wall"
    )
    stays: bool | None = Field(
        default=None,
        description="must it stay where it is? Then no pocket goes there; absent = it may be moved",
    )
    note: Note = Field(default="", description="what was seen")


class Obstacle(Section):
    """Something a frame, a pocket or its lining can't pass: a window, a return wall, a cupboard."""

    id: Id = Field(description="short name: return-wall")
    kind: Literal[
        "return-wall", "window", "door", "cupboard", "beam", "column", "heater", "stair", "other"
    ] = Field(description="what it is")
    from_x: Along = Field(description="its left edge along the wall, mm")
    to_x: Along = Field(description="its right edge along the wall, mm")
    from_z: Up = Field(default=0.0, description="its lower edge, mm")
    to_z: Up = Field(default=8000.0, description="its upper edge, mm")
    face: Literal["A", "B", "both"] = Field(default="both", description="the face it stands on")
    note: Note = Field(default="", description="what was seen")


class OpenedUp(Section):
    """The record made when one lining was opened and the framing was looked at."""

    who: Line = Field(description="the role of the person who looked: builder, engineer")
    when: Day = Field(description="the day: 2026-03-02")
    photo: Line = Field(description="name of the photo that shows it")
    finding: Literal["carries-nothing", "carries-load"] = Field(
        description="what was found: carries-nothing or carries-load"
    )
    note: Note = Field(default="", description="what was seen")


class EngineerRecord(Section):
    """The engineer's own design for the head, where there is one."""

    who: Line = Field(description="the role and practice number, no personal data")
    when: Day = Field(description="date of the document: 2026-03-02")
    document: Line = Field(description="number of the document or drawing")


class Load(Section):
    """A floor or roof that bears on the wall over the opening, as far as it is known."""

    id: Id = Field(description="short name: upper-floor")
    kind: Literal["floor", "storage", "ceiling", "roof", "snow"] = Field(
        description="what kind of load"
    )
    tributary: Reach = Field(description="width of it that this wall carries, mm: 1800")
    dead: AreaLoad = Field(ge=0, le=20, description="permanent load, kPa: 0.5")
    live: AreaLoad = Field(ge=0, le=20, description="imposed load, kPa: 1.5")
    uplift: AreaLoad | None = Field(
        default=None, ge=0, le=20,
        description="wind that lifts it, kPa, from the engineer: 0 for none; absent = unknown",
    )  # fmt: skip
    note: Note = Field(default="", description="where the figures come from")


class Evidence(Section):
    """What is known about what the wall carries. Anything unknown counts as load-bearing."""

    joists: Literal["along", "across", "unknown"] = Field(
        default="unknown", description="joists or rafters over: along the wall or across it"
    )
    joint_over: bool | None = Field(
        default=None, description="do joists or rafters end or join over the wall? absent = unknown"
    )
    wall_over: bool | None = Field(
        default=None, description="does a wall stand over this one? absent = unknown"
    )
    wall_under: bool | None = Field(
        default=None, description="is there a wall or beam under this one? absent = unknown"
    )
    roof: Literal["trussed", "propped", "cut", "none-above", "unknown"] = Field(
        default="unknown",
        description="trussed, propped (props stand on this wall), cut (rafters), none-above (a "
        "floor is over it) or unknown",
    )
    lintel: bool | None = Field(
        default=None, description="has an opening in this wall a lintel? absent = unknown"
    )
    loads: tuple[Load, ...] = Field(
        default=(), description="floors and roofs that bear on it, for preliminary sizing"
    )
    wall_load: LineLoad = Field(
        default=0.0, ge=0, le=100, description="weight of a wall standing on it, kN/m: 2.5"
    )
    opened_up: OpenedUp | None = Field(
        default=None, description="the record made when the wall was opened"
    )
    engineer: EngineerRecord | None = Field(
        default=None, description="the engineer's design, if there is one"
    )
    note: Note = Field(default="", description="what else was seen")


class UndersideReading(Section):
    """The underside of what is over the opening at one place along the run."""

    x: Along = Field(description="where along the wall, mm from the datum")
    z: Tall = Field(description="its underside above the level datum, mm")


class Capacity(Section):
    """What an engineer says may be hung from what is over the opening."""

    load: Hung = Field(
        gt=0,
        le=1000,
        description="what may be hung from it in all, spread along it, beside what it carries "
        "already, kN: 3.5",
    )
    who: Line = Field(description="the role and practice number, no personal data")
    document: Line = Field(description="number of the document or drawing")


class Over(Section):
    """What is over the opening already, that the track might hang from."""

    kind: Literal["head", "lintel", "beam", "steel", "nothing", "unknown"] = Field(
        default="unknown",
        description="head (light timber), lintel, beam, steel, nothing (open to the ceiling) or "
        "unknown",
    )
    underside: tuple[UndersideReading, ...] = Field(
        default=(), description="its underside along the run, so that a sag shows"
    )
    depth: FaceWidth | None = Field(default=None, description="its height, mm: 190")
    breadth: FaceWidth | None = Field(
        default=None, description="its whole thickness through the wall, mm: 90"
    )
    grade: Line | None = Field(
        default=None, description="strength grade where it is timber and marked: MGP10"
    )
    inertia: Inertia | None = Field(
        default=None,
        gt=0,
        le=1_000_000,
        description="of steel, the second moment of area on its strong axis, cm4: 1320",
    )
    capacity: Capacity | None = Field(
        default=None, description="what may be hung from it, where an engineer gave it"
    )
    note: Note = Field(default="", description="what was seen, and who looked")


class OldOpening(Section):
    """The old opening that a pocket goes in beside: what its readings were taken between."""

    read: Literal["studs", "linings"] | None = Field(
        default=None,
        description="what the readings were taken between: studs (its linings were off) or "
        "linings; absent = unknown, taken as studs",
    )
    lining: Thin | None = Field(
        default=None, description="thickness of its jamb linings, mm; absent = the usual 20"
    )
    note: Note = Field(default="", description="how the door hangs, what was seen")


_SURE = "true when it was seen or drilled for, not only knocked for or detected"


class FoundStud(Section):
    """A stud that was found in the wall."""

    id: Id = Field(description="short name, written on the wall: s3")
    x: Along = Field(description="its middle along the wall from the datum, mm")
    width: FaceWidth | None = Field(
        default=None, description="side seen on the face, mm; absent = that of the make-up"
    )
    sure: bool = Field(default=False, description=_SURE)
    from_z: Up | None = Field(default=None, description="its foot, mm; absent = on the floor")
    to_z: Up | None = Field(
        default=None, description="its top, mm; absent = the plate under the ceiling"
    )
    stays: bool = Field(
        default=False, description="true when it may not come out: a post, a tie-down"
    )
    note: Note = Field(default="", description="what was seen")


class FoundNog(Section):
    """A short piece between two studs that was found in the wall."""

    id: Id = Field(description="short name: n1")
    from_x: Along = Field(description="its left end along the wall, mm")
    to_x: Along = Field(description="its right end along the wall, mm")
    z: Up = Field(description="its middle above the level datum, mm")
    depth: FaceWidth | None = Field(
        default=None, description="its height, mm; absent = the width of a stud"
    )
    sure: bool = Field(default=False, description=_SURE)
    note: Note = Field(default="", description="what was seen")


class FoundPlate(Section):
    """A plate of the wall whose depth was read: of two on each other, both together."""

    at: Literal["top", "bottom"] = Field(description="under the ceiling, or on the floor")
    depth: FaceWidth = Field(description="its depth, mm: 45, or 90 for two")


class FoundFraming(Section):
    """The framing that stands in the wall already, as it was found."""

    studs: tuple[FoundStud, ...] | None = Field(
        default=None,
        description="studs, found from end to end of what is opened; [] for none, after a look; "
        "absent = nobody looked",
    )
    nogs: tuple[FoundNog, ...] = Field(default=(), description="short pieces between studs")
    plates: tuple[FoundPlate, ...] = Field(default=(), description="plates whose depth was read")
    how: Note = Field(
        default="", description="how it was found: knocking, detector, pilot holes, opened up"
    )


class Wall(Section):
    """The wall run, its make-up, what is in it, and what it carries."""

    situation: Literal["fill-opening", "beside-opening", "new-opening", "new-wall"] = Field(
        description="fill-opening (an old opening gets the door), beside-opening (a pocket beside "
        "an old opening, where a hinged door comes out), new-opening or new-wall"
    )
    datum: Line = Field(description="where x = 0 is marked: left end of the run, at the corner")
    run: RunLength = Field(description="length of the wall run from the datum to its other end, mm")
    ceiling: Tall = Field(description="lowest ceiling over the run, above the level datum, mm")
    make_up: MakeUp = Field(description="what the wall is made of")
    built: Whole | None = Field(
        default=None, ge=1500, le=2100, description="year it was built, if known: 1986"
    )
    services: tuple[Service, ...] = Field(default=(), description="outlets, switches, pipes...")
    obstacles: tuple[Obstacle, ...] | None = Field(
        default=None,
        description="windows, doors, corners, what else stands in the way; [] for none, after a "
        "look; absent = nobody looked",
    )
    fire_rated: bool | None = Field(
        default=None, description="is the wall fire-rated? absent = unknown"
    )
    acoustic_rated: bool | None = Field(
        default=None, description="must the wall keep an acoustic rating? absent = unknown"
    )
    escape_route: bool | None = Field(
        default=None, description="does an escape route pass here? absent = unknown"
    )
    stays: Literal["none", "A", "B", "both"] | None = Field(
        default=None,
        description="the face that is not touched: none, A or B; absent = nobody said. Both can't "
        "stay where a wall is cut",
    )
    over: Over = Field(default=Over(), description="what is over the opening already")
    old: OldOpening = Field(
        default=OldOpening(), description="the old opening, where a pocket goes in beside it"
    )
    framing: FoundFraming = Field(
        default=FoundFraming(), description="the framing found in the wall"
    )
    evidence: Evidence = Field(default=Evidence(), description="what the wall carries")
    note: Note = Field(default="", description="what else was seen")

    @property
    def has_old(self) -> bool:
        """Is there an old opening to be read?"""
        return self.situation in ("fill-opening", "beside-opening")

    @property
    def is_cut(self) -> bool:
        """Is a wall that stands cut for a rough opening: studs out, a head of its own in?"""
        return self.situation in ("new-opening", "beside-opening")


# ---------------------------------------------------------------- readings


class Instrument(Section):
    """A measuring instrument and its standard uncertainty (one sigma)."""

    sigma: Sigma = Field(description="standard uncertainty of one reading, mm: 1.5")
    note: Note = Field(default="", description="what it is, when it was last compared")


USUAL_INSTRUMENTS: tuple[str, ...] = tuple(INSTRUMENT_SIGMA)
"""Instruments that need no entry in the job file: their usual uncertainty is known."""


class TakenReading(Section):
    """One reading in the job file; what more its kind has is in `READINGS`."""

    id: Id = Field(description="short name, used in every finding: width-mid")
    instrument: Id = Field(
        default="tape", description="instrument it was taken with, where not the usual one: tape"
    )
    sigma: Sigma | None = Field(
        default=None, description="standard uncertainty of this one reading, mm, if not the usual"
    )
    note: Note = Field(default="", description="how it was taken")
    if TYPE_CHECKING:
        kind: str
        value: float
        again: tuple[float, ...]

    @property
    def place(self) -> str:
        """The word for its place; "" where its kind has none."""
        return str(getattr(self, "at", getattr(self, "face", "")))

    @property
    def along(self) -> float | None:
        """Where along the run it was read, or how high the level's lower end stood, mm."""
        return getattr(self, "x", getattr(self, "lower_end", None))


def _model(kind: Kind) -> type[TakenReading]:
    """The section of the job file that holds one reading of a kind."""
    value = Annotated[float, Millimetres(kind.least, kind.most, ask_below=kind.ask_below)]
    fields: dict[str, Any] = {"kind": (Literal[kind.name], ...)}
    if kind.words != ("",):
        key = "face" if kind.name == "face" else "at"
        fields[key] = (Literal[kind.words], Field(description=kind.where))
    if kind.station:
        fields["x"] = (Along, Field(description=kind.station))
    fields["value"] = (value, Field(description=kind.takes))
    again = Field(default=(), description="the same reading taken again, mm")
    fields["again"] = (tuple[value, ...], again)
    if kind.tool is not None:
        fields["over"] = (
            (Tool, Field(description=kind.tool.says))
            if kind.tool.needed
            else (Tool | None, Field(default=None, description=kind.tool.says))
        )
    if kind.lower_end:
        fields["lower_end"] = (Reach, Field(default=0.0, description=kind.lower_end))
    if kind.instrument != "tape":
        usual = TakenReading.model_fields["instrument"].description
        fields["instrument"] = (Id, Field(default=kind.instrument, description=usual))
    name = f"{kind.name.title()}Reading"
    return create_model(
        name, __base__=TakenReading, __doc__=kind.says, __module__=__name__, **fields
    )


READINGS = {name: _model(kind) for name, kind in KINDS.items() if name != "floor"}
"""The model of each kind of reading; the floor's stations have a section of their own."""
# By name in this module too: a plan goes from one process to another, and is found by it there.
globals().update({model.__name__: model for model in READINGS.values()})
if TYPE_CHECKING:
    AnyReading = TakenReading
else:
    AnyReading = Annotated[reduce(or_, READINGS.values()), Field(discriminator="kind")]


class Measure(Section):
    """The readings taken at the wall and the instruments they were taken with."""

    taken: Day | None = Field(default=None, description="the day they were taken: 2026-03-02")
    instruments: dict[Id, Instrument] = Field(
        default={}, description="your own instruments, or the usual ones with your own sigma"
    )
    bow_prior: Sigma = Field(
        default=2.0,
        description="how straight a side is that nobody read for bow: 0, give or take this, mm",
    )
    readings: tuple[AnyReading, ...] = Field(default=(), description="the readings")
    note: Note = Field(default="", description="how it was measured")

    def sigma_of(self, instrument: str) -> float | None:
        """Your own standard uncertainty of this instrument, mm; None where the usual one holds."""
        own = self.instruments.get(instrument)
        return own.sigma if own else None


class Station(Section):
    """The floor at one place along the run."""

    x: Along = Field(description="where along the wall, mm from the datum")
    z: Offset = Field(description="floor above (+) or below (-) the level datum, mm")
    again: tuple[Offset, ...] = Field(default=(), description="the same station read again, mm")


FloorState = Literal["bare", "finished"]


class FloorBeyond(Section):
    """The floor of side B, where it is another than side A's."""

    step: Offset = Field(
        default=0.0,
        description="side B's floor as it is now, over (+) or under (-) side A's at the door, mm",
    )
    state: FloorState | None = Field(
        default=None, description="bare (a finish comes) or finished; absent = not said"
    )
    finish: Line | None = Field(default=None, description="the finished floor: tiles")
    to_come: Cover = Field(
        default=0.0, description="thickness of finished floor still to be laid there, mm"
    )


class Threshold(Section):
    """A threshold under the leaf."""

    height: Cover = Field(description="its top over the higher finished floor, mm: 6")


class Floor(Section):
    """The floor along the whole run, pockets included; of side A where side B has its own."""

    stations: tuple[Station, ...] = Field(
        default=(), description="floor offsets from the level datum along the run"
    )
    instrument: Id = Field(default="laser-line", description="instrument they were taken with")
    sigma: Sigma | None = Field(default=None, description="standard uncertainty, mm, if not usual")
    base: Literal["concrete", "timber", "tiles", "unknown"] = Field(
        default="unknown",
        description="what the frame will be fixed to; of tiles say what is under them",
    )
    state: FloorState | None = Field(
        default=None, description="bare (a finish comes) or finished; absent = not said"
    )
    finish: Line | None = Field(default=None, description="the finished floor: vinyl plank")
    to_come: Cover = Field(
        default=0.0, description="thickness of finished floor still to be laid, mm"
    )
    side_b: FloorBeyond | None = Field(
        default=None, description="side B's floor, where it is another than side A's"
    )
    threshold: Threshold | None = Field(
        default=None, description="a threshold under the leaf, if there is to be one"
    )
    heated: bool | None = Field(
        default=None, description="heating in the floor (no base fixings)? absent = unknown"
    )
    note: Note = Field(default="", description="what else was seen")


# ---------------------------------------------------------------- wishes


class Place(Section):
    """Where the clear opening may go: it must lie between two marks."""

    from_x: Along = Field(description="left limit, mm from the datum")
    to_x: Along = Field(description="right limit, mm from the datum")
    centre: Along | None = Field(default=None, description="centre wished for, mm from the datum")


class LeafWish(Section):
    """What the leaf should be."""

    construction: Id = Field(
        default="any", description="leaf from the catalogue, or any: solid-core"
    )
    thickness: Thin | None = Field(default=None, description="thickness wished for, mm: 40")
    glass: Literal["any", "none", "part", "full"] = Field(default="any", description="glass in it")
    finish: Line | None = Field(default=None, description="how it is finished")


class LiningWish(Section):
    """What lines each face over the pocket."""

    face_a: tuple[Layer, ...] = Field(default=(), description="layers on face A, room inwards")
    face_b: tuple[Layer, ...] = Field(default=(), description="layers on face B, room inwards")
    insulate: bool = Field(default=False, description="insulation in what is framed up new")


Newtons = Annotated[Force, Field(ge=0, le=500)]


class SealDrag(Section):
    """What the seals hold one leaf back with, from a spring balance or the maker's figures."""

    low: Newtons = Field(description="least force, N: 6")
    high: Newtons = Field(description="most force, N: 11")


class SealWish(Section):
    """A seal by place; ids from the catalogue, or none."""

    meeting: Id = Field(default="none", description="where a pair meets")
    jamb: Id = Field(default="none", description="at the closing jamb")
    mouth: Id = Field(default="none", description="at the mouth of a pocket")
    head: Id = Field(default="none", description="at the head")
    floor: Id = Field(default="none", description="under the leaf")
    drag: SealDrag | None = Field(
        default=None,
        description="force of all seals on one moving leaf, where you know it, instead of the "
        "catalogue's range",
    )


class Wishes(Section):
    """What is wanted."""

    arrangement: Literal["any", "single-left", "single-right", "pair"] = Field(
        default="any", description="any, single-left, single-right or pair"
    )
    clear_width: Span | None = Field(
        default=None, description="least clear passage with the door open, mm"
    )
    least_passage: Span | None = Field(
        default=None,
        description="a narrower passage than this is warned of, mm; absent = the usual 600",
    )
    clear_height: Span | None = Field(default=None, description="least clear height, mm")
    place: Place | None = Field(
        default=None,
        description="where a new opening may go; absent = anywhere, or where an old one is",
    )
    kit: Id = Field(default="any", description="frame kit from the catalogue, site-built, or any")
    head: Literal["any", "own", "existing"] = Field(
        default="any",
        description="what the track hangs from: own (a new head under what is there), existing "
        "(what is over the opening already) or any",
    )
    leaf: LeafWish = Field(default=LeafWish(), description="what the leaf should be")
    accessible: Id = Field(
        default="none",
        description="accessibility rule set to meet: none, region (the region's own) or its id",
    )
    soft_close: Literal["any", "wanted", "none"] = Field(default="any", description="soft close")
    lining: LiningWish = Field(default=LiningWish(), description="what lines the faces")
    seals: SealWish = Field(default=SealWish(), description="seals by place")
    handle: Literal["flush", "edge-pull", "d-pull", "none"] = Field(
        default="flush", description="what opens the leaf"
    )
    handle_height: Hand | None = Field(
        default=None, description="height of the handle above the finished floor, mm"
    )
    furniture: Literal["passage", "privacy", "lock", "none"] | None = Field(
        default=None, description="latching: passage, privacy, lock or none"
    )
    quiet: Whole | None = Field(
        default=None, ge=10, le=70, description="sound reduction wished for, Rw in dB"
    )
    trim: bool = Field(default=True, description="trim around the opening on both faces")
    note: Note = Field(default="", description="what else was said")


# ---------------------------------------------------------------- building


class Building(Section):
    """What an accessibility rule set asks of the building; what is left out is not known."""

    kind: Literal["dwelling", "other"] | None = Field(
        default=None, description="a dwelling, or another building: dwelling"
    )
    work: Literal["new", "existing"] | None = Field(
        default=None, description="a new building, or one that stands: existing"
    )
    approach: Literal["head-on", "turn"] | None = Field(
        default=None, description="is the door reached straight on, or with a turn: head-on"
    )
    corridor: Span | None = Field(
        default=None, description="width of the corridor in front of the door, mm: 1050"
    )


# ---------------------------------------------------------------- sound


Decibels = Annotated[Number, Field(ge=-20, le=140)]


class Room(Section):
    """One of the two rooms."""

    name: Line = Field(description="what the room is")
    volume: Volume = Field(gt=0, le=100000, description="volume of the room, m3: 42")


class ReceivingRoom(Room):
    """The room that should be quiet."""

    background: Id | Annotated[tuple[Decibels, ...], Field(min_length=8, max_length=8)] = Field(
        default="quiet-room",
        description="background noise from the catalogue: quiet-room; or eight octave levels, dB",
    )
    reverberation: Number = Field(
        default=0.5, gt=0, le=10, description="reverberation time of the room, s: 0.5"
    )


class Sound(Section):
    """Who makes the noise and who hears it."""

    source: Room = Field(description="the room with the noise")
    receiving: ReceivingRoom = Field(description="the room that should be quiet")
    noise: Id = Field(
        default="speech-normal", description="noise from the catalogue: speech-normal"
    )
    area: Surface = Field(gt=0, le=1000, description="area of the wall between them, m2: 14")
    note: Note = Field(default="", description="what was said")


# ---------------------------------------------------------------- van, rack, prices, site


class Offcut(Section):
    """A piece on the rack."""

    id: Id = Field(description="short name written on the piece")
    stock: Line = Field(description="what it is, from the catalogue: MGP10 45x90")
    length: Piece = Field(description="length, mm")
    width: Piece | None = Field(default=None, description="width of a sheet, mm")
    count: Whole = Field(default=1, ge=1, le=1000, description="how many alike")


class Payment(Section):
    """A part of the price that falls due when something is done."""

    name: Line = Field(description="what it is called: when lined")
    percent: Number = Field(gt=0, le=100, description="how much of the whole price, %")
    when: Line = Field(default="when it is done", description="when it falls due")


class Prices(Section):
    """Your own prices, in the region's currency and before tax."""

    labour_hour: Amount | None = Field(
        default=None, description="what one hour of labour goes into the cost at"
    )
    markup_percent: Number | None = Field(
        default=None, ge=0, le=300, description="markup on cost, %; or give the margin"
    )
    margin_percent: Number | None = Field(
        default=None, ge=0, lt=100,
        description="margin, % of the price, under 100; it goes before the markup",
    )  # fmt: skip
    risk: Literal["mean", "p50", "p80", "p95"] | None = Field(
        default=None, description="how sure the price is to cover the cost: mean, p50, p80 or p95"
    )
    correlation: Number | None = Field(
        default=None, ge=0, lt=1,
        description="how much the tasks of one crew go well or badly together, 0 to under 1",
    )  # fmt: skip
    deposit_percent: Number | None = Field(
        default=None, ge=0, le=100, description="deposit asked with the order, %"
    )
    stages: tuple[Payment, ...] = Field(
        default=(), max_length=12,
        description="payments after the deposit; what is left over is due at the end",
    )  # fmt: skip
    retention_percent: Number | None = Field(
        default=None, ge=0, le=20, description="held back of each payment but the deposit, %"
    )
    tax_percent: Number | None = Field(
        default=None, ge=0, le=50, description="tax on top, %, where it is not the region's"
    )
    tax_rounding: Literal["total", "line"] | None = Field(
        default=None, description="tax rounded once on the total, or on each line"
    )
    currency: str | None = Field(
        default=None, pattern=r"^[A-Z]{3}$",
        description="currency of the prices written here, where it should be checked: AUD",
    )  # fmt: skip
    state: Line | None = Field(
        default=None, description="state or territory whose rules on deposits hold: NSW"
    )
    paint: bool | None = Field(default=None, description="is painting in the price? absent = it is")
    items: dict[Line, Amount] = Field(
        default={}, description="price of one unit by catalogue id, instead of the catalogue's"
    )


class Site(Section):
    """Who comes, what they can lift, and what the place is like."""

    crew: Whole = Field(default=1, ge=1, le=50, description="people on the job")
    helper: bool = Field(default=False, description="a second person for lifts")
    lift: Mass = Field(default=25.0, gt=0, le=200, description="what one person lifts, kg")
    longest: Piece | None = Field(
        default=None, description="longest thing that can be carried in, mm"
    )
    storey: Whole | None = Field(default=None, ge=-5, le=100, description="0 = ground floor")
    lift_shaft: bool | None = Field(default=None, description="a lift that takes boards")
    travel: Number | None = Field(default=None, ge=0, le=600, description="minutes one way")
    start: Day | None = Field(default=None, description="earliest day: 2026-04-13")
    temperature: Temperature | None = Field(
        default=None, ge=-20, le=50, description="temperature while the joints dry, °C"
    )
    humidity: Number | None = Field(
        default=None, ge=0, le=100, description="relative humidity while the joints dry, %"
    )
    occupied: bool | None = Field(default=None, description="people use the rooms while you work")
    note: Note = Field(default="", description="keys, parking, hours")


PACKERS_ON_THE_VAN = (1.0, 1.5, 2.0, 3.0, 5.0, 6.0, 10.0)


class Job(Section):
    """One opening: everything the user knows about it, as a Truehang job file holds it."""

    truehang: Literal[1] = Field(description="version of this file format: 1")
    job: About = Field(description="which job this is")
    wall: Wall = Field(description="the wall run")
    measure: Measure = Field(default=Measure(), description="readings")
    floor: Floor = Field(default=Floor(), description="the floor along the run")
    building: Building = Field(default=Building(), description="what building it stands in")
    wishes: Wishes = Field(default=Wishes(), description="what is wanted")
    sound: Sound | None = Field(default=None, description="the two rooms, where quiet matters")
    packers: tuple[Thin, ...] = Field(
        default=(), max_length=20,
        description="packers on the van; absent = the usual ones of the region",
    )  # fmt: skip
    packer_tolerance: Number | None = Field(
        default=None, ge=0, le=1,
        description="how far a stack may be off the pack wanted, mm; absent = the usual 0.5",
    )  # fmt: skip
    materials: tuple[OwnMaterial, ...] = Field(
        default=(), description="materials of your own, that the catalogue does not have"
    )
    offcuts: tuple[Offcut, ...] = Field(default=(), description="what is on the rack")
    prices: Prices = Field(default=Prices(), description="your own prices")
    site: Site = Field(default=Site(), description="crew and place")
    programme: ProgrammeWish = Field(
        default=ProgrammeWish(), description="days and hours, trades, waits, what has happened"
    )

    def readings(self) -> tuple[Reading, ...]:
        """Every take of every reading as plain values, then the floor's stations.

        Further takes are named id#2, id#3...; stations are named floor-1, floor-2...
        """
        taken = tuple(
            Reading(
                id=reading.id if take == 1 else f"{reading.id}#{take}",
                kind=reading.kind,
                value=value,
                place=reading.place,
                at=reading.along,
                over=getattr(reading, "over", None),
                sigma=reading.sigma or self.measure.sigma_of(reading.instrument),
                instrument=reading.instrument,
            )
            for reading in self.measure.readings
            for take, value in enumerate((reading.value, *reading.again), start=1)
        )
        floor = tuple(
            Reading(
                id=f"floor-{number}" if take == 1 else f"floor-{number}#{take}",
                kind="floor",
                value=value,
                at=station.x,
                sigma=self.floor.sigma or self.measure.sigma_of(self.floor.instrument),
                instrument=self.floor.instrument,
            )
            for number, station in enumerate(self.floor.stations, start=1)
            for take, value in enumerate((station.z, *station.again), start=1)
        )
        return taken + floor
