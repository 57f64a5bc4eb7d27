"""Do takeoff, model, drawings and lining all show the one framing that the plan has?"""

from __future__ import annotations

import math
from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.drawing.every import scenes
from truehang.drawing.scene import Layer, Polygon
from truehang.drawing.solid import solids
from truehang.fixings.model import shots
from truehang.job import Job, load
from truehang.members import UPRIGHT, standing
from truehang.plan import Plan, plan
from truehang.plan.frame import frame_of
from truehang.shapes import Span


def job_of(name: str) -> Job:
    texts = {file: text for folder in demo.names() for file, text in demo.files(folder)}
    return load(texts[f"{name}.yaml"])


def with_studs(job: Job, width: float) -> Job:
    studs = job.wall.make_up.studs.model_copy(update={"width": width})
    make_up = job.wall.make_up.model_copy(update={"studs": studs})
    return job.model_copy(update={"wall": job.wall.model_copy(update={"make_up": make_up})})


@cache
def planned(name: str, width: float | None = None) -> Plan:
    job = job_of(name)
    return plan(with_studs(job, width) if width else job, catalogue.load())


@pytest.mark.parametrize(("there", "width", "count"), [(38.0, 35.0, 3), (45.0, 45.0, 2)])
def test_studs_a_side_under_a_load_are_as_many_everywhere(
    there: float, width: float, count: int
) -> None:
    # quarry-house carries load: one stud under each end of the head, two where they are thin, and
    # one past it; new studs are of what is sold, whatever the wall's own are
    made = planned("quarry-house", there)
    fit = made.arrangement
    assert fit is not None
    assert made.takeoff is not None
    beside = standing(made.members, "jamb stud", "king stud")
    places = sorted((m.x.low, m.x.high) for m in beside)
    low, high = fit.rough.low, fit.rough.high
    left = [(low - (n + 1) * width, low - n * width) for n in reversed(range(count))]
    right = [(high + n * width, high + (n + 1) * width) for n in range(count)]
    assert places == [pytest.approx(place) for place in (*left, *right)]
    counted = {item.key: item.count for item in made.takeoff.items}
    assert (counted["jamb-stud"], counted["king-stud"]) == (2 * (count - 1), 2)


def test_parts_that_fit_prices_are_the_pieces_that_stand() -> None:
    # the price of a site-built pocket is reckoned before it is set out; both must be the same frame
    made = planned("tannery-g06")
    assert made.arrangement is not None
    parts = {f"frame.{p.key}": p for p in made.arrangement.parts if p.material == "timber"}
    assert set(parts) == {m.key for m in made.members if m.key.startswith("frame.")}
    for key, part in parts.items():
        pieces = [m for m in made.members if m.key == key]
        assert len(pieces) == part.count, key
        for piece in pieces:
            assert piece.length == pytest.approx(part.length), key
            assert piece.section == pytest.approx(part.section), key


def test_a_kits_frame_is_not_cut_again() -> None:
    made = planned("fernhollow")
    assert made.takeoff is not None
    assert {m.bought_in for m in standing(made.members, "rib", "head member")} == {"frame kit"}
    assert [i.key for i in made.takeoff.group("frame") if i.unit == "m"] == []


def test_what_is_over_an_old_opening_is_there_already() -> None:
    made = planned("fernhollow")
    assert made.over is not None
    (there,) = [m for m in made.members if m.origin == "there already"]
    usable = made.measured.usable
    assert usable is not None
    assert there.x == Span(pytest.approx(usable.left), pytest.approx(usable.right))
    assert there.z.low == made.over.limit
    assert made.takeoff is not None
    assert there.key not in {item.key for item in made.takeoff.items}


def cut_timber(made: Plan, key: str) -> set[tuple[float, float]]:
    """From where to where each closed shape of studs on a drawing runs along the wall."""
    found = set()
    for item in scenes(made)[key].items:
        if isinstance(item, Polygon) and "studs" in item.part.split() and item.edge:
            xs = [x for x, _ in item.points]
            found.add((round(min(xs), 6), round(max(xs), 6)))
    return found


