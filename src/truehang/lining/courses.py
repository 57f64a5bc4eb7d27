"""Where may the boards of one face meet? Courses, joints on supports, and what each choice needs.

Laid across, a face is a stack of courses as high as a board is wide, one of them ripped (two where
one would be too low); joints in a course are upright and lie on supports. Laid up, the face is one
course of boards on end, and the joints between them lie on supports as well.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice, pairwise
from statistics import median

import numpy as np
import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from truehang.lining.model import BoardSize, Face, Lay, LiningRules, Support
from truehang.lining.pool import Size

TENTHS = 10
LEAST_BEARING = 30.0
"""Least width of a support that two board ends can share, mm; common practice, no source."""
SAME_STUD = 30.0
"""Joints of both sides nearer than this stand on one stud, mm; common practice, no source."""
MOST_OPTIONS = 1_000
SLIVER = 1.0
"""What is no larger is no piece, mm2."""


@dataclass(frozen=True, slots=True)
class LaidPart:
    """One piece of a layout: its true shape and what is cut for it."""

    shape: Polygon
    bounds: tuple[float, float, float, float]
    lay: Lay
    size: Size


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of one course with its joints at x; `extra` is what joints and lifts weigh."""

    joints: tuple[float, ...]
    parts: tuple[LaidPart, ...]
    extra: int


@dataclass(frozen=True, slots=True)
class Taken:
    """Where joints are already that those of a face keep off: each with how far, mm.

    `uprights` are (x, from z, to z, clear), `levels` are (z, from x, to x, clear). On the studs at
    `dear` a joint may stand, but weighs more.
    """

    uprights: tuple[tuple[float, float, float, float], ...] = ()
    levels: tuple[tuple[float, float, float, float], ...] = ()
    dear: tuple[float, ...] = ()

    def is_dear(self, x: float) -> bool:
        """Is there a joint of the other side on the stud at x?"""
        return any(abs(x - stud) < SAME_STUD for stud in self.dear)

    def upright(self, x: float, z0: float, z1: float) -> bool:
        """May no upright joint stand at x from z0 to z1?"""
        return _is_taken(self.uprights, x, z0, z1)

    def level(self, z: float, x0: float, x1: float) -> bool:
        """May no level joint run at z from x0 to x1?"""
        return _is_taken(self.levels, z, x0, x1)


def _is_taken(
    joints: Sequence[tuple[float, float, float, float]], at: float, low: float, high: float
) -> bool:
    return any(
        abs(at - place) < clear - 0.5 and start < high - 0.5 and low < end - 0.5
        for place, start, end, clear in joints
    )


NOTHING_TAKEN = Taken()


