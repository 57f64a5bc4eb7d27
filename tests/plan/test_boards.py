"""Are both faces covered by boards that lie on supports and keep clear of the pocket's limit?"""

from __future__ import annotations

from functools import cache

import pytest
from shapely import Polygon, box
from shapely.ops import unary_union

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import Plan, complete, plan

JOBS = [
    ("fernhollow", "fernhollow.yaml"),
    ("millrace-cottage", "millrace-cottage.yaml"),
    ("granary-hall", "granary-hall.yaml"),
    ("juniper-court", "juniper-court.yaml"),
    ("quarry-house", "quarry-house.yaml"),
    ("tannery-lofts", "tannery-f06.yaml"),
]

BOUGHT = catalogue.load()


@cache
def planned(name: str, file: str) -> Plan:
    return plan(load(dict(demo.files(name))[file]), BOUGHT)


@pytest.mark.parametrize(("name", "file"), JOBS)
def test_the_pieces_cover_each_face_but_its_opening_once(name: str, file: str) -> None:
    for laid in planned(name, file).lining:
        assert laid.proved
        for face in laid.faces:
            shapes = [Polygon(piece.outline) for piece in face.pieces]
            whole = Polygon(face.face.outline) - unary_union([Polygon(h) for h in face.face.holes])
            floor = min(z for _, z in face.face.outline)
            left = whole - unary_union(shapes)
            # A gap is left over the floor so that the board does not stand in the wet.
            assert left.difference(box(-1e6, floor - 1, 1e6, floor + 10.5)).area < 1.0
            overlap = sum(shape.area for shape in shapes) - unary_union(shapes).area
            assert overlap < 1.0


@pytest.mark.parametrize(("name", "file"), JOBS)
def test_screws_at_the_pocket_have_the_limit_of_the_fixings_room(name: str, file: str) -> None:
    made = planned(name, file)
    assert made.fixings is not None
    assert made.arrangement is not None
    limits = {zone.face: zone.longest for zone in made.fixings.no_go}
    rows = [
        (face.face.id, row)
        for laid in made.lining
        for face in laid.faces
        for row in face.screw_lines
        if row.support == "rib" and row.z0_mm < made.arrangement.heights.head_underside
    ]
    assert rows
    assert all(row.longest_mm == limits[side[0]] for side, row in rows)


def test_each_face_of_its_own_board_has_its_own_figures() -> None:
    made = complete(planned("quarry-house", "quarry-house.yaml"), BOUGHT)
    assert len(made.lining) == 2
    assert {"lining.boards", "lining.2.boards"} <= set(made.figures)


def test_a_board_that_is_not_sold_is_said_and_the_rest_is_still_laid() -> None:
    job = planned("fernhollow", "fernhollow.yaml").job
    layer = job.wishes.lining.face_a[0].model_copy(update={"material": "granite"})
    lining = job.wishes.lining.model_copy(update={"face_a": (layer,)})
    wishes = job.wishes.model_copy(update={"lining": lining})
    made = complete(plan(job.model_copy(update={"wishes": wishes}), BOUGHT), BOUGHT)
    assert any("granite" in finding.what for finding in made.findings)
    assert [len(laid.faces) for laid in made.lining] == [0, 1]
