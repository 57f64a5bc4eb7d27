"""Which frame kits can be bought, and within what limits does each work?

A kit is data. All lengths mm, masses kg, forces N, speeds m/s, energies J, prices in integer
minor units of the catalogue's currency. The shipped kits are generic and invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from truehang.catalogue._read import Entry, at_home, table

Length = Annotated[float, Field(ge=0, le=20_000)]
Positive = Annotated[float, Field(gt=0, le=20_000)]


class Range(Entry):
    """A closed range from `least` to `most`, both included."""

    least: float
    most: float

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.least > self.most:
            raise ValueError(f"least {self.least:g} is more than most {self.most:g}; swap them")
        return self

    def holds(self, value: float) -> bool:
        """Is the value inside, within a rounding error?"""
        return self.least - 1e-6 <= value <= self.most + 1e-6


class SuitedWall(Entry):
    """A wall the kit goes into: stud depth and the thickness of the ribs it then has, mm."""

    stud: Positive
    rib: Positive


class SoftClose(Entry):
    """A soft-close unit for one leaf: heaviest leaf, fastest arrival, most energy, its force."""

    mass_most: Annotated[float, Field(gt=0)]
    speed_most: Annotated[float, Field(gt=0)]
    energy_most: Annotated[float, Field(gt=0)]
    force: Annotated[float, Field(ge=0)]
    leaf_width_least: Positive
    """Narrowest leaf that has room for the unit."""
    price_minor: Annotated[int, Field(ge=0)]


class FixingPoint(Entry):
    """A row of fixings of the frame: which member, how many, the hole's diameter."""

    member: Literal["head", "back stud", "base", "closing jamb", "mouth"]
    count: Annotated[int, Field(gt=0)]
    spacing_most: Positive
    hole: Positive


class SiteParts(Entry):
    """What a site-built pocket is bought as."""

    track_minor_per_m: Annotated[int, Field(ge=0)]
    running_set_minor: Annotated[int, Field(ge=0)]
    """Two hangers, guide and buffer for one leaf."""
    timber_minor_per_m: Annotated[int, Field(ge=0)]


