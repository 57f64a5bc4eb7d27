"""Does every piece of framing stand where a carpenter would put it, and nothing in anything else?

Set-outs worked by hand (common practice, no source: a stud beside the rough opening, one past the
head under a load, studs on their plate, the first against the far end); solids against each other
with Shapely.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from truehang.framing import (
    FrameSetOut,
    Groove,
    Ground,
    HeadIn,
    OpeningSetOut,
    PocketSetOut,
    Sold,
    StudIn,
    There,
    frame_members,
    opening_members,
)
from truehang.members import Member
from truehang.shapes import Span

LEVEL = Ground(((0.0, 0.0),))
STUD = StudIn("MGP10 45x90", 45.0, 90.0, 450.0)
HEAD = HeadIn("MGP12 45x140", 2, 45.0, 140.0, 0, False)
OPENING = OpeningSetOut(
    situation="new", rough=Span(1000.0, 2400.0), frame=Span(1010.0, 2390.0), frame_top=2140.0,
    room=Span(0.0, 3000.0), y=Span(10.0, 100.0), ground=LEVEL, rough_head=2150.0, limit=2475.0,
    ceiling=2520.0, plate=45.0, head=HEAD, stud=STUD, there=None, hung_there=False, packed=None,
    infill=(),
)  # fmt: skip


def made(at: OpeningSetOut) -> dict[str, Member]:
    pieces = opening_members(at)
    by_name = {piece.name: piece for piece in pieces}
    assert len(by_name) == len(pieces)
    return by_name


def places(at: OpeningSetOut, key: str) -> list[tuple[float, float]]:
    return sorted((m.x.low, m.x.high) for m in opening_members(at) if m.key == key)


def shape(member: Member) -> list[tuple[Polygon, Span]]:
    return [
        (
            Polygon([(b.x0, b.bottom[0]), (b.x1, b.bottom[1]), (b.x1, b.top[1]), (b.x0, b.top[0])]),
            Span(b.y0, b.y1),
        )
        for b in member.blocks
    ]


def meet(one: Member, two: Member) -> float:
    """How much of their faces two pieces share, mm2, where they share a depth too."""
    return sum(
        float(a.intersection(b).area)
        for a, y in shape(one)
        for b, z in shape(two)
        if min(y.high, z.high) - max(y.low, z.low) > 0.01
    )


def test_a_load_takes_its_studs_and_one_past_the_head() -> None:
    at = replace(OPENING, head=replace(HEAD, studs=2))
    assert places(at, "jamb-stud") == [(910, 955), (955, 1000), (2400, 2445), (2445, 2490)]
    assert places(at, "king-stud") == [(865, 910), (2490, 2535)]
    assert places(at, "head") == [(910, 2490), (910, 2490)]
    pieces = made(at)
    assert pieces["stud 1 beside the rough opening, left"].length == 2150
    # under the plate that stays up there, 45 deep
    assert pieces["stud to the ceiling, right"].length == 2475
    plies = [m for m in pieces.values() if m.role == "head"]
    # 2 x 45 in a stud space of 90: from lining to lining
    assert sorted((m.y.low, m.y.high) for m in plies) == [(10, 55), (55, 100)]
    assert {(m.z.low, m.z.high) for m in plies} == {(2150, 2290)}


def test_where_no_load_is_one_stud_holds_each_end_of_the_head() -> None:
    assert places(OPENING, "jamb-stud") == [(955, 1000), (2400, 2445)]
    assert places(OPENING, "king-stud") == []
    assert places(OPENING, "head") == [(955, 2445)] * 2


def test_the_edge_of_the_lining_that_stays_has_a_backing() -> None:
    """The new lining ends with the outermost new stud, so the old one's edge needs one of its own
    (common practice, no source); where the run ends there, what room there is."""
    assert places(OPENING, "backing") == [(910, 955), (2445, 2490)]
    # on the plate that stays under the old lining, up to the one under the ceiling: 2520 - 45
    assert {m.z for m in opening_members(OPENING) if m.role == "backing"} == {Span(45, 2475)}
    loaded = replace(OPENING, head=replace(HEAD, studs=2))
    assert places(loaded, "backing") == [(820, 865), (2535, 2580)]  # past the full-height studs
    tight = made(replace(OPENING, room=Span(925.0, 2446.0)))
    ripped = tight["backing stud, left"]
    assert (ripped.x, ripped.rip) == (Span(925, 955), 30)
    assert "backing stud, right" not in tight  # 1 is no edge
    for kind in ("divide", "fill"):  # where the lining is whole, or the old one ends at a jamb
        at = replace(OPENING, situation=kind)  # type: ignore[arg-type]
        assert not [m for m in opening_members(at) if m.role == "backing"]


def test_an_old_opening_has_its_own_backing() -> None:
    at = replace(OPENING, situation="beside", old=Span(2200.0, 2900.0))
    assert places(at, "backing") == [(910, 955)]  # on the right the old jamb holds the edge


def test_the_plate_between_the_marks_comes_out_of_a_wall() -> None:
    (plate,) = [m for m in made(OPENING).values() if m.origin == "comes out"]
    # under the studs beside it too, which stand on the floor: the saw cuts where they end
    assert (plate.x, plate.role, plate.stands) == (Span(955, 2445), "plate", False)
    loaded = replace(OPENING, head=replace(HEAD, studs=2))
    (plate,) = [m for m in made(loaded).values() if m.origin == "comes out"]
    assert plate.x == Span(865, 2535)


def test_a_side_that_carries_nothing_is_held_from_plate_to_plate() -> None:
    """A stud that ends at the head sways: one beside it runs from plate to plate (common practice,
    no source). In a wall that is cut it is the backing, in a new one a stud of its own."""
    built = replace(BUILT, room=Span(0.0, 3000.0))
    for at, role in ((OPENING, "backing"), (built, "king stud")):
        pieces = opening_members(at)
        for jamb in (m for m in pieces if m.role == "jamb stud"):
            (tie,) = (m for m in pieces if m.role == role and m.side == jamb.side)
            assert min(abs(tie.x.high - jamb.x.low), abs(tie.x.low - jamb.x.high)) < 0.01
            assert tie.z == Span(45, 2475)
            assert tie.nailed == 2
    # over the stud that ends there one more goes up, so that the lining's edge lies on timber
    for at in (OPENING, built):
        short = sorted(m.x.low for m in opening_members(at) if m.role == "short stud")
        assert (short[0], short[-1] + 45) == (955, 2445)


def test_a_narrow_infill_leaves_no_stud_standing_free() -> None:
    """110 takes a jamb stud of 45, one of 45 at the old jamb, and 20 of packing between."""
    at = replace(FILLED, room=Span(890.0, 2900.0),
                 infill=(Span(890.0, 1000.0), Span(2400.0, 2900.0)))  # fmt: skip
    assert places(at, "infill-stud")[0] == (890, 935)
    assert places(at, "infill-packing-1") == [(935, 955)]
    (packing,) = (m for m in opening_members(at) if m.key == "infill-packing-1")
    assert (packing.rip, packing.z.low) == (20, 45)


FILLED = replace(
    OPENING, situation="fill", room=Span(916.0, 2900.0), limit=2300.0,
    head=replace(HEAD, depth=90.0), infill=(Span(916.0, 1000.0), Span(2400.0, 2900.0)),
    there=There("lintel", 2300.0, 0.0),
)  # fmt: skip


def test_an_old_opening_is_filled_beside_the_frame() -> None:
    # 84 takes the jamb stud of 45 and a ripped stud of 39; 500 the jamb stud, a plate of 455 and
    # ceil(500 / 450) = 2 studs: one against the old jamb, one half way
    pieces = made(FILLED)
    packing = pieces["infill packed solid, left"]
    assert (packing.x, packing.rip, packing.key) == (Span(916, 955), 39, "infill-packing-1")
    plate = pieces["plate of the infill, right"]
    assert (plate.x, plate.length, plate.z) == (Span(2445, 2900), 455, Span(0, 45))
    assert places(FILLED, "infill-stud") == [(2627.5, 2672.5), (2855, 2900)]
    # past the end of the head nothing holds a stud under the rough head: it runs right up
    stud = pieces["stud of the infill 1, right"]
    assert (stud.z.low, stud.z.high) == (45, 2300)
    assert pieces["lintel that is there"].x == Span(916, 2900)
    assert pieces["lintel that is there"].origin == "there already"


def test_a_rest_too_narrow_for_a_stud_is_packed_and_the_head_ends_at_the_old_jamb() -> None:
    at = replace(FILLED, room=Span(976.0, 2402.0), infill=(Span(976, 1000), Span(2400, 2402)))
    assert places(at, "jamb-stud") == []
    assert places(at, "infill-packing-1") == [(976, 1000)]
    assert places(at, "infill-packing-2") == []  # 2 mm are packers' work
    assert places(at, "head") == [(976, 2402)] * 2
    (packing,) = [m for m in opening_members(at) if m.role == "packing"]
    assert packing.z.high == 2150  # the head lies on it


BUILT = replace(OPENING, situation="divide", room=Span(400.0, 2440.0))


def test_a_new_wall_has_plates_and_studs_between_them() -> None:
    # left of the opening 600: the jamb stud, one from plate to plate beside it and
    # ceil(510 / 450) = 2 more on a plate of 600; right of it 40: no room for a stud, so it is
    # packed solid
    at = replace(BUILT, head=replace(HEAD, studs=0))
    assert places(at, "wall-plate-1") == [(400, 1000)]
    assert places(at, "wall-plate-2") == [(2400, 2440)]
    assert places(at, "wall-plate-top") == [(400, 2440)]
    assert places(at, "king-stud") == [(910, 955)]
    assert places(at, "wall-stud") == [(400, 445), (655, 700)]
    assert places(at, "wall-packing-right") == [(2400, 2440)]
    pieces = made(at)
    assert pieces["stud of the new wall 1, left"].length == 2520 - 2 * 45
    # the jamb stud stands on the plate, which stops at the rough opening
    assert pieces["stud beside the rough opening, left"].z == Span(45, 2150)


def test_short_studs_stand_between_head_and_plate() -> None:
    at = replace(BUILT, room=Span(0.0, 3000.0))
    short = [m for m in opening_members(at) if m.key == "short-stud"]
    # ceil(1490 / 450) + 1 = 5, from end to end of the head
    assert len(short) == 5
    assert (min(m.x.low for m in short), max(m.x.high for m in short)) == (955, 2445)
    assert {(m.z.low, m.z.high) for m in short} == {(2290, 2475)}
    low = replace(at, ceiling=2390.0)
    assert places(low, "short-stud") == []  # 55 is packed solid
    packing = [m for m in opening_members(low) if m.key == "over-head-packing"]
    # 2290 to 2345 over the head's whole length: two boards of 27.5, since a stud is 45 thick
    assert [m.z for m in packing] == [Span(2290, 2317.5), Span(2317.5, 2345)]
    assert {m.x for m in packing} == {Span(955, 2445)}


def test_what_the_plate_of_a_cut_wall_carries_reaches_the_new_head() -> None:
    """A head of 140 on 2150 ends at 2290, the plate of 45 under a ceiling of 2520 begins at 2475:
    short studs of 185, at no more than the studs' spacing; in a lower room packing, never a gap
    (common practice, no source: cripple studs carry the plate down to the head)."""
    at = replace(OPENING, head=replace(HEAD, studs=2))
    short = sorted((m for m in opening_members(at) if m.key == "short-stud"), key=lambda m: m.x.low)
    assert {m.z for m in short} == {Span(2290, 2475)}
    assert all(b.x.low - a.x.low <= STUD.spacing for a, b in pairwise(short))
    assert {"read the underside" in m.where for m in short} == {True}
    low = replace(at, ceiling=2380.0)
    packing = [m for m in opening_members(low) if m.key == "over-head-packing"]
    assert (min(m.z.low for m in packing), max(m.z.high for m in packing)) == (2290, 2335)
    assert {m.x for m in packing} == {Span(910, 2490)}  # over the studs under its ends, too
    # what nobody could size has no top to stand on
    unsized = replace(at, head=replace(HEAD, depth=None))
    assert not [m for m in opening_members(unsized) if "over" in m.key]


def test_short_studs_stay_clear_of_what_carries_load() -> None:
    """A head of 90 on 2150 ends at 2240; under a lintel at 2300 that carries nothing short studs of
    60 fill it, under one that carries load they end 10 below, or the frame gets the load when the
    lintel comes down (common practice, no source: a partition keeps clear of a beam over it)."""
    still = replace(FILLED, limit=2310.0)
    assert {m.z for m in opening_members(still) if m.key == "short-stud"} == {Span(2240, 2310)}
    short = [m for m in opening_members(replace(still, comes_down=True)) if m.key == "short-stud"]
    assert {m.z for m in short} == {Span(2240, 2300)}
    assert all("10⟩ stays free" in m.where or "10 mm⟩ stays free" in m.where for m in short)
    # in a wall that is cut they carry the plate down to the head, whatever it carries
    cut = replace(OPENING, comes_down=True)
    assert {m.z for m in opening_members(cut) if m.key == "short-stud"} == {Span(2290, 2475)}


def test_an_end_of_the_head_with_no_room_for_a_stud_under_it_is_hung() -> None:
    """1 left and 30 right: on the right a ripped strip is a seat, on the left there is none."""
    at = replace(FILLED, room=Span(999.0, 2430.0), infill=(Span(999.0, 1000.0), Span(2400.0, 2430)))
    (head, _) = [m for m in opening_members(at) if m.key == "head"]
    assert "no stud stands under its left end: it sits in a timber hanger" in head.where
    roomy = [m for m in opening_members(FILLED) if m.key == "head"]
    assert not any("hanger" in m.where for m in roomy)


def test_packing_down_from_what_is_there() -> None:
    # 130 over the frame: three boards of 43.3, since a stud is 45 thick
    at = replace(FILLED, head=None, hung_there=True, frame_top=2170.0, packed=(130.0, 134.0))
    packing = [m for m in opening_members(at) if m.key == "head-packing"]
    assert len(packing) == 3
    assert {m.length for m in packing} == {1380}
    assert max(m.z.high for m in packing) == pytest.approx(2300)
    assert "134" in packing[0].making
    (stud,) = [m for m in opening_members(at) if m.key == "jamb-stud" and m.side == "left"]
    assert stud.z.high == 2300  # right up to what the track hangs from


def test_each_stud_is_cut_to_the_floor_under_its_own_foot() -> None:
    # a floor that falls 10 in 1000: 10.0 and 9.55 deep at the left stud, 24 to 24.45 at the right
    falling = Ground(((0.0, 0.0), (3000.0, -30.0)))
    studs = {m.side: m for m in opening_members(replace(OPENING, ground=falling))
             if m.key == "jamb-stud"}  # fmt: skip
    assert studs["left"].blocks[0].bottom == pytest.approx((-9.55, -10.0))
    assert studs["left"].length == pytest.approx(2160.0)
    assert studs["right"].length == pytest.approx(2174.45)


FRAME = FrameSetOut(
    frame=Span(1010.0, 2390.0), y=Span(10.0, 100.0), ribs=(Span(10.0, 32.0), Span(78.0, 100.0)),
    bottom=6.0, under=2090.0, top=2135.0, centre=2000.0, opening=Span(1690.0, 2355.0),
    pockets=(
        PocketSetOut(side="left", mouth=1690.0, inside=Span(1045.0, 1690.0),
                     back_stud=Span(1010.0, 1045.0), rib_centres=(1240.0, 1455.0, 1667.5),
                     rib_width=45.0),
    ),
    jamb=Span(2355.0, 2390.0), groove=Groove(depth=12.0, y=Span(33.0, 77.0)),
    groove_told="groove", bought_in="", batten=True,
    packs=(("mouth", 1690.0, 0.0, 6.0),), sold=(Sold((35.0, 90.0), "MGP10 35x90"),),
)  # fmt: skip


def test_the_pieces_of_a_frame() -> None:
    pieces = {m.name: m for m in frame_members(FRAME)}
    assert pieces["head member"].length == 1380
    assert (pieces["head member"].section, pieces["head member"].stock) == ((45, 90), "")
    assert pieces["back stud, left"].stock == "MGP10 35x90"
    assert pieces["back stud, left"].length == 2084
    rib = pieces["rib 1 on side A, left pocket"]
    assert (rib.x, rib.y, rib.z) == (Span(1217.5, 1262.5), Span(10, 32), Span(51, 2090))
    assert [m.name for m in pieces.values() if m.at_mouth] == [
        "rib 3 on side A, left pocket", "rib 3 on side B, left pocket",
    ]  # fmt: skip
    assert pieces["base batten on side B, left pocket"].length == 645
    # 35 x 90 less a groove of 12 x 44: two cheeks and what is behind them
    jamb = pieces["closing jamb"]
    area = sum((b.x1 - b.x0) * (b.y1 - b.y0) for b in jamb.blocks)
    assert area == pytest.approx(35 * 90 - 12 * 44)
    # packers never stand out in the clear opening
    assert pieces["packers, mouth"].x == Span(1665, 1690)


def test_a_kits_pieces_come_with_it() -> None:
    bought = frame_members(replace(FRAME, bought_in="frame kit", batten=False))
    assert {m.bought_in for m in bought} == {"frame kit", "packers"}
    assert not [m for m in bought if m.role == "base batten"]
    assert {m.z.low for m in bought if m.role == "rib"} == {6}


lengths = st.floats(0.0, 1500.0)


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(("fill", "new", "divide")), left=lengths, right=lengths,
    breadth=st.sampled_from((30.0, 35.0, 38.0, 45.0, 63.0)), studs=st.integers(0, 3),
    spacing=st.sampled_from((60.0, 300.0, 450.0, 610.0)), depth=st.sampled_from((70.0, 240.0)),
    fall=st.floats(-25.0, 25.0), ceiling=st.floats(2400.0, 3600.0),
)  # fmt: skip
def test_nothing_stands_in_anything_else_and_all_of_it_in_the_wall(
    kind: str, left: float, right: float, breadth: float, studs: int, spacing: float,
    depth: float, fall: float, ceiling: float,
) -> None:  # fmt: skip
    stud = StudIn("", breadth, 90.0, spacing)
    studs = studs if kind == "new" else 0
    if kind == "new":  # a run that is cut keeps room for its studs
        left, right = (max(x, breadth * (studs + 1)) for x in (left, right))
    rough = Span(2000.0, 3400.0)
    room = Span(rough.low - left, rough.high + right)
    rests = (Span(room.low, rough.low), Span(rough.high, room.high))
    ceiling = max(ceiling, 2130.0 + depth + breadth)  # a head is chosen that goes in under it
    limit = min(2130.0 + depth + 100.0, ceiling)
    at = replace(
        OPENING, situation=kind, rough=rough, frame=Span(2010.0, 3390.0), frame_top=2120.0,
        rough_head=2130.0, room=room, stud=stud, limit=limit, ceiling=ceiling,
        ground=Ground(((0.0, 0.0), (6000.0, fall))),
        head=replace(HEAD, breadth=45.0, depth=depth, studs=studs),
        infill=tuple(s for s in rests if s.length > 0.5) if kind == "fill" else (),
    )  # fmt: skip
    pieces = [m for m in opening_members(at) if m.stands]
    for one, two in combinations(pieces, 2):
        assert meet(one, two) < 1.0, (one.name, two.name)
    for piece in pieces:
        floor = min(at.ground.under(piece.x))
        assert room.low - 1e-6 <= piece.x.low < piece.x.high <= room.high + 1e-6, piece.name
        assert floor - 1e-6 <= piece.z.low < piece.z.high <= ceiling + 1e-6, piece.name
        assert at.y.low - 1e-6 <= piece.y.low < piece.y.high <= at.y.high + 1e-6, piece.name
        inside = min(piece.x.high, rough.high) - max(piece.x.low, rough.low)
        assert inside < 1e-6 or piece.z.low >= at.rough_head - 1e-6, "stands in the rough opening"
