"""Do the numbers printed for a piece make that piece? Rebuilt from the printed text alone.

Source of the check: plane geometry, by Shapely's own polygons (GEOS), from numbers read back.
"""

from __future__ import annotations

import re
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box
from shapely.ops import unary_union

from truehang import catalogue, demo
from truehang.drawing import Sheet, lining_pictures
from truehang.drawing.scene import Text
from truehang.job import load
from truehang.lengths import format_length, parse_length
from truehang.lining import Piece, SheetPiece
from truehang.lining import Sheet as Bought
from truehang.lining.shape import notches
from truehang.pack.content import Table
from truehang.pack.printing import Printing
from truehang.pack.sections.lining import section
from truehang.plan import Plan, complete, plan

BOUGHT = catalogue.load()

NOTCH = re.compile(
    r"(?P<w>[^,]+) wide x (?P<h>[^,]+) high"
    r"(?:, (?P<level>bottom|top) (?P<side>left|right) corner"
    r"|, (?P<edge>bottom|top) edge, (?P<x>[^,]+) from left"
    r"|, (?P<wall>left|right) edge, (?P<z>[^,]+) up"
    r"|, (?P<hx>[^,]+) from left, (?P<hz>[^,]+) up)"
)


def rebuilt(long: str, wide: str, lay: str, cut_out: str) -> Polygon:
    """The piece as it hangs, from its printed numbers alone; its lower left corner at (0, 0)."""
    along, across = parse_length(plain(long)), parse_length(plain(wide))
    size = (along, across) if lay == "across" else (across, along)
    gone = [notch(told, *size) for told in cut_out.split("; ") if told]
    return box(0, 0, *size).difference(unary_union(gone)) if gone else box(0, 0, *size)


def notch(told: str, wide: float, high: float) -> Polygon:
    """One notch, from its printed words."""
    found = NOTCH.fullmatch(plain(told))
    assert found, told
    text = found.groupdict()
    w, h = parse_length(text["w"]), parse_length(text["h"])
    side, level = text["side"] or text["wall"], text["level"] or text["edge"]
    x = {"left": 0.0, "right": wide - w}.get(side or "")
    z = {"bottom": 0.0, "top": high - h}.get(level or "")
    x = parse_length(text["x"] or text["hx"]) if x is None else x
    z = parse_length(text["z"] or text["hz"]) if z is None else z
    return box(x, z, x + w, z + h)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").strip()


def hung(piece: Piece, mirrored: bool) -> Polygon:
    """The piece of the plan as whoever faces it sees it, from its lower left corner."""
    shape = Polygon(piece.outline)
    if mirrored:
        shape = affinity.scale(shape, -1, 1, origin=(0, 0))
    x0, z0, _, _ = shape.bounds
    return affinity.translate(shape, -x0, -z0)


@cache
def planned(file: str, feet: bool = False) -> Plan:
    texts = {name: text for one in demo.names() for name, text in demo.files(one)}
    job = load(texts[file])
    if feet:
        about = job.job.model_copy(update={"print": "feet-inches"})
        job = job.model_copy(update={"job": about})
    return complete(plan(job, BOUGHT), BOUGHT)


FILES = [
    "fernhollow.yaml",
    "quarry-house.yaml",
    "millrace-cottage.yaml",
    "granary-hall.yaml",
    "juniper-court.yaml",
    "tannery-f01.yaml",
    "tannery-s02.yaml",
]


@pytest.mark.parametrize("feet", [False, True])
@pytest.mark.parametrize("file", FILES)
def test_each_piece_is_made_from_the_numbers_of_the_pack(file: str, feet: bool) -> None:
    made = planned(file, feet)
    printing = Printing("feet-inches" if feet else "mm")
    step = 25.4 / 16 if feet else 1.0
    faces = [face for one in made.lining for face in one.faces]
    pieces = {p.id: (p, face.face.mirrored) for face in faces for p in face.pieces}
    seen = set()
    for block in section(made, printing, Nothing())[0].blocks:  # type: ignore[arg-type]
        heads = [column.head for column in block.columns] if isinstance(block, Table) else []
        if "Cut out of it" not in heads or not isinstance(block, Table):
            continue
        for row in block.rows:
            told = dict(zip(heads, row, strict=True))
            piece, mirrored = pieces[told["Piece"]]
            long, wide = told["Cut long × wide"].split(" × ")
            shape = rebuilt(long, wide, piece.lay, told["Cut out of it"])
            # Two numbers, each rounded to the printed step, place the far side of a notch.
            assert shape.hausdorff_distance(hung(piece, mirrored)) <= 1.5 * step
            seen.add(piece.id)
    assert seen == set(pieces)
    assert any(piece.notches for piece, _ in pieces.values()) or file != "fernhollow.yaml"


class Nothing:
    """An album without drawings."""

    def printed(self, *_: str) -> tuple[()]:
        return ()


