"""The lining layout: hand-worked faces, an independent search, and what must always hold."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model
from shapely import Polygon, unary_union

from truehang.findings import Severity
from truehang.lining import (
    BoardSize,
    Face,
    LiningPlan,
    LiningRules,
    PocketZone,
    Support,
    lay_boards,
)
from truehang.money import Money


def board(width: float, length: float, price: int | None = None, **more: object) -> BoardSize:
    cost = round(width * length * 720 / 1e6) if price is None else price
    return BoardSize(
        f"{width:g}x{length:g}",
        width,
        length,
        10.0,
        6.5,
        Money(cost, "AUD"),
        **more,  # type: ignore[arg-type]
    )


BOARDS = [board(w, x) for w in (1200, 1350) for x in (2400, 3000, 3600, 4200, 4800, 6000)]


def wall(
    id: str, length: float, height: float, hole: tuple[float, float, float] | None, every: int = 450
) -> Face:
    places = {0.0, length, *map(float, range(every, int(length), every))}
    holes: tuple[tuple[tuple[float, float], ...], ...] = ()
    zones: tuple[PocketZone, ...] = ()
    if hole:
        left, right, top = hole
        places |= {left - 20, right + 20}
        holes = (((left, 0), (right, 0), (right, top), (left, top)),)
        zones = (PocketZone("left pocket", left - 900, left, 0, top, 25.0),)
    outline = ((0.0, 0.0), (length, 0.0), (length, height), (0.0, height))
    return Face(id, outline, holes, tuple(Support(x) for x in sorted(places)), zones)


def sound(plan: LiningPlan, rules: LiningRules) -> None:
    for face in plan.faces:
        covered = unary_union([Polygon(piece.outline) for piece in face.pieces])
        wanted = Polygon(face.face.outline)
        for hole in face.face.holes:
            wanted = wanted.difference(Polygon(hole))
        low = wanted.bounds[1] + rules.floor_gap_mm
        wanted = wanted.intersection(Polygon([(-1e6, low), (1e6, low), (1e6, 1e6), (-1e6, 1e6)]))
        assert covered.symmetric_difference(wanted).area < 1.0
        assert sum(Polygon(p.outline).area for p in face.pieces) == pytest.approx(covered.area)
        supports = [support.x_mm for support in face.face.supports]
        corners = [corner for hole in face.face.holes for corner in hole]
        for joint in face.joints:
            if joint.x0_mm != joint.x1_mm:
                assert all(abs(joint.z0_mm - z) >= rules.corner_clear_mm for _, z in corners)
                continue
            assert min(abs(joint.x0_mm - x) for x in supports) < 1e-6
            low, high = sorted((joint.z0_mm, joint.z1_mm))
            for x, z in corners:
                if low - rules.corner_clear_mm <= z <= high + rules.corner_clear_mm:
                    assert abs(joint.x0_mm - x) >= rules.corner_clear_mm - 1e-6
        for piece in face.pieces:
            assert piece.mass_kg <= rules.people * rules.lift_kg_each + 1e-6
    named = sorted(piece.id for face in plan.faces for piece in face.pieces)
    assert sorted(piece.piece for sheet in plan.sheets for piece in sheet.pieces) == named
    size = {p.id: (p.along_mm, p.across_mm, p.sheet) for f in plan.faces for p in f.pieces}
    for sheet in plan.sheets:
        for piece in sheet.pieces:
            assert size[piece.piece] == (piece.length_mm, piece.width_mm, sheet.number)
            assert piece.along_mm + piece.length_mm <= sheet.length_mm + 1e-6
            assert piece.across_mm + piece.width_mm <= sheet.width_mm + 1e-6
        for one, two in itertools.combinations(sheet.pieces, 2):
            assert (
                one.along_mm + one.length_mm <= two.along_mm + 1e-6
                or two.along_mm + two.length_mm <= one.along_mm + 1e-6
                or one.across_mm + one.width_mm <= two.across_mm + 1e-6
                or two.across_mm + two.width_mm <= one.across_mm + 1e-6
            )


def test_a_plain_wall_takes_two_whole_boards() -> None:
    # By hand: 3600 x 2400 less no gap is two 1200 x 3600 across: one level joint of 3.6 m at 4.50
    # and two lifts at 3.00.
    rules = LiningRules(lays=("across",), floor_gap_mm=0)
    plan = lay_boards([wall("A", 3600, 2400, None)], BOARDS, rules)
    assert [(item.board, item.count) for item in plan.boards] == [("1200x3600", 2)]
    assert plan.value == 2 * 3110 + round(3.6 * 450) + 2 * 300
    assert plan.proved
    assert plan.faces[0].joint_m == pytest.approx(3.6)
    assert [joint.kind for joint in plan.faces[0].joints] == ["recessed"]
    assert plan.waste_m2 == pytest.approx(0)


def test_a_piece_round_an_opening_is_notched_and_joints_keep_off_its_corners() -> None:
    rules = LiningRules()
    plan = lay_boards([wall("A", 5400, 2700, (1900, 3500, 2100))], BOARDS, rules)
    sound(plan, rules)
    assert plan.proved
    assert any(len(piece.outline) > 4 for piece in plan.faces[0].pieces)


def test_what_is_left_of_one_face_serves_the_other() -> None:
    # By hand: each face needs one 1500 and a whole course is 1200 high; 3000 gives both 1500s.
    rules = LiningRules(lays=("across",), floor_gap_mm=0, least_piece_mm=300)
    faces = [wall(id, 1500, 1200, None, 500) for id in "AB"]
    plan = lay_boards(faces, [board(1200, 3000)], rules)
    assert [item.count for item in plan.boards] == [1]
    assert len(plan.sheets[0].pieces) == 2
    assert {piece.piece[0] for piece in plan.sheets[0].pieces} == {"A", "B"}


def test_one_person_gets_smaller_pieces_than_two() -> None:
    face = wall("A", 4800, 2400, None)
    two = lay_boards([face], BOARDS, LiningRules(people=2))
    one = lay_boards([face], BOARDS, LiningRules(people=1))
    assert max(p.mass_kg for p in one.faces[0].pieces) <= 20
    assert len(one.faces[0].pieces) > len(two.faces[0].pieces)


def test_butt_joints_of_neighbouring_courses_are_apart() -> None:
    rules = LiningRules(lays=("across",))
    plan = lay_boards([wall("A", 9000, 2700, None)], BOARDS, rules)
    sound(plan, rules)
    upright = [j for j in plan.faces[0].joints if j.x0_mm == j.x1_mm]
    lower = [j.x0_mm for j in upright if j.z0_mm < 1300]
    upper = [j.x0_mm for j in upright if j.z0_mm > 1300]
    assert lower
    assert upper
    assert min(abs(a - b) for a in lower for b in upper) >= 450


def test_screws_over_the_pocket_say_the_longest_that_may_go_in() -> None:
    plan = lay_boards([wall("A", 5400, 2700, (1900, 3500, 2100))], BOARDS)
    lines = plan.faces[0].screw_lines
    over = [line for line in lines if 1000 < line.x_mm < 1900 and line.z0_mm < 2100]
    clear = [line for line in lines if line.x_mm < 990]
    assert over
    assert clear
    assert {line.longest_mm for line in over} == {25.0}
    assert {line.longest_mm for line in clear} == {None}
    assert all(line.spacing_mm <= 300 + 1e-6 for line in lines)
    assert plan.screws == sum(line.count for line in lines)


def test_screws_on_one_upright_by_hand() -> None:
    # By hand: 1200 high, 12 in from each edge leaves 1176: 4 gaps of 294, so 5 screws in the field;
    # at the ends of the board 6 gaps of 196, so 7 screws.
    face = Face(
        "A", ((0, 0), (900, 0), (900, 1200), (0, 1200)), (),
        (Support(0), Support(450), Support(900)),
    )  # fmt: skip
    rules = LiningRules(lays=("across",), floor_gap_mm=0)
    plan = lay_boards([face], [board(1200, 2400)], rules)
    counts = {line.x_mm: line.count for line in plan.faces[0].screw_lines}
    assert counts == {12.0: 7, 450.0: 5, 888.0: 7}


def test_missing_prices_fall_back_to_area_and_say_so() -> None:
    boards = [BoardSize("x", 1200, 3600, 10, 6.5)]
    plan = lay_boards([wall("A", 3600, 2400, None)], boards)
    assert plan.total is None
    assert plan.boards[0].count == 2
    assert any("no price" in finding.what for finding in plan.findings)


def test_a_heavy_board_is_named() -> None:
    plan = lay_boards([wall("A", 6000, 1200, None)], [board(1200, 6000)], LiningRules(people=2))
    assert any("46.8 kg" in finding.what for finding in plan.findings)


@pytest.mark.parametrize(
    ("face", "word"),
    [
        (Face("A", ((0, 0), (1, 1)), (), (Support(0),)), "no three corners"),
        (Face("A", ((0, 0), (9, 9), (9, 0), (0, 9)), (), (Support(0),)), "crosses itself"),
        (Face("A", ((0, 0), (900, 0), (900, 900), (0, 900))), "no support"),
        (
            Face("A", ((0, 0), (9000, 0), (9000, 900), (0, 900)), (), (Support(0), Support(9000))),
            "no layout keeps every rule",
        ),
    ],
)
def test_a_bad_face_is_named_and_the_other_is_laid(face: Face, word: str) -> None:
    plan = lay_boards([face, wall("B", 1800, 1200, None)], BOARDS)
    assert any(word in f.what for f in plan.findings if f.severity is Severity.STOP)
    assert [laid.face.id for laid in plan.faces] == ["B"]


@pytest.mark.parametrize(
    ("rules", "word"),
    [
        (LiningRules(people=0), "people 0"),
        (LiningRules(lays=()), "no direction"),
        (LiningRules(field_mm=0), "field_mm 0"),
        (LiningRules(corner_clear_mm=-1), "corner_clear_mm -1"),
    ],
)
def test_bad_rules_are_refused(rules: LiningRules, word: str) -> None:
    plan = lay_boards([wall("A", 1800, 1200, None)], BOARDS, rules)
    assert any(word in finding.what for finding in plan.findings)
    assert plan.faces == ()


def test_bad_boards_are_refused() -> None:
    face = wall("A", 1800, 1200, None)
    assert any("no board" in f.what for f in lay_boards([face], []).findings)
    twice = lay_boards([face], [board(1200, 2400), board(1200, 2400)])
    assert any("used 2 times" in finding.what for finding in twice.findings)
    none = lay_boards([face], [board(1200, 2400, on_hand=0)])
    assert any("on hand" in finding.what for finding in none.findings)


def least_by_cp_sat(pieces: Sequence[int], boards: Sequence[tuple[int, int]]) -> int:
    """Least cost of boards (length, cost) for full-width pieces, by an independent solver."""
    model = cp_model.CpModel()
    cost = []
    put: list[list[cp_model.IntVar]] = [[] for _ in pieces]
    for length, price in boards:
        for _ in pieces:
            used = model.new_bool_var("")
            here = [model.new_bool_var("") for _ in pieces]
            model.add(sum(p * b for p, b in zip(pieces, here, strict=True)) <= length * used)
            for row, var in zip(put, here, strict=True):
                row.append(var)
            cost.append(price * used)
    for row in put:
        model.add_exactly_one(row)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


@settings(max_examples=4, deadline=None)
@given(length=st.integers(4, 6), lengths=st.sets(st.sampled_from([4, 5, 6, 8]), min_size=1))
def test_the_least_layout_agrees_with_an_independent_search(length: int, lengths: set[int]) -> None:
    # A wall of two whole courses with supports at 600: every choice of joints is tried here, and
    # the boards are bought by CP-SAT.
    sizes = [(n * 600, n * 600 * 9 // 10 + 37 * n % 50) for n in sorted(lengths)]
    rules = LiningRules(lays=("across",), floor_gap_mm=0, least_piece_mm=500, lift_kg_each=100)
    boards = [board(1200, size, price) for size, price in sizes]
    plan = lay_boards([wall("A", length * 600, 2400, None, 600)], boards, rules)
    longest = max(lengths)
    courses = [
        cuts
        for k in range(3)
        for cuts in itertools.combinations(range(1, length), k)
        if all(b - a <= longest for a, b in itertools.pairwise((0, *cuts, length)))
    ]
    best = None
    known: dict[tuple[int, ...], int] = {}
    for low, high in itertools.product(courses, courses):
        if set(low) & set(high):
            continue
        pieces = tuple(sorted(
            (b - a) * 600 for cuts in (low, high) for a, b in itertools.pairwise((0, *cuts, length))
        ))  # fmt: skip
        joints = len(low) + len(high)
        extra = round(length * 0.6 * 450) + joints * round(1.2 * 750) + 300 * len(pieces)
        if best is not None and extra >= best:
            continue
        if pieces not in known:
            known[pieces] = least_by_cp_sat(pieces, sizes)
        best = min(best or 10**9, extra + known[pieces])
    assert plan.value == best
    assert plan.proved


@settings(max_examples=12, deadline=None)
@given(
    length=st.integers(2400, 7000),
    height=st.integers(2300, 2900),
    left=st.integers(900, 1600),
    width=st.integers(700, 1600),
    people=st.integers(1, 3),
)
def test_every_layout_covers_the_face_once_and_keeps_the_rules(
    length: int, height: int, left: int, width: int, people: int
) -> None:
    hole = (float(left), float(left + width), 2100.0) if left + width + 200 < length else None
    rules = LiningRules(people=people)
    plan = lay_boards([wall("A", float(length), float(height), hole)], BOARDS, rules)
    stopped = any(finding.severity is Severity.STOP for finding in plan.findings)
    assert stopped == (plan.faces == ())
    sound(plan, rules)
    for face in plan.faces:
        assert face.bound <= face.value
        assert plan.value <= face.value
