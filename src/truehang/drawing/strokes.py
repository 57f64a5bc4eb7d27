"""Which plain strokes make up a dimension or a leader? One answer for every renderer and check."""

from __future__ import annotations

from truehang.drawing.scene import Dimension, Point, Text

GAP = 1.0
"""From the feature to the start of its extension line, mm on paper."""
PAST = 1.2
"""How far an extension line runs past the dimension line, mm on paper."""
TICK = 0.9
"""Half the length of the slanting tick along each axis, mm on paper."""

Segment = tuple[Point, Point]


def _place(dim: Dimension, along: float, across: float) -> Point:
    return (along, across) if dim.axis == "x" else (across, along)


def extension_lines(dim: Dimension, scale: float) -> tuple[Segment, ...]:
    """The two extension lines; none where the line lies on the feature."""
    along, across = (0, 1) if dim.axis == "x" else (1, 0)
    lines = []
    for point in (dim.a, dim.b):
        way = dim.line - point[across]
        if abs(way) > GAP * scale:
            sign = 1.0 if way > 0 else -1.0
            start = _place(dim, point[along], point[across] + sign * GAP * scale)
            end = _place(dim, point[along], dim.line + sign * PAST * scale)
            lines.append((start, end))
    return tuple(lines)


def dimension_line(dim: Dimension) -> Segment:
    """The dimension line over its whole reach."""
    return (_place(dim, dim.reach[0], dim.line), _place(dim, dim.reach[1], dim.line))


def ticks(dim: Dimension, scale: float) -> tuple[Segment, ...]:
    """The slanting ticks where the dimension line meets the extension lines."""
    along = 0 if dim.axis == "x" else 1
    half = TICK * scale
    found = []
    for point in (dim.a, dim.b):
        x, y = _place(dim, point[along], dim.line)
        found.append(((x - half, y - half), (x + half, y + half)))
    return tuple(found)


def dimension_text(dim: Dimension) -> Text:
    """The text of a dimension as a text of its own."""
    turn = 0 if dim.axis == "x" else 90
    return Text(dim.text_at, dim.text, across="middle", upright="middle", turn=turn)
