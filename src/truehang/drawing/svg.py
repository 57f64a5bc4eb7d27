"""How does a scene look as SVG? True to scale in mm, with real text and fixed number printing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import groupby
from math import cos, radians, sin
from xml.sax.saxutils import escape

from truehang.drawing import metrics, strokes
from truehang.drawing.scene import (
    PENS,
    Arc,
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

_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_PATTERNS: dict[HatchKind, str] = {
    "diagonal": '<path d="M0 3L3 0" stroke="#000" stroke-width="0.13"/>',
    "cross": '<path d="M0 3L3 0M0 0L3 3" stroke="#000" stroke-width="0.13"/>',
    "dots": '<circle cx="1.5" cy="1.5" r="0.2" fill="#000"/>',
}


def number(value: float) -> str:
    """A number to a thousandth, without trailing zeros or a minus before nought."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def svg(scene: Scene, *, standalone: bool = True, about: str = "") -> str:
    """The scene as an SVG document; `standalone` False leaves out the XML declaration. `about` says
    what it shows, for those who can't see it."""
    wide, high = scene.paper
    pen = _Pen(scene)
    body: list[str] = []
    for layer, items in groupby(scene.items, key=lambda item: item.layer):
        body.append(f'<g class="{layer.lower()}"{_stroke(layer)}>')
        for item in items:
            body += pen.draw(item)
        body.append("</g>")
    used = {i.hatch for i in scene.items if isinstance(i, Polygon) and i.hatch}
    patterns = "".join(
        f'<pattern id="h-{scene.key}-{kind}" width="3" height="3" '
        f'patternUnits="userSpaceOnUse">{art}</pattern>'
        for kind, art in _PATTERNS.items()
        if kind in used
    )
    size = f'width="{number(wide)}mm" height="{number(high)}mm"'
    head = '<?xml version="1.0" encoding="UTF-8"?>\n' if standalone else ""
    return (
        f'{head}<svg xmlns="http://www.w3.org/2000/svg" {size} '
        f'viewBox="0 0 {number(wide)} {number(high)}" role="img" fill="none" '
        f'font-family="{metrics.FAMILY}, sans-serif">'
        f"<title>{_clean(scene.title)}</title>"
        + (f"<desc>{_clean(about)}</desc>" if about else "")
        + (f"<defs>{patterns}</defs>" if patterns else "")
        + "\n"
        + "\n".join(body)
        + "\n</svg>\n"
    )


def _clean(text: str) -> str:
    return escape(_FORBIDDEN.sub("\ufffd", text), {'"': "&quot;"})


def _stroke(layer: Layer) -> str:
    pen = PENS[layer]
    dashes = ",".join(number(dash) for dash in pen.dashes)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f' stroke="#000" stroke-width="{number(pen.weight)}"{dashed}'


class _Pen:
    """Draws one scene's items in paper mm, y down."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene

    def at(self, point: Point) -> Point:
        scene = self.scene
        return (
            (point[0] - scene.low[0]) / scene.scale,
            (scene.high[1] - point[1]) / scene.scale,
        )

    def draw(self, item: Item) -> list[str]:
        match item:
            case Line():
                return [self.path(((item.a, item.b),))]
            case Polyline():
                return [self.chain(item.points)]
            case Polygon():
                return [self.polygon(item)]
            case Circle():
                x, y = self.at(item.centre)
                radius = number(item.radius / self.scene.scale)
                return [f'<circle cx="{number(x)}" cy="{number(y)}" r="{radius}"/>']
            case Arc():
                return [self.arc(item)]
            case Text():
                return [self.text(item)]
            case Leader():
                x, y = self.at(item.points[0])
                dot = f'<circle cx="{number(x)}" cy="{number(y)}" r="0.5" fill="#000"/>'
                return [self.chain(item.points), dot]
            case Dimension():
                scale = self.scene.scale
                lines = (strokes.dimension_line(item), *strokes.extension_lines(item, scale))
                ticks = self.path(strokes.ticks(item, scale), ' stroke-width="0.5"')
                return [self.path(lines), ticks, self.text(strokes.dimension_text(item))]

    def coordinates(self, points: Iterable[Point]) -> list[str]:
        return [f"{number(x)} {number(y)}" for x, y in map(self.at, points)]

    def path(self, segments: Iterable[strokes.Segment], extra: str = "") -> str:
        moves = "".join("M{}L{}".format(*self.coordinates(segment)) for segment in segments)
        return f'<path d="{moves}"{extra}/>'

    def chain(self, points: tuple[Point, ...]) -> str:
        return f'<path d="M{"L".join(self.coordinates(points))}"/>'

    def polygon(self, item: Polygon) -> str:
        fill = ""
        if item.hatch == "solid":
            fill = ' fill="#000"'
        elif item.hatch:
            fill = f' fill="url(#h-{self.scene.key}-{item.hatch})"'
        bare = "" if item.edge else ' stroke="none"'
        return f'<path d="M{"L".join(self.coordinates(item.points))}Z"{fill}{bare}/>'

    def arc(self, item: Arc) -> str:
        x, y = item.centre
        ends = [
            (x + item.radius * cos(radians(t)), y + item.radius * sin(radians(t)))
            for t in (item.start, item.end)
        ]
        first, last = self.coordinates(ends)
        large = 1 if (item.end - item.start) % 360 > 180 else 0
        radius = number(item.radius / self.scene.scale)
        return f'<path d="M{first}A{radius} {radius} 0 {large} 0 {last}"/>'

    def text(self, item: Text) -> str:
        x, y = self.at(metrics.baseline(item, self.scene.scale))
        size = number(item.height / metrics.CAP_HEIGHT)
        # Held to the width it was placed with, so that another font does not run into its
        # neighbours where this one isn't at hand.
        wide = number(metrics.width(item.text, item.height, item.bold))
        held = f' textLength="{wide}" lengthAdjust="spacingAndGlyphs"' if item.text else ""
        anchor = {"left": "", "middle": ' text-anchor="middle"', "right": ' text-anchor="end"'}
        turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if item.turn == 90 else ""
        weight = ' font-weight="700"' if item.bold else ""
        return (
            f'<text x="{number(x)}" y="{number(y)}" font-size="{size}" fill="#000" stroke="none"'
            f"{weight}{anchor[item.across]}{held}{turn}>{_clean(item.text)}</text>"
        )
