"""What must be known to say what the wall carries, and to size the head over the opening?"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

Joists = Literal["along", "across", "none", "unknown"]
Roof = Literal["trusses", "propped", "rafters", "flat", "floor-over", "unknown"]
Lintels = Literal["none-seen", "light", "heavy", "unknown"]
Seen = Literal["carries-nothing", "carries-load"]
LoadKind = Literal["floor", "storage", "ceiling", "roof", "snow", "wall"]


class StructureError(ValueError):
    """A value the room can't work with. The message names the field, the value and the mend."""


def need_number(
    field: str, value: float, mend: str, *, least: float = 0.0, above: bool = True
) -> None:
    """Raise StructureError unless `value` is finite and above (or at) `least`."""
    finite = isinstance(value, int | float) and math.isfinite(value)
    if not finite or value < least or (above and value == least):
        bound = f"more than {least:g}" if above else f"{least:g} or more"
        raise StructureError(f"{field}: {value!r} must be a number, {bound}; {mend}")


def need_choice(field: str, value: str, choices: Iterable[str]) -> None:
    """Raise StructureError unless `value` is one of `choices`."""
    known = tuple(choices)
    if value not in known:
        raise StructureError(f"{field}: {value!r} is not known; write one of {', '.join(known)}")


@dataclass(frozen=True, slots=True)
class OpeningUpRecord:
    """What was seen when the wall was opened up: by whom, when, and the photo that shows it."""

    finding: Seen
    who: str
    when: date | None
    photo: str

    def __post_init__(self) -> None:
        need_choice("evidence.opened_up.finding", self.finding, get_args(Seen))


@dataclass(frozen=True, slots=True)
class EngineerRecord:
    """The engineer's design for the head: by whom, when, and the document that holds it."""

    who: str
    when: date | None
    document: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """What can be seen before the wall is opened. None and "unknown" mean nobody has looked.

    `joists`: run of the joists or rafters over the wall ("none": there are none, nothing rests);
    `joints_over`: they join, lap or end on it; `wall_over` / `wall_under`: a wall (under: or a
    beam or footing) stands in line with it; `roof`: what is over the ceiling
    ("propped": its props or struts stand on this wall); `lintels`: what
    spans the other openings of this wall.
    """

    joists: Joists = "unknown"
    joints_over: bool | None = None
    roof: Roof = "unknown"
    wall_over: bool | None = None
    wall_under: bool | None = None
    lintels: Lintels = "unknown"
    opened_up: OpeningUpRecord | None = None
    engineer: EngineerRecord | None = None

    def __post_init__(self) -> None:
        need_choice("evidence.joists", self.joists, get_args(Joists))
        need_choice("evidence.roof", self.roof, get_args(Roof))
        need_choice("evidence.lintels", self.lintels, get_args(Lintels))


@dataclass(frozen=True, slots=True)
class HeadMember:
    """A head of one or more equal plies on edge (or flat: give breadth and depth as it lies).

    Lengths mm; modulus and shear_modulus MPa; density kg/m3; creep is the final/instant
    deflection ratio under permanent load.
    """

    name: str
    breadth: float
    depth: float
    modulus: float
    shear_modulus: float
    density: float
    plies: int = 1
    creep: float = 1.6

    def __post_init__(self) -> None:
        mend = "give the timber's own figure"
        for field in ("breadth", "depth", "modulus", "shear_modulus", "density", "plies"):
            need_number(f"head.{field}", getattr(self, field), mend)
        need_number("head.creep", self.creep, "1 is no creep", least=1.0, above=False)


@dataclass(frozen=True, slots=True)
class HungLeaf:
    """One leaf on the track, where it stands when closed.

    x are in the wall's frame (mm). `leading` is the edge that closes or meets, `trailing` the one
    that stays by the pocket; `hangers` are x of the two hangers, leading first; `loads` the N on
    each; `travel` the signed movement to fully open; `floor_gap` the least gap below when level.
    """

    name: str
    leading: float
    trailing: float
    hangers: tuple[float, float]
    loads: tuple[float, float]
    travel: float
    height: float
    floor_gap: float

    def __post_init__(self) -> None:
        where = f"leaf {self.name}"
        for field in ("leading", "trailing", "travel"):
            need_number(f"{where}.{field}", getattr(self, field), "give mm", least=-1e6)
        for hanger, load in zip(self.hangers, self.loads, strict=True):
            need_number(f"{where}.hangers", hanger, "give mm in the wall's frame", least=-1e6)
            need_number(f"{where}.loads", load, "give newtons on each hanger", above=False)
        need_number(f"{where}.height", self.height, "give the leaf's height in mm")
        need_number(f"{where}.floor_gap", self.floor_gap, "give the gap in mm", above=False)
        if self.hangers[0] == self.hangers[1]:
            raise StructureError(
                f"{where}.hangers: both stand at {self.hangers[0]:g}; give two different places"
            )