@pytest.mark.parametrize("width", [38.0, 45.0])
def test_drawings_show_the_studs_that_are_bought(width: float) -> None:
    # the plan section cuts every stud beside the frame: as many as the takeoff counts, as wide
    made = planned("quarry-house", width)
    assert made.arrangement is not None
    uprights = standing(made.members, "jamb stud", "king stud", "backing")
    beside = {(m.x.low, m.x.high) for m in uprights}
    backs = {(p.back_stud.low, p.back_stud.high) for p in made.arrangement.pockets}
    assert cut_timber(made, "plan-section") == beside | backs
    assert beside <= {
        (x.low, x.high)
        for x in (m.x for m in made.members)
        if any(solid.x0 == x.low for part in solids(made) for solid in part.blocks)
    }


def test_a_narrow_infill_is_drawn_as_it_is_packed() -> None:
    # fernhollow has 24 left beside the frame: no stud of 45 goes in there
    made = planned("fernhollow")
    for side in ("left", "right"):
        scene = scenes(made)[f"plan-back-{side}"]
        (packing,) = [
            (min(x for x, _ in item.points), max(x for x, _ in item.points))
            for item in scene.items
            if isinstance(item, Polygon) and "infill" in item.part.split()
        ]
        (piece,) = [m for m in made.members if m.key.startswith("infill") and m.side == side]
        assert packing == pytest.approx((piece.x.low, piece.x.high))
        assert packing[1] - packing[0] == pytest.approx(24, abs=0.5)


@pytest.mark.parametrize("name", ["fernhollow", "tannery-s07"])
def test_each_ply_of_the_head_is_drawn_in_the_upright_cut(name: str) -> None:
    made = planned(name)
    plies = [m for m in standing(made.members, "head") if m.origin == "new"]
    drawn = [
        item
        for item in scenes(made)["section-head"].items
        if isinstance(item, Polygon) and item.layer is Layer.ROUGH and "head" in item.part.split()
    ]
    assert sorted({round(y, 3) for one in drawn for y, _ in one.points}) == sorted(
        {round(y, 3) for m in plies for y in (m.y.low, m.y.high)}
    )


def test_another_option_is_looked_at_with_its_own_frame() -> None:
    made = planned("quarry-house")
    other = next(w.arrangement for w in made.weighed if w.arrangement.kind != "single-left")
    frame = frame_of(other)
    (stud,) = [m for m in frame if m.role == "back stud"]
    assert stud.x == other.pockets[0].back_stud
    # of its own: the frame, what goes onto it and what is under it, nothing of the opening
    beside = ("packers", "head strip")
    assert not [m for m in frame if not m.key.startswith("frame.") and m.role not in beside]


MANY = [
    "fernhollow",
    "millrace-cottage",
    "granary-hall",
    "juniper-court",
    "quarry-house",
    "tannery-g03",
    "tannery-g06",
    "tannery-s01",
]


@pytest.mark.parametrize("name", MANY)
def test_every_support_of_the_lining_is_timber_that_stands_there(name: str) -> None:
    made = planned(name)
    fit = made.arrangement
    assert fit is not None
    upright = standing(made.members, *UPRIGHT, "packing")
    for face in (face.face for laid in made.lining for face in laid.faces):
        low, high = face.outline[0][0], face.outline[1][0]
        for support in face.supports:
            if support.kind == "jamb":  # solid behind its groove only
                jamb = next(m for m in upright if m.role == "closing jamb")
                assert jamb.x.low < support.x_mm < jamb.x.high
                continue
            on = [m for m in upright if abs(m.x.middle - support.x_mm) < 0.01]
            over = fit.opening.low < support.x_mm < fit.opening.high  # the head, all along
            assert on or over or support.x_mm in (low, high), (name, support)
            assert not on or support.width_mm == pytest.approx(on[0].x.length)
        # and no two uprights are further apart than the spacing, but where the leaf runs
        assert {m.x.middle for m in upright if m.role == "rib"} <= {s.x_mm for s in face.supports}


