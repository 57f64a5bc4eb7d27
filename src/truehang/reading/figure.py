"""What does a reading of the opening say of its corners? The equations, with their gradients.

The whole figure is thirteen numbers: x and z of the four corners, how far each side's middle
bows into the opening, and the far end of the run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

CORNERS = ("bottom-left", "bottom-right", "top-right", "top-left")
SIDES = ("base", "right", "head", "left")
NAMES = (
    *(f"{corner}.{axis}" for corner in CORNERS for axis in "xz"),
    *(f"{side}.bow" for side in SIDES),
    "run",
)
COLUMN = {name: column for column, name in enumerate(NAMES)}
LEAST = 1e-9
"""A length that is no length, mm: kept from dividing by nothing."""


def unit(name: str) -> Vector:
    """The row of 13 that takes one number out of the figure."""
    row = np.zeros(len(NAMES))
    row[COLUMN[name]] = 1.0
    return row


def _points() -> dict[str, tuple[Vector, Vector]]:
    """Each named point as two rows of 13 that give its x and its z from the figure."""
    points = {c: (unit(f"{c}.x"), unit(f"{c}.z")) for c in CORNERS}
    inward = {"base": (0.0, 1.0), "right": (-1.0, 0.0), "head": (0.0, -1.0), "left": (1.0, 0.0)}
    for index, side in enumerate(SIDES):
        start, end = points[CORNERS[index]], points[CORNERS[(index + 1) % 4]]
        bow = unit(f"{side}.bow")
        points[side] = (
            (start[0] + end[0]) / 2 + inward[side][0] * bow,
            (start[1] + end[1]) / 2 + inward[side][1] * bow,
        )
    return points


POINTS = _points()
"""The four corners, and the middle of each side."""
ENDS = {
    "base": ("bottom-left", "bottom-right"),
    "right": ("bottom-right", "top-right"),
    "head": ("top-left", "top-right"),
    "left": ("bottom-left", "top-left"),
}
"""The corners at the ends of a side, the left or the lower first."""
_JAMB_ROWS = {
    jamb: (
        POINTS[high][0] - POINTS[low][0],
        4 * (POINTS[jamb][0] - (POINTS[low][0] + POINTS[high][0]) / 2),
        POINTS[high][1] - POINTS[low][1],
    )
    for jamb, (low, high) in ENDS.items()
    if jamb in ("left", "right")
}
"""The lean, four times the bow, and the height: x at a share t of the height is
foot + t lean + t (1 - t) 4 bow, a parabola through the corners and the middle."""


class Equation(Protocol):
    """What a reading should be, for a given figure."""

    def straight(self, over: float | None) -> Vector | None:
        """The gradient where the equation is linear in the figure, else None."""

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        """What is read for this figure (13), and its gradient (13). `at` and `over` as in
        `Reading`, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """A sum of the figure's numbers: a coordinate, or the difference of two."""

    row: Vector

    def straight(self, over: float | None) -> Vector | None:
        return self.row

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        return float(self.row @ figure), self.row


@dataclass(frozen=True, slots=True, eq=False)
class Distance:
    """From one point to another: `across` are the rows (2, 13) of its two legs."""

    across: Matrix

    @classmethod
    def between(cls, start: str, end: str) -> Distance:
        """The distance of two of `POINTS`."""
        return cls(np.array(POINTS[end]) - np.array(POINTS[start]))

    def straight(self, over: float | None) -> Vector | None:
        return None

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        dx, dz = self.across @ figure
        length = float(np.hypot(dx, dz)) or LEAST
        return length, (dx * self.across[0] + dz * self.across[1]) / length


@dataclass(frozen=True, slots=True)
class Plumb:
    """x at the top of a level less x at its foot, along a jamb and its bow."""

    jamb: str

    def straight(self, over: float | None) -> Vector | None:
        return None

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        lean, bow, rise = _JAMB_ROWS[self.jamb]
        height = float(rise @ figure) or LEAST
        low, high = at / height, (at + (over or 2000.0)) / height
        row = (high - low) * lean + (high * (1 - high) - low * (1 - low)) * bow
        lean_now, bow_now = float(lean @ figure), float(bow @ figure)
        # Every share t goes as 1/height, so d t/d height = -t/height.
        by_height = -((high - low) * lean_now + (high - low - 2 * (high**2 - low**2)) * bow_now)
        return float(row @ figure), row + by_height / height * rise


@dataclass(frozen=True, slots=True)
class Slope:
    """How much higher the right end of the head or the base is than the left: from end to end, or
    over a length."""

    side: str

    def straight(self, over: float | None) -> Vector | None:
        start, end = ENDS[self.side]
        return POINTS[end][1] - POINTS[start][1] if over is None else None

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        start, end = ENDS[self.side]
        along, up = (POINTS[end][axis] - POINTS[start][axis] for axis in (0, 1))
        if over is None:
            return float(up @ figure), up
        length = float(along @ figure) or LEAST
        slope = float(up @ figure) / length
        return slope * over, over / length * (up - slope * along)


@dataclass(frozen=True, slots=True)
class Bow:
    """How far a side's middle stands into the opening: from a string, or from a straightedge held
    at the middle (by the square of the lengths, as of a round bow)."""

    side: str

    def straight(self, over: float | None) -> Vector | None:
        return unit(f"{self.side}.bow") if over is None else None

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        row = unit(f"{self.side}.bow")
        bow = float(row @ figure)
        if over is None:
            return bow, row
        length, along = Distance.between(*ENDS[self.side])(figure, 0.0, None)
        share = (over / length) ** 2
        return bow * share, share * row - 2 * bow * share / length * along


@dataclass(frozen=True, slots=True)
class Square:
    """How far a jamb is off a square at a corner, over the blade that stands along the jamb, the
    stock on the base or under the head: + where the corner is more than a right angle."""

    corner: str

    def straight(self, over: float | None) -> Vector | None:
        return None

    def __call__(self, figure: Vector, at: float, over: float | None) -> tuple[float, Vector]:
        level, jamb = self.corner.split("-")
        blade = over or 600.0
        rise = _JAMB_ROWS[jamb][2]
        foot = 0.0 if level == "bottom" else float(rise @ figure) - blade
        leans, lean_row = Plumb(jamb)(figure, foot, blade)
        tilts, tilt_row = Slope("base" if level == "bottom" else "head")(figure, 0.0, blade)
        # At the bottom left a jamb that leans right closes the corner, and so does a base that
        # rises to the right; both turn round from left to right, and from base to head.
        opens = 1.0 if self.corner in ("bottom-right", "top-left") else -1.0
        row = lean_row + tilt_row
        if level == "top":  # the blade's foot stands the blade under the head, and moves with it
            row = row + _by_foot(jamb, figure, foot, blade) * rise
        return opens * (leans + tilts), opens * row


def _by_foot(jamb: str, figure: Vector, foot: float, blade: float) -> float:
    """How the plumb of a jamb over a blade changes as the blade is held higher."""
    _, bow, rise = _JAMB_ROWS[jamb]
    height = float(rise @ figure) or LEAST
    low, high = foot / height, (foot + blade) / height
    return float(bow @ figure) * ((1 - 2 * high) - (1 - 2 * low)) / height
