"""Are the layouts of demos and of random walls right in the eyes of an independent checker?

The checker (`conftest.py`, beside this) knows boards, supports and rules only. Rules: common
practice, no source.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.job import Job, load
from truehang.lining import BoardSize, Face, LiningPlan, LiningRules, Support, lay_boards
from truehang.money import Money
from truehang.plan import Plan, plan
from truehang.plan.boards import _rules, _sizes
from truehang.plan.faces import board_rule

Faults = Callable[[Sequence[LiningPlan], Sequence[BoardSize], LiningRules], list[str]]


def board(width: float, length: float) -> BoardSize:
    cost = Money(round(width * length * 720 / 1e6), "AUD")
    return BoardSize(f"{width:g}x{length:g}", width, length, 10, 6.5, cost)


BOARDS = [
    *(board(1200, length) for length in (2400, 3000, 3600, 4800)),
    board(1350, 2700),
]


def both_sides(
    length: float, height: float, every: int, hole: tuple[float, float, float] | None, layers: int
) -> list[Face]:
    """Both sides of one wall, each in some layers, over the same supports."""
    places = {0.0, length, *map(float, range(every, int(length), every))}
    holes: tuple[tuple[tuple[float, float], ...], ...] = ()
    if hole:
        left, right, top = hole
        places |= {left - 20, right + 20}
        holes = (((left, 0.0), (right, 0.0), (right, top), (left, top)),)
    outline = ((0.0, 0.0), (length, 0.0), (length, height), (0.0, height))
    supports = tuple(Support(x) for x in sorted(places))
    return [
        Face(f"{side}{layer}-", outline, holes, supports, (), side == "B", side, layer)
        for side in "AB"
        for layer in range(1, layers + 1)
    ]


def random_wall(seed: int) -> tuple[list[Face], LiningRules]:
    of = random.Random(seed)
    length, every = of.randint(1500, 4800), of.choice([400, 450, 600])
    height = of.choice([2425, 2435, 2715, of.randint(2200, 3000)])
    hole = None
    if length > 2600 and of.random() < 0.8:
        left = of.randint(300, length - 1500)
        right = left + of.randint(700, min(1900, length - left - 200))
        hole = (float(left), float(right), float(of.randint(2000, min(height - 100, 2300))))
    rules = LiningRules(
        people=of.randint(1, 3), lays=of.choice([("across",), ("across", "up"), ("up",)])
    )
    return both_sides(length, height, every, hole, of.choice([1, 1, 2])), rules


@pytest.mark.parametrize("tens", range(10))
def test_a_hundred_random_walls(faults: Faults, tens: int) -> None:
    for seed in range(10 * tens, 10 * tens + 10):
        faces, rules = random_wall(seed)
        made = lay_boards(faces, BOARDS, rules)
        assert len(made.faces) == len(faces), seed
        assert faults([made], BOARDS, rules) == [], seed


@cache
def planned(file: str, layers: int = 1) -> Plan:
    texts = {name: text for one in demo.names() for name, text in demo.files(one)}
    job = load(texts[file])
    return plan(job if layers == 1 else doubled(job), catalogue.load())


def doubled(job: Job) -> Job:
    """The job with a second layer of the same board on each side."""
    lining, there = job.wishes.lining, job.wall.make_up
    a, b = lining.face_a or there.face_a, lining.face_b or there.face_b
    new = lining.model_copy(update={"face_a": (*a[:1], *a), "face_b": (*b[:1], *b)})
    return job.model_copy(update={"wishes": job.wishes.model_copy(update={"lining": new})})


FILES = [
    name for one in demo.names() for name, _ in demo.files(one)
    if not name.startswith("tannery") or name.startswith("tannery-f")
]  # fmt: skip


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("file", FILES)
def test_the_demos(faults: Faults, file: str, layers: int) -> None:
    made = planned(file, layers)
    bought = catalogue.load()
    laid = made.lining
    sold = {
        board.id: board
        for side in (made.job.wall.make_up, made.job.wishes.lining)
        for layer in (*side.face_a, *side.face_b)
        for board in _sizes(made.job, bought, made.region, layer.material, layer.thickness)
    }
    assert laid
    rules = _rules(made.job, board_rule(bought, made.region))
    assert faults(laid, list(sold.values()), rules) == []


def test_no_course_is_ten_high_where_the_wall_is_a_little_over_two_boards() -> None:
    # By hand: 2425 less the gap of 10 is 2415; two boards of 1200 leave a course of 15. Two
    # courses are ripped instead, and none is under 150.
    face = both_sides(3450, 2425, 450, None, 1)[0]
    boards = [board(1200, length) for length in (2400, 3600)]
    made = lay_boards([face], boards, LiningRules(lays=("across",)))
    heights = sorted({piece.across_mm for piece in made.faces[0].pieces})
    assert min(heights) >= 150
    assert len(made.faces[0].pieces) >= 3
    low = lay_boards([face], boards, LiningRules(lays=("across",), least_course_mm=10))
    assert min(piece.across_mm for piece in low.faces[0].pieces) == 15


def test_no_piece_over_an_opening_is_left_low_where_it_can_be_helped(faults: Faults) -> None:
    # By hand: boards of 1200 over a gap of 10 meet at 1210 and 2410, or, with the low course at the
    # bottom, at 1000 and 2200. The opening ends at 2290, so that joints at 2200 are in line with
    # its corners; what lies over it up to 2410 is 120 high, and too wide for one board of 2400.
    face = both_sides(6600, 3400, 400, (700.0, 5900.0, 2290.0), 1)[0]
    narrow = board(1200, 2400)
    made = lay_boards([face], [narrow], LiningRules(lays=("across",)))
    assert any("120.0 high" in fault for fault in faults([made], [narrow], LiningRules()))
    assert any("the smallest ⟨120 mm⟩ high" in finding.what for finding in made.findings)
    # Dear as it is, the wider board is taken.
    boards = [narrow, replace(board(1350, 2400), price=Money(40_000, "AUD"))]
    wider = lay_boards([face], boards, LiningRules(lays=("across",)))
    assert faults([wider], boards, LiningRules()) == []
    assert wider.findings == ()


def test_two_layers_share_no_joint(faults: Faults) -> None:
    faces = [face for face in both_sides(4800, 2700, 450, None, 2) if face.side == "A"]
    made = lay_boards(faces, BOARDS, LiningRules(lays=("across",)))
    assert made.findings == ()
    inner, outer = made.faces
    for a, b in itertools.product(inner.joints, outer.joints):
        if a.x0_mm == a.x1_mm and b.x0_mm == b.x1_mm:
            overlap = min(a.z1_mm, b.z1_mm) - max(a.z0_mm, b.z0_mm)
            assert overlap < 1 or abs(a.x0_mm - b.x0_mm) >= 249
        if a.z0_mm == a.z1_mm and b.z0_mm == b.z1_mm:
            assert abs(a.z0_mm - b.z0_mm) >= 249
    alone = [replace(face, side="") for face in faces]
    same = lay_boards(alone, BOARDS, LiningRules(lays=("across",)))
    assert any("share" in fault for fault in faults([together(same, faces)], BOARDS, LiningRules()))


def test_boards_on_end_in_two_layers_meet_on_other_studs(faults: Faults) -> None:
    # By hand: 2400 is two boards of 1200 that meet at 1200; the next layer begins with a half.
    faces = [face for face in both_sides(2400, 2400, 600, None, 2) if face.side == "A"]
    boards, rules = [board(1200, 2400)], LiningRules(lays=("up",))
    made = lay_boards(faces, boards, rules)
    assert faults([made], boards, rules) == []
    assert made.findings == ()
    inner, outer = ({joint.x0_mm for joint in face.joints} for face in made.faces)
    assert inner == {1200.0}
    assert outer == {600.0, 1800.0}


def together(made: LiningPlan, faces: list[Face]) -> LiningPlan:
    """The plan as if its faces were those of one wall."""
    pairs = zip(made.faces, faces, strict=True)
    return replace(made, faces=tuple(replace(one, face=face) for one, face in pairs))


@pytest.mark.parametrize("bays", [3, 4, 5, 6, 7])
@pytest.mark.parametrize("longest", [1200, 1800, 2400])
def test_a_stud_is_shared_only_where_every_choice_of_joints_shares_one(
    bays: int, longest: int
) -> None:
    # Every choice of joints of a wall one course high is tried here.
    length = 600.0 * bays
    faces = both_sides(length, 1200, 600, None, 1)
    rules = LiningRules(lays=("across",), floor_gap_mm=0, same_stud_cost=10**6)
    made = lay_boards(faces, [board(1200, longest)], rules)
    a, b = ({j.x0_mm for j in face.joints if j.x0_mm == j.x1_mm} for face in made.faces)
    inner = [600.0 * n for n in range(1, bays)]
    choices = [
        set(cuts)
        for count in range(bays)
        for cuts in itertools.combinations(inner, count)
        if all(y - x <= longest for x, y in itertools.pairwise((0.0, *cuts, length)))
    ]
    assert len(a & b) == min(len(a & other) for other in choices)
    told = any("both sides" in finding.what for finding in made.findings)
    assert told == bool(a & b)


def test_the_checker_sees_what_is_wrong(faults: Faults) -> None:
    boards = [board(1200, 2400), board(1200, 3000)]
    faces = both_sides(4800, 2425, 450, (1500.0, 2700.0, 2100.0), 1)
    rules = LiningRules(lays=("across",))
    made = lay_boards(faces, boards, rules)
    assert faults([made], boards, rules) == []
    one, two = made.faces

    def seen(word: str, plan: LiningPlan, rules: LiningRules = rules) -> bool:
        return any(word in fault for fault in faults([plan], boards, rules))

    assert seen("are not the face", replace(made, faces=(replace(one, pieces=one.pieces[1:]), two)))
    bare = replace(one, face=replace(one.face, supports=(Support(0.0), Support(4800.0))))
    assert seen("on no support", replace(made, faces=(bare, two)))
    twin = replace(two, pieces=one.pieces)
    assert seen("on the stud", replace(made, faces=(one, twin), findings=()))
    blank = lay_boards(both_sides(6000, 2425, 450, None, 1), boards, rules)
    assert seen("of neighbouring courses", blank, replace(rules, stagger_mm=4000))
    assert seen(" high", made, replace(rules, least_course_mm=1500))
    assert seen(" wide", made, replace(rules, least_piece_mm=3000))
    assert seen("in line with a corner", made, replace(rules, corner_clear_mm=2000))
    assert seen("too heavy", made, replace(rules, lift_kg_each=1))
    assert seen("not as many", replace(made, sheets=made.sheets[1:]))