class Stretch:
    """An unbroken stretch of one course: where joints may be, and what lies between them."""

    def __init__(
        self,
        face: Face,
        shape: Polygon,
        lay: Lay,
        boards: Sequence[BoardSize],
        rules: LiningRules,
        taken: Taken = NOTHING_TAKEN,
        level_joints: Sequence[float] = (),
    ) -> None:
        self.level_joints = level_joints
        self.shape, self.lay, self.boards, self.rules = shape, lay, boards, rules
        x0, z0, x1, z1 = shape.bounds
        clear = rules.corner_clear_mm
        near = [x for x, z in corners(face) if z0 - clear <= z <= z1 + clear]
        allowed = dict.fromkeys(
            support.x_mm
            for support in bearing(face)
            if x0 + rules.least_piece_mm <= support.x_mm <= x1 - rules.least_piece_mm
            and all(abs(support.x_mm - x) >= clear for x in near)
            and not taken.upright(support.x_mm, z0, z1)
        )
        self.ends = [x0, *allowed, x1]
        rate = rules.joint_cost_per_m + (rules.butt_extra_per_m if lay == "across" else 0)
        uprights = shapely.linestrings([[(x, z0), (x, z1)] for x in self.ends])
        lengths = shapely.length(shapely.intersection(shape, uprights))
        self._joint = [
            round(float(length) / 1000 * rate) + rules.same_stud_cost * taken.is_dear(x)
            for x, length in zip(self.ends, lengths, strict=True)
        ]
        self._from: dict[int, list[tuple[LaidPart, ...] | None]] = {}

    def between(self, a: int, b: int) -> tuple[LaidPart, ...] | None:
        """The pieces between two joint places; None where no board or no person can do it."""
        if a not in self._from:
            self._from[a] = self._pieces_from(a)
        return self._from[a][b - a - 1]

    def _pieces_from(self, a: int) -> list[tuple[LaidPart, ...] | None]:
        """The pieces from one joint place to each after it, all cut out in one go."""
        _, z0, _, z1 = self.shape.bounds
        ends = np.array(self.ends[a + 1 :])
        low, foot, head = (np.full(len(ends), at) for at in (self.ends[a], z0, z1))
        cut = shapely.intersection(self.shape, shapely.box(low, foot, ends, head))
        bounds, areas = shapely.bounds(cut).tolist(), shapely.area(cut).tolist()
        found: list[tuple[LaidPart, ...] | None] = []
        for place, shape in enumerate(cut.tolist()):
            b = a + 1 + place
            pieces: list[_Cut] = [(shape, tuple(bounds[place]), areas[place])]
            if not isinstance(shape, Polygon) or areas[place] <= SLIVER:
                pieces = [(piece, piece.bounds, piece.area) for piece in _polygons(shape)]
            parts = _parts(pieces, self.lay, self.boards, self.rules)
            if parts is not None and any(self._sliver(part, a, b) for part in parts):
                parts = None
            found.append(parts)
        return found

    def _sliver(self, part: LaidPart, a: int, b: int) -> bool:
        """Does a joint leave this piece narrower or lower than any may be? Where the wall itself
        leaves no more, no joint is to blame."""
        left, bottom, right, top = part.bounds
        if right - left < self.rules.least_piece_mm - 0.5 and (
            (a > 0 and left - self.ends[a] < 0.05)
            or (b < len(self.ends) - 1 and self.ends[b] - right < 0.05)
        ):
            return True
        return top - bottom < self.rules.least_course_mm - 0.5 and any(
            min(abs(bottom - z), abs(top - z)) < 0.05 for z in self.level_joints
        )

    @cached_property
    def fewest(self) -> tuple[Run, ...]:
        """The choices with the fewest joints."""
        return tuple(islice(self._paths(None), MOST_OPTIONS))

    def options(self, most: int) -> tuple[tuple[Run, ...], bool]:
        """Every choice of joints whose joints and lifts cost at most `most`, fewest joints first,
        and whether some were left out because there are too many."""
        found = tuple(islice(self._paths(most), MOST_OPTIONS))
        return found, len(found) == MOST_OPTIONS

    def _paths(self, most: int | None) -> Iterator[Run]:
        """Choices by number of joints. Without `most`, only those with the fewest."""
        last = len(self.ends) - 1
        paths: list[tuple[tuple[int, ...], int]] = [((0,), 0)]
        while paths:
            longer: list[tuple[tuple[int, ...], int]] = []
            whole = False
            for path, spent in paths:
                for b in range(path[-1] + 1, last + 1):
                    parts = self.between(path[-1], b)
                    if parts is None:
                        continue
                    cost = spent + self.rules.lift_cost * len(parts)
                    cost += self._joint[b] if b < last else 0
                    if most is not None and cost > most:
                        continue
                    if b == last:
                        whole = True
                        yield self._run((*path, b), cost)
                    else:
                        longer.append(((*path, b), cost))
            if whole and most is None:
                return
            paths = longer

    def _run(self, path: tuple[int, ...], cost: int) -> Run:
        parts = [part for a, b in pairwise(path) for part in self.between(a, b) or ()]
        return Run(tuple(self.ends[place] for place in path[1:-1]), tuple(parts), cost)


@dataclass(frozen=True, slots=True)
class Stack:
    """One way to stack courses: levels of their edges, and the stretches of each course.

    `level_cost` is the weight of the level joints; a stretch comes with its course number.
    """

    lay: Lay
    levels: tuple[float, ...]
    level_cost: int
    stretches: tuple[tuple[int, Stretch], ...]


def surface(face: Face, rules: LiningRules) -> BaseGeometry:
    """What is to be covered: the outline above the floor gap, less the holes."""
    whole: BaseGeometry = Polygon(face.outline)
    for hole in face.holes:
        whole = whole.difference(Polygon(hole))
    x0, z0, x1, z1 = whole.bounds
    return whole.intersection(box(x0, z0 + rules.floor_gap_mm, x1, z1))


def corners(face: Face) -> list[tuple[float, float]]:
    """The corners of all openings."""
    return [corner for hole in face.holes for corner in hole]


def bearing(face: Face) -> list[Support]:
    """Supports wide enough to carry a joint, left to right."""
    return sorted(
        (s for s in face.supports if s.joint and s.width_mm >= LEAST_BEARING), key=lambda s: s.x_mm
    )


def stagger(face: Face, rules: LiningRules) -> float:
    """Least shift between joints of neighbouring courses: as given, or one support spacing."""
    if rules.stagger_mm is not None:
        return rules.stagger_mm
    places = sorted({support.x_mm for support in face.supports})
    gaps = [b - a for a, b in pairwise(places) if b - a > 1]
    return median(gaps) if gaps else 0.0


