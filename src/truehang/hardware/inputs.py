"""What must be known about a leaf, its hangers and its kit to say how it weighs and runs?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from truehang.message import NOTHING, Message


class HardwareError(ValueError):
    """A value the room can't work with. The message names the field, the value and the mend."""


def need_number(
    field: str, value: float, mend: str, *, least: float = 0.0, above: bool = True
) -> None:
    """Raise HardwareError unless `value` is finite and above (or at) `least`."""
    finite = isinstance(value, int | float) and math.isfinite(value)
    if not finite or value < least or (above and value == least):
        bound = f"more than {least:g}" if above else f"{least:g} or more"
        raise HardwareError(f"{field}: {value!r} must be a number, {bound}; {mend}")


@dataclass(frozen=True, slots=True)
class Pane:
    """A pane of glass in a leaf: mm. `x`: its centre from the leading edge; None: middle."""

    width: float
    height: float
    thickness: float
    x: float | None = None


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf. Lengths mm, surface_density kg/m2, masses kg; x from the leading edge."""

    name: str
    width: float
    height: float
    surface_density: float
    panes: tuple[Pane, ...] = ()
    fittings_mass: float = 0.0
    fittings_x: float = 0.0
    handle_below_track: float | None = None
    """How far below the track the hand pushes, mm; None: the middle of the leaf."""

    def __post_init__(self) -> None:
        where = f"leaf {self.name}"
        need_number(f"{where}.width", self.width, "give mm")
        need_number(f"{where}.height", self.height, "give mm")
        need_number(f"{where}.surface_density", self.surface_density, "give kg/m2 of the leaf")
        need_number(f"{where}.fittings_mass", self.fittings_mass, "0 if none", above=False)
        need_number(f"{where}.fittings_x", self.fittings_x, "mm from the edge", above=False)
        if self.handle_below_track is not None:
            need_number(f"{where}.handle_below_track", self.handle_below_track, "give mm")
        for pane in self.panes:
            for field in ("width", "height", "thickness"):
                need_number(f"{where}.pane.{field}", getattr(pane, field), "give mm")
            if pane.width > self.width or pane.height > self.height:
                raise HardwareError(
                    f"{where}.pane: {pane.width:g} x {pane.height:g} is larger than the leaf "
                    f"({self.width:g} x {self.height:g}); measure the pane again"
                )


@dataclass(frozen=True, slots=True)
class Hangers:
    """The two hangers of a leaf, x from its leading edge (mm), bolt pitch mm per turn.

    `up_left` and `down_left` are the mm each bolt can still raise or lower the leaf, leading first.
    """

    leading: float
    trailing: float
    pitch: float
    up_left: tuple[float, float]
    down_left: tuple[float, float]

    def __post_init__(self) -> None:
        need_number("hangers.leading", self.leading, "mm from the leading edge", above=False)
        need_number(
            "hangers.trailing", self.trailing, "it must be behind the leading", least=self.leading
        )
        need_number("hangers.pitch", self.pitch, "mm the leaf rises for a whole turn of the bolt")
        for value in (*self.up_left, *self.down_left):
            need_number("hangers.up_left/down_left", value, "mm left on the bolt", above=False)


When = Literal["moving", "closed", "pressed"]
"""Over the whole travel; only while the leaf stands in its closing jamb or meets the other; only as
it is pressed home."""


@dataclass(frozen=True, slots=True)
class Drag:
    """What holds a leaf back besides rolling: N from `low` to `high`, `below` the track (mm).

    `rule` says how the newtons came about (per metre x length), `source` whose figure it is.
    """

    place: str
    low: float
    high: float
    below: float
    when: When = "moving"
    rule: Message = NOTHING
    source: str = "common practice, no source"

    def __post_init__(self) -> None:
        need_number(f"drag {self.place}.low", self.low, "newtons; 0 if none", above=False)
        need_number(
            f"drag {self.place}.high", self.high, "not less than low", least=self.low, above=False
        )
        need_number(f"drag {self.place}.below", self.below, "mm below the track", above=False)


@dataclass(frozen=True, slots=True)
class Running:
    """How the leaf runs and what the kit allows. N, kg, m/s; None: the kit states no limit."""

    rolling_low: float = 0.01
    rolling_high: float = 0.02
    soft_close_force: float = 0.0
    drags: tuple[Drag, ...] = ()
    closing_speed: float = 0.3
    leaf_mass_limit: float | None = None
    soft_close_mass_limit: float | None = None
    soft_close_speed_limit: float | None = None
    soft_close_energy_limit: float | None = None

    def __post_init__(self) -> None:
        need_number("running.rolling_low", self.rolling_low, "about 0.01", above=False)
        need_number(
            "running.rolling_high", self.rolling_high, "not less than rolling_low",
            least=self.rolling_low, above=False,
        )  # fmt: skip
        need_number(
            "running.soft_close_force", self.soft_close_force, "newtons; 0 if none", above=False
        )
        need_number("running.closing_speed", self.closing_speed, "give m/s")
        for field in (
            "leaf_mass_limit",
            "soft_close_mass_limit",
            "soft_close_speed_limit",
            "soft_close_energy_limit",
        ):
            value = getattr(self, field)
            if value is not None:
                need_number(f"running.{field}", value, "give the kit's figure or leave it out")


@dataclass(frozen=True, slots=True)
class EdgeGaps:
    """Gaps read on one hung leaf, mm; leave out (None) what was not read.

    `floor_*`: under the two bottom corners, with what each should be; `edge_*`: between the
    leading edge and the closing jamb at the top and bottom of the leaf (single leaf).
    """

    floor_leading: float | None = None
    floor_trailing: float | None = None
    target_leading: float | None = None
    target_trailing: float | None = None
    edge_top: float | None = None
    edge_bottom: float | None = None
    floor_to_come: float = 0.0
    """Flooring still to be laid under the leaf when the gaps were read, mm."""

    def __post_init__(self) -> None:
        for field in self.__slots__:
            value = getattr(self, field)
            if value is not None:
                need_number(f"gaps.{field}", value, "give mm", least=-50.0, above=False)
        if (self.edge_top is None) != (self.edge_bottom is None):
            raise HardwareError(
                "gaps.edge_top, gaps.edge_bottom: only one was read; read both or neither"
            )
        for edge in ("leading", "trailing"):
            read, target = getattr(self, f"floor_{edge}"), getattr(self, f"target_{edge}")
            if read is not None and target is None:
                raise HardwareError(f"gaps.target_{edge}: missing; say what the gap should be")


@dataclass(frozen=True, slots=True)
class LeafAsHung:
    """A leaf as hung, with its readings, for the hanging adjustment."""

    name: str
    width: float
    height: float
    hangers: Hangers
    gaps: EdgeGaps

    def __post_init__(self) -> None:
        need_number(f"leaf {self.name}.width", self.width, "give mm")
        need_number(f"leaf {self.name}.height", self.height, "give mm")
        if not math.isfinite(self.hangers.trailing) or self.hangers.trailing > self.width:
            raise HardwareError(
                f"leaf {self.name}.hangers.trailing: {self.hangers.trailing:g} lies off the leaf "
                f"({self.width:g} wide); measure from the leading edge"
            )


@dataclass(frozen=True, slots=True)
class MeetingGaps:
    """Readings where a pair meets, mm: the gap at the tops and at the bottoms, and the step in
    height of the two tops (first leaf minus second; positive: the first stands higher)."""

    top: float | None = None
    bottom: float | None = None
    step: float | None = None

    def __post_init__(self) -> None:
        for field in self.__slots__:
            value = getattr(self, field)
            if value is not None:
                need_number(f"meeting.{field}", value, "give mm", least=-50.0, above=False)
        if (self.top is None) != (self.bottom is None):
            raise HardwareError("meeting.top, meeting.bottom: read both or neither")