@pytest.mark.parametrize("name", MANY)
def test_every_screw_ends_in_the_timber_it_is_meant_for(name: str) -> None:
    # solids only: where the tip of each chosen fastener is, a piece stands
    made = planned(name)
    assert made.fixings is not None
    pieces = [m for m in standing(made.members) if m.role != "packers"]
    known = [m for m in standing(made.members, "head") if m.z.length > 0]  # else the engineer's
    # the bay behind the first stud of a wall that is only being built is open
    back = 10.0 if made.job.wall.situation == "new-wall" else 1.0
    for choice in made.fixings.choices:
        if (
            choice.row.key.startswith(
                # a plate is screwed to the floor, which is no piece of framing
                ("base", "skirting", "trim", "framing-", "frame-")
            )
            or choice.fastener is None
        ):
            continue
        if choice.row.key == "head" and not known:
            continue
        for shot in shots(choice):
            x, y, z = shot.tip
            if choice.row.axis[1] in "xz":
                x, y, z = (  # a little before the tip, in what holds it
                    tip - back if head < tip else tip + back if head > tip else tip
                    for head, tip in zip(shot.head, shot.tip, strict=True)
                )
            inside = [
                m.name
                for m in pieces
                for b in m.blocks
                if b.x0 <= x <= b.x1 and b.y0 <= y <= b.y1 and min(b.bottom) <= z <= max(b.top)
            ]
            old = made.measured.usable is not None and made.job.wall.situation == "fill-opening"
            assert inside or (old and choice.row.axis[1] == "x"), (choice.row.key, shot.tip)


def test_a_frame_is_screwed_into_a_ply_and_not_between_two() -> None:
    made = planned("fernhollow")
    assert made.fixings is not None
    (row,) = [c.row for c in made.fixings.choices if c.row.key == "head"]
    plies = [m.y for m in standing(made.members, "head") if m.origin == "new"]
    assert len(plies) == 2
    assert {y for _, y in row.places} <= {ply.middle for ply in plies}


def test_screws_into_studs_hold_in_as_much_as_stands_there() -> None:
    # quarry-house: a stud under the head and one past it; fernhollow: 24 of packing, the old stud
    made, filled = planned("quarry-house", 38.0), planned("fernhollow")
    assert made.fixings is not None
    assert filled.fixings is not None
    into = {c.row.key: c.row.into.thickness for c in made.fixings.choices}
    assert into["back-stud"] == 3 * 35  # 38 is not sold: three studs of the nearest that is
    assert into["closing-jamb"] == 3 * 35
    behind = {c.row.key: c.row.into.thickness for c in filled.fixings.choices}
    assert behind["back-stud-left"] == pytest.approx(45 + 24.2, abs=0.1)


def test_the_lining_is_screwed_at_its_edges_and_to_every_stud_of_a_new_wall() -> None:
    made = planned("tannery-g06")
    assert made.fixings is not None
    (row,) = [c.row for c in made.fixings.choices if c.row.key == "lining-studs-a"]
    xs = {x for x, z in row.places if z < 2000}
    studs = standing(made.members, "wall stud", "king stud")
    assert len(studs) >= 3
    ends = [m for m in studs if m.x.low < 1 or m.x.high > made.measured.run.length - 1]  # type: ignore[union-attr]
    assert {m.x.middle for m in ends} <= xs


def test_a_rib_that_props_the_head_is_as_long_as_it_is_cut() -> None:
    # Euler, both ends held: 2 x pi^2 E I / L^2, E of the least stiff sawn timber that is sold
    made = planned("tannery-g06")
    rib = next(m for m in standing(made.members, "rib") if m.at_mouth)
    bought = catalogue.load()
    sawn = {g.code: g.modulus for g in bought.timber_grades if g.kind == "sawn"}
    sold = [s.grade for s in bought.timber_sections if s.currency == "AUD" and s.grade in sawn]
    thin, wide, length = rib.y.length, rib.x.length, rib.length
    load = 2 * math.pi**2 * min(sawn[g] for g in sold) * (wide * thin**3 / 12) / length**2
    assert made.figures["structure.mouth_ribs"].value == pytest.approx(load, abs=0.6)
    (item,) = [i for i in made.takeoff.items if i.key == "frame.rib"] if made.takeoff else []
    assert item.length == length