class Kit(Entry):
    """A frame kit. Letters in brackets are the symbols of the set-out formulas.

    For `frame = "site-built"` there is no kit to buy: ribs, studs and head are cut from timber,
    rib thickness comes from wall, leaf and `air_least`, and prices are those of track and parts.
    """

    id: str
    name: str
    note: str
    frame: Literal["timber", "steel", "site-built"]
    arrangements: Annotated[tuple[Literal["single", "pair"], ...], Field(min_length=1)]

    tail: Length
    """[b] part of the leaf kept in the pocket when closed."""
    lead: Length
    """[a] lead of the leaf into the closing jamb (single only)."""
    standing_out: Length
    """[r] part of the leaf left standing out of the pocket when open; the least it can be set."""
    standing_out_most: Length
    """The most that [r] can be set to by moving the buffer."""
    buffer_space: Length
    """[g] space behind the open leaf."""
    meeting_gap: Length
    """[m] gap where a pair meets."""
    back_stud: Positive
    """[s] stud that closes the back of the pocket."""
    closing_jamb: Positive
    """[j] closing jamb of a single."""

    leaf_width: Range
    leaf_height: Range
    leaf_thickness: Range
    made_to_size: bool
    """False: only for leaves of a standard width and height."""
    standard_widths: tuple[Positive, ...] = ()
    standard_heights: tuple[Positive, ...] = ()
    leaf_mass_most: Annotated[float, Field(gt=0)]
    """Heaviest leaf on one pair of hangers."""

    hanger_inset: Positive
    """From each edge of the leaf to its hanger's centre."""
    hanging_range: Positive
    """Whole range of the hanger bolts, top to bottom; half of it each way as delivered."""
    thread_pitch: Positive
    hanging_allowance: Positive
    """From leaf top to underside of head member, track included."""
    track_depth: Positive
    """Depth of the track, hanging under the head member."""
    head_depth: Positive
    """Depth of the head member."""
    head_pieces: Annotated[int, Field(ge=1, le=3)] = 1
    """Of how many pieces laid flat, one on the other, a site-built head member is made."""
    head_cover: Length
    """How far the head trim comes down over the top of the leaf."""
    floor_gap: Positive
    """Design gap between level line (or finished floor) and leaf."""
    guide_height: Positive
    """How far the bottom guide stands up over the finished floor."""
    guide_engagement_least: Positive
    """The least that the guide must reach into the groove of the leaf."""
    guide_groove: Positive
    """Depth of the groove in the bottom of the leaf."""
    guide_width: Positive | None = None
    """How thick the bottom guide is across the leaf; left out where the datasheet is silent."""

    walls: tuple[SuitedWall, ...] = ()
    """Walls that a bought kit suits; empty for a site-built pocket, which suits any with room."""
    rib_stock: tuple[Positive, ...] = ()
    """Thicknesses of batten that a site-built pocket's ribs can be cut from."""
    air_least: Positive
    """Least air each side of the leaf in the pocket."""
    rib_width: Positive
    """Width of a rib seen from the face."""
    rib_spacing_most: Positive
    """Widest spacing of rib centres that still holds the lining."""

    side_clearance: Length = 10.0
    """Between the frame and the rough opening, each side; 10 where the datasheet is silent (common
    practice, no source)."""
    head_clearance: Length = 10.0
    """Between the frame and the rough head; 10 where the datasheet is silent (common practice, no
    source)."""
    built_in_drag: Range | None = None
    """N that the kit's own brushes and guide hold each moving leaf back with, from its datasheet;
    left out where it states none."""
    soft_close: SoftClose | None = None
    fixing_points: tuple[FixingPoint, ...] = ()
    price_single_minor: Annotated[int, Field(ge=0)]
    """Price of the frame for a single; 0 when site-built."""
    price_pair_minor: Annotated[int, Field(ge=0)]
    site_parts: SiteParts | None = None
    assembly_hours: Annotated[float, Field(ge=0)] = 0.0
    """Hours to make or assemble one pocket's frame before it stands, likely value."""
    made_to_size_extra_minor: Annotated[int, Field(ge=0)] = 0
    lead_time_days: Annotated[int, Field(ge=0)]
    here: Mapping[str, Kit] = Field(default_factory=dict, repr=False)
    """The kit as it is made up in a region, by the region's id, where that differs: a file gives
    only what does."""

    @model_validator(mode="before")
    @classmethod
    def _each_place(cls, entry: Any) -> Any:
        return at_home(entry)

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        if self.standing_out_most < self.standing_out:
            raise ValueError("standing_out_most is less than standing_out")
        if self.lead > self.closing_jamb:
            raise ValueError("lead runs right through the closing jamb; one of them is wrong")
        if self.track_depth > self.hanging_allowance:
            raise ValueError("track_depth is more than hanging_allowance, which includes it")
        if self.guide_width is not None and self.guide_width >= self.leaf_thickness.most:
            raise ValueError(
                "guide_width is no less than the thickest leaf, and the guide stands in its groove"
            )
        if not self.made_to_size and not (self.standard_widths and self.standard_heights):
            raise ValueError("a kit not made to size needs standard_widths and standard_heights")
        if self.frame == "site-built" and (not self.rib_stock or self.site_parts is None):
            raise ValueError("a site-built pocket needs rib_stock and site_parts")
        if self.frame != "site-built" and not self.walls:
            raise ValueError("a kit needs the walls it suits: stud depth and rib thickness")
        return self


@cache
def kits() -> tuple[Kit, ...]:
    """The shipped kits, all generic and invented."""
    return tuple(Kit.model_validate(entry) for entry in table("kits")["kit"])
