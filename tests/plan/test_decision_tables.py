"""What joins the rooms, decided case by case: each row of a table is one case and what has to come
of it. Geometry and sums by hand; what is a custom of the trade: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.fit import Service as Found
from truehang.job import Job, load, starter
from truehang.job.file import plain
from truehang.job.models import Obstacle, Service
from truehang.members import Member
from truehang.plan import Plan, plan, standing_of
from truehang.plan.base import base_held, base_questions, open_base
from truehang.plan.doubt import doubt
from truehang.plan.fixing_rows import OUT_OF_PLACE, _packing
from truehang.plan.furniture import furniture, keep_place
from truehang.plan.hang import drags, hangers_of
from truehang.plan.in_the_way import NewTimber, new_timber, props_in_the_way, stands_in
from truehang.plan.lined import lies_on, screwed_to
from truehang.plan.space import _free, _studs_beside, _wall_findings, _wishes
from truehang.plan.stud import new_stud
from truehang.plan.unknown import unknown
from truehang.plan.weigh import WeighedOption
from truehang.shapes import Span, box

BOUGHT = catalogue.load()
KITS = {kit.id: kit for kit in BOUGHT.kits}
SEALS = {seal.key: seal for seal in BOUGHT.seals}


@cache
def of(name: str, file: str) -> Plan:
    return plan(load(dict(demo.files(name))[file]), BOUGHT)


def pair() -> Plan:
    return of("fernhollow", "fernhollow.yaml")


def single() -> Plan:
    return of("quarry-house", "quarry-house.yaml")


def fit_of(made: Plan) -> Arrangement:
    assert made.arrangement is not None
    return made.arrangement


def starting(**sections: dict[str, Any]) -> Job:
    values: dict[str, Any] = dict(plain(load(starter()).model_dump()))
    for section, given in sections.items():
        values[section] |= given
    return Job.model_validate(values)


# ---------------------------------------------------------------- what stands in the way


def told(*found: tuple[Severity, str]) -> str:
    return standing_of(
        Finding(severity, f"wall.{n}", "what", "mend", "source", before=before)
        for n, (severity, before) in enumerate(found)
    ).headline


STOP, HOLD, WARN, NOTE = Severity.STOP, Severity.HOLD, Severity.WARN, Severity.NOTE
NO = "Cut, order and build nothing from this until that is mended"


@pytest.mark.parametrize(
    ("found", "headline"),
    [
        ([], "Nothing stands in the way"),
        ([(NOTE, "")], "Nothing stands in the way"),
        ([(WARN, "")], "No stop and no hold stands; 1 warning to look at"),
        ([(WARN, ""), (WARN, ""), (NOTE, "")], "No stop and no hold stands; 2 warnings to look at"),
        ([(HOLD, "")], "HOLD: 1 hold stands. What is held is not done until it is recorded"),
        (
            [(HOLD, ""), (HOLD, ""), (WARN, "")],
            "HOLD: 2 holds stand. What is held is not done until it is recorded",
        ),
        ([(STOP, "")], f"DRAFT: 1 stop stands. {NO}"),
        ([(STOP, ""), (STOP, "")], f"DRAFT: 2 stops stand. {NO}"),
        ([(STOP, ""), (HOLD, ""), (WARN, "")], f"DRAFT: 1 stop and 1 hold stand. {NO}"),
        ([(HOLD, "order")], f"DRAFT: 1 hold stands. {NO}"),
        ([(HOLD, "order"), (HOLD, "")], f"DRAFT: 2 holds stand. {NO}"),
    ],
)
def test_what_is_said_first(found: list[tuple[Severity, str]], headline: str) -> None:
    assert told(*found) == headline


# ---------------------------------------------------------------- the base and the floor


@pytest.mark.parametrize(
    ("heated", "base", "open_", "held"),
    [
        (False, "concrete", [], False),
        (False, "timber", [], False),
        (True, "unknown", ["floor.heated"], False),  # known, and it bars fixings: nobody looks on
        (None, "concrete", ["floor.heated"], True),
        (False, "unknown", ["floor.base"], True),
        (False, "tiles", ["floor.base"], True),
        (None, "unknown", ["floor.heated", "floor.base"], True),
        (None, "tiles", ["floor.heated", "floor.base"], True),
    ],
)
def test_no_screw_into_a_floor_that_nobody_knows(
    heated: bool | None, base: str, open_: list[str], held: bool
) -> None:
    job = starting(floor={"heated": heated, "base": base})
    assert [one.key for one in base_questions(job)] == open_
    assert base_held(job) is held
    assert [figure.inputs for figure in open_base(job)] == (
        [tuple(f"job:{key}" for key in open_)] if open_ else []
    )


# ---------------------------------------------------------------- places in centimetres


def at(kind: str, x: float, z: float, id: str = "one") -> Service:
    return Service(id=id, kind=kind, x=x, z=z, face="A")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("services", "asked"),
    [
        # common practice, no source: no switch lower than 300, no outlet lower than 60
        ([at("switch", 3000, 299)], ["one"]),
        ([at("switch", 3000, 300)], []),
        ([at("outlet", 3000, 59)], ["one"]),
        ([at("outlet", 3000, 60)], []),
        ([at("outlet", 3000, 0)], []),  # at the datum itself: nothing was read
        ([at("waste", 3000, 10)], []),  # a waste may lie on the floor
        # all of them in the first tenth of a run of 4000 and under 270
        ([at("waste", 400, 270), at("water", 400, 1, "two")], ["one", "two"]),
        ([at("waste", 401, 270), at("water", 400, 1, "two")], []),
        ([at("waste", 400, 271), at("water", 400, 1, "two")], []),
        ([at("waste", 400, 270), at("water", 400, 0, "two")], []),
        ([at("waste", 400, 270)], []),  # one alone proves nothing
        # one of them where no such thing is: that one only
        ([at("light", 3000, 205), at("waste", 3000, 100, "two")], ["one"]),
    ],
)
def test_which_places_look_like_centimetres(services: list[Service], asked: list[str]) -> None:
    job = starting(wall={"run": 4000.0, "obstacles": []})
    wall = job.wall.model_copy(update={"services": tuple(services)})
    found = doubt(job.model_copy(update={"wall": wall}))
    assert [one.where.rpartition(".")[2] for one in found] == asked


# ---------------------------------------------------------------- services where timber goes

TIMBER = NewTimber("head", Span(1000.0, 2000.0), Span(2100.0, 2300.0))


def cable(x: float, z: float, runs: str = "none") -> Found:
    return Found("cable", "cable", x, z, "A", 20.0, 40.0, runs)


@pytest.mark.parametrize(
    ("service", "meets"),
    [
        (cable(1500, 2200), True),
        # 20 wide, 40 high: it touches when its edge is on the timber's, and is in the way beyond
        (cable(990, 2200), False),
        (cable(991, 2200), True),
        (cable(2010, 2200), False),
        (cable(2009, 2200), True),
        (cable(1500, 2080), False),
        (cable(1500, 2081), True),
        (cable(1500, 2320), False),
        (cable(1500, 2319), True),
        # what leaves it counts as far as it goes
        (cable(500, 2200, "right"), True),
        (cable(500, 2200, "left"), False),
        (cable(500, 2200, "unknown"), False),
        (cable(2500, 2200, "left"), True),
        (cable(2500, 2200, "right"), False),
        (cable(1500, 300, "up"), True),
        (cable(1500, 300, "down"), False),
        (cable(1500, 2500, "down"), True),
        (cable(1500, 2500, "up"), False),
        (cable(500, 2500, "right"), False),
    ],
)
def test_what_stands_where_timber_goes(service: Found, meets: bool) -> None:
    assert stands_in(service, TIMBER) is meets


def test_only_new_timber_of_some_height_is_a_place_and_the_head_comes_first() -> None:
    settled: Any = SimpleNamespace(unsized="")

    def piece(role: str, origin: str, top: float) -> Member:
        return upright(0.0, role=role, origin=origin, top=top)

    framing = (
        piece("jamb stud", "new", 2400.0),
        piece("head", "new", 2400.0),
        piece("king stud", "there already", 2400.0),
        piece("packing", "new", 0.0),
        piece("rib", "new", 2400.0),
    )
    found = list(new_timber(fit_of(single()), settled, framing))
    assert [one.what for one in found] == [
        "place of the new head",
        "place of the new stud beside the rough opening",
    ]
    fit = fit_of(single())
    settled = SimpleNamespace(unsized="why", tried=SimpleNamespace(head_limit=2600.0))
    (room,) = list(new_timber(fit, settled, ()))
    assert (room.along, room.up) == (fit.rough, Span(fit.heights.rough_head, 2600.0))
    settled.tried.head_limit = 1000.0  # no room at all is no room upside down
    (room,) = list(new_timber(fit, settled, ()))
    assert room.up.length == 0.0


@pytest.mark.parametrize(
    ("low", "high", "face", "said"),
    [
        (-301.0, -300.0, "A", ""),  # the row of props ends 300 past the rough opening
        (-301.0, -299.0, "A", " on face A"),
        (-301.0, -299.0, "both", " from"),
        (300.0, 400.0, "B", ""),
        (299.0, 400.0, "B", " on face B"),
    ],
)
def test_what_stands_where_props_run(low: float, high: float, face: str, said: str) -> None:
    fit = fit_of(single())
    from_ = fit.rough.low if low < 0 else fit.rough.high
    one = Obstacle(id="hob", kind="other", from_x=from_ + low, to_x=from_ + high, face=face)  # type: ignore[arg-type]
    job = single().job
    job = job.model_copy(update={"wall": job.wall.model_copy(update={"obstacles": (one,)})})
    found = list(props_in_the_way(job, fit, SimpleNamespace(over=None)))  # type: ignore[arg-type]
    assert [said in one.what for one in found] == ([True] if said else [])
    assert list(props_in_the_way(job, fit, SimpleNamespace(over=1))) == []  # type: ignore[arg-type]


# ---------------------------------------------------------------- latch, guide and seal


@pytest.mark.parametrize(
    ("wish", "seal", "groove", "where"),
    [
        ("passage", "none", 0.0, []),
        ("privacy", "none", 0.0, ["wishes.furniture"]),
        ("lock", "none", 0.0, ["wishes.furniture"]),
        ("passage", "drop", 12.0, ["wishes.seals.floor"]),
        ("passage", "drop", 0.0, []),
        ("passage", "brush", 12.0, []),
        ("lock", "drop", 12.0, ["wishes.furniture", "wishes.seals.floor"]),
    ],
)
def test_what_is_not_settled_in_the_leafs_edges(
    wish: str, seal: str, groove: float, where: list[str]
) -> None:
    kinds = {key: one.kind for key, one in SEALS.items()}
    floor = next((key for key, kind in kinds.items() if kind == seal), "none")
    job = starting(wishes={"furniture": wish})
    seals = job.wishes.seals.model_copy(update={"floor": floor})
    job = job.model_copy(update={"wishes": job.wishes.model_copy(update={"seals": seals})})
    fit = replace(fit_of(single()), guide_groove=groove)
    assert [one.where for one in furniture(job, BOUGHT, fit)] == where
    assert list(furniture(job, BOUGHT, None)) == []


def test_the_keep_of_a_pair_is_in_the_other_leaf() -> None:
    assert "other leaf" in keep_place(fit_of(pair()))
    assert "closing jamb" in keep_place(fit_of(single()))


# ---------------------------------------------------------------- what a seal drags on


def sealed(made: Plan, **places: Any) -> Job:
    seals = made.job.wishes.seals.model_copy(
        update={
            **dict.fromkeys(("mouth", "head", "floor", "jamb", "meeting"), "none"),
            "drag": None,
        }
        | places
    )
    return made.job.model_copy(
        update={"wishes": made.job.wishes.model_copy(update={"seals": seals})}
    )


@pytest.mark.parametrize("made", [pair, single])
def test_a_seal_drags_on_the_length_that_it_lies_on(made: Any) -> None:
    # by hand: both faces at mouth, head and jamb, one bottom edge, one meeting edge of a pair
    whole: Plan = made()
    fit = fit_of(whole)
    kit = KITS[fit.kit_id].model_copy(update={"built_in_drag": None})
    leaf, brush = fit.leaves[0], SEALS["brush"]
    two = len(fit.leaves) == 2
    open_ = fit.opening.length / 2 if two else fit.opening.length
    middle = fit.heights.track_bottom - leaf.top + leaf.height / 2
    metres = {
        "mouth": (2 * leaf.height, middle),
        "floor": (leaf.width, fit.heights.track_bottom - leaf.bottom),
        "jamb": (0.0 if two else 2 * leaf.height, middle),
        "meeting": (leaf.height if two else 0.0, middle),
    }
    for place, (length, below) in metres.items():
        found = drags(sealed(whole, **{place: "brush"}), fit, kit, leaf, SEALS)
        moving = [one for one in found if one.when != "pressed"]
        assert len(moving) == (1 if length else 0), place
        for one in moving:
            assert one.low == pytest.approx(brush.drag.least * length / 1000)
            assert one.high == pytest.approx(brush.drag.most * length / 1000)
            assert one.below == pytest.approx(below)
            assert one.when == ("closed" if place in ("jamb", "meeting") else "moving")
    (head,) = drags(sealed(whole, head="brush"), fit, kit, leaf, SEALS)
    assert head.below == 0.0
    assert head.high == pytest.approx(brush.drag.most * 2 * open_ / 1000, rel=0.02)
    assert drags(sealed(whole, head="not sold"), fit, kit, leaf, SEALS) == ()


def test_a_figure_of_ones_own_takes_the_place_of_the_seals_and_not_of_the_kits_brushes() -> None:
    whole = single()
    fit = fit_of(whole)
    own = whole.job.wishes.seals.model_validate({"drag": {"low": 3.0, "high": 7.0}}).drag
    job = sealed(whole, mouth="brush", drag=own)
    bare = KITS[fit.kit_id].model_copy(update={"built_in_drag": None})
    (one,) = drags(job, fit, bare, fit.leaves[0], SEALS)
    assert (one.low, one.high) == (3.0, 7.0)
    brushed = bare.model_copy(update={"built_in_drag": SEALS["brush"].drag})
    kits, wished = drags(job, fit, brushed, fit.leaves[0], SEALS)
    assert (kits.low, kits.high) == (SEALS["brush"].drag.least, SEALS["brush"].drag.most)
    assert wished == one


def test_where_thehangers_of_are_and_how_far_their_bolts_go() -> None:
    kit = KITS[fit_of(single()).kit_id].model_copy(
        update={"hanging_range": 16.0, "hanger_inset": 90.0, "thread_pitch": 1.25}
    )
    at_ease = hangers_of(kit, 900.0)
    assert (at_ease.leading, at_ease.trailing, at_ease.pitch) == (90.0, 810.0, 1.25)
    assert (at_ease.up_left, at_ease.down_left) == ((8.0, 8.0), (8.0, 8.0))
    raised = hangers_of(kit, 900.0, (3.0, -2.0))
    assert (raised.up_left, raised.down_left) == ((5.0, 10.0), (11.0, 6.0))
    spent = hangers_of(kit, 900.0, (9.0, -9.0))
    assert (spent.up_left, spent.down_left) == ((0.0, 17.0), (17.0, 0.0))


# ---------------------------------------------------------------- the leaf that counts most


def test_of_two_leaves_the_masses_add_up_and_the_worse_force_counts() -> None:
    leaves: Any = (
        SimpleNamespace(mass=30.0, force=(4.0, 11.0)),
        SimpleNamespace(mass=32.5, force=(6.0, 9.0)),
    )
    one = WeighedOption(1, True, single().weighed[0].option, fit_of(single()), leaves, None)
    assert (one.mass, one.force, one.force_low) == (62.5, 11.0, 6.0)


# ---------------------------------------------------------------- the run that is free


def blocked(*obstacles: tuple[float, float], place: Any = None, **more: Any) -> Job:
    given = [
        {"id": f"o{n}", "kind": "other", "from_x": low, "to_x": high} | more
        for n, (low, high) in enumerate(obstacles)
    ]
    return starting(
        wall={"run": 6000.0, "obstacles": given, "services": []}, wishes={"place": place}
    )


WHOLE = (500.0, 5500.0)


@pytest.mark.parametrize(
    ("obstacles", "place", "free", "said"),
    [
        ([], None, WHOLE, False),
        ([(0.0, 500.0)], None, WHOLE, False),  # it ends where the run begins
        ([(0.0, 501.0)], None, (501.0, 5500.0), True),
        ([(5500.0, 6000.0)], None, WHOLE, False),
        ([(5499.0, 6000.0)], None, (500.0, 5499.0), True),
        ([(2000.0, 2500.0)], None, (2500.0, 5500.0), True),  # the longer part
        ([(3000.0, 4000.0)], None, (500.0, 3000.0), True),
        ([(3000.0, 4000.0)], {"from_x": 4000, "to_x": 5500}, (4000.0, 5500.0), True),
        ([(3000.0, 4000.0)], {"from_x": 500, "to_x": 5500, "centre": 600}, (500.0, 3000.0), True),
        ([(3000.0, 4000.0)], {"from_x": 500, "to_x": 5500, "centre": 4000}, (4000.0, 5500.0), True),
        ([(3000.0, 4000.0)], {"from_x": 500, "to_x": 5500, "centre": 3000}, (500.0, 3000.0), True),
        ([(3000.0, 4000.0)], {"from_x": 3000, "to_x": 4000}, (500.0, 3000.0), True),
        ([(1000.0, 4000.0), (1500.0, 2000.0)], None, (4000.0, 5500.0), True),  # one in the other
        ([(0.0, 6000.0)], None, None, False),
    ],
)
def test_which_part_of_the_run_is_free(
    obstacles: list[tuple[float, float]], place: Any, free: Any, said: bool
) -> None:
    span, found = _free(blocked(*obstacles, place=place), Span(*WHOLE), 2400.0, 45.0, None)
    assert (span and (span.low, span.high)) == free
    assert [one.where for one in found] == (["wall.obstacles"] if said else [])


@pytest.mark.parametrize(
    ("from_z", "to_z", "free"),
    [
        (2400.0, 2600.0, True),  # over the head
        (2399.0, 2600.0, False),
        (-300.0, 0.0, True),  # under the floor
        (-300.0, 1.0, False),
    ],
)
def test_what_stands_over_or_under_the_frame_takes_nothing_of_the_run(
    from_z: float, to_z: float, free: bool
) -> None:
    job = blocked((2000.0, 3000.0), from_z=from_z, to_z=to_z)
    span, found = _free(job, Span(*WHOLE), 2400.0, 45.0, None)
    assert span is not None
    assert (span == Span(*WHOLE)) is free
    assert (not found) is free


@pytest.mark.parametrize(
    ("situation", "bears", "studs", "counted"),
    [
        ("new-wall", True, None, 1),
        ("new-opening", True, None, 2),  # a jamb stud and a full-height one, until it is sized
        ("new-opening", False, None, 1),
        ("new-opening", True, 3, 3),
        ("new-wall", False, 2, 2),
    ],
)
def test_how_wide_the_studs_beside_an_opening_are(
    situation: str, bears: bool, studs: int | None, counted: int
) -> None:
    job = single().job if bears else _bare(single().job)
    job = job.model_copy(update={"wall": job.wall.model_copy(update={"situation": situation})})
    region = BOUGHT.region(job.job.region)
    one = new_stud(job, BOUGHT, region).breadth
    assert _studs_beside(job, BOUGHT, region, studs) == counted * one


def _bare(job: Job) -> Job:
    """Somebody has looked, and it carries nothing."""
    seen = {"who": "builder", "when": "2026-05-01", "photo": "p1", "finding": "carries-nothing"}
    values = job.model_dump()
    values["wall"]["evidence"] |= {
        "opened_up": seen, "loads": (), "wall_load": 0.0, "joint_over": False,
        "wall_over": False, "joists": "along", "lintel": False, "wall_under": False,
    }  # fmt: skip
    return Job.model_validate(values)


def lined(
    old: tuple[float, float], new: tuple[float, float], situation: str = "fill-opening"
) -> Job:
    def layers(thick: float) -> list[dict[str, Any]]:
        return [{"material": "plasterboard", "thickness": thick}] if thick else []

    return starting(
        wall={
            "situation": situation,
            "make_up": {
                "studs": {"depth": 90.0, "width": 45.0, "spacing": 600.0},
                "face_a": layers(old[0]),
                "face_b": layers(old[1]),
            },
        },
        wishes={"lining": {"face_a": layers(new[0]), "face_b": layers(new[1])}},
    )


@pytest.mark.parametrize(
    ("job", "thickness", "where"),
    [
        # 90 + 10 + 10 = 110; 4 off is paint and a crooked stud, more is another wall
        (lined((10, 10), (0, 0)), 114.0, []),
        (lined((10, 10), (0, 0)), 114.1, ["wall.make_up"]),
        (lined((10, 10), (0, 0)), 105.9, ["wall.make_up"]),
        (lined((10, 10), (0, 0)), None, []),
        # a step of 1 shows
        (lined((10, 10), (11, 10)), None, ["wishes.lining.face_a"]),
        (lined((10, 10), (10.9, 10)), None, []),
        (lined((10, 10), (9, 13)), None, ["wishes.lining.face_a", "wishes.lining.face_b"]),
        (lined((10, 10), (13, 13), "new-wall"), None, []),
    ],
)
def test_is_the_wall_as_thick_as_written_and_does_the_lining_meet(
    job: Job, thickness: float | None, where: list[str]
) -> None:
    read: Any = SimpleNamespace(
        thickness=None if thickness is None else SimpleNamespace(mean=thickness)
    )
    assert [one.where for one in _wall_findings(job, read)] == where


@pytest.mark.parametrize(
    ("wish", "asked"),
    [
        ({"handle": "d-pull"}, {"pull_room": 60.0}),  # 45 + 20/2 + 5
        ({"handle": "flush"}, {"pull_room": 0.0}),
        ({"soft_close": "wanted"}, {"soft_close": True}),
        ({"soft_close": "none"}, {"soft_close": False}),
        ({"kit": "any"}, {"kit": None}),
        ({"kit": "k-1"}, {"kit": "k-1"}),
        ({"leaf": {"construction": "any", "glass": "any"}}, {"leaf": None, "glass": None}),
        ({"leaf": {"construction": "x", "glass": "none"}}, {"leaf": "x", "glass": False}),
        ({"leaf": {"glass": "part"}}, {"glass": True}),
        ({"arrangement": "pair"}, {"arrangements": ("pair",)}),
        ({"place": None}, {"place": None, "centre": None}),
        (
            {"place": {"from_x": 1, "to_x": 9, "centre": 4}},
            {"place": Span(1.0, 9.0), "centre": 4.0},
        ),
    ],
)
def test_how_a_wish_is_put_to_the_fit_room(wish: Any, asked: dict[str, Any]) -> None:
    made = _wishes(starting(wishes=wish))
    assert {key: getattr(made, key) for key in asked} == asked


# ---------------------------------------------------------------- what the lining is screwed to


def upright(
    x: float,
    width: float = 40.0,
    role: Any = "wall stud",
    key: str = "wall.stud",
    face: Any = "",
    origin: Any = "new",
    top: float = 2400.0,
    lies: Any = "z",
) -> Member:
    block = box(x, x + width, 0.0, 90.0, 0.0, top)
    return Member(
        key=key, name=f"{role} {x:g}", role=role, origin=origin, blocks=(block,), lies=lies,
        label="", where="", face=face,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("pieces", "kept"),
    [
        ([upright(600)], [600.0]),
        ([upright(600), upright(1200)], [600.0, 1200.0]),
        # 15 of packing between two studs: they stand side by side, and one is enough
        ([upright(600), upright(654.9)], [600.0]),
        ([upright(600), upright(655)], [600.0, 655.0]),
        # the frame's own is always screwed to, and stands before the stud beside it
        ([upright(600), upright(641, key="frame.rib", role="rib")], [641.0]),
        ([upright(641), upright(600, key="frame.rib", role="rib")], [600.0]),
        ([upright(600, key="frame.a"), upright(641, key="frame.b")], [600.0, 641.0]),
        # at the edges whatever holds them
        ([upright(0), upright(41)], [0.0]),
        ([upright(-40), upright(0)], [0.0]),  # the first stands outside
        ([upright(1960), upright(1919)], [1960.0]),
        ([upright(2000)], []),
        # not these
        ([upright(600, origin="comes out")], []),
        ([upright(600, role="short stud")], []),
        ([upright(600, role="plate")], []),
        ([upright(600, role="packing", lies="x")], []),
        ([upright(600, role="packing", lies="z")], [600.0]),
        ([upright(600, face="B")], []),
        ([upright(600, face="A")], [600.0]),
    ],
)
def test_which_uprights_a_lining_is_screwed_to(pieces: list[Member], kept: list[float]) -> None:
    found = screwed_to(pieces, "A", (0.0, 2000.0))
    assert [piece.x.low for piece in found] == kept


@pytest.mark.parametrize(
    ("edge", "lies"), [(600.0, True), (600.9, True), (601.0, False), (640.5, True), (620.0, False)]
)
def test_an_edge_lies_on_a_stud_that_ends_within_a_millimetre(edge: float, lies: bool) -> None:
    assert lies_on(upright(600), edge) is lies


@pytest.mark.parametrize(
    ("least", "most", "told"),
    [(10.0, 10.0, "pack 10 mm behind"), (10.0, 10.4, "pack 10.5 mm behind"),
     (8.0, 12.0, "pack 8 mm to 12 mm behind, as the gap is there,")],
)  # fmt: skip
def test_the_packing_behind_a_frame_is_never_quite_on_its_mark(
    least: float, most: float, told: str
) -> None:
    sheet = _packing(least, most)
    assert sheet.thickness == most + OUT_OF_PLACE
    assert sheet.thinnest == max(least - OUT_OF_PLACE, 0.0)
    assert _packing(0.0, 1.0).thinnest == 0.0


# ---------------------------------------------------------------- what was not said


def measured_as(**read: Any) -> Any:
    whole = {"floor": None, "thickness": SimpleNamespace(mean=110.0)}
    return SimpleNamespace(**whole | read)


def floor_read(*at: float) -> Any:
    return SimpleNamespace(stations=[(x, 0.0, 0.0) for x in at])


@pytest.mark.parametrize(
    ("read", "said", "asks"),
    [
        ((), "was not read", 3),
        ((2000.0,), "was read at x", 3),
        # supports at 0, half of 4000 and 4000; a floor goes on level for 150 past what was read
        ((150.0, 3850.0), "", 0),
        ((151.0, 3850.0), "was read from x", 1),
        ((150.0, 3849.0), "was read from x", 1),
        ((500.0, 1500.0), "was read from x", 3),
    ],
)
def test_where_the_floor_has_to_be_read(read: tuple[float, ...], said: str, asks: int) -> None:
    job = starting(wall={"run": 4000.0, "obstacles": []})
    found = unknown(job, measured_as(floor=floor_read(*read) if read else None), None)
    (hold,) = [one for one in found if one.where == "floor.stations"] or (None,)
    if not said:
        assert hold is None
        return
    assert hold is not None
    assert said in hold.what
    assert str(hold.mend).count(",") - 2 == asks - 1
    assert hold.before == "order"


SEEN = {"kind": "cable", "face": "A", "x": 100, "z": 500}


@pytest.mark.parametrize(
    ("situation", "services", "said"),
    [
        ("fill-opening", [], ["note"]),
        ("new-wall", [], []),  # nothing can be in a wall that is not there yet
        ("fill-opening", [{"id": "a", "runs": "up"}], []),
        ("fill-opening", [{"id": "a", "runs": "unknown"}], ["it runs"]),
        (
            "fill-opening",
            [{"id": "a", "runs": "unknown"}, {"id": "b", "runs": "none"}],
            ["it runs"],
        ),
        (
            "fill-opening",
            [{"id": "a", "runs": "unknown"}, {"id": "b", "runs": "unknown"}],
            ["they run"],
        ),
        ("new-wall", [{"id": "a", "runs": "unknown"}], []),
    ],
)
def test_what_is_asked_of_cables_and_pipes(
    situation: str, services: list[dict[str, Any]], said: list[str]
) -> None:
    given = [SEEN | one for one in services]
    job = starting(wall={"situation": situation, "services": given})
    found = [f for f in unknown(job, measured_as(), None) if f.where == "wall.services"]
    assert [
        "note" if f.severity is NOTE else str(f.mend).split("where ")[1][:8].strip(" b")
        for f in found
    ] == said


@pytest.mark.parametrize(
    ("read", "situation", "warned"),
    [(110.0, "fill-opening", False), (None, "fill-opening", True), (None, "new-wall", False)],
)
def test_a_thickness_that_was_not_read(read: float | None, situation: str, warned: bool) -> None:
    job = starting(wall={"situation": situation})
    thickness = None if read is None else SimpleNamespace(mean=read)
    found = unknown(job, measured_as(thickness=thickness), None)
    assert any(one.where == "measure.thickness" for one in found) is warned


@pytest.mark.parametrize(
    ("longest", "frame", "noted"),
    [(None, 3001.0, True), (None, 3000.0, False), (3600.0, 4000.0, False)],
)
def test_how_long_a_thing_can_be_carried_in(
    longest: float | None, frame: float, noted: bool
) -> None:
    fit = replace(fit_of(single()), frame=Span(0.0, frame))
    found = unknown(starting(site={"longest": longest}), measured_as(), fit)
    assert any(one.where == "site.longest" for one in found) is noted


@pytest.mark.parametrize(
    ("finish", "to_come", "noted"), [(None, 0.0, True), (None, 15.0, False), ("oak", 0.0, False)]
)
def test_a_floor_whose_finish_nobody_named(finish: str | None, to_come: float, noted: bool) -> None:
    job = starting(floor={"finish": finish, "to_come": to_come})
    found = unknown(job, measured_as(), None)
    assert any(one.where == "floor.finish" for one in found) is noted
