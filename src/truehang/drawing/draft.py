"""Where does each dimension and label go so that nothing on the drawing collides?

A `Draft` collects geometry first, then dimensions and labels, and places them when it is closed:
dimensions on tiers outside the geometry (short ones inside, long ones outside), running marks
spread apart with bent lines, labels at the first free place near what they name.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from truehang.drawing import metrics, strokes
from truehang.drawing.scene import (
    TEXT_HEIGHT,
    Arc,
    Box,
    Circle,
    Dimension,
    HatchKind,
    Item,
    Layer,
    Leader,
    Line,
    Point,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from truehang.lengths import held, lead

if TYPE_CHECKING:
    from truehang.drawing.sheet import Sheet

Edge = Literal["above", "below", "left", "right"]

FIRST_TIER = 4.0
TIER = 6.4
TIERS = 14
OFF_LINE = 1.0
"""From the dimension line to its text, mm on paper."""
OVER = 1.4
"""How much higher a text stands that hangs over its own ticks, mm on paper."""
CLEAR = 0.5
"""Least clear paper round a text, mm."""
PITCH = 1.5
"""Pitch of running marks, in text heights."""
_UP = (0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.4, -0.4)
_ALONG = (0.0, 0.12, -0.12, 0.25, -0.25, 0.38, -0.38)
"""Where a label may stand in its region, as shares of the room left over, best first."""
BEND = 4.0
"""Length of the slanting part of a running mark, mm on paper."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A dimension waiting for its tier."""

    edge: Edge
    low: float
    high: float
    words: str
    text: str
    plain: bool


@dataclass(frozen=True, slots=True)
class _Label:
    """A label waiting for its place: inside `region` if there is room, else beside with a line."""

    text: str
    target: Point
    region: Box | None
    bold: bool
    height: float


