"""What shape is a piece, as it is seen from its own side, and as it lies on its board?"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from truehang.lining.model import Lay, Notch, Point, SheetPiece

EPS = 0.05


def seen(shape: Polygon, mirrored: bool) -> tuple[Point, ...]:
    """The corners from the piece's left and lower edges, as whoever faces it sees them."""
    x0, z0, x1, _ = shape.bounds
    ring = list(shape.exterior.coords)[:-1]
    corners = [(x1 - x if mirrored else x - x0, z - z0) for x, z in ring]
    return tuple(corners[::-1] if mirrored else corners)


def notches(corners: Sequence[Point]) -> tuple[Notch, ...]:
    """The rectangles to cut out of the bounding rectangle, left to right; () where the shape has a
    side that is neither level nor plumb."""
    shape = Polygon(corners)
    x0, z0, x1, z1 = shape.bounds
    if any(
        abs(a[0] - b[0]) > EPS and abs(a[1] - b[1]) > EPS
        for a, b in pairwise([*corners, corners[0]])
    ):
        return ()
    gone = box(x0, z0, x1, z1).difference(shape)
    places = sorted({round(x, 6) for x, _ in corners})
    open_: dict[tuple[float, float], float] = {}
    found: list[Notch] = []

    def close(span: tuple[float, float], right: float) -> None:
        left = open_.pop(span)
        found.append(Notch(left - x0, span[0] - z0, right - left, span[1] - span[0]))

    for a, b in pairwise(places):
        here = set(_spans(gone.intersection(box(a, z0, b, z1)), b - a))
        for span in [span for span in open_ if span not in here]:
            close(span, a)
        for span in here:
            open_.setdefault(span, a)
    for span in list(open_):
        close(span, x1)
    return tuple(sorted(found, key=lambda n: (n.left_mm, n.bottom_mm)))


def _spans(strip: BaseGeometry, wide: float) -> list[tuple[float, float]]:
    """From which to which height is a strip cut out? Its parts are as wide as it is."""
    if wide < EPS:
        return []
    parts = [part for part in getattr(strip, "geoms", [strip]) if part.area > EPS]
    return [(round(part.bounds[1], 6), round(part.bounds[3], 6)) for part in parts]


def on_board(piece: SheetPiece, corners: Sequence[Point], lay: Lay) -> tuple[Point, ...]:
    """The corners of a piece where it lies on its board, face up."""
    placed = []
    for x, z in corners:
        along, across = (x, z) if lay == "across" else (z, piece.width_mm - x)
        if piece.turned:
            along, across = piece.length_mm - along, piece.width_mm - across
        placed.append((piece.along_mm + along, piece.across_mm + across))
    return tuple(placed)