def stacks(
    face: Face, boards: Sequence[BoardSize], rules: LiningRules, taken: Taken = NOTHING_TAKEN
) -> Iterator[Stack]:
    """Every way to stack courses on this face that the rules allow, with joints that keep off those
    that are `taken`."""
    area = surface(face, rules)
    if area.is_empty:
        return
    x0, low, x1, high = area.bounds
    known: dict[tuple[Lay, float, float], list[Stretch]] = {}
    near = [z for _, z in corners(face)]
    for lay in rules.lays:
        ways = (
            _levels(low, high, boards, rules.least_course_mm) if lay == "across" else [(low, high)]
        )
        for levels in ways:
            inner = levels[1:-1]
            if any(abs(level - z) < rules.corner_clear_mm for level in inner for z in near):
                continue
            if any(taken.level(z, *run) for z in inner for run in _level_runs(area, z)):
                continue
            stretches: list[tuple[int, Stretch]] = []
            for course, (bottom, top) in enumerate(pairwise(levels)):
                key = (lay, bottom, top)
                if key not in known:
                    joints = [z for z in (bottom, top) if low < z < high]
                    band = area.intersection(box(x0, bottom, x1, top))
                    known[key] = [
                        Stretch(face, p, lay, boards, rules, taken, joints) for p in _polygons(band)
                    ]
                stretches += [(course, stretch) for stretch in known[key]]
            if all(stretch.fewest for _, stretch in stretches):
                level_mm = sum(
                    area.intersection(LineString([(x0, z), (x1, z)])).length for z in levels[1:-1]
                )
                cost = round(level_mm / 1000 * rules.joint_cost_per_m)
                yield Stack(lay, levels, cost, tuple(stretches))


def _level_runs(area: BaseGeometry, z: float) -> list[tuple[float, float]]:
    """From where to where does a level line at z run over the surface?"""
    x0, _, x1, _ = area.bounds
    cut = area.intersection(LineString([(x0, z), (x1, z)]))
    parts = getattr(cut, "geoms", [cut])
    return [(part.bounds[0], part.bounds[2]) for part in parts if part.length > 0.5]


def _levels(
    low: float, high: float, boards: Sequence[BoardSize], least: float
) -> list[tuple[float, ...]]:
    """Levels of course edges from bottom to top: whole widths, one ripped at the top or bottom.

    Where the ripped one would be lower than `least`, a whole width is ripped as well: one of the
    two lies at the bottom and one at the top, so that the joints between keep the boards' edges.
    """
    widths = sorted({board.width_mm for board in boards}, reverse=True)
    height = high - low
    most = -int(-height // max(widths)) + 1
    found: dict[tuple[float, ...], None] = {}

    def keep(order: Sequence[float]) -> None:
        edges = list(itertools.accumulate(order, initial=low))
        found[(*edges[:-1], high)] = None

    def grow(done: tuple[float, ...]) -> None:
        left = height - sum(done)
        if left <= 0.05:
            return
        for width in widths:
            if width >= left - 0.05:
                if left >= least - 0.05 or not done:
                    keep((*done, left))
                    keep((left, *done))
                    continue
                for place in range(len(done)):
                    whole = (*done[:place], *done[place + 1 :])
                    both = done[place] + left
                    for bottom in (least, both / 2, both - least):
                        if min(bottom, both - bottom) >= least - 0.05:
                            keep((bottom, *whole, both - bottom))
            elif len(done) + 1 < most:
                grow((*done, width))

    grow(())
    return list(found)


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    """The polygons in a shape, left to right, without slivers."""
    parts = getattr(shape, "geoms", [shape])
    found = [part for part in parts if isinstance(part, Polygon) and part.area > SLIVER]
    return sorted(found, key=lambda part: part.bounds)


_Cut = tuple[Polygon, tuple[float, float, float, float], float]
"""A piece with its bounds and its area."""


def _parts(
    pieces: Sequence[_Cut], lay: Lay, boards: Sequence[BoardSize], rules: LiningRules
) -> tuple[LaidPart, ...] | None:
    """These pieces as parts of a layout, or None where no board or no person can do one."""
    parts: list[LaidPart] = []
    for piece, bounds, area in pieces:
        left, bottom, right, top = bounds
        wide, high = round((right - left) * TENTHS), round((top - bottom) * TENTHS)
        size = (wide, high) if lay == "across" else (high, wide)
        lightest = min(
            (
                board.kg_per_m2
                for board in boards
                if size[0] <= round(board.length_mm * TENTHS)
                and size[1] <= round(board.width_mm * TENTHS)
            ),
            default=None,
        )
        if lightest is None or area * lightest / 1e6 > rules.people * rules.lift_kg_each:
            return None
        parts.append(LaidPart(piece, bounds, lay, size))
    return tuple(parts)