@dataclass(frozen=True, slots=True)
class TrackHead:
    """A head that carries itself, its lining and the leaves. Supports at `left` and `right` (x)."""

    left: float
    right: float
    member: HeadMember
    leaves: tuple[HungLeaf, ...]
    lining: float = 0.0
    """Mass of lining, trim and track on the head, kg per metre."""
    least_floor_gap: float = 5.0
    most_out_of_parallel: float = 1.5
    """How much the closed meeting (or closing) edge may open or close from bottom to top, mm."""
    coming: float = 0.0
    """What of the building still brings the head down once the leaves hang, at its middle, mm."""

    def __post_init__(self) -> None:
        need_number("head.left", self.left, "give mm in the wall's frame", least=-1e6)
        need_number("head.right", self.right, "it must lie right of head.left", least=self.left)
        if not 1 <= len(self.leaves) <= 2:
            raise StructureError(
                f"head.leaves: {len(self.leaves)} given; a head takes one leaf or a pair"
            )
        need_number("head.lining", self.lining, "give kg per metre", above=False)
        need_number("head.least_floor_gap", self.least_floor_gap, "give mm", above=False)
        need_number("head.most_out_of_parallel", self.most_out_of_parallel, "give mm")
        need_number("head.coming", self.coming, "give mm, 0 where it carries nothing", above=False)


@dataclass(frozen=True, slots=True)
class AreaLoad:
    """A floor, ceiling, roof or wall on the head: kPa over a tributary width in mm (a wall: its
    height). `uplift` is the wind that lifts it, kPa, as the code's combinations take it; None:
    nobody knows."""

    name: str
    kind: LoadKind
    dead: float
    live: float
    tributary: float
    uplift: float | None = None

    def __post_init__(self) -> None:
        need_choice(f"load {self.name}.kind", self.kind, get_args(LoadKind))
        need_number(f"load {self.name}.dead", self.dead, "give kPa (kN/m2)", above=False)
        need_number(f"load {self.name}.live", self.live, "give kPa (kN/m2)", above=False)
        uplift = self.uplift or 0.0
        need_number(f"load {self.name}.uplift", uplift, "give kPa (kN/m2)", above=False)
        need_number(
            f"load {self.name}.tributary", self.tributary, "half the span on each side, in mm"
        )


@dataclass(frozen=True, slots=True)
class BearingHead:
    """A head that carries part of the building over a clear opening. Lengths mm.

    `height` is that of the jamb studs, `leaf_mass` kg hangs from it; `depth_room` and
    `breadth_room` are the most the section may take; `stud_*` is the jamb stud used under it.
    """

    clear_span: float
    height: float
    code: str
    loads: tuple[AreaLoad, ...]
    stud_grade: str
    stud_breadth: float
    stud_depth: float
    leaf_mass: float = 0.0
    service_class: Literal[1, 2] = 1
    depth_room: float = math.inf
    breadth_room: float = math.inf
    restrained: bool = True
    """Joists or plates hold the top edge from moving sideways."""
    most_studs: int = 4
    most_plies: int = 3
    live_ratio: float = 360.0
    final_ratio: float = 300.0
    most_deflection: float = 10.0
    prop_spacing: float = 900.0
    prop_rows: Literal[1, 2] = 2

    def __post_init__(self) -> None:
        need_choice("structure.service_class", str(self.service_class), ("1", "2"))
        need_choice("structure.prop_rows", str(self.prop_rows), ("1", "2"))
        mend = "give a length in mm"
        for field in (
            "clear_span", "height", "stud_breadth", "stud_depth", "most_deflection", "prop_spacing",
        ):  # fmt: skip
            need_number(f"structure.{field}", getattr(self, field), mend)
        for field in ("most_studs", "most_plies", "live_ratio", "final_ratio"):
            need_number(f"structure.{field}", getattr(self, field), "give a count or a span ratio")
        need_number("structure.leaf_mass", self.leaf_mass, "kg; 0 if none", above=False)
        for field in ("depth_room", "breadth_room"):
            if not getattr(self, field) > 0:
                raise StructureError(
                    f"structure.{field}: {getattr(self, field)!r} leaves no room; "
                    "give the mm there are, or leave it out"
                )
        if not self.loads:
            raise StructureError(
                "structure.loads: none given; name the floor, roof or wall the head carries"
            )