def _grow(box: Box, by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _segment_meets(seg: tuple[float, float, float, float], box: Box) -> bool:
    """Does a segment pass through the inside of a box? (Liang and Barsky's clipping.)"""
    x, y, x2, y2 = seg
    dx, dy = x2 - x, y2 - y
    enter, leave = 0.0, 1.0
    for step, low, high in ((dx, box[0] - x, box[2] - x), (dy, box[1] - y, box[3] - y)):
        if step == 0:
            if low >= 0 or high <= 0:
                return False
            continue
        near, far = sorted((low / step, high / step))
        enter, leave = max(enter, near), min(leave, far)
        if enter >= leave:
            return False
    return True


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places nearest to the wanted ones (rising) that stand at least `pitch` apart.

    Least squares, by pooling neighbours that would come too close (isotonic regression).
    """
    pools: list[tuple[float, int]] = []
    for index, place in enumerate(wanted):
        mean, count = place - index * pitch, 1
        while pools and pools[-1][0] > mean:
            other, size = pools.pop()
            mean = (mean * count + other * size) / (count + size)
            count += size
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    return [mean + index * pitch for index, mean in enumerate(flat)]


class Draft:
    """A drawing in the making, at one scale. `mirror` draws it as seen from behind.

    With a `highlight`, geometry whose part is named in it is drawn heavy and all else faint.
    """

    def __init__(
        self, scale: float, *, mirror: bool = False, highlight: Iterable[str] = ()
    ) -> None:
        self.scale = scale
        self.mirror = mirror
        self.highlight = frozenset(highlight)
        self.items: list[Item] = []
        self._segments: list[tuple[float, float, float, float]] = []
        self._array: np.ndarray | None = None
        self._boxes: list[Box] = []
        self._areas: list[Box] = []
        self._wanted: list[_Wanted] = []
        self._labels: list[_Label] = []
        self._runs: list[tuple[Edge, tuple[tuple[float, str], ...]]] = []
        self._spans: dict[tuple[Edge, int], list[tuple[float, float]]] = {}
        self._reach: Box | None = None

    # --- geometry -----------------------------------------------------------------------------

    def x(self, x: float) -> float:
        """World x on the drawing: turned over when seen from behind."""
        return -x if self.mirror else x

    def _point(self, point: Point) -> Point:
        return (self.x(point[0]), point[1])

    def _layer(self, layer: Layer, part: str) -> Layer:
        if not self.highlight:
            return layer
        return Layer.FAINT if self.highlight.isdisjoint(part.split()) else Layer.MARKED

    def _stretch(self, points: Iterable[Point]) -> None:
        for x, y in points:
            if self._reach is None:
                self._reach = (x, y, x, y)
            else:
                a, b, c, d = self._reach
                self._reach = (min(a, x), min(b, y), max(c, x), max(d, y))

    def _block(self, points: Sequence[Point]) -> None:
        self._segments += [(*a, *b) for a, b in pairwise(points)]
        self._array = None

    def line(self, layer: Layer, a: Point, b: Point, part: str = "") -> None:
        """A straight line."""
        self.polyline(layer, (a, b), part)

    def polyline(self, layer: Layer, points: Sequence[Point], part: str = "") -> None:
        """An open line."""
        placed = tuple(self._point(point) for point in points)
        layer = self._layer(layer, part)
        self.items.append(
            Line(layer, placed[0], placed[1], part)
            if len(placed) == 2
            else Polyline(layer, placed, part)
        )
        self._block(placed)
        self._stretch(placed)

    def polygon(
        self,
        layer: Layer,
        points: Sequence[Point],
        hatch: HatchKind | None = None,
        part: str = "",
        *,
        edge: bool = True,
    ) -> None:
        """A closed shape; text keeps off it when it is hatched."""
        placed = tuple(self._point(point) for point in points)
        layer = self._layer(layer, part)
        self.items.append(Polygon(layer, placed, hatch, edge, part))
        if edge:
            self._block((*placed, placed[0]))
        if hatch:
            xs, ys = zip(*placed, strict=True)
            self._areas.append((min(xs), min(ys), max(xs), max(ys)))
        self._stretch(placed)

    def rectangle(
        self, layer: Layer, box: Box, hatch: HatchKind | None = None, part: str = ""
    ) -> None:
        """An upright rectangle."""
        x0, y0, x1, y1 = box
        self.polygon(layer, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), hatch, part)

    def circle(self, layer: Layer, centre: Point, radius: float, part: str = "") -> None:
        """A circle."""
        x, y = self._point(centre)
        self.items.append(Circle(self._layer(layer, part), (x, y), radius, part))
        ring = [
            (x + radius * math.cos(turn), y + radius * math.sin(turn))
            for turn in np.linspace(0.0, 2 * math.pi, 13).tolist()
        ]
        self._block(ring)
        self._stretch(((x - radius, y - radius), (x + radius, y + radius)))

    def arc(
        self, layer: Layer, centre: Point, radius: float, start: float, end: float, part: str = ""
    ) -> None:
        """An arc, degrees anticlockwise as drawn."""
        x, y = self._point(centre)
        self.items.append(Arc(self._layer(layer, part), (x, y), radius, start, end, part))
        if end < start:
            end += 360
        bow = [
            (x + radius * math.cos(math.radians(t)), y + radius * math.sin(math.radians(t)))
            for t in np.linspace(start, end, 9).tolist()
        ]
        self._block(bow)
        self._stretch(bow)

    def text(self, text: Text) -> None:
        """A text at a place the view has chosen (already as drawn, not turned over)."""
        self.items.append(text)
        box = metrics.box(text, self.scale)
        self._boxes.append(box)
        self._stretch(((box[0], box[1]), (box[2], box[3])))

    # --- what is asked for --------------------------------------------------------------------

    def dimension(
        self, edge: Edge, low: float, high: float, text: str, words: str = "", plain: bool = True
    ) -> None:
        """Ask for a dimension from low to high (x above or below, z at the left or right).

        `plain` text is mm; it is told as the measured number only where it is just that.
        """
        words = lead(words)
        plain = plain and abs(float(text) - abs(high - low)) < 1e-6
        if edge in ("above", "below"):
            low, high = sorted((self.x(low), self.x(high)))
        if high - low > 1e-9:
            whole = f"{words} {text}".strip()
            self._wanted.append(_Wanted(edge, low, high, words, whole, plain))

    def running(self, edge: Edge, marks: Iterable[tuple[float, str]]) -> None:
        """Ask for running marks (place on the axis, text) along an edge."""
        turned = edge in ("above", "below")
        placed = tuple(sorted((self.x(at) if turned else at, text) for at, text in marks))
        self._runs.append((edge, placed))

    def label(
        self,
        text: str,
        target: Point,
        region: Box | None = None,
        *,
        bold: bool = False,
        height: float = TEXT_HEIGHT,
    ) -> None:
        """Ask for a label of `target`, inside `region` if it can be read there."""
        if region is not None and self.mirror:
            region = (-region[2], region[1], -region[0], region[3])
        self._labels.append(_Label(text, self._point(target), region, bold, height))

    # --- placing ------------------------------------------------------------------------------

    def _free(self, box: Box) -> bool:
        grown = _grow(box, CLEAR * self.scale)
        if any(_meet(grown, other) for other in self._boxes):
            return False
        if any(_meet(grown, other) for other in self._areas):
            return False
        if not self._segments:
            return True
        if self._array is None:
            self._array = np.array(self._segments)
        x1, y1, x2, y2 = self._array.T
        near = (
            (np.minimum(x1, x2) < grown[2])
            & (np.maximum(x1, x2) > grown[0])
            & (np.minimum(y1, y2) < grown[3])
            & (np.maximum(y1, y2) > grown[1])
        )
        return not any(_segment_meets(tuple(seg), grown) for seg in self._array[near].tolist())

    def _crosses_text(self, segments: Iterable[strokes.Segment]) -> bool:
        grown = [_grow(box, CLEAR / 2 * self.scale) for box in self._boxes]
        return any(_segment_meets((*a, *b), box) for a, b in segments for box in grown)

    def _bounds(self) -> Box:
        if self._reach is None:
            return (0.0, 0.0, 0.0, 0.0)
        return self._reach

    def _place_dimensions(self, body: Box) -> None:
        order = sorted(
            self._wanted, key=lambda wanted: (round(wanted.high - wanted.low, 3), wanted.low)
        )
        for index, wanted in enumerate(order):
            later = [w for w in order[index + 1 :] if w.edge == wanted.edge]
            self._place_dimension(wanted, body, {end for w in later for end in (w.low, w.high)})

    def _dimension_at(self, wanted: _Wanted, body: Box, tier: int, where: int) -> Dimension:
        k = self.scale
        away = (FIRST_TIER + tier * TIER) * k
        level = {
            "above": body[3] + away,
            "below": body[1] - away,
            "left": body[0] - away,
            "right": body[2] + away,
        }[wanted.edge]
        base = {"above": body[3], "below": body[1], "left": body[0], "right": body[2]}[wanted.edge]
        wide = metrics.width(wanted.text, TEXT_HEIGHT) * k
        beside = wide / 2 + 2.0 * k
        middle = (wanted.low + wanted.high) / 2
        along = (middle, wanted.high + beside, wanted.low - beside, middle)[where]
        reach = (
            (wanted.low, wanted.high),
            (wanted.low, wanted.high + beside + wide / 2),
            (wanted.low - beside - wide / 2, wanted.high),
            (wanted.low, wanted.high),
        )[where]
        lift = (OFF_LINE + TEXT_HEIGHT / 2 + (OVER if where == 3 else 0.0)) * k
        if wanted.edge in ("above", "below"):
            return Dimension(
                (wanted.low, base),
                (wanted.high, base),
                "x",
                level,
                wanted.text,
                (along, level + lift),
                reach,
                wanted.words,
                wanted.plain,
            )
        return Dimension(
            (base, wanted.low),
            (base, wanted.high),
            "z",
            level,
            wanted.text,
            (level - lift, along),
            reach,
            wanted.words,
            wanted.plain,
        )

    def _place_dimension(self, wanted: _Wanted, body: Box, later: set[float]) -> None:
        """Put a dimension on the first tier where it is free.

        Text that has no room between its ticks goes beside them, or over them; first where no
        extension line of the `later`, longer dimensions will want to pass.
        """
        k = self.scale
        fits = metrics.width(wanted.text, TEXT_HEIGHT) * k + 2.4 * k <= wanted.high - wanted.low
        upright = wanted.edge in ("left", "right")
        centre = (body[1] + body[3]) / 2 if upright else (body[0] + body[2]) / 2
        outward = (1, 2) if (wanted.low + wanted.high) / 2 > centre else (2, 1)
        ways = (0,) if fits else (*outward, 3)
        for kept in (later, set[float]()):
            for tier in range(TIERS):
                for where in ways:
                    dim = self._dimension_at(wanted, body, tier, where)
                    if self._try_dimension(dim, wanted.edge, tier, kept):
                        return
        self._labels.append(
            _Label(wanted.text, self._dimension_at(wanted, body, 0, 0).a, None, False, TEXT_HEIGHT)
        )

    def _try_dimension(self, dim: Dimension, edge: Edge, tier: int, kept: set[float]) -> bool:
        k = self.scale
        taken = self._spans.setdefault((edge, tier), [])
        low, high = dim.reach
        slack = 0.2 * k
        if any(low < b - slack and a < high - slack for a, b in taken):
            return False
        box = metrics.box(strokes.dimension_text(dim), k)
        start, end = (box[0], box[2]) if dim.axis == "x" else (box[1], box[3])
        if any(start - CLEAR * k < at < end + CLEAR * k for at in kept):
            return False
        lines = (strokes.dimension_line(dim), *strokes.extension_lines(dim, k))
        if not self._free(box) or self._crosses_text((*lines, *strokes.ticks(dim, k))):
            return False
        taken.append(dim.reach)
        self._add_dimension(dim, box, lines)
        return True

    def _add_dimension(self, dim: Dimension, box: Box, lines: Sequence[strokes.Segment]) -> None:
        self.items.append(dim)
        self._boxes.append(box)
        for a, b in (*lines, *strokes.ticks(dim, self.scale)):
            self._block((a, b))
            self._stretch((a, b))
        self._stretch(((box[0], box[1]), (box[2], box[3])))

    def _place_runs(self) -> None:
        for edge, marks in self._runs:
            self._place_run(edge, marks, self._bounds())

    def _place_run(self, edge: Edge, marks: Sequence[tuple[float, str]], body: Box) -> None:
        k = self.scale
        places = spread([at for at, _ in marks], PITCH * TEXT_HEIGHT * k)
        out = 1.0 if edge in ("above", "right") else -1.0
        base = {"above": body[3], "below": body[1], "left": body[0], "right": body[2]}[edge]
        upright = edge in ("above", "below")
        for (at, words), place in zip(marks, places, strict=True):
            stops = ((at, 0.5), (at, 1.5), (place, 1.5 + BEND), (place, 2.2 + BEND))
            way = tuple((along, base + out * away * k) for along, away in stops)
            foot = (place, base + out * (2.9 + BEND) * k)
            if not upright:
                way, foot = tuple((b, a) for a, b in way), (foot[1], foot[0])
            self.items.append(Polyline(Layer.DIM, way))
            self._block(way)
            self._stretch(way)
            self.text(
                Text(
                    foot,
                    words,
                    across="left" if out > 0 else "right",
                    upright="middle",
                    turn=90 if upright else 0,
                )
            )

    def _place_labels(self) -> None:
        for label in self._labels:
            if not (label.region and self._label_inside(label)):
                self._label_beside(label)

    def _label_inside(self, label: _Label) -> bool:
        assert label.region is not None
        x0, y0, x1, y1 = label.region
        for turn in (0, 90):
            at_middle = Text(
                ((x0 + x1) / 2, (y0 + y1) / 2),
                label.text,
                label.height,
                "middle",
                "middle",
                turn,
                label.bold,
            )
            box = metrics.box(at_middle, self.scale)
            spare_x, spare_y = (x1 - x0) - (box[2] - box[0]), (y1 - y0) - (box[3] - box[1])
            if spare_x <= 0 or spare_y <= 0:
                continue
            for v in _UP:
                for u in _ALONG:
                    dx, dy = u * spare_x, v * spare_y
                    if self._free((box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy)):
                        at = (at_middle.at[0] + dx, at_middle.at[1] + dy)
                        self.text(replace(at_middle, at=at))
                        return True
        return False

    def _label_beside(self, label: _Label) -> None:
        k = self.scale
        reach = self._bounds()
        far = max(reach[2] - reach[0], reach[3] - reach[1]) / k
        away = 6.0
        while away < far + 40.0:
            for degrees in (45, 135, 315, 225, 20, 160, 340, 200, 70, 110, 290, 250):
                ux, uy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
                elbow = (label.target[0] + ux * away * k, label.target[1] + uy * away * k)
                right = ux > 0
                end = (elbow[0] + (2.0 if right else -2.0) * k, elbow[1])
                text = Text(
                    (end[0] + (0.8 if right else -0.8) * k, end[1]),
                    label.text,
                    label.height,
                    "left" if right else "right",
                    "middle",
                    0,
                    label.bold,
                )
                way = (label.target, elbow, end)
                box = metrics.box(text, k)
                if self._free(box) and not self._crosses_text(pairwise(way)):
                    self.items.append(Leader(way))
                    self._block(way)
                    self._stretch(way)
                    self.text(text)
                    return
            away *= 1.3
        self._label_outside(label, reach)

    def _label_outside(self, label: _Label, reach: Box) -> None:
        """The last place of all: right of everything, led there even across other words.

        A callout without its line would be read as belonging to whatever stands nearest.
        """
        k = self.scale
        x, z = label.target
        rows = [z + step * 2.0 * label.height * k for step in sorted(range(-40, 41), key=abs)]
        texts = [
            Text((reach[2] + 5.8 * k, row), label.text, label.height, upright="middle")
            for row in rows
        ]
        free = [text for text in texts if self._free(metrics.box(text, k))] or texts[:1]
        clear = [t for t in free if not self._crosses_text(pairwise(self._way(x, z, t)))]
        text = (clear or free)[0]
        way = self._way(x, z, text)
        self.items.append(Leader(way))
        self._block(way)
        self._stretch(way)
        self.text(text)

    def _way(self, x: float, z: float, text: Text) -> tuple[Point, ...]:
        end = (text.at[0] - 0.8 * self.scale, text.at[1])
        return ((x, z), (end[0] - 2.0 * self.scale, end[1]), end)

    # --- closing ------------------------------------------------------------------------------

    def close(
        self,
        key: str,
        title: str,
        *,
        keys: Sequence[tuple[Layer, str]] = (),
        notes: Sequence[str] = (),
        bar: tuple[float, str] | None = None,
        to_scale: bool = True,
        least_width: float = 130.0,
        headed: bool = True,
        page: Sheet | None = None,
    ) -> Scene:
        """Place all that was asked for and hand the drawing over.

        `keys` explains line kinds, `notes` are lines of text under the drawing, `bar` is the
        length (mm) and text of a scale bar. `headed` False leaves the title out, and with it all
        that stands beside and under it. On a `page`, they run over its whole width where the
        drawing would else be too high for it: words are no reason for a smaller scale.
        """
        body = self._bounds()
        self._place_dimensions(body)
        self._place_runs()
        self._place_labels()
        bare = len(self.items), len(self._boxes), self._reach
        widths = [least_width] if page is None else [least_width, page.landscape[0] - 2.0]
        for width in widths:
            del self.items[bare[0] :], self._boxes[bare[1] :]
            self._reach = bare[2]
            if headed:
                self._foot(title, keys, notes, bar, to_scale, width)
            x0, y0, x1, y1 = _grow(self._bounds(), 1.0 * self.scale)
            scene = Scene(key, title, self.scale, tuple(self.items), (x0, y0), (x1, y1), to_scale)
            if page is None or page.holds(scene.paper):
                break
        return scene

    def _foot(
        self,
        title: str,
        keys: Sequence[tuple[Layer, str]],
        notes: Sequence[str],
        bar: tuple[float, str] | None,
        to_scale: bool,
        least_width: float,
    ) -> None:
        k = self.scale
        x0, y0, x1, _ = self._bounds()
        room = max(x1 - x0, least_width * k)
        x, y = x0, y0 - 6.5 * k
        # A plot, which is drawn at 1:1 on the paper, has no scale to speak of.
        scale = f", 1:{k:g}" if to_scale else "" if k == 1.0 else ", not to scale"
        head = Text((x, y), f"{title}{scale}", 3.0, bold=True)
        self.text(head)
        x = metrics.box(head, k)[2] + 6.0 * k
        if bar is not None:
            length, words = bar
            wide = length + metrics.width(words, TEXT_HEIGHT) * k + 2.0 * k
            if x + wide > x0 + room:
                x, y = x0, y - 5.5 * k
            self._bar((x, y), length, words)
            x += wide + 6.0 * k
        for layer, words in keys:
            wide = (14.0 + metrics.width(words, TEXT_HEIGHT)) * k
            if x + wide > x0 + room:
                x, y = x0, y - 5.0 * k
            middle = y + TEXT_HEIGHT / 2 * k
            self.items.append(Line(layer, (x, middle), (x + 12.0 * k, middle)))
            self.text(Text((x + 13.5 * k, y), words))
            x += wide + 5.0 * k
        for note in notes:
            wide = metrics.width(note, TEXT_HEIGHT) * k
            if x + wide <= x0 + room:
                self.text(Text((x, y), note))
                x += wide + 4.0 * k
                continue
            for row in _wrap(note, room / k):
                y -= 4.6 * k
                self.text(Text((x0, y), row))
                x = x0 + (metrics.width(row, TEXT_HEIGHT) + 4.0) * k

    def _bar(self, at: Point, length: float, words: str) -> None:
        x, y = at
        deep = 1.5 * self.scale
        for part in range(4):
            left = x + part * length / 4
            box = (
                (left, y),
                (left + length / 4, y),
                (left + length / 4, y + deep),
                (left, y + deep),
            )
            self.items.append(
                Polygon(Layer.DIM, box, "solid" if part % 2 == 0 else None, part="scale bar")
            )
        self.text(Text((x + length + 1.5 * self.scale, y), words))


def _wrap(note: str, room: float) -> list[str]:
    rows = [""]
    for word in re.split(" +", held(note.strip())):
        longer = f"{rows[-1]} {word}".strip()
        if rows[-1] and metrics.width(longer, TEXT_HEIGHT) > room:
            rows.append(word)
        else:
            rows[-1] = longer
    return [row.replace("\u00a0", " ") for row in rows]