@pytest.mark.parametrize("file", FILES)
def test_a_piece_marked_on_its_board_hangs_as_planned(file: str) -> None:
    # Geometry: a board that lies face up is turned in its plane, never flipped.
    made = planned(file)
    for one in made.lining:
        pieces = {p.id: (p, f.face.mirrored) for f in one.faces for p in f.pieces}
        for sheet in one.sheets:
            for placed in sheet.pieces:
                piece, mirrored = pieces[placed.piece]
                assert (
                    on_wall(sheet, placed.piece, piece.lay).hausdorff_distance(
                        hung(piece, mirrored)
                    )
                    < 0.2
                )


def on_wall(sheet: Bought, name: str, lay: str) -> Polygon:
    placed = next(piece for piece in sheet.pieces if piece.piece == name)
    quarters = (90 if lay == "up" else 0) + (180 if placed.turned else 0)
    shape = affinity.rotate(Polygon(placed.outline), quarters, origin=(0, 0))
    x0, z0, _, _ = shape.bounds
    return affinity.translate(shape, -x0, -z0)


@pytest.mark.parametrize("file", FILES)
def test_a_joint_called_recessed_has_a_long_edge_of_its_board_on_both_sides(file: str) -> None:
    # Which edges of a board are tapered: both long ones, common practice, no source.
    made = planned(file)
    for one in made.lining:
        placed = {p.piece: (sheet, p) for sheet in one.sheets for p in sheet.pieces}
        for face in one.faces:
            for joint in (j for j in face.joints if j.kind == "recessed"):
                upright = joint.x0_mm == joint.x1_mm
                at = joint.x0_mm if upright else joint.z0_mm
                for piece in face.pieces:
                    ends = (piece.x0_mm, piece.x1_mm) if upright else (piece.z0_mm, piece.z1_mm)
                    for end in (0, 1):
                        if abs(ends[end] - at) < 0.05:
                            first = (end == 0) != (upright and not face.face.mirrored)
                            assert keeps(*placed[piece.id], first)


def keeps(sheet: Bought, placed: SheetPiece, first: bool) -> bool:
    """Does the piece keep the board's long edge at its first side: the lower; on end, the right?"""
    low, high = placed.across_mm, placed.across_mm + placed.width_mm
    at_first, at_last = low < 0.1, high > sheet.width_mm - 0.1
    if placed.turned:
        at_first, at_last = at_last, at_first
    return at_first if first else at_last


@pytest.mark.parametrize("file", FILES)
def test_the_drawings_carry_every_size_of_every_piece(file: str) -> None:
    made = planned(file)
    scenes = lining_pictures(made, Sheet())
    told = [item.text for scene in scenes for item in scene.items if isinstance(item, Text)]
    whole = " ".join(told)
    for one in made.lining:
        for face in one.faces:
            for piece in face.pieces:
                size = f"{format_length(piece.along_mm)} x {format_length(piece.across_mm)}"
                assert size in whole
                for notch in piece.notches:
                    assert f"{format_length(notch.wide_mm)} wide" in whole
        # Running marks on each board: every edge and every notch corner has its number.
        for sheet in one.sheets:
            for placed in sheet.pieces:
                for along, across in placed.outline:
                    assert format_length(along) in told
                    assert format_length(across) in told


@st.composite
def stepped(draw: st.DrawFn) -> Polygon:
    """A rectangle with up to three rectangles cut out at its edges or in it, in one piece."""
    wide, high = draw(st.integers(300, 3000)), draw(st.integers(300, 1300))
    shape = box(0, 0, wide, high)
    for _ in range(draw(st.integers(0, 3))):
        x, z = draw(st.integers(0, wide - 60)), draw(st.integers(0, high - 60))
        w, h = draw(st.integers(20, wide // 2)), draw(st.integers(20, high // 2))
        less = shape.difference(box(x, z, x + w, z + h))
        if isinstance(less, Polygon) and not less.interiors and less.is_valid:
            shape = less
    return shape


@settings(max_examples=300, deadline=None)
@given(shape=stepped())
def test_the_notches_of_any_stepped_shape_give_it_back(shape: Polygon) -> None:
    x0, z0, x1, z1 = shape.bounds
    corners = [(x - x0, z - z0) for x, z in list(shape.exterior.coords)[:-1]]
    gone = [
        box(n.left_mm, n.bottom_mm, n.left_mm + n.wide_mm, n.bottom_mm + n.high_mm)
        for n in notches(corners)
    ]
    left = box(0, 0, x1 - x0, z1 - z0).difference(unary_union(gone))
    assert left.symmetric_difference(Polygon(corners)).area < 1.0
    assert sum(one.area for one in gone) == pytest.approx(unary_union(gone).area, abs=1.0)


def test_a_raked_piece_is_told_by_its_corners() -> None:
    corners = ((0.0, 0.0), (900.0, 0.0), (900.0, 2100.0), (0.0, 2400.0))
    piece = Piece(
        "A1", "A", "up", 0, 0, 0, 900, 2400, corners, 2400, 900, 12.0, "b", 1, notches(corners),
        corners,
    )  # fmt: skip
    assert piece.notches == ()
    assert "900 from left 2100 up" in piece.cut_out(format_length)
